"""Second step of reading: closed outlines from strokes, and the profile of a wall."""
