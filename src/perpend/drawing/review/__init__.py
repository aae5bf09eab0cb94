"""What a check draws on an elevation: marks, proposed joints, lists."""
