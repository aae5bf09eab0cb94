"""What looks like an opening but stands on a layer without a role: nothing is read from it, but it is told.

Glossary:
    hinted: on a layer without a role whose name is that of doors, windows or glass.
    suspect: a hinted shape in a wall, as large as a door or a window, where no opening was found.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Final

from perpend.frozen import dataclass
from perpend.model import Box, Path, Point
from perpend.reading.doorways import bridges_across
from perpend.reading.holes import LEAST_OPENING_IN
from perpend.reading.nets import Chain
from perpend.reading.openings import Hole
from perpend.reading.options import ReadingOptions
from perpend.reading.rings import close_strokes
from perpend.reading.strokes import Stroke, point_in_ring
from perpend.reading.walls import Face
from perpend.units import SAME_IN

_NAMED: Final = 8
"""Handles that a sentence names one by one."""

_COVERED: Final = 0.5
"""A shape of which openings cover this part is drawn round them: a frame, or trim."""


@dataclass(frozen=True, slots=True)
class Shape:
    """A hinted shape, drawing axes and drawing units.

    Attributes:
        handle: of its first entity, or of its block reference.
        layer: its layer.
        points: its corners.
        closed: False where its ends do not meet (a door without its threshold).
    """

    handle: str
    layer: str
    points: Path
    closed: bool


def shapes_among(strokes: Sequence[Stroke], gap: float, same: float) -> list[Shape]:
    """Put hinted strokes together; a block without a closed outline is the box of its lines.

    Args:
        strokes: what is drawn on hinted layers.
        gap: ends up to this far apart are joined, drawing units.
        same: ends up to this far apart are one point, drawing units.
    """
    layers: dict[str, list[Stroke]] = defaultdict(list)
    for stroke in strokes:
        layers[stroke.layer].append(stroke)
    shapes: list[Shape] = []
    for layer, drawn in layers.items():
        closed = close_strokes(drawn, gap, same, outer_only=True)
        shapes += [Shape(ring.handle, layer, ring.points, closed=True) for ring in closed.rings]
        ringed = {ring.instance for ring in closed.rings}
        blocks: dict[int, list[Chain]] = defaultdict(list)
        for chain in closed.chains:
            instance = chain.strokes[0].instance
            if not instance:
                shapes.append(Shape(chain.strokes[0].handle, layer, chain.points, closed=False))
            elif instance not in ringed:
                blocks[instance].append(chain)
        for pieces in blocks.values():
            box = Box.around(p for chain in pieces for p in chain.points)
            shapes.append(Shape(pieces[0].strokes[0].handle, layer, box.corners, closed=True))
    return shapes


def cure_of_break(chains: Sequence[Chain], shapes: Iterable[Shape], inches: float) -> str:
    """Return what may be done, beside closing it, about an outline that breaks off at a hinted shape.

    Args:
        chains: wall lines that do not close.
        shapes: the hinted shapes.
        inches: inches in one drawing unit.
    """
    by_handle = {shape.handle: shape for shape in shapes}
    bridges = bridges_across(chains, ((s.handle, s.points) for s in by_handle.values()), inches)
    for bridge in bridges:
        shape = by_handle[bridge.doorway]
        named = f"name layer {shape.layer} in [layers] openings"
        return f", or {named}: shape {shape.handle} on it stands in the gap"
    return ""


def doubts_about(
    shapes: Iterable[Shape], faces: Sequence[Face], holes: Sequence[Sequence[Hole]], options: ReadingOptions
) -> list[str]:
    """Say of every layer without a role which shapes on it look like openings.

    What is said of each wall is put into its ``doubts``.

    Args:
        shapes: the hinted shapes.
        faces: the walls, with their tags.
        holes: per wall, the openings that were found.
        options: says which layers have openings now.
    """
    taken: list[list[Box]] = [[hole.box for hole in mine] for mine in holes]
    found: dict[str, list[tuple[Shape, Face]]] = defaultdict(list)
    for shape in sorted(shapes, key=_size, reverse=True):
        index = _home(shape, faces)
        if index is None:
            continue
        box = Box.around(faces[index].outline.frame.to_wall(p) for p in shape.points)
        if _is_suspect(shape, box, faces[index], taken[index]):
            taken[index].append(box)
            found[shape.layer].append((shape, faces[index]))
    for layer in sorted(found):
        for face in {id(face): face for _, face in found[layer]}.values():
            face.doubts.append(_doubt(layer, sum(other is face for _, other in found[layer])))
    return [_sentence(layer, found[layer], options) for layer in sorted(found)]


def _size(shape: Shape) -> float:
    box = Box.around(shape.points)
    return box.width * box.height


def _home(shape: Shape, faces: Sequence[Face]) -> int | None:
    """Return the smallest wall that holds the middle of a shape."""
    middle = Box.around(shape.points).center
    homes = [i for i, face in enumerate(faces) if _is_in(middle, face)]
    return min(homes, key=lambda i: faces[i].outline.ring.area, default=None)


def _is_in(middle: Point, face: Face) -> bool:
    ring = face.outline.ring
    x0, y0, x1, y1 = ring.box
    return x0 < middle[0] < x1 and y0 < middle[1] < y1 and point_in_ring(middle, ring.points)


def _is_suspect(shape: Shape, box: Box, face: Face, taken: Sequence[Box]) -> bool:
    if box.width < LEAST_OPENING_IN - SAME_IN or box.height < LEAST_OPENING_IN - SAME_IN:
        return False
    if not shape.closed and not _stands_open(shape, face):
        return False
    around = Box.around(face.outline.frame.to_wall(p) for p in face.outline.ring.points)
    if box.grown(SAME_IN).holds((around.x0, around.y0)) and box.grown(SAME_IN).holds((around.x1, around.y1)):
        return False
    if any(other.holds(box.center) for other in taken):
        return False
    covered = sum(
        max(0.0, min(box.x1, o.x1) - max(box.x0, o.x0)) * max(0.0, min(box.y1, o.y1) - max(box.y0, o.y0))
        for o in taken
    )
    return covered < _COVERED * box.width * box.height


def _stands_open(shape: Shape, face: Face) -> bool:
    """True for a door without its threshold: both its ends stand at the foot of the wall."""
    ends = [face.outline.frame.to_wall(p) for p in (shape.points[0], shape.points[-1])]
    foot = face.outline.bottom
    return len(shape.points) > 3 and all(
        foot.points[0][0] <= x <= foot.points[-1][0] and min(abs(y - level) for level in foot.at(x)) <= 1.0
        for x, y in ends
    )


def _doubt(layer: str, count: int) -> str:
    """Return the short sentence that stands beside the wall, on the plate too."""
    if count == 1:
        said, blind = f"1 shape on layer {layer} looks like an opening but was", "it was"
    else:
        said, blind = f"{count} shapes on layer {layer} look like openings but were", "they were"
    return f"{said} not read: joints are placed as if {blind} not there."


def _sentence(layer: str, suspects: Sequence[tuple[Shape, Face]], options: ReadingOptions) -> str:
    handles = sorted({shape.handle for shape, _ in suspects}, key=lambda h: (len(h), h))
    more = f" and {len(handles) - _NAMED} more" if len(handles) > _NAMED else ""
    named = ", ".join(handles[:_NAMED]) + more
    tags = " and ".join(dict.fromkeys(str(face.tag) for _, face in suspects))
    setting = ", ".join(json.dumps(p, ensure_ascii=False) for p in (*options.openings, layer))
    if len(suspects) == 1:
        looks = f"1 shape on it stands in {tags} that looks like an opening (handle {named})"
        blind, asked = "it was", "it is one"
    else:
        looks = f"{len(suspects)} shapes on it stand in {tags} that look like openings (handles {named})"
        blind, asked = "they were", "they are openings"
    return (
        f"Layer {layer} has no role, yet {looks}: joints are placed as if {blind} not there. "
        f"If {asked}, name the layer in the settings: [layers] openings = [{setting}]."
    )
