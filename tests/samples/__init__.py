"""The sample drawings: their scenario, the script that draws them, and their tests."""
