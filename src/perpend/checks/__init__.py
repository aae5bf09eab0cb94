"""The checks room of perpend."""
