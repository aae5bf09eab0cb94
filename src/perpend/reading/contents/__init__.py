"""Fourth step of reading: openings, joints, supports and other features of each wall."""
