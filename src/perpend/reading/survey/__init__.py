"""What is drawn on layers without a role, what it probably is, and a draft of settings for it."""
