"""A drawing at a glance: its walls, openings, joints and violations as a small inline SVG.

Glossary:
    spot: a point in the drawing's axes, inches.
    closing up: wide gaps between walls are drawn narrower, so that a sheet of elevations stays legible.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from perpend.wording import counted

if TYPE_CHECKING:
    from perpend.report.results_document import WallEntry

WIDTH: Final = 240.0
HEIGHT: Final = 84.0
"""Greatest size in CSS pixels."""

_MARGIN: Final = 4.0
_MARK: Final = 3.0
"""Half the size of the cross at a violation, CSS pixels."""
_GAP: Final = 0.04
"""Widest gap between walls, as a share of what the walls take up along that axis."""

Spot = tuple[float, float]
Shape = tuple[str, list[Spot]]
"""``w`` wall, ``o`` opening, ``j`` joint, ``v`` violation (one spot), and its spots."""


def thumbnail(walls: Sequence[WallEntry]) -> str:
    """Draw the walls as they stand in the drawing, gaps closed up, scaled to fit; violations are crosses.

    Args:
        walls: walls of one drawing; empty gives an empty picture.

    Returns:
        An ``<svg>`` element that takes its colours from the page.
    """
    shapes = [shape for wall in walls for shape in _shapes(wall)]
    if not shapes:
        return ""
    across = _closing_up([(min(xs), max(xs)) for xs in _outlines(shapes, 0)])
    up = _closing_up([(min(ys), max(ys)) for ys in _outlines(shapes, 1)])
    placed = [(kind, [(across(x), up(y)) for x, y in path]) for kind, path in shapes]
    right, top = (max(spot[axis] for _, path in placed for spot in path) or 1.0 for axis in (0, 1))
    scale = min((WIDTH - 2 * _MARGIN) / right, (HEIGHT - 2 * _MARGIN) / top)
    width, height = right * scale + 2 * _MARGIN, top * scale + 2 * _MARGIN
    drawn = (
        _path(kind, [(_MARGIN + x * scale, height - _MARGIN - y * scale) for x, y in path])
        for kind, path in placed
    )
    size = f'width="{width:.0f}" height="{height:.0f}" viewBox="0 0 {width:.1f} {height:.1f}"'
    return f'<svg class="thumb" {size} role="img" aria-label="{_label(walls)}">{"".join(drawn)}</svg>'


def _label(walls: Sequence[WallEntry]) -> str:
    joints = sum(len(wall.joints) for wall in walls)
    marked = sum(len(_violations(wall)) for wall in walls)
    said = f"{counted(len(walls), 'wall')}, {counted(joints, 'joint')}"
    return f"{said}, {counted(marked, 'violation')}" if marked else said


def _outlines(shapes: Iterable[Shape], axis: int) -> Iterator[list[float]]:
    return ([spot[axis] for spot in path] for kind, path in shapes if kind == "w")


def _closing_up(spans: Sequence[tuple[float, float]]) -> Callable[[float], float]:
    """Return what moves a coordinate so that the first span begins at 0 and no gap is wide.

    Args:
        spans: where the walls lie along one axis.
    """
    joined: list[list[float]] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], high)
        else:
            joined.append([low, high])
    widest = _GAP * sum(high - low for low, high in joined)
    shifts = [joined[0][0]]
    for (_, end), (begin, _) in itertools.pairwise(joined):
        shifts.append(shifts[-1] + max(0.0, begin - end - widest))
    begins = [low for low, _ in joined]
    return lambda place: place - shifts[max(0, bisect_right(begins, place) - 1)]


def _path(kind: str, path: Sequence[Spot]) -> str:
    if kind == "v":
        ((x, y),) = path
        a, b, c, d = x - _MARK, y - _MARK, x + _MARK, y + _MARK
        return f'<path class="v" d="M{a:.1f} {b:.1f}L{c:.1f} {d:.1f}M{a:.1f} {d:.1f}L{c:.1f} {b:.1f}"/>'
    line = "L".join(f"{x:.1f} {y:.1f}" for x, y in path)
    return f'<path class="{kind}" d="M{line}{"" if kind == "j" else "Z"}"/>'


def _shapes(wall: WallEntry) -> Iterator[Shape]:
    """Yield the wall's outline, openings, joints and violations in the drawing's axes."""
    cos, sin = math.cos(math.radians(wall.angle_deg)), math.sin(math.radians(wall.angle_deg))

    def place(path: Sequence[Spot]) -> list[Spot]:
        return [(wall.x0_in + x * cos - y * sin, wall.y0_in + x * sin + y * cos) for x, y in path]

    yield "w", place([*wall.bottom, *reversed(wall.top)])
    for o in wall.openings:
        corners = [(o.x0_in, o.y0_in), (o.x1_in, o.y0_in), (o.x1_in, o.y1_in), (o.x0_in, o.y1_in)]
        yield "o", place(corners)
    for joint in wall.joints:
        yield "j", place(joint.path)
    for spot in _violations(wall):
        yield "v", place([spot])


def _violations(wall: WallEntry) -> list[Spot]:
    """Return the middle of the places of each finding that a rule requires to be mended."""
    standing = [f for f in wall.findings if f.severity == "required" and f.waived is None and f.at]
    return [(sum(x for x, _ in f.at) / len(f.at), sum(y for _, y in f.at) / len(f.at)) for f in standing]
