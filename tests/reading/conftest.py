"""Fixtures of the reading tests."""

from __future__ import annotations

import pytest

from perpend.dxf import load


@pytest.fixture
def small_ones_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave plain records out of small drawings as of large ones."""
    monkeypatch.setattr(load, "SMALL_BYTES", 0)
