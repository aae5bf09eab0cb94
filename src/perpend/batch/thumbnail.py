"""A drawing at a glance: its walls, openings and joints as a small inline SVG."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from perpend.report.document import WallEntry

WIDTH: Final = 240.0
HEIGHT: Final = 80.0
"""Size in CSS pixels."""

Spot = tuple[float, float]


def thumbnail(walls: Sequence[WallEntry]) -> str:
    """Draw the walls side by side as they stand in the drawing, scaled to fit.

    Args:
        walls: walls of one drawing; empty gives an empty picture.

    Returns:
        An ``<svg>`` element that takes its colours from the page.
    """
    head = f'<svg class="thumb" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" aria-label="{_label(walls)}">'
    return head + "".join(_pieces(walls)) + "</svg>"


def _label(walls: Sequence[WallEntry]) -> str:
    joints = sum(len(wall.joints) for wall in walls)
    return f"{_counted(len(walls), 'wall')}, {_counted(joints, 'joint')}"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _pieces(walls: Sequence[WallEntry]) -> Iterator[str]:
    lines = [line for wall in walls for line in _lines(wall)]
    if not lines:
        return
    xs, ys = zip(*(spot for _, path in lines for spot in path), strict=True)
    left, low = min(xs), min(ys)
    scale = min((WIDTH - 4) / ((max(xs) - left) or 1.0), (HEIGHT - 4) / ((max(ys) - low) or 1.0))
    for kind, path in lines:
        spots = (f"{2 + (x - left) * scale:.1f} {HEIGHT - 2 - (y - low) * scale:.1f}" for x, y in path)
        yield f'<path class="{kind}" d="M{"L".join(spots)}{"" if kind == "j" else "Z"}"/>'


def _lines(wall: WallEntry) -> Iterator[tuple[str, list[Spot]]]:
    """Yield the wall's outline, openings and joints (w, o, j) in the drawing's axes."""
    cos, sin = math.cos(math.radians(wall.angle_deg)), math.sin(math.radians(wall.angle_deg))

    def place(path: Sequence[Spot]) -> list[Spot]:
        return [(wall.x0_in + x * cos - y * sin, wall.y0_in + x * sin + y * cos) for x, y in path]

    yield "w", place([*wall.bottom, *reversed(wall.top)])
    for o in wall.openings:
        corners = [(o.x0_in, o.y0_in), (o.x1_in, o.y0_in), (o.x1_in, o.y1_in), (o.x0_in, o.y1_in)]
        yield "o", place(corners)
    for joint in wall.joints:
        yield "j", place(joint.path)
