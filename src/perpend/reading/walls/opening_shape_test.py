"""What a shape has to have that nobody has named and that is taken for a door or a window all the same."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from perpend.model import Box, Path, Point
from perpend.reading.walls.wall_faces import Face
from perpend.units import ON_MODULE_IN, SAME_IN

if TYPE_CHECKING:
    from ezdxf.math import Matrix44

LEAST_SIDE_IN: Final = 16.0
"""What is lower or narrower is no door or window of an elevation; in a plan they are as deep as the wall."""

_LEAST_AREA_IN2: Final = 576.0
"""What is smaller than 4 ft² is a vent, a lamp, a sign or a mark."""

LONGEST: Final = 0.9
"""Of a wall's length: what is longer is a band or a course."""

LEAST_MASONRY_IN: Final = 4.0
"""What leaves less of the wall above it runs through the wall: a pier, a pilaster, a pipe."""

CLEAR_IN: Final = 8.0
"""What stands a course or more above the wall's foot hangs in the wall."""

LEAST_DOORWAY_IN: Final = 48.0
"""What stands on the foot and is lower is no doorway, but a planter, a bench or a step before the wall."""

_SHUTTER_OFF_IN: Final = 6.0
_SHUTTER_WIDTH: Final = 0.75
"""A shutter hangs at most this far from the jamb of its window, meets its sill and head so nearly, and
is at most this part of it wide."""

_JAMB: Final = 0.5
_SILL: Final = 0.8
"""Parts of its height that both its jambs, and of its width that its sill or its head take, of an opening."""

LEAN: Final = 0.02
"""Upright and level lines lean by less than this."""

_LINES_HIGH: Final = 2.5
_WRITTEN: Final = 1 / 3
_LETTER: Final = 0.8
_LINE_PITCH: Final = 1.6
"""A frame round a text is lower than 2½ letters, or the text takes a third of it; a letter is 0.8 of its
height wide, and lines stand 1.6 of it apart."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A shape that may be an opening, drawing axes and drawing units.

    Attributes:
        handle: of its first entity, or of its block reference.
        layer: its layer.
        points: its corners.
        closed: False where its ends do not meet (a door without its threshold).
        sides: the lines that it is the box of; none where ``points`` are drawn.
    """

    handle: str
    layer: str
    points: Path
    closed: bool
    sides: tuple[Path, ...] = ()

    def carried(self, carrier: Matrix44) -> Shape:
        """Return it as a block reference shows it."""
        return replace(
            self,
            points=_carried(self.points, carrier),
            sides=tuple(_carried(side, carrier) for side in self.sides),
        )

    def edges(self) -> Iterator[tuple[Point, Point]]:
        """Yield every straight piece that is drawn of it."""
        for side in self.sides or ((*self.points, self.points[0]) if self.closed else self.points,):
            yield from itertools.pairwise(side)


def _carried(points: Path, carrier: Matrix44) -> Path:
    return tuple((p.x, p.y) for p in carrier.transform_vertices([(x, y, 0.0) for x, y in points]))


def looks_like_an_opening(shape: Shape, box: Box, face: Face) -> bool:
    """True when a shape that nobody has named has the size, the place and the sides of a door or a window."""
    drawn = shape.closed or stands_open(shape, face)
    return drawn and may_be_an_opening(box, face) and _has_jambs(shape, box, face)


def may_be_an_opening(box: Box, face: Face) -> bool:
    """True when a shape's box has the size and the place of a door or a window, and is no text's frame."""
    least = LEAST_SIDE_IN - SAME_IN
    if min(box.width, box.height) < least or box.width * box.height < _LEAST_AREA_IN2 - SAME_IN:
        return False
    if box.width > LONGEST * face.outline.length_in or not _is_within(box, face):
        return False
    if box.height < LEAST_DOORWAY_IN - SAME_IN and not hangs(box, face):
        return False
    return not is_round_text(box, face)


def hangs(box: Box, face: Face) -> bool:
    """True for what stands clear of a wall's foot."""
    x0, x1 = max(box.x0, 0.0), min(box.x1, face.outline.length_in)
    return box.y0 >= min(y for _, y in face.outline.bottom.between(x0, x1)) + CLEAR_IN


def is_shutter(box: Box, windows: Iterable[Box]) -> bool:
    """True for what stands beside one of the windows as a shutter does."""
    return any(
        min(abs(box.x0 - window.x1), abs(window.x0 - box.x1)) <= _SHUTTER_OFF_IN
        and max(abs(box.y0 - window.y0), abs(box.y1 - window.y1)) <= _SHUTTER_OFF_IN
        and box.width <= _SHUTTER_WIDTH * window.width
        for window in windows
    )


def _is_within(box: Box, face: Face) -> bool:
    """True when a box lies in the wall, and masonry goes on above it."""
    outline = face.outline
    x0, x1 = max(box.x0, 0.0), min(box.x1, outline.length_in)
    if x0 - box.x0 > ON_MODULE_IN or box.x1 - x1 > ON_MODULE_IN:
        return False
    foot = min(y for _, y in outline.bottom.between(x0, x1))
    top = min(y for _, y in outline.top.between(x0, x1))
    return box.y0 >= foot - ON_MODULE_IN and box.y1 <= top - LEAST_MASONRY_IN


def _has_jambs(shape: Shape, box: Box, face: Face) -> bool:
    """True when both jambs are upright for half the height at least, and the sill or the head is level."""
    frame = face.outline.frame
    jambs, beds = {box.x0: 0.0, box.x1: 0.0}, {box.y0: 0.0, box.y1: 0.0}
    for start, end in shape.edges():
        (xa, ya), (xb, yb) = frame.to_wall(start), frame.to_wall(end)
        for sides, across, along, at in (
            (jambs, abs(xb - xa), abs(yb - ya), (xa + xb) / 2),
            (beds, abs(yb - ya), abs(xb - xa), (ya + yb) / 2),
        ):
            for side in sides:
                if across <= LEAN * along and abs(at - side) <= ON_MODULE_IN:
                    sides[side] += along
    return min(jambs.values()) >= _JAMB * box.height and max(beds.values()) >= _SILL * box.width


def is_round_text(box: Box, face: Face) -> bool:
    """True for a frame that is drawn round a mark or a note."""
    frame = face.outline.frame
    written = 0.0
    for text in face.texts:
        if box.holds(frame.to_wall(text.at)):
            height = text.height * frame.inches_per_unit
            if box.height < _LINES_HIGH * height:
                return True
            written += len(text.text) * _LETTER * height * _LINE_PITCH * height
    return written >= _WRITTEN * box.width * box.height


def stands_open(shape: Shape, face: Face) -> bool:
    """True for a door without its threshold: both its ends stand at the foot of the wall."""
    ends = [face.outline.frame.to_wall(p) for p in (shape.points[0], shape.points[-1])]
    foot = face.outline.bottom
    return len(shape.points) > 3 and all(
        foot.points[0][0] <= x <= foot.points[-1][0] and min(abs(y - level) for level in foot.at(x)) <= 1.0
        for x, y in ends
    )
