"""The report room of perpend."""
