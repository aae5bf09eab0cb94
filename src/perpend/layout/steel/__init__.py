"""The steel that goes with a layout."""
