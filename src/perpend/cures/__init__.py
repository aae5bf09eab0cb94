"""Cures: what to change so that a finding is gone; above designer and judge, confirmed by the judge."""
