"""Walls made of the faces that were found, in the order in which a sheet is read."""

from __future__ import annotations

from collections.abc import Sequence

from perpend.model import EndCondition, Opening, Wall
from perpend.reading.gather.texts import corner_mark, end_named, reading_order
from perpend.reading.walls.wall_faces import Face


def wall_of(face: Face, openings: tuple[Opening, ...]) -> Wall:
    """Make a wall of a face and what is in it."""
    outline = face.outline
    left, right = _named_ends(face)
    marks = _corner_marks(face)
    return Wall(
        tag=str(face.tag),
        handle=outline.ring.handle,
        length_in=outline.length_in,
        top=outline.top,
        bottom=outline.bottom,
        frame=outline.frame,
        openings=openings,
        left_end=left if marks[0] else face.left_end or left,
        right_end=right if marks[1] else face.right_end or right,
        texts=tuple(t.text for t in sorted(face.texts, key=lambda t: reading_order(t, outline.frame))),
        layer=outline.ring.layer,
        fronts=outline.fronts,
        part_of=face.part_of,
        corner_marks=marks,
        base_in=face.base_in,
        whole_height_in=face.whole_height_in,
    )


def _named_ends(face: Face) -> tuple[EndCondition | None, EndCondition | None]:
    """Return what texts in the outer quarters of a wall say of its ends."""
    left = right = None
    length = face.outline.length_in
    for text in face.texts:
        end = end_named(text.text)
        x = face.outline.frame.to_wall(text.at)[0]
        if end is not None and x <= length / 4:
            left = left or end
        elif end is not None and x >= 3 * length / 4:
            right = right or end
    return left, right


def _corner_marks(face: Face) -> tuple[str, str]:
    """Return the marks of the corners of the building that texts in the outer quarters of a wall name."""
    marks = ["", ""]
    length = face.outline.length_in
    for text in face.texts:
        x = face.outline.frame.to_wall(text.at)[0]
        for side, near in enumerate((x <= length / 4, x >= 3 * length / 4)):
            if near and not marks[side]:
                marks[side] = corner_mark(text.text)
    return marks[0], marks[1]


def in_reading_order(faces: Sequence[Face]) -> list[Face]:
    """Sort faces: top row of the sheet first, then from left to right."""
    waiting = sorted(faces, key=lambda f: (-f.outline.ring.box[3], f.outline.ring.box[0]))
    found: list[Face] = []
    while waiting:
        _, low, _, high = waiting[0].outline.ring.box
        row = [
            f
            for f in waiting
            if min(high, f.outline.ring.box[3]) - max(low, f.outline.ring.box[1])
            > 0.25 * (f.outline.ring.box[3] - f.outline.ring.box[1])
        ]
        found += sorted(row, key=lambda f: (f.outline.ring.box[0], f.outline.ring.box[1]))
        waiting = [f for f in waiting if not any(f is r for r in row)]
    return found
