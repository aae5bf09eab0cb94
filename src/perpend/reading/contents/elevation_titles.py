"""The title below an elevation, from which walls without a mark take theirs: ``NORTH ELEVATION`` makes N1.

Glossary:
    title: a text that says elevation, in one of five languages, and which side it is of.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.texts import DrawnText, is_mark, is_sheet_number, side_of
from perpend.reading.reading_options import NamedWall
from perpend.reading.walls.wall_faces import Face

REACH: Final = 0.75
"""Of its height: a title stands at most this far below the foot of its elevation, or `LEAST_REACH_IN`."""

LEAST_REACH_IN: Final = 144.0


def is_unmarked(face: Face) -> bool:
    """Say whether a wall has no mark, or one that may be a room's name or the number of a sheet."""
    mark = face.mark
    sure = mark is not None and (mark.marked or (is_mark(mark.mark) and not is_sheet_number(mark.mark)))
    return not face.by_settings and (face.tag is None or not sure)


def name_by_titles(faces: Sequence[Face], titles: Iterable[DrawnText], notices: Notices) -> None:
    """Give walls without a mark the letter of their elevation's title and a number.

    Args:
        faces: the walls in reading order; the ``tag`` of those without one is set.
        titles: texts below the walls that name a side.
        notices: takes which wall got its name so.
    """
    titles = list(titles)
    taken = {face.tag for face in faces if not is_unmarked(face)}
    counts: Counter[str] = Counter()
    for face in faces:
        title = _title_below(face, titles) if is_unmarked(face) else None
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


def _title_below(face: Face, titles: Iterable[DrawnText]) -> DrawnText | None:
    outline = face.outline
    foot = min(y for _, y in outline.bottom.points)
    reach = max(LEAST_REACH_IN, REACH * outline.height_in)
    near = []
    for title in titles:
        x, y = outline.frame.to_wall(title.at)
        aside = max(0.0, -x, x - outline.length_in)
        if foot - reach <= y < foot and aside <= outline.length_in / 2:
            near.append((aside + foot - y, title.handle, title))
    return min(near, key=lambda found: found[:2])[2] if near else None
