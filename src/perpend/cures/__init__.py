"""What would cure the findings of a wall: solved with the designer, confirmed by the judge."""
