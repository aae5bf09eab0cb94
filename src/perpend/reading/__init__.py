"""The reading room of perpend."""
