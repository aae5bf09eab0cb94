"""One module for each family of findings."""
