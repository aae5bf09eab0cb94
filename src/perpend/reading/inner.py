"""Outlines on wall layers that lie inside another one: openings drawn on the walls' layer, or walls in front.

Where the settings name the layer for walls and for openings, an inner outline is an opening. Where they name
it for walls alone its looks tell: see docs/decisions/0009-an-outline-inside-a-wall.md.

Glossary:
    inner: an outline that lies wholly inside a larger one on a wall layer, which is its host.
    marked: with a text in it that may be the mark of a wall.
    floating: with masonry of the host below it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import field
from typing import Final

from perpend.frozen import dataclass
from perpend.model import Box
from perpend.reading.likeness import Shape, looks_like_an_opening
from perpend.reading.marks import is_door_mark
from perpend.reading.openings import Hole
from perpend.reading.options import ReadingOptions, matches
from perpend.reading.rings import Ring
from perpend.reading.strokes import point_in_ring
from perpend.reading.suspects import listed, setting_with
from perpend.reading.texts import DrawnText, is_mark
from perpend.reading.walls import Face

_FLOATS_IN: Final = 8.0
"""What stands a course or more above the wall's foot is no wall that stands in front of it."""

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
    found = Sorted()
    known = [Box(*ring.box) for ring in openings]
    faces: dict[int, Face] = {}
    for ring in sorted(rings, key=lambda r: -r.area):
        host = next((wall for wall in reversed(found.walls) if _holds(wall, ring)), None)
        if host is None:
            found.walls.append(ring)
            continue
        if matches(ring.layer, options.openings) or any(_holds(o, ring) for o in found.openings):
            found.openings.append(ring)
            continue
        if id(host) not in faces:
            faces[id(host)] = face_of(host)
        others = [*known, *(Box(*opening.box) for opening in found.openings)]
        free = not any(Box(*ring.box).overlaps(other, 0.0) for other in others)
        inside = [text for text in texts if point_in_ring(text.at, ring.points)]
        _decide(found, ring, faces[id(host)], inside, free=free)
    found.walls.sort(key=rings.index)
    return found


def _decide(found: Sorted, ring: Ring, host: Face, inside: Sequence[DrawnText], *, free: bool) -> None:
    """Put an outline that lies in a wall where it belongs; ``free``: no opening lies in it or across it."""
    box = Box.around(host.outline.frame.to_wall(p) for p in ring.points)
    shape = Shape(ring.handle, ring.layer, ring.points, closed=True)
    looks = free and box.width <= _WIDEST_IN and looks_like_an_opening(shape, box, host)
    marked = any(is_mark(text.mark) and not is_door_mark(text.mark) for text in inside)
    floats = box.y0 >= min(y for _, y in host.outline.bottom.between(box.x0, box.x1)) + _FLOATS_IN
    like_a_door = box.height > box.width or any(is_door_mark(text.mark) for text in inside)
    if looks and not marked and (floats or like_a_door):
        found.openings.append(ring)
        found.guessed.add(ring.handle)
        return
    found.walls.append(ring)
    if looks and (floats or not marked):
        found.doubtful.add(ring.handle)


def _holds(outer: Ring, inner: Ring) -> bool:
    """True when an outline lies within a larger one; they may touch."""
    box = Box(*outer.box).grown(1e-6 * (1 + max(map(abs, outer.box))))
    x0, y0, x1, y1 = inner.box
    within = box.holds((x0, y0)) and box.holds((x1, y1)) and inner.area < outer.area
    return within and point_in_ring(((x0 + x1) / 2, (y0 + y1) / 2), outer.points)


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
    layer, handles = rings[0].layer, listed([ring.handle for ring in rings])
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
    handles = listed(face.outline.ring.handle for face in faces)
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
