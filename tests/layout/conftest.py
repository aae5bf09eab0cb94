"""Hypothesis as these tests use it: the same examples every time, no clock."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

settings.register_profile(
    "layout",
    derandomize=True,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)
settings.load_profile("layout")
