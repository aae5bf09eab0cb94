"""Shapes of a review: heavy brackets at what is meant, and square flags that carry a number.

Told apart without color, and unlike the marks that offices use for revisions and keynotes: what a rule
requires has a square with a double frame, advice a square with a single one; what somebody waived is
drawn in dashes.
"""

from __future__ import annotations

from collections.abc import Sequence

from perpend.model import Box, Path, Point
from perpend.model.geometry import part_way

_CORNER = 0.32
"""How far a dash reaches from a corner along a side."""
_TURNED_IN = 0.9
_INNER = 0.8
"""Size of the inner frame to the outer one."""


def square(center: Point, radius: float) -> Path:
    """Return the corners of a level square, by half its side."""
    return Box(center[0], center[1], center[0], center[1]).grown(radius).corners


def frames(center: Point, radius: float, *, double: bool) -> list[Path]:
    """Return the frames of a flag: one square, or two in each other."""
    return [square(center, radius), *([square(center, radius * _INNER)] if double else [])]


def brackets(box: Box, h: float) -> list[Path]:
    """Return the two upright brackets that hold a box between them.

    Args:
        box: what they hold.
        h: letter height.
    """
    foot = min(_TURNED_IN * h, box.width / 3)
    return [
        ((x + turn, box.y1), (x, box.y1), (x, box.y0), (x + turn, box.y0))
        for x, turn in ((box.x0, foot), (box.x1, -foot))
    ]


def bracket(x0: float, x1: float, y: float, h: float) -> Path:
    """Return a level bracket between two stations, its ends turned down."""
    return ((x0, y - _TURNED_IN * h), (x0, y), (x1, y), (x1, y - _TURNED_IN * h))


def dashes(ring: Path) -> list[Path]:
    """Return a closed line as dashes at its corners."""
    before, after = (ring[-1], *ring[:-1]), (*ring[1:], ring[0])
    return [
        (part_way(corner, a, _CORNER), corner, part_way(corner, b, _CORNER))
        for a, corner, b in zip(before, ring, after, strict=True)
    ]


def broken(path: Path) -> list[Path]:
    """Return a bracket in dashes: its turned ends with some of its long side, and a dash between them."""
    start, a, b, end = path
    return [
        (start, a, part_way(a, b, 0.2)),
        (part_way(a, b, 0.4), part_way(a, b, 0.6)),
        (part_way(a, b, 0.8), b, end),
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
