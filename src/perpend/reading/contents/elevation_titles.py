"""The title below an elevation, from which walls without a mark take theirs: ``NORTH ELEVATION`` makes N1.

What a title calls a floor plan is no wall.

Glossary:
    title: a text that says elevation, in one of five languages, and which side it is of.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.entity_points import Origin, point_in_ring
from perpend.dxf.viewports import nearest_view, paper_layouts, views_of
from perpend.errors import NoElevationError
from perpend.model import Box
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.entities import RawText
from perpend.reading.gather.texts import (
    DrawnText,
    drawn_text,
    is_mark,
    is_plan_title,
    is_sheet_number,
    rough_place,
    side_of,
)
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.reading_options import NamedWall, ReadingOptions
from perpend.reading.walls.opening_shape_test import LEAST_SIDE_IN
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN

if TYPE_CHECKING:
    from ezdxf.document import Drawing

REACH: Final = 0.75
"""Of its height: a title stands at most this far below the foot of its elevation, or `LEAST_REACH_IN`."""

LEAST_REACH_IN: Final = 144.0


def is_unmarked(face: Face) -> bool:
    """Say whether a wall has no mark, or one that may be a room's name or the number of a sheet."""
    mark = face.mark
    sure = mark is not None and (mark.marked or (is_mark(mark.mark) and not is_sheet_number(mark.mark)))
    return not face.by_settings and (face.tag is None or not sure)


def texts_on_paper(doc: Drawing, faces: Sequence[Face], options: ReadingOptions) -> Iterator[DrawnText]:
    """Yield the texts of the sheets that show some walls, each carried to where its viewport looks."""
    middles = [Box(*face.outline.ring.box).center for face in faces]
    for layout in paper_layouts(doc):
        views = [v for v in views_of(layout) if (s := v.shown) and any(map(s.holds, middles))]
        entities: Any = layout.query("TEXT MTEXT INSERT") if views else ()
        for entity in entities:
            for text in entity.attribs if entity.dxftype() == "INSERT" else (entity,):
                origin = Origin(str(text.dxf.handle), layer_of(text))
                at = rough_place(RawText(text, origin))
                if at is not None:
                    carried = replace(origin, carrier=nearest_view(views, at).carrier)
                    if (said := drawn_text(RawText(text, carried), options)) is not None:
                        yield said


def name_by_titles(
    faces: Sequence[Face], titles: Iterable[DrawnText], on_paper: Iterable[DrawnText], notices: Notices
) -> None:
    """Give walls without a mark the letter of their elevation's title and a number.

    Args:
        faces: the walls in reading order; the ``tag`` of those without one is set.
        titles: texts near the walls.
        on_paper: those of sheets whose viewports show the walls, looked at where there is no title near.
        notices: takes which wall got its name so.
    """
    near, paper = _sides(titles), None
    taken = {face.tag for face in faces if not is_unmarked(face)}
    counts: Counter[str] = Counter()
    for face in faces:
        title = _title_below(face, near) if is_unmarked(face) else None
        if title is None and is_unmarked(face):
            paper = _sides(on_paper) if paper is None else paper
            title = _title_below(face, paper, math.inf)
        if title is None:
            continue
        side, face.tag = side_of(title.text), None
        while face.tag is None or face.tag in taken:
            counts[side] += 1
            face.tag = f"{side}{counts[side]}"
        taken.add(face.tag)
        notices.note(
            "tag-from-title",
            f"Wall outline {face.outline.ring.handle} has no mark: it is called "
            f"{face.tag}, after {title.text}.",
            NoticePlace(face.outline.ring.handle, wall=face.tag),
        )


def _sides(texts: Iterable[DrawnText]) -> list[DrawnText]:
    return [text for text in texts if side_of(text.text)]


def leave_plans_out(
    faces: Sequence[Face], titles: Sequence[DrawnText], openings: Sequence[Ring], file: str, notices: Notices
) -> list[Face]:
    """Leave floor plans out: their title says so, and no opening in them is as large as one of an elevation.

    Args:
        faces: the walls, and what was taken for walls.
        titles: texts near walls without a mark.
        openings: outlines of openings; in a plan they are as deep as the wall.
        file: the drawing's path, for the sentence.
        notices: takes what was left out.

    Raises:
        NoElevationError: nothing is left.
    """
    found: dict[str, tuple[Face, DrawnText]] = {}
    sides = [text for text in titles if side_of(text.text) or is_plan_title(text.text)]
    for face in faces if any(is_plan_title(text.text) for text in sides) else ():
        title = _title_below(face, sides) if is_unmarked(face) else None
        if title and is_plan_title(title.text) and not any(_is_large_in(ring, face) for ring in openings):
            found[face.outline.ring.handle] = face, title
    for handle, (face, title) in found.items():
        words = (
            f"{face.outline.ring.kind} {handle} on layer {face.outline.ring.layer} is a floor plan, as its "
            f'title says ({title.text}). If it is a wall, [[walls]] handle = "{handle}" with a tag reads it '
            "as one"
        )
        if len(found) == len(faces):
            raise NoElevationError(f"{file}: no wall found: {words}.")
        notices.note("plan-left-out", f"{words}.", NoticePlace(handle, layer=face.outline.ring.layer))
    return [face for face in faces if face.outline.ring.handle not in found]


def _is_large_in(ring: Ring, face: Face) -> bool:
    box = Box.around(map(face.outline.frame.to_wall, ring.points))
    inside = point_in_ring(Box(*ring.box).center, face.outline.ring.points)
    return inside and not ring.curved and min(box.width, box.height) >= LEAST_SIDE_IN - SAME_IN


def name_by_place(faces: Sequence[Face], named: Iterable[NamedWall], notices: Notices) -> list[Face]:
    """Give walls the tags that the settings give them by place, and leave out what they exclude.

    Returns:
        The walls that are left.
    """
    left = list(faces)
    for entry in named:
        home = min((face for face in left if _is_meant(entry, face)), key=_area, default=None)
        if home is None:
            where = f"handle {entry.handle}" if entry.at is None else f"({entry.at[0]:g}, {entry.at[1]:g})"
            notices.note("no-wall-there", f"The settings name a wall at {where}, where no wall was found.")
        elif entry.exclude:
            left = [face for face in left if face is not home]
            ring = home.outline.ring
            notices.ignore(ring.handle, ring.kind, ring.layer, "the settings exclude it")
        else:
            home.tag, home.mark = entry.tag, None
            home.by_settings = True
    return left


def _is_meant(entry: NamedWall, face: Face) -> bool:
    ring = face.outline.ring
    if entry.handle is not None:
        return entry.handle.upper() in (handle.upper() for handle in (ring.handle, *ring.handles))
    return entry.at is not None and point_in_ring(entry.at, ring.points)


def _area(face: Face) -> float:
    return face.outline.ring.area


def _title_below(face: Face, titles: Iterable[DrawnText], reach: float | None = None) -> DrawnText | None:
    outline = face.outline
    foot = min(y for _, y in outline.bottom.points)
    reach = reach or max(LEAST_REACH_IN, REACH * outline.height_in)
    near = []
    for title in titles:
        x, y = outline.frame.to_wall(title.at)
        aside = max(0.0, -x, x - outline.length_in)
        if foot - reach <= y < foot and aside <= outline.length_in / 2:
            near.append((aside + foot - y, title.handle, title))
    return min(near, key=lambda found: found[:2])[2] if near else None
