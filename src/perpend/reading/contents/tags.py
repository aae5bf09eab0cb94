"""Which text is the mark of which wall or opening.

A text inside an opening is the opening's. One just above or below an opening that has no mark inside
is that opening's too, if the wall has marks to spare or the text reads like a door's (``D1``).
"""

from __future__ import annotations

import bisect
from collections.abc import Iterable, Sequence
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.model import Box, Frame, Path, Point
from perpend.notices import Notices
from perpend.reading.contents.opening_outlines import Hole
from perpend.reading.gather.entities import BlockReference
from perpend.reading.gather.texts import DrawnText, is_door_mark, is_mark, mark_among
from perpend.reading.outlines.close_outlines import Closed
from perpend.reading.walls.wall_faces import Face

_BESIDE_IN: Final = 24.0
"""A mark stands at most this far above the head or below the sill of its opening."""


class OpeningAreas:
    """Where openings are on the sheet, in drawing axes, before it is known which wall they are in."""

    def __init__(
        self, outlines: Closed, blocks: Iterable[BlockReference], lookalikes: Iterable[Path] = ()
    ) -> None:
        """Take closed outlines, those open at a foot, the boxes of blocks, and what looks like openings."""
        areas = [*(ring.points for ring in outlines.rings), *lookalikes]
        areas += [c.points for c in outlines.chains if len(c.points) > 3 and not c.strokes[0].instance]
        for block in blocks:
            areas.append(Box.around(p for stroke in block.strokes for p in stroke.points).corners)
        self._areas = sorted(((Box.around(a), a) for a in areas), key=lambda pair: pair[0].x0)
        self._starts = [box.x0 for box, _ in self._areas]
        self._widest = max((box.width for box, _ in self._areas), default=0.0)

    def holds(self, point: Point) -> bool:
        """Say whether a point is in one of them."""
        return any(
            box.holds(point) and point_in_ring(point, area) for box, area in self._from(point[0], point[0])
        )

    def within(self, face: Face) -> list[Path]:
        """Return those whose middle is in a wall's outline."""
        ring = face.outline.ring
        x0, _, x1, _ = ring.box
        return [area for box, area in self._from(x0, x1) if point_in_ring(box.center, ring.points)]

    def _from(self, x0: float, x1: float) -> Sequence[tuple[Box, Path]]:
        low = bisect.bisect_left(self._starts, x0 - self._widest)
        return self._areas[low : bisect.bisect_right(self._starts, x1)]


def tag_faces(faces: Iterable[Face], areas: OpeningAreas, notices: Notices) -> None:
    """Choose each face's mark among the texts that are no opening's; its ``tag`` and ``mark`` are set.

    A wall's only mark stays the wall's though it stands just above or below an opening without one, unless
    it reads like a door's.

    Args:
        faces: the walls.
        areas: where openings are.
        notices: takes where a wall got its name from a text that may be an opening's.
    """
    for face in faces:
        frame = face.outline.frame
        inside = {id(t) for t in face.texts if areas.holds(t.at)}
        free = [t for t in face.texts if id(t) not in inside]
        marks = [t for t in free if is_mark(t.mark)]
        boxes = [Box.around(frame.to_wall(p) for p in area) for area in areas.within(face)] if marks else []
        beside = _beside_some(marks, _without_mark(boxes, face.texts, frame), frame)
        taken = beside if len(marks) > 1 else {id(t) for t in marks if is_door_mark(t.mark)} & beside
        face.mark = mark_among([t for t in free if id(t) not in taken], frame, numbers=False)
        face.tag = face.mark.mark if face.mark else None
        if face.mark is not None and id(face.mark) in beside:
            notices.note(
                "mark-beside-opening",
                f"The text {face.mark.mark} ({face.mark.handle}) is beside an opening without a mark and "
                "was read as the wall's own: if it is the opening's, move it into the opening.",
            )


def _without_mark(boxes: Sequence[Box], texts: Sequence[DrawnText], frame: Frame) -> list[Box]:
    marks = sorted(frame.to_wall(t.at) for t in texts if is_mark(t.mark))
    stations = [x for x, _ in marks]
    return [
        box
        for box in boxes
        if not any(
            box.holds(at)
            for at in marks[bisect.bisect_left(stations, box.x0) : bisect.bisect_right(stations, box.x1)]
        )
    ]


def _beside_some(texts: Sequence[DrawnText], boxes: Sequence[Box], frame: Frame) -> set[int]:
    return {id(t) for t in texts if any(_distance(frame.to_wall(t.at), box) is not None for box in boxes)}


def _distance(at: Point, box: Box) -> float | None:
    """Return how far a text stands above or below an opening; None when it is not beside it."""
    x, y = at
    off = y - box.y1 if y > box.y1 else box.y0 - y
    return off if box.x0 <= x <= box.x1 and 0 < off <= _BESIDE_IN else None


def marks_of_holes(face: Face, holes: Sequence[Hole]) -> list[tuple[str | None, list[DrawnText]]]:
    """Return each opening's mark, or None, and the texts that stand in it."""
    frame = face.outline.frame
    spots = sorted(((frame.to_wall(t.at), t) for t in face.texts), key=lambda s: s[0])
    stations = [x for (x, _), _ in spots]
    used = {id(face.mark)}
    found: list[tuple[str | None, list[DrawnText]]] = []
    near: list[list[tuple[Point, DrawnText]]] = []
    for hole in holes:
        low, high = bisect.bisect_left(stations, hole.box.x0), bisect.bisect_right(stations, hole.box.x1)
        near.append(spots[low:high])
        inside = [t for at, t in near[-1] if hole.box.holds(at)]
        used |= {id(t) for t in inside}
        mark = mark_among(inside, frame)
        found.append((mark.mark if mark else None, inside))
    for number, hole in enumerate(holes):
        if found[number][0] is None:
            beside = [
                (distance, t)
                for at, t in near[number]
                if id(t) not in used and is_mark(t.mark) and (distance := _distance(at, hole.box)) is not None
            ]
            if beside:
                text = min(beside, key=lambda pair: pair[0])[1]
                used.add(id(text))
                found[number] = (text.mark, found[number][1])
    return found
