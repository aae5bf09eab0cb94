"""The sheet: what is on it, where labels fit, and how entities are made."""
