"""Lines and curves as straight pieces, flat: four numbers each; a box as its corners, eight numbers."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.curves import COARSE_RAD, arc_offsets, arc_points, swept, with_bulges

Flat = list[float]

ARC_PIECES: Final = 12


def chain(points: Iterable[Any], closed: bool = False) -> Flat:
    """Return the straight pieces between points, flat."""
    flat: Flat = []
    corners = [(float(p[0]), float(p[1])) for p in points]
    if closed and len(corners) > 2:
        corners.append(corners[0])
    for a, b in itertools.pairwise(corners):
        flat += (*a, *b)
    return flat


def bulged(rows: Iterable[Sequence[float]], closed: bool) -> Flat:
    """Return the straight pieces of a polyline, each row x, y, two widths and a bulge."""
    corners, _ = with_bulges([(row[0], row[1], row[4]) for row in rows], closed, COARSE_RAD)
    return chain(corners, closed)


def circle_at(x: float, y: float, radius: float) -> Flat:
    """Return the straight pieces of a circle."""
    return chain(arc_points((x, y), radius, 0.0, math.tau, COARSE_RAD))


def arc_at(x: float, y: float, radius: float, start: float, end: float, flip: float = 1.0) -> Flat:
    """Return the straight pieces of an arc, angles in degrees; ``flip`` is -1 for one seen from behind."""
    points = arc_points((flip * x, y), radius, *swept(start, end), COARSE_RAD)
    return chain([(flip * px, py) for px, py in points])


def arcs_at(centers: npt.NDArray[np.float64], radius: float, start: float, end: float) -> bytes:
    """Return the straight pieces of arcs that differ in their centers alone, as bytes of numbers.

    Args:
        centers: x and y of each, shape (n, 2).
        radius: of each.
        start: angle in degrees.
        end: the same; infinite for circles.
    """
    first, sweep = (0.0, math.tau) if math.isinf(end) else swept(start, end)
    points = centers[:, None] + np.array(arc_offsets(radius, first, sweep, COARSE_RAD))
    return np.concatenate((points[:, :-1], points[:, 1:]), axis=2).tobytes()


def around(points: Iterable[Any]) -> Flat:
    """Return the corners of the box around points, flat."""
    xs, ys = zip(*((float(p[0]), float(p[1])) for p in points), strict=True)
    x0, y0, x1, y1 = min(xs), min(ys), max(xs), max(ys)
    return [x0, y0, x1, y0, x1, y1, x0, y1]
