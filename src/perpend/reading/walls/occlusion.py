"""Lower walls in front of others: what stands in their faces is theirs, what is behind them is hidden.

See docs/decisions/0011-a-wall-in-front-hides-what-is-behind-it.md.

Glossary:
    front: the smaller of two walls that overlap on the sheet; it stands on the other one's foot and is
        lower all along.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from perpend.model import Box, Point, Profile, lowest_height
from perpend.reading.outlines.wall_profile import Outline, grain, runs_along
from perpend.reading.walls.opening_shape_test import hangs
from perpend.reading.walls.wall_faces import Face, overlapping
from perpend.units import ON_MODULE_IN

_LEAST_SEEN_IN: Final = 8.0
"""A wall that shows less than a course above another one is not seen behind it."""


def set_fronts(faces: Sequence[Face]) -> None:
    """Tell the outlines of walls which walls stand in front of them, and behind them."""
    for front, back in overlapping(faces):
        if _hides(front, back):
            top = _top_in(front.outline, back.outline)
            behind = _top_in(back.outline, front.outline)
            back.outline = replace(back.outline, fronts=(*back.outline.fronts, top))
            front.outline = replace(front.outline, backs=(*front.outline.backs, behind))


def _top_in(outline: Outline, other: Outline) -> Profile:
    """Return the upper edge of a wall in the axes of another one that runs the same way."""
    return Profile(tuple(grain(other.frame.to_wall(outline.frame.to_drawing(p))) for p in outline.top.points))


def _hides(front: Face, back: Face) -> bool:
    wall = back.outline
    if not runs_along(front.outline, wall):
        return False
    box = Box.around(map(wall.frame.to_wall, front.outline.ring.points))
    x0, x1 = max(box.x0, 0.0), min(box.x1, wall.length_in)
    return (
        not hangs(box, back)
        and lowest_height(wall.top, _top_in(front.outline, wall), x0, x1) >= _LEAST_SEEN_IN
    )


def is_of_another(points: Sequence[Point], outline: Outline, gap_in: float) -> bool:
    """Say whether a line belongs to a wall in front of this one, or to one behind it.

    Args:
        points: of the line, the wall's axes.
        outline: the wall.
        gap_in: a line that goes past the edge of a wall by no more lies in it.
    """
    if any(all(top.covers(p, gap_in) for p in points) for top in outline.fronts):
        return True
    x, y = min(points, key=lambda p: p[1])
    on_top = y >= min(outline.top.at(x)) - ON_MODULE_IN
    return on_top and any(all(top.covers(p, gap_in) for p in points) for top in outline.backs)


def goes_behind(foot: Point, outline: Outline, reach_in: float, *, dashed: bool) -> bool:
    """Say whether a line whose foot this is stands on a wall in front, so that the rest of it is hidden.

    Args:
        foot: its lowest point, the wall's axes.
        outline: the wall.
        reach_in: how far from the edge the foot may be.
        dashed: True for a line whose dashes in the face of the wall in front were taken for that wall's.
    """
    x, y = foot
    return any(
        top.covers((x, y - reach_in)) and (dashed or y >= min(top.at(x)) - reach_in) for top in outline.fronts
    )
