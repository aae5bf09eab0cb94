"""The drawing room of perpend."""
