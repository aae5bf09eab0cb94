"""What an annotated elevation shows: joints, tags, callouts, dimensions, schedule, notes."""
