"""Arcs, bulges and splines as points.

Curves are cut into chords by angle, not by length, so that one rule serves every drawing unit: where
outlines are read a chord leaves its arc by at most `_SAGITTA` of the radius (`CHORD_RAD`); for what labels
only keep off twelve chords to the circle do (`COARSE_RAD`). The topmost, lowest, leftmost and rightmost
point of every arc is one of its points, so that boxes are exact.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Final

from perpend.model.geometry import Point

_SAGITTA: Final = 5e-5
CHORD_RAD: Final = 2 * math.acos(1 - _SAGITTA)
COARSE_RAD: Final = math.tau / 12
_WILDEST_BULGE: Final = 1e6
"""An arc that leaves its chord by more than this many half chords is damage."""


def with_bulges(
    rows: Iterable[Sequence[float]], closed: bool, chord_rad: float = CHORD_RAD
) -> tuple[list[Point], bool]:
    """Turn (x, y, bulge) rows into points; True when there was a bulge."""
    rows = [tuple(map(float, row)) for row in rows]
    if not any(row[2] for row in rows):
        return [(row[0], row[1]) for row in rows], False
    points: list[Point] = []
    following = rows[1:] + rows[:1] if closed else rows[1:]
    for (x0, y0, bulge), (x1, y1, _) in zip(rows, following, strict=False):
        run = bulge_points((x0, y0), (x1, y1), bulge, chord_rad) if bulge else [(x0, y0), (x1, y1)]
        points += run[:-1]
    if not closed and rows:
        points.append((rows[-1][0], rows[-1][1]))
    return points, True


def bulge_points(start: Point, end: Point, bulge: float, chord_rad: float = CHORD_RAD) -> list[Point]:
    """Return the points of the arc between two polyline vertices, both ends included.

    Args:
        start: first vertex.
        end: second vertex.
        bulge: tangent of a quarter of the arc's angle; positive turns left.
        chord_rad: angle of a chord at most.
    """
    chord = math.dist(start, end)
    if not abs(bulge) < _WILDEST_BULGE:
        return [start, (math.nan, math.nan), end]
    if chord == 0 or abs(bulge) < 1e-9:
        return [start, end]
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    offset = chord * (1 - bulge * bulge) / (4 * bulge)
    center = (
        middle[0] - (end[1] - start[1]) / chord * offset,
        middle[1] + (end[0] - start[0]) / chord * offset,
    )
    sweep = 4 * math.atan(bulge)
    first = math.atan2(start[1] - center[1], start[0] - center[0])
    points = arc_points(center, radius, first, sweep, chord_rad)
    return [start, *points[1:-1], end]


def arc_points(
    center: Point, radius: float, start: float, sweep: float, chord_rad: float = CHORD_RAD
) -> list[Point]:
    """Return points of an arc, its ends and its extreme points among them."""
    if not all(map(math.isfinite, (*center, radius, start, sweep))):
        return [(math.nan, math.nan), (math.nan, math.nan)]
    return [(center[0] + x, center[1] + y) for x, y in arc_offsets(radius, start, sweep, chord_rad)]


def arc_offsets(radius: float, start: float, sweep: float, chord_rad: float = CHORD_RAD) -> list[Point]:
    """Return where the points of an arc are from its center."""
    count = min(2000, max(2, math.ceil(abs(sweep) / chord_rad)))
    angles = {start + sweep * i / count for i in range(count + 1)}
    low, high = sorted((start, start + sweep))
    quarter = math.pi / 2
    angles |= {
        k * quarter
        for k in range(math.ceil(low / quarter), math.floor(high / quarter) + 1)
        if low < k * quarter < high
    }
    ordered = sorted(angles, reverse=sweep < 0)
    return [(radius * math.cos(a), radius * math.sin(a)) for a in ordered]


def spline_points(curve: Any) -> list[Any]:  # noqa: ANN401 - a B-spline of ezdxf
    """Return points of a spline: evenly by parameter, and at its knots, where it may have corners."""
    last = float(curve.max_t)
    count = min(2000, 32 * max(8, curve.count))
    knots = {float(k) for k in curve.knots() if 0 <= k <= last}
    return list(curve.points(sorted({last * i / count for i in range(count + 1)} | knots)))


def swept(start_deg: float, end_deg: float) -> tuple[float, float]:
    """Return where an arc starts and how far it turns to the left, radians: all round for one angle twice."""
    start = math.radians(start_deg) % math.tau
    return start, (math.radians(end_deg) - start) % math.tau or math.tau
