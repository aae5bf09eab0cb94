"""Rule books as data, and which limits govern a wall."""
