"""Loading only what matters of a large drawing: which records are left out, and what they show."""
