"""Lines and curves as straight pieces, flat: four numbers each; a box as its corners, eight numbers."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from typing import Any, Final

Flat = list[float]

ARC_PIECES: Final = 12
_TURN: Final = tuple(
    (math.cos(2 * math.pi * i / ARC_PIECES), math.sin(2 * math.pi * i / ARC_PIECES))
    for i in range(ARC_PIECES + 1)
)


def chain(points: Iterable[Any], closed: bool = False) -> Flat:
    """Return the straight pieces between points, flat."""
    flat: Flat = []
    corners = [(float(p[0]), float(p[1])) for p in points]
    if closed and len(corners) > 2:
        corners.append(corners[0])
    for a, b in itertools.pairwise(corners):
        flat += (*a, *b)
    return flat


def bulged(rows: list[Flat], closed: bool) -> list[Flat]:
    """Return the corners of a polyline with a few points along each arc."""
    ring = [*rows, rows[0]] if closed else rows
    flat = [ring[0][:2]]
    for (xa, ya, *_, bulge), (xb, yb, *_) in itertools.pairwise(ring):
        if bulge:
            nx, ny = (yb - ya) * bulge / 2, -(xb - xa) * bulge / 2
            for t in (0.25, 0.5, 0.75):
                swell = 4 * t * (1 - t)
                flat.append([xa + (xb - xa) * t + nx * swell, ya + (yb - ya) * t + ny * swell])
        flat.append([xb, yb])
    return flat


def circle_at(x: float, y: float, radius: float) -> Flat:
    """Return the straight pieces of a circle."""
    return chain([(x + radius * cos, y + radius * sin) for cos, sin in _TURN])


def arc_at(x: float, y: float, radius: float, start: float, end: float, flip: float = 1.0) -> Flat:
    """Return the straight pieces of an arc, angles in degrees; ``flip`` is -1 for one seen from behind."""
    end += 360.0 if end <= start else 0.0
    angles = [math.radians(start + (end - start) * i / ARC_PIECES) for i in range(ARC_PIECES + 1)]
    return chain([(x + flip * radius * math.cos(a), y + radius * math.sin(a)) for a in angles])


def around(points: Iterable[Any]) -> Flat:
    """Return the corners of the box around points, flat."""
    xs, ys = zip(*((float(p[0]), float(p[1])) for p in points), strict=True)
    x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
    return [x0, y0, x1, y0, x1, y1, x0, y1]
