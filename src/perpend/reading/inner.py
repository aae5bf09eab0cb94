"""Outlines on wall layers that lie inside another one: openings drawn on the walls' layer, or walls in front.

Where the settings name the layer for walls and for openings, an inner outline is an opening. Where they name
it for walls alone its looks tell: see docs/decisions/0009-an-outline-inside-a-wall.md.

Glossary:
    inner: an outline that lies wholly inside a larger one on a wall layer, which is its host.
    marked: with a text in it that may be the mark of a wall.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import field
from typing import Final

from perpend.model import Box
from perpend.reading.likeness import Shape, looks_like_an_opening, may_be_an_opening
from perpend.reading.marks import is_door_mark, is_inner_wall_mark
from perpend.reading.openings import Hole
from perpend.reading.options import ReadingOptions, matches
from perpend.reading.rings import Ring
from perpend.reading.sentences import handles_named
from perpend.reading.strokes import point_in_ring
from perpend.reading.suspects import setting_with
from perpend.reading.texts import DrawnText
from perpend.reading.walls import MOST_WALLS, Face
from perpend.slotted import dataclass

_FLOATS_IN: Final = 8.0
"""What stands a course or more above the wall's foot is no wall that stands in front of it."""

_SLACK: Final = 5e-4
"""Of an outline's length and height together: what sticks out of it by less lies in it all the same."""

_WIDEST_IN: Final = 288.0
"""Nothing wider is read as an opening by its looks alone."""


@dataclass(slots=True)
class Sorted:
    """What the outlines on the wall layers are.

    Attributes:
        walls: outlines of walls.
        openings: outlines of openings.
        guessed: handles of those openings that nothing but their looks made openings.
        doubtful: handles of those walls that look like openings.
    """

    walls: list[Ring] = field(default_factory=list)
    openings: list[Ring] = field(default_factory=list)
    guessed: set[str] = field(default_factory=set)
    doubtful: set[str] = field(default_factory=set)


def sort_out_inner(
    rings: Sequence[Ring],
    openings: Iterable[Ring],
    texts: Sequence[DrawnText],
    options: ReadingOptions,
    face_of: Callable[[Ring], Face],
) -> Sorted:
    """Tell walls from openings among the outlines on wall layers.

    Args:
        rings: the outlines.
        openings: outlines on opening layers: what holds one is a wall.
        texts: those near the outlines.
        options: says which layers have openings.
        face_of: puts an outline into its own axes, with the texts in it.
    """
    sorter = _Sorter(openings, texts, options, face_of)
    if len(rings) <= MOST_WALLS:
        for ring in sorted(rings, key=lambda r: -r.area):
            sorter.add(ring, Box(*ring.box))
    walls = {id(ring) for ring, _ in sorter.walls}
    sorter.found.walls = [ring for ring in rings if id(ring) in walls] if walls else list(rings)
    return sorter.found


class _Sorter:
    """Takes outlines, the largest first, and puts each where it belongs."""

    def __init__(
        self,
        openings: Iterable[Ring],
        texts: Sequence[DrawnText],
        options: ReadingOptions,
        face_of: Callable[[Ring], Face],
    ) -> None:
        self.found = Sorted()
        self.walls: list[tuple[Ring, Box]] = []
        self.openings = [Box(*ring.box) for ring in openings]
        self.read: list[tuple[Ring, Box]] = []
        self.texts = texts
        self.options = options
        self._face_of = face_of
        self._faces: dict[int, Face] = {}

    def add(self, ring: Ring, box: Box) -> None:
        """Put one outline where it belongs; ``box`` is round it."""
        host = next((wall for wall, around in reversed(self.walls) if _holds(wall, around, box)), None)
        if any(_holds(opening, around, box) for opening, around in self.read):
            self._as_opening(ring, box)
        elif host is None:
            leaf = not self._is_marked(ring) and self._fills_doorway(ring, box)
            self._as_opening(ring, box) if leaf else self.walls.append((ring, box))
        elif matches(ring.layer, self.options.openings):
            self._as_opening(ring, box)
        else:
            self._decide(ring, box, self._face(host))

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

    def _texts_in(self, ring: Ring) -> list[str]:
        return [text.mark for text in self.texts if point_in_ring(text.at, ring.points)]

    def _is_marked(self, ring: Ring) -> bool:
        return any(map(is_inner_wall_mark, self._texts_in(ring)))

    def _decide(self, ring: Ring, around: Box, host: Face) -> None:
        """Read an outline inside a wall by its looks."""
        box = Box.around(host.outline.frame.to_wall(p) for p in ring.points)
        floats = box.y0 >= min(y for _, y in host.outline.bottom.between(box.x0, box.x1)) + _FLOATS_IN
        shape = Shape(ring.handle, ring.layer, ring.points, closed=True)
        looks = looks_like_an_opening(shape, box, host) or (
            ring.curved and floats and may_be_an_opening(box, host)
        )
        others = (*self.openings, *(other for _, other in self.read))
        looks = looks and box.width <= _WIDEST_IN and not any(around.overlaps(o, 0.0) for o in others)
        marked = self._is_marked(ring)
        like_a_door = box.height > box.width or any(map(is_door_mark, self._texts_in(ring)))
        if looks and not marked and (floats or like_a_door):
            self._as_opening(ring, around)
            self.found.guessed.add(ring.handle)
            return
        self.walls.append((ring, around))
        if looks and (floats or not marked):
            self.found.doubtful.add(ring.handle)


def _encloses(outer: Box, inner: Box) -> bool:
    grown = outer.grown(_SLACK * (outer.width + outer.height))
    return grown.holds((inner.x0, inner.y0)) and grown.holds((inner.x1, inner.y1))


def _holds(outer: Ring, around: Box, inner: Box) -> bool:
    """True when an outline, whose box is ``around``, holds a smaller one; they may touch."""
    return _encloses(around, inner) and point_in_ring(inner.center, outer.points)


def doubts_about_inner(
    found: Sorted, faces: Sequence[Face], holes: Sequence[Sequence[Hole]], options: ReadingOptions
) -> list[str]:
    """Say which inner outlines were read by their looks, or against them; also in the walls' ``doubts``.

    Args:
        found: what they were taken for.
        faces: the walls, with their tags.
        holes: per wall, the openings in it.
        options: says which layers have openings now.
    """
    told = []
    in_front: dict[str, list[Face]] = defaultdict(list)
    for face, mine in zip(faces, holes, strict=True):
        rings = [hole.ring for hole in mine if hole.ring.handle in found.guessed]
        if rings:
            told.append(_as_openings(face, rings))
        if face.outline.ring.handle in found.doubtful:
            in_front[face.outline.ring.layer].append(face)
    return told + [_as_walls(layer, in_front[layer], options) for layer in sorted(in_front)]


def _as_openings(face: Face, rings: Sequence[Ring]) -> str:
    layer, handles = rings[0].layer, handles_named([ring.handle for ring in rings])
    if len(rings) == 1:
        read, lie, looks = "1 outline", "lies", "was read as an opening, by its looks"
    else:
        read, lie, looks = f"{len(rings)} outlines", "lie", "were read as openings, by their looks"
    face.doubts.append(f"{read} on wall layer {layer} {looks}.")
    return (
        f"{read} on wall layer {layer} ({handles}) {lie} inside {face.tag} and {looks}. What is a wall in "
        "front of it instead needs the mark of a wall in it, or another layer."
    )


def _as_walls(layer: str, faces: Sequence[Face], options: ReadingOptions) -> str:
    handles = handles_named(face.outline.ring.handle for face in faces)
    tags = " and ".join(str(face.tag) for face in faces)
    for face in faces:
        face.doubts.append("This looks like an opening in the wall behind it, but was read as a wall.")
    if len(faces) == 1:
        read, asked = "1 outline", "it is one"
        lie = f"lies inside another and looks like an opening, but was read as {tags}"
    else:
        read, asked = f"{len(faces)} outlines", "they are openings"
        lie = f"lie inside others and look like openings, but were read as {tags}"
    return (
        f"{read} on wall layer {layer} ({handles}) {lie}. If {asked}, name the layer for both in the "
        "settings, and every outline on it that lies inside another is an opening: "
        f"{setting_with(layer, options)}."
    )
