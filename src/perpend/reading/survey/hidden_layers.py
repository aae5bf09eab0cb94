"""Layers of joints and of openings that do not show: they are not read, and that is reported first of all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

from perpend.model import Box, Path, Wall
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.entities import Gathered
from perpend.reading.gather.layer_index import Layer
from perpend.reading.reading_options import Role
from perpend.reading.walls.wall_faces import Face

_MOST: Final = 4000
"""Of this many hidden entities the place is looked up; more are in every wall, for all we know."""


def note_hidden_layers(
    walls: Sequence[Wall], faces: Sequence[Face], found: Gathered, notices: Notices
) -> None:
    """Say which layers of joints and of openings are hidden, if anything on them is in a wall.

    Of an opening layer nothing is said if some of it was read: a block of a door that shows one of its states
    hides the others. A wall gets a doubt of its own where none was read of what is hidden there.

    Args:
        walls: as they were read.
        faces: what they were made of, in the same order.
        found: what the pass over the layout found.
        notices: takes the doubts.
    """
    if not found.hidden_things:
        return
    hidden = _Hidden(found)
    counted: dict[str, set[int]] = defaultdict(set)
    for wall, face in zip(walls, faces, strict=True):
        read = {Role.JOINTS: wall.drawn_joints, Role.OPENINGS: wall.openings}
        for layer, role in hidden.layers:
            here = hidden.within(face, layer)
            counted[layer.name] |= here
            if here and not read[role]:
                place = NoticePlace(layer=layer.name, wall=wall.tag)
                notices.doubt("hidden-layer", _wall_sentence(role, layer, len(here)), place)
    for layer, role in hidden.layers:
        if counted[layer.name]:
            sentence = _sentence(role, layer, len(counted[layer.name]))
            notices.doubt("hidden-layer", sentence, NoticePlace(layer=layer.name))


class _Hidden:
    """What is hidden on layers of joints and of openings, and where it is."""

    def __init__(self, found: Gathered) -> None:
        self._drawn: dict[str, list[Path | None]] = defaultdict(list)
        for number, (entity, origin) in enumerate(found.hidden_things):
            points: Path | None = None
            if number < _MOST:
                strokes = found.expansion.all_strokes(entity, origin)
                points = tuple(point for stroke in strokes for point in stroke.points)
            self._drawn[origin.layer].append(points)
        shown = {stroke.layer for stroke in found.strokes[Role.OPENINGS]}
        self.layers: list[tuple[Layer, Role]] = []
        for name in sorted(self._drawn):
            layer = found.layers.get(name)
            if Role.JOINTS in layer.roles:
                self.layers.append((layer, Role.JOINTS))
            elif name not in shown:
                self.layers.append((layer, Role.OPENINGS))

    def within(self, face: Face, layer: Layer) -> set[int]:
        """Return the numbers of the things on a layer that stand in a wall."""
        outline = face.outline
        wall = Box(0.0, 0.0, outline.length_in, max(y for _, y in outline.top.points))
        around = Box(*outline.ring.box)

        def stands_in(points: Path) -> bool:
            return (
                bool(points)
                and _meet(around, Box.around(points))
                and _meet(wall, Box.around(map(outline.frame.to_wall, points)))
            )

        drawn = self._drawn[layer.name]
        return {n for n, points in enumerate(drawn) if points is None or stands_in(points)}


def _meet(a: Box, b: Box) -> bool:
    """True when two boxes touch; one of them may have no width or no height."""
    return a.x0 <= b.x1 and a.x1 >= b.x0 and a.y0 <= b.y1 and a.y1 >= b.y0


def _wall_sentence(role: Role, layer: Layer, count: int) -> str:
    """Return the short sentence beside the wall, on the plate too."""
    kind = "Joint" if role is Role.JOINTS else "Opening"
    return f"{kind} layer {layer.name} is {layer.hidden_as or 'hidden'}: {_were(count)} not read."


def _sentence(role: Role, layer: Layer, count: int) -> str:
    kind = "a joint layer" if role is Role.JOINTS else "an opening layer"
    it, were, counts = ("it", "was", "it counts") if count == 1 else ("they", "were", "they count")
    hidden = layer.hidden_as or "what is on it is invisible"
    cure = layer.cure or f"make {'it' if count == 1 else 'them'} visible"
    return (
        f"Layer {layer.name} is {kind}, but {hidden}: {_were(count)} not read, and joints are placed and "
        f"judged as if {it} {were} not there. {cure[0].upper()}{cure[1:]} if {counts}."
    )


def _were(count: int) -> str:
    return "1 entity on it was" if count == 1 else f"{count} entities on it were"
