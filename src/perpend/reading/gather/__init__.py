"""First step of reading: which layer plays which role, the unit, the entities and texts that matter."""
