"""Floor plans on the sheet of an elevation: what its title calls a plan, or what looks like one, is no wall.

Glossary:
    plan's title: ``FLOOR PLAN``, ``GRUNDRISS``, ``PLANTA``; nearer above or below than an elevation's.
    wall thickness: how far the outlines inside another stay from it, the same on all four sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.errors import NoElevationError
from perpend.model import Box
from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.elevation_titles import is_unmarked, title_beside
from perpend.reading.gather.texts import DrawnText, is_plan_title, side_of
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.walls.nested_outlines import Sorted
from perpend.reading.walls.opening_shape_test import LEAST_SIDE_IN
from perpend.reading.walls.wall_faces import Face
from perpend.units import ON_MODULE_IN, SAME_IN

_THICKNESS_IN: Final = (3.5, 24.0)
_MOST: Final = 200
"""More outlines than these inside others are a pattern."""


def leave_plans_out(
    faces: Sequence[Face],
    titles: Sequence[DrawnText],
    openings: Sequence[Ring],
    nested: Sorted,
    file: str,
    notices: Notices,
) -> list[Face]:
    """Leave floor plans out: a title or rooms say so, and no opening is as large as those of an elevation.

    Args:
        faces: the walls, and what was taken for walls; those that the settings name stay.
        titles: texts near walls without a mark.
        openings: outlines of openings; in a plan they are as deep as the wall.
        nested: what is inside outlines: rooms, in a plan.
        file: the drawing's path, for the sentence.
        notices: takes what was left out; what rooms or a title above give away is a doubt.

    Raises:
        NoElevationError: nothing is left.
    """
    drawn = [ring for ring in openings if ring.handle not in nested.guessed]
    inside = [*(left.ring for left in nested.left_out), *(r for r in openings if r.handle in nested.guessed)]
    inside += [ring for ring in nested.walls if ring.handle in nested.unmarked | nested.doubtful]
    rooms = [(ring.handle, Box(*ring.box)) for ring in inside if len(inside) <= _MOST]
    sides = [text for text in titles if side_of(text.text) or is_plan_title(text.text)]
    found: dict[str, DrawnText | None] = {}
    for face in (face for face in faces if is_unmarked(face)):
        title = title_beside(face, sides)
        is_plan = _has_rooms(face, rooms) if title is None else is_plan_title(title.text)
        if is_plan and not any(_is_large_in(ring, face) for ring in drawn):
            found[face.outline.ring.handle] = title
    plans = [face for face in faces if face.outline.ring.handle in found]
    left = [face for face in faces if not any(face is plan or _is_in(face, plan) for plan in plans)]
    for plan in plans:
        title = found[plan.outline.ring.handle]
        sure = title is not None and title_beside(plan, [title], above=False) is not None
        _note(plan.outline.ring, title, "" if left else file, notices, sure=sure)
    return left


def _note(ring: Ring, title: DrawnText | None, file: str, notices: Notices, *, sure: bool) -> None:
    """Say that a plan was left out; with a file, that nothing is left in it."""
    why = f"its title says ({title.text})" if title else "the rooms in it say"
    words = f"{ring.kind} {ring.handle} on layer {ring.layer} is a floor plan, as {why}, and was left out"
    cure = f'if it is a wall, [[walls]] handle = "{ring.handle}" with a tag reads it as one'
    if file:
        raise NoElevationError(f"{file}: no wall found: {words}; {cure}.")
    tell = notices.note if sure else notices.doubt
    tell("plan-left-out", f"{words}; {cure}.", NoticePlace(ring.handle, layer=ring.layer))


def _has_rooms(face: Face, rooms: Sequence[tuple[str, Box]]) -> bool:
    """True where outlines inside another keep the thickness of a wall from all its sides."""
    ring = face.outline.ring
    around = Box(*ring.box)
    inside = [box for handle, box in rooms if handle != ring.handle and around.contains(box)]
    if not inside:
        return False
    inner = Box.around(corner for box in inside for corner in box.corners)
    offs = (inner.x0 - around.x0, around.x1 - inner.x1, inner.y0 - around.y0, around.y1 - inner.y1)
    least, most = (off * face.outline.frame.inches_per_unit for off in (min(offs), max(offs)))
    return least >= _THICKNESS_IN[0] and most <= _THICKNESS_IN[1] and most - least <= ON_MODULE_IN


def _is_in(face: Face, plan: Face) -> bool:
    """True for a room that was taken for a wall in front of its plan."""
    ring, around = face.outline.ring, plan.outline.ring
    return ring.area < around.area and point_in_ring(Box(*ring.box).center, around.points)


def _is_large_in(ring: Ring, face: Face) -> bool:
    box = Box.around(map(face.outline.frame.to_wall, ring.points))
    inside = point_in_ring(Box(*ring.box).center, face.outline.ring.points)
    return inside and not ring.curved and min(box.width, box.height) >= LEAST_SIDE_IN - SAME_IN
