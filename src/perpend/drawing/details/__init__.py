"""Typical details of control joints, drawn to scale from rule book and settings."""
