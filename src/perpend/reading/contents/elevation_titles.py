"""The title below an elevation, from which walls without a mark take theirs: ``NORTH ELEVATION`` makes N1.

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
from perpend.dxf.entity_points import Origin
from perpend.dxf.viewports import nearest_view, paper_layouts, views_of
from perpend.model import Box
from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.title_scales import is_meant
from perpend.reading.gather.entities import RawText
from perpend.reading.gather.texts import (
    DrawnText,
    drawn_text,
    is_mark,
    is_sheet_number,
    rough_place,
    side_of,
)
from perpend.reading.reading_options import NamedWall, ReadingOptions
from perpend.reading.walls.wall_faces import Face

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


def name_by_place(faces: Sequence[Face], named: Iterable[NamedWall], notices: Notices) -> list[Face]:
    """Give walls the tags that the settings give them by place, and leave out what they exclude.

    Returns:
        The walls that are left.
    """
    left = list(faces)
    for entry in named:
        home = min((face for face in left if is_meant(entry, face.outline.ring)), key=_area, default=None)
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


def _area(face: Face) -> float:
    return face.outline.ring.area


def title_beside(face: Face, titles: Sequence[DrawnText], *, above: bool = True) -> DrawnText | None:
    """Return the title nearest below a wall; without one, the nearest above it if that counts."""
    return _title_below(face, titles) or (_title_below(face, titles, above=True) if above else None)


def _title_below(
    face: Face, titles: Iterable[DrawnText], reach: float | None = None, *, above: bool = False
) -> DrawnText | None:
    outline = face.outline
    foot, top = min(y for _, y in outline.bottom.points), max(y for _, y in outline.top.points)
    reach = reach or max(LEAST_REACH_IN, REACH * outline.height_in)
    near = []
    for title in titles:
        x, y = outline.frame.to_wall(title.at)
        aside = max(0.0, -x, x - outline.length_in)
        away = y - top if above else foot - y
        if 0 < away <= reach and aside <= outline.length_in / 2:
            near.append((aside + away, title.handle, title))
    return min(near, key=lambda found: found[:2])[2] if near else None
