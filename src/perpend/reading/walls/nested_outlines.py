"""Outlines on wall layers that lie inside another one: openings, walls in front, or neither of them.

Where the settings name the layer for walls and for openings, an inner outline is an opening. Where they name
it for walls alone its looks tell: see docs/decisions/0009-an-outline-inside-a-wall.md.

Glossary:
    inner: an outline that lies wholly inside a larger one on a wall layer, which is its host.
    marked: with a text in it that may be the mark of a wall.
    hang: to stand clear of the foot of the host.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.model import Box, Path
from perpend.notices import Notices
from perpend.reading.gather.drawing_units import LEAST_WALL_IN
from perpend.reading.gather.texts import DrawnText, is_door_mark, is_inner_wall_mark
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.reading_options import ReadingOptions, matches
from perpend.reading.walls.no_opening import STRIP_IN, is_band, why_no_opening
from perpend.reading.walls.opening_shape_test import (
    Shape,
    hangs,
    is_round_text,
    looks_like_an_opening,
    may_be_an_opening,
)
from perpend.reading.walls.wall_faces import FILLS, MOST_WALLS, Face
from perpend.units import ON_MODULE_IN, SAME_IN

_SLACK: Final = 5e-4
"""Of an outline's length and height together: what sticks out of it by less lies in it all the same."""

_WIDEST_IN: Final = 288.0
"""Nothing wider is read as an opening by its looks alone."""

_SURROUND_IN: Final = 24.0
"""A surround goes round its opening within this: what is larger is a wall in front that has an opening."""

_DEEP_IN: Final = 48.0
"""What is at most 24 in. high and begins this far below the foot of a wall is its foundation."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An outline on a wall layer that is neither a wall nor an opening.

    Attributes:
        ring: the outline.
        host: that of the wall that it lies in or along.
        why: what it is instead, for sentences.
    """

    ring: Ring
    host: Ring
    why: str


@dataclass(slots=True)
class Sorted:
    """What the outlines on the wall layers are.

    Attributes:
        walls: outlines of walls.
        openings: outlines of openings.
        left_out: what is neither.
        guessed: handles of those openings that nothing but their looks made openings.
        doubtful: handles of those walls that look like openings.
        unmarked: handles of those walls that nothing but their place in front of another made walls.
    """

    walls: list[Ring] = field(default_factory=list)
    openings: list[Ring] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    guessed: set[str] = field(default_factory=set)
    doubtful: set[str] = field(default_factory=set)
    unmarked: set[str] = field(default_factory=set)

    def note_left_out(self, notices: Notices) -> None:
        """Say what is neither a wall nor an opening."""
        for left in self.left_out:
            notices.ignore(left.ring.handle, left.ring.kind, left.ring.layer, left.why)


def sort_out_inner(
    rings: Sequence[Ring],
    openings: Iterable[Path],
    texts: Sequence[DrawnText],
    options: ReadingOptions,
    face_of: Callable[[Ring], Face],
) -> Sorted:
    """Tell walls from openings, and from what is neither, among the outlines on wall layers.

    Args:
        rings: the outlines.
        openings: what is drawn on opening layers, or as blocks of doors and windows.
        texts: those near the outlines.
        options: says which layers have openings.
        face_of: puts an outline into its own axes, with the texts in it.
    """
    sorter = _Sorter(openings, texts, options, face_of)
    if len(rings) <= MOST_WALLS:
        for ring in sorted(rings, key=lambda r: -r.area):
            sorter.add(ring, Box(*ring.box))
    sorter.take_strips_off()
    sorter.leave_foundations_out()
    walls = {id(ring) for ring, _ in sorter.walls}
    sorter.found.walls = [ring for ring in rings if id(ring) in walls] if walls else list(rings)
    return sorter.found


class _Sorter:
    """Takes outlines, the largest first, and puts each where it belongs."""

    def __init__(
        self,
        openings: Iterable[Path],
        texts: Sequence[DrawnText],
        options: ReadingOptions,
        face_of: Callable[[Ring], Face],
    ) -> None:
        self.found = Sorted()
        self.walls: list[tuple[Ring, Box]] = []
        self.openings = list(openings)
        self.boxes = [Box.around(points) for points in self.openings]
        self.read: list[tuple[Ring, Box]] = []
        self.texts = texts
        self.options = options
        self._face_of = face_of
        self._faces: dict[int, Face] = {}
        self._round: dict[int, list[Box]] = {}
        self._strips: dict[int, tuple[Ring, Face]] = {}

    def add(self, ring: Ring, box: Box) -> None:
        """Put one outline where it belongs; ``box`` is round it."""
        host = next((wall for wall, around in reversed(self.walls) if _holds(wall, around, box)), None)
        if any(_holds(opening, around, box) for opening, around in self.read):
            self._as_opening(ring, box)
        elif host is None:
            self._decide_beside(ring, box)
        elif matches(ring.layer, self.options.openings):
            face = self._face(host)
            inner = _box_in(ring, face)
            why = why_no_opening(ring, inner, face, (_box_in(window, face) for window, _ in self.read))
            if why:
                self._leave_out(ring, face, why)
            elif ring.kind in FILLS and not looks_like_an_opening(_shape_of(ring), inner, face):
                self._leave_out(ring, face, "it fills a part of the wall that is no opening")
            else:
                self._as_opening(ring, box)
        else:
            self._decide(ring, box, self._face(host))

    def _leave_out(self, ring: Ring, host: Face, why: str) -> None:
        self.found.left_out.append(LeftOut(ring, host.outline.ring, why))

    def _as_opening(self, ring: Ring, box: Box) -> None:
        self.found.openings.append(ring)
        self.read.append((ring, box))

    def _face(self, ring: Ring) -> Face:
        if id(ring) not in self._faces:
            self._faces[id(ring)] = self._face_of(ring)
        return self._faces[id(ring)]

    def _fills_doorway(self, ring: Ring, box: Box) -> bool:
        """True for the leaf of a door that the outline of a wall goes around."""
        hosts = [wall for wall, around in self.walls if _encloses(around, box)]
        return any(
            all(notch.grown(1.0).holds(face.outline.frame.to_wall(point)) for point in ring.points)
            for face in map(self._face, hosts)
            for notch in face.outline.notches
        )

    def _has_text(self, ring: Ring, is_sought: Callable[[str], bool]) -> bool:
        """Say whether a text that is sought is in an outline, and not in an opening that lies in it."""
        box = Box(*ring.box)
        grown = _grown(box)
        return any(
            box.holds(text.at)
            and is_sought(text.mark)
            and point_in_ring(text.at, ring.points)
            and not any(grown.contains(opening) for opening in self._openings_round(text))
            for text in self.texts
        )

    def _openings_round(self, text: DrawnText) -> list[Box]:
        """Return the boxes of the openings in which a text is."""
        if id(text) not in self._round:
            drawn = zip(self.boxes, self.openings, strict=True)
            self._round[id(text)] = [b for b, o in drawn if b.holds(text.at) and point_in_ring(text.at, o)]
        return self._round[id(text)]

    def _is_marked(self, ring: Ring) -> bool:
        return self._has_text(ring, is_inner_wall_mark)

    def _decide_beside(self, ring: Ring, around: Box) -> None:
        """Read an outline that no wall holds: mostly a wall."""
        marked = self._is_marked(ring)
        if not marked and self._fills_doorway(ring, around):
            self._as_opening(ring, around)
            return
        near = [wall for wall, other in self.walls if not marked and _grown(other).overlaps(around)]
        boxes = [(_box_in(ring, face), face) for face in map(self._face, near)]
        for box, face in boxes:
            strip = _is_strip_along(box, face)
            if strip and _is_as_long(box, _extent(face)):
                self._keep_in_mind(ring, box, face)
                continue
            why = _why_over(box, face) or (_ALONG if strip else "")
            if why:
                self._leave_out(ring, face, why)
                return
        self.walls.append((ring, around))

    def _keep_in_mind(self, ring: Ring, box: Box, face: Face) -> None:
        """Note a strip as long as the wall that it meets; what an opening reaches into is a part of it."""
        _, host = self._strips.get(id(face.outline.ring), (None, face))
        openings = (Box.around(map(face.outline.frame.to_wall, points)) for points in self.openings)
        if _extent(host).height > STRIP_IN and not any(o.overlaps(box, ON_MODULE_IN) for o in openings):
            self._strips[id(ring)] = ring, host

    def take_strips_off(self) -> None:
        """Leave strips as long as their wall out, from its top down and its foot up, to where it begins."""
        while True:
            loose = next((kept for kept in self._strips.values() if not self._lies_between(*kept)), None)
            if loose is None:
                return
            ring, host = loose
            del self._strips[id(ring)]
            self.walls = [(wall, around) for wall, around in self.walls if wall is not ring]
            self._leave_out(ring, host, _ALONG)

    def leave_foundations_out(self) -> None:
        """Leave out what is low, has no mark, and lies clear below the foot of a wall, as foundations do."""
        greatest = max((min(b.width, b.height) for _, b in self.walls), default=0.0)
        low = [(r, b) for r, b in self.walls if min(b.width, b.height) < greatest / 2]
        for ring, around in low:
            host = next(
                (w for w, other in self.walls if w is not ring and _may_stand_on(other, around)), None
            )
            beside = _grown(around)
            touches = any(w is not ring and beside.overlaps(_grown(other)) for w, other in self.walls)
            if host is None or touches or self._is_marked(ring):
                continue
            face = self._face(host)
            box, wall = _box_in(ring, face), _extent(face)
            if box.height <= LEAST_WALL_IN + SAME_IN < wall.height and -_DEEP_IN <= box.y1 < -ON_MODULE_IN:
                self.walls = [(wall_ring, other) for wall_ring, other in self.walls if wall_ring is not ring]
                self._leave_out(ring, face, _FOUNDATION)

    def _lies_between(self, ring: Ring, host: Face) -> bool:
        """True for a strip with parts of its wall above and below."""
        box, around = _box_in(ring, host), _grown(Box(*ring.box))
        near = (w for w, other in self.walls if w is not ring and around.overlaps(_grown(other)))
        parts = [part for part in (_box_in(w, host) for w in near) if _is_as_long(box, part)]
        sides = [_meets(box, part) for part in parts]
        return any(on for on, _ in sides) and any(below for _, below in sides)

    def _decide(self, ring: Ring, around: Box, host: Face) -> None:
        """Read an outline inside a wall by its looks."""
        box = _box_in(ring, host)
        clear = hangs(box, host)
        looks = looks_like_an_opening(_shape_of(ring), box, host) or (
            ring.curved and clear and may_be_an_opening(box, host)
        )
        others = [*self.boxes, *(other for _, other in self.read)]
        looks = looks and box.width <= _WIDEST_IN and not any(around.overlaps(o, 0.0) for o in others)
        marked = self._is_marked(ring) and not (clear and is_round_text(box, host))
        like_a_door = box.height > box.width or self._has_text(ring, is_door_mark)
        if looks and not marked and (clear or like_a_door):
            self._as_opening(ring, around)
            self.found.guessed.add(ring.handle)
            return
        why = "" if marked else _why_not(box, host) or self._why_round(around, box, host)
        if why:
            self._leave_out(ring, host, why)
            return
        self.walls.append((ring, around))
        if looks and (clear or not marked):
            self.found.doubtful.add(ring.handle)
        elif not marked:
            self.found.unmarked.add(ring.handle)

    def _why_round(self, around: Box, box: Box, host: Face) -> str:
        """Say of an outline that is drawn round an opening that it is a surround, and no wall."""
        for points, inner in zip(self.openings, self.boxes, strict=True):
            if _encloses(around, inner):
                opening = Box.around(map(host.outline.frame.to_wall, points))
                if _encloses(opening.grown(_SURROUND_IN), box):
                    return "it is drawn round an opening: its surround, and no wall"
        return ""


_HANGS: Final = (
    "it hangs above the foot of the wall that it lies in, without the mark of a wall: a band, a sill or "
    "a sign"
)
_ALONG: Final = "it is a strip along a wall, without the mark of one: a coping or a footing"
_LOW: Final = (
    "it is at the foot of the wall that it lies in, too low for a wall without a mark: a base course"
)


_FOUNDATION: Final = "it is a strip below the foot of a wall, without the mark of one: its foundation"


def _shape_of(ring: Ring) -> Shape:
    return Shape(ring.handle, ring.layer, ring.points, closed=True)


def _box_in(ring: Ring, host: Face) -> Box:
    return Box.around(map(host.outline.frame.to_wall, ring.points))


def _extent(host: Face) -> Box:
    outline = host.outline
    return Box(0.0, 0.0, outline.length_in, max(y for _, y in outline.top.points))


def _why_not(box: Box, host: Face) -> str:
    """Say of an outline in a wall, without a mark, that it hangs there or is too low for a wall in front."""
    if hangs(box, host):
        return _HANGS
    return _LOW if box.height <= LEAST_WALL_IN + SAME_IN or is_band(box, host) else ""


def _why_over(box: Box, host: Face) -> str:
    """Say of an outline that sticks out of a wall why it is none, if most of it is in the wall."""
    wall = _extent(host)
    wide = min(box.x1, wall.x1) - max(box.x0, wall.x0)
    high = min(box.y1, wall.y1) - max(box.y0, wall.y0)
    over = min(wide, high) > 0 and wide * high >= box.width * box.height / 2
    return _why_not(box, host) if over else ""


def _is_strip_along(box: Box, host: Face) -> bool:
    """True for a low strip on a wall or below it."""
    wall = _extent(host)
    low = box.height <= STRIP_IN and box.width >= box.height
    return low and box.x0 < wall.x1 and box.x1 > wall.x0 and any(_meets(box, wall))


def _is_as_long(box: Box, wall: Box) -> bool:
    return abs(box.x0 - wall.x0) <= ON_MODULE_IN and abs(box.x1 - wall.x1) <= ON_MODULE_IN


def _meets(box: Box, wall: Box) -> tuple[bool, bool]:
    """Say whether an outline stands on the top of a wall, and whether it lies below its foot."""
    return abs(box.y0 - wall.y1) <= ON_MODULE_IN, abs(box.y1 - wall.y0) <= ON_MODULE_IN


def _may_stand_on(wall: Box, strip: Box) -> bool:
    """True when a strip lies below a wall, drawing axes, whichever way the wall is turned."""
    return strip.width * strip.height < wall.width * wall.height and (
        min(strip.x1, wall.x1) - max(strip.x0, wall.x0) > strip.width / 2
        or min(strip.y1, wall.y1) - max(strip.y0, wall.y0) > strip.height / 2
    )


def _grown(box: Box) -> Box:
    return box.grown(_SLACK * (box.width + box.height))


def _encloses(outer: Box, inner: Box) -> bool:
    return _grown(outer).contains(inner)


def _holds(outer: Ring, around: Box, inner: Box) -> bool:
    """True when an outline, whose box is ``around``, holds a smaller one; they may touch."""
    return _encloses(around, inner) and point_in_ring(inner.center, outer.points)
