"""The layout room of perpend."""
