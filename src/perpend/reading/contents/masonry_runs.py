"""Masonry is the outline less its openings: one that reaches the top lowers the wall under it, or ends it.

Glossary:
    open at the top: an opening with no masonry above it over its whole width.
    curb: masonry of up to 16 in. under an opening that is open at the top: no wall.
    run: a part of a wall that an opening from foot to top, or a shelf angle, parts from the rest.
"""

from __future__ import annotations

import itertools
import string
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

from perpend.model import Box, EndCondition, Frame, Path, Place, Point, Profile
from perpend.notices import Notices, notes
from perpend.reading.contents.opening_outlines import Hole
from perpend.reading.gather.texts import DrawnText
from perpend.reading.outlines.wall_profile import Outline, grain
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN, format_length
from perpend.wording import begun

_CURB_IN: Final = 16.0
"""Two courses or less under an opening are a curb."""

_LEAST_RUN_IN: Final = 8.0
"""Less masonry than half a unit between two openings is no wall."""


def runs_of_masonry(
    faces: Sequence[Face], holes: Sequence[list[Hole]], shelves: Sequence[Sequence[float]], notices: Notices
) -> tuple[list[Face], list[list[Hole]]]:
    """Part walls where openings or shelf angles part their masonry.

    Args:
        faces: with their tags.
        holes: openings of each, in its own axes.
        shelves: levels of the shelf angles of each.
        notices: takes what was done.

    Returns:
        The runs in place of the walls that have any, and their openings.
    """
    taken = {str(face.tag) for face in faces}
    found: list[Face] = []
    inside: list[list[Hole]] = []
    told: list[str] = []
    for face, mine, levels in zip(faces, holes, shelves, strict=True):
        pieces = [
            piece
            for low, own in _storeys(face, mine, levels, told)
            for piece in _side_by_side(low, own, told)
        ]
        if len(pieces) > 1:
            told.append(_named_apart(face, [piece for piece, _ in pieces], taken))
        for piece, own in pieces:
            found.append(piece)
            inside.append(own)
    notices.add(notes("wall-parted", told))
    return found, inside


def _named_apart(face: Face, pieces: Sequence[Face], taken: set[str]) -> str:
    """Give every run of a wall a tag of its own, and say so."""
    base = str(face.tag)
    free = (f"{base}-{letters}" for letters in _letters())
    for piece in pieces:
        piece.part_of = base
        piece.tag = next(name for name in free if name not in taken)
        taken.add(piece.tag)
    tags = ", ".join(str(piece.tag) for piece in pieces)
    return f"{begun(face.named())} is parted into {len(pieces)} runs of masonry: {tags}."


def _letters() -> Iterator[str]:
    yield from string.ascii_uppercase
    yield from (a + b for a in string.ascii_uppercase for b in string.ascii_uppercase)


# --- openings that reach the top ---------------------------------------------------------------------


def _side_by_side(face: Face, holes: list[Hole], told: list[str]) -> Iterator[tuple[Face, list[Hole]]]:
    """Yield the runs of a wall from left to right, the openings that are open at the top cut out of them."""
    outline = face.outline
    least = min(y for _, y in outline.top.points) - SAME_IN
    open_top = [h for h in holes if h.box.y1 >= least and not h.arched and _reaches_top(h, outline)]
    if not open_top:
        yield face, holes
        return
    gone = {id(h) for h in open_top}
    kept = [h for h in holes if id(h) not in gone]
    through = sorted((h for h in open_top if _is_through(h, outline)), key=lambda h: h.box.x0)
    low = [h for h in open_top if not _is_through(h, outline)]
    told += [
        f"{begun(h.named())} goes from foot to top of {face.named()}: the masonry ends at its jambs."
        for h in through
    ]
    told += [
        f"{begun(h.named())} is open at the top of {face.named()}: the wall under it is "
        f"{format_length(h.box.y0 - _floor(h.box, outline))} high and judged as that."
        for h in low
    ]
    top = _notched(outline.top, [h.box for h in low])
    edges = [0.0, *(x for h in through for x in (h.box.x0, h.box.x1)), outline.length_in]
    for number, (x0, x1) in enumerate(zip(edges[::2], edges[1::2], strict=True)):
        if x1 - x0 < _LEAST_RUN_IN - SAME_IN:
            continue
        own = [h for h in kept if x0 - SAME_IN <= h.box.x0 and h.box.x1 <= x1 + SAME_IN]
        piece = _cut(face, x0, x1, top, outline.bottom)
        if number:
            piece.left_end = EndCondition.FREE
        if x1 < outline.length_in:
            piece.right_end = EndCondition.FREE
        yield piece, [_shifted(h, piece.outline.frame, outline.frame) for h in own]


def _floor(box: Box, outline: Outline) -> float:
    return max(y for _, y in outline.bottom.between(box.x0, box.x1))


def _reaches_top(hole: Hole, outline: Outline) -> bool:
    return hole.box.y1 >= max(y for _, y in outline.top.between(hole.box.x0, hole.box.x1)) - SAME_IN


def _is_through(hole: Hole, outline: Outline) -> bool:
    return hole.box.y0 - _floor(hole.box, outline) <= _CURB_IN + SAME_IN


def _notched(top: Profile, boxes: Sequence[Box]) -> Profile:
    """Lower an upper edge to the sills of the openings that are open at the top."""
    path = top.points
    for box in boxes:
        at = Profile(path)
        left, right = at.at(box.x0)[0], at.at(box.x1)[1]
        before = [p for p in path if p[0] < box.x0]
        after = [p for p in path if p[0] > box.x1]
        first = [(box.x0, left)] if box.x0 > path[0][0] else []
        last = [(box.x1, right)] if box.x1 < path[-1][0] else []
        path = (*before, *first, (box.x0, box.y0), (box.x1, box.y0), *last, *after)
    return Profile(tuple(path))


# --- shelf angles ------------------------------------------------------------------------------------


def _storeys(
    face: Face, holes: list[Hole], levels: Sequence[float], told: list[str]
) -> Iterator[tuple[Face, list[Hole]]]:
    """Yield the walls that shelf angles stack in one outline, lowest first."""
    outline = face.outline
    cuts = [y for y in levels if _LEAST_RUN_IN < y < outline.height_in - _LEAST_RUN_IN]
    if not cuts:
        yield face, holes
        return
    told.append(
        f"{begun(face.named())} has {len(cuts)} shelf angle(s): what is above and below is a wall of its own."
    )
    for number, (low, high) in enumerate(itertools.pairwise([None, *cuts, None])):
        bottom = outline.bottom if low is None else Profile.level(low, 0.0, outline.length_in)
        top = outline.top if high is None else Profile.level(high, 0.0, outline.length_in)
        piece = _cut(face, 0.0, outline.length_in, top, bottom, with_places=number == 0)
        piece.base_in, piece.whole_height_in = low or 0.0, outline.height_in
        least, most = -1e9 if low is None else low, 1e9 if high is None else high
        own = [clipped for h in holes if (clipped := _between(h, least, most)) is not None]
        yield piece, [_shifted(h, piece.outline.frame, outline.frame) for h in own]


def _between(hole: Hole, low: float, high: float) -> Hole | None:
    """Return what of an opening is between two levels, or None."""
    box = hole.box
    y0, y1 = max(box.y0, low), min(box.y1, high)
    if y1 - y0 <= SAME_IN:
        return None
    cut = replace(box, y0=y0, y1=y1)
    return replace(hole, box=cut, outline=tuple((x, min(max(y, y0), y1)) for x, y in hole.outline))


# --- cutting -----------------------------------------------------------------------------------------


def _cut(
    face: Face, x0: float, x1: float, top: Profile, bottom: Profile, *, with_places: bool = True
) -> Face:
    """Return a part of a wall as a face of its own."""
    outline = face.outline
    upper, lower = top.between(x0, x1), bottom.between(x0, x1)
    low = min(y for _, y in lower)

    def moved(path: Path) -> Path:
        return tuple(grain((x - x0, y - low)) for x, y in path)

    crown, foot = _tidy(moved(upper)), _tidy(moved(lower))
    points = (*foot, *reversed(crown))
    origin = outline.frame.to_drawing((x0, low))
    frame = Frame(origin, outline.frame.angle_rad, outline.frame.inches_per_unit)
    ring = replace(outline.ring, points=tuple(frame.to_drawing(p) for p in points), holes=())
    cut = replace(
        outline,
        ring=ring,
        frame=frame,
        points=points,
        top=Profile(crown),
        bottom=Profile(foot),
        length_in=grain((x1 - x0, 0.0))[0],
        notches=(),
        fronts=tuple(Profile(moved(p.points)) for p in outline.fronts),
        backs=tuple(Profile(moved(p.points)) for p in outline.backs),
    )
    inside = [t for t in face.texts if _holds(t, frame, cut.length_in, max(y for _, y in crown))]
    at_left, at_right = x0 <= SAME_IN, x1 >= outline.length_in - SAME_IN
    return Face(
        cut,
        inside,
        face.tag,
        face.mark,
        face.left_end if at_left else None,
        face.right_end if at_right else None,
        [p for place in face.places if with_places and (p := _place(place, x0, x1, low)) is not None],
        face.part_of,
        face.base_in,
        face.whole_height_in,
    )


def _tidy(path: Path) -> Path:
    """Drop repeated corners."""
    return tuple(point for point, _ in groupby(path))


def _holds(text: DrawnText, frame: Frame, length_in: float, height_in: float) -> bool:
    x, y = frame.to_wall(text.at)
    return -SAME_IN <= x <= length_in + SAME_IN and -SAME_IN <= y <= height_in + SAME_IN


def _place(place: Place, x0: float, x1: float, low: float) -> Place | None:
    if not x0 - SAME_IN <= place.x_in <= x1 + SAME_IN:
        return None
    levels = None if place.levels_in is None else (place.levels_in[0] - low, place.levels_in[1] - low)
    return replace(place, x_in=grain((place.x_in - x0, 0.0))[0], levels_in=levels)


def _shifted(hole: Hole, new: Frame, old: Frame) -> Hole:
    """Carry an opening from the axes of a wall into those of a run of it."""

    def moved(point: Point) -> Point:
        return grain(new.to_wall(old.to_drawing(point)))

    (x0, y0), (x1, y1) = moved((hole.box.x0, hole.box.y0)), moved((hole.box.x1, hole.box.y1))
    return replace(hole, box=Box(x0, y0, x1, y1), outline=tuple(moved(p) for p in hole.outline))
