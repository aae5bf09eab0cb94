"""Shapes that point at a place: clouds, brackets, and the marks that carry a number.

Every shape differs from the others without color: what a rule requires has a hexagon, advice a circle;
what somebody waived is drawn in dashes.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from perpend.model import Box, Path, Point

_SCALLOP_HEIGHTS = 0.9
_BULGE = 0.32
_PIECES = 4
_CIRCLE_PIECES = 24
_CORNER = 0.32
"""How far a dash reaches from a corner along a side."""
_TURNED_IN = 0.9


def cloud(box: Box, h: float) -> list[Path]:
    """Return the scallops of a cloud around a box, one line each, counter-clockwise.

    Args:
        box: what the cloud is drawn around; the scallops bulge out of it.
        h: letter height.
    """
    corners = box.corners
    scallops: list[Path] = []
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        count = max(3, round(math.dist(a, b) / (_SCALLOP_HEIGHTS * h)))
        stops = [_between(a, b, i / count) for i in range(count + 1)]
        scallops += [_scallop(p, q) for p, q in itertools.pairwise(stops)]
    return scallops


def bulge_of(box: Box, h: float) -> float:
    """Return how far the scallops of a cloud reach out of its box at most."""
    sides = (box.width, box.height)
    return _BULGE * max(side / max(3, round(side / (_SCALLOP_HEIGHTS * h))) for side in sides)


def _between(a: Point, b: Point, t: float) -> Point:
    return (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)


def _scallop(a: Point, b: Point) -> Path:
    """Return a bow from a to b that bulges to the right, which is outward."""
    (dx, dy) = (b[0] - a[0], b[1] - a[1])
    points = []
    for i in range(_PIECES + 1):
        t = i / _PIECES
        x, y = _between(a, b, t)
        rise = 4 * _BULGE * t * (1 - t)
        points.append((x + dy * rise, y - dx * rise))
    return tuple(points)


def joined(pieces: Sequence[Path]) -> Path:
    """Return lines that follow each other as one closed line, without its last point."""
    return tuple(point for piece in pieces for point in piece[:-1])


def bracket(x0: float, x1: float, y: float, h: float) -> Path:
    """Return a level bracket between two stations, its ends turned down."""
    return ((x0, y - _TURNED_IN * h), (x0, y), (x1, y), (x1, y - _TURNED_IN * h))


def hexagon(center: Point, radius: float) -> Path:
    """Return the corners of a regular hexagon that rests on a side."""
    return _regular(center, radius, 6)


def circle(center: Point, radius: float) -> Path:
    """Return the corners of a circle drawn from straight pieces."""
    return _regular(center, radius, _CIRCLE_PIECES)


def _regular(center: Point, radius: float, corners: int) -> Path:
    angles = [2 * math.pi * i / corners for i in range(corners)]
    return tuple((center[0] + radius * math.cos(a), center[1] + radius * math.sin(a)) for a in angles)


def dashes(ring: Path) -> list[Path]:
    """Return a closed line as dashes that keep its shape: its corners, or two of three short sides."""
    before, after = (ring[-1], *ring[:-1]), (*ring[1:], ring[0])
    if len(ring) > 2 * _PIECES:
        return [(before[i], ring[i], after[i]) for i in range(1, len(ring), 3)]
    return [
        (_between(corner, a, _CORNER), corner, _between(corner, b, _CORNER))
        for a, corner, b in zip(before, ring, after, strict=True)
    ]


def merged(boxes: Sequence[Box], gap_in: float) -> list[tuple[Box, tuple[int, ...]]]:
    """Put boxes together that would touch when each grows by a gap.

    Returns:
        The boxes that are left, each with the indices of those it was put together from.
    """
    waiting: list[tuple[Box, tuple[int, ...]]] = [(box, (index,)) for index, box in enumerate(boxes)]
    done: list[tuple[Box, tuple[int, ...]]] = []
    while waiting:
        box, members = waiting.pop(0)
        near = next((w for w in (*waiting, *done) if _touch(w[0], box, gap_in)), None)
        if near is None:
            done.append((box, members))
            continue
        (waiting if near in waiting else done).remove(near)
        around = Box.around(
            ((box.x0, box.y0), (box.x1, box.y1), (near[0].x0, near[0].y0), (near[0].x1, near[0].y1))
        )
        waiting.insert(0, (around, tuple(sorted((*members, *near[1])))))
    return sorted(done, key=lambda pair: pair[1])


def _touch(a: Box, b: Box, gap_in: float) -> bool:
    return a.x0 - gap_in < b.x1 and b.x0 - gap_in < a.x1 and a.y0 - gap_in < b.y1 and b.y0 - gap_in < a.y1
