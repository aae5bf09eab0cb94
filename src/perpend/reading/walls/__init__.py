"""Third step of reading: which outlines are walls, and how walls lie to each other."""
