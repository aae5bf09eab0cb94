"""What people decided about a drawing: waivers."""
