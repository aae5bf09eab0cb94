"""How large the strokes of a drawing are, which tells of its unit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import Box

_SMALL_WALL: Final = 0.25
"""Of the area of the largest outline: what is smaller does not count where heights tell of the unit."""


def extents(strokes: Sequence[Stroke], *, tallest: bool) -> list[float]:
    """Return heights (or lesser sides) of closed strokes, or of all of them together.

    What is small beside the largest wall (a base course, a coping, a sill) tells nothing of heights.
    """
    closed = [Box.around(s.points) for s in strokes if s.closed]
    if not closed and strokes:
        closed = [Box.around([p for s in strokes for p in s.points])] if tallest else []
    if tallest:
        least = _SMALL_WALL * max((b.width * b.height for b in closed), default=0.0)
        closed = [b for b in closed if b.width * b.height >= least]
    sides = [b.height if tallest else min(b.width, b.height) for b in closed]
    return [s for s in sides if s > 0 and math.isfinite(s)]


def greatest_side(strokes: Sequence[Stroke]) -> float:
    """Return the greater side of the box around strokes; 0 without any."""
    box = Box.around(p for s in strokes for p in s.points) if strokes else Box(0.0, 0.0, 0.0, 0.0)
    return max(box.width, box.height)
