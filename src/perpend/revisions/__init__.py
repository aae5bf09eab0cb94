"""Two issues of a drawing compared: which walls, openings, joints and limits are no longer what they were."""
