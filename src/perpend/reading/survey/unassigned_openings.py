"""What looks like an opening but is on a layer without a role: it is not read, and a doubt says so.

Glossary:
    hinted: on a layer without a role whose name is that of doors, windows or glass.
    unassigned: on a layer without a role whose name says nothing; see `survey.unassigned_shapes`.
    lookalike: a shape in a wall that looks like a door or a window, where no opening was found. Of a hinted
        shape its size is enough; an unassigned one must also have upright jambs and a level sill or head.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.dxf.entity_points import Stroke, point_in_ring
from perpend.model import Box, Path, Point
from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.opening_outlines import Hole
from perpend.reading.contents.opening_placement import LEAST_OPENING_IN, HoleFinder
from perpend.reading.gather.layer_index import Layer, LayerIndex
from perpend.reading.outlines.close_outlines import Ring, close_strokes
from perpend.reading.outlines.doorways import bridges_across
from perpend.reading.outlines.polygonize import Chain
from perpend.reading.reading_options import ReadingOptions, as_setting
from perpend.reading.walls.opening_shape_test import (
    Shape,
    hangs,
    is_shutter,
    looks_like_an_opening,
    stands_open,
)
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN
from perpend.wording import handles_named, listed


@dataclass(frozen=True, slots=True)
class Lookalike:
    """A shape that looks like an opening where no opening was found.

    Attributes:
        shape: the shape.
        wall: number of the wall that it stands in.
        layer: its layer.
        read: True where it was read as an opening.
    """

    shape: Shape
    wall: int
    layer: Layer
    read: bool


_COVERED: Final = 0.5
"""A shape of which openings cover this part is drawn round them: a frame, or trim."""

_CLAD: Final = 2 / 3
"""Shapes of one layer that cover this much of a wall are its cladding."""


def shapes_among(strokes: Sequence[Stroke], gap: float, same: float) -> list[Shape]:
    """Put strokes together; a block without an outline round most of it is the box of its lines.

    Args:
        strokes: what is drawn on layers without a role.
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
        blocks: dict[int, list[Chain]] = defaultdict(list)
        for chain in closed.chains:
            instance = chain.strokes[0].instance
            if instance:
                blocks[instance].append(chain)
            else:
                shapes.append(Shape(chain.strokes[0].handle, layer, chain.points, closed=False))
        for instance, chains in blocks.items():
            shapes += _box_of_lines(chains, [r for r in closed.rings if r.instance == instance], layer)
    return shapes


def _box_of_lines(chains: Sequence[Chain], rings: Sequence[Ring], layer: str) -> Iterator[Shape]:
    """Yield the box of a block's lines, unless one of its outlines stands for it."""
    lines = (*(chain.points for chain in chains), *((*ring.points, ring.points[0]) for ring in rings))
    box = Box.around(point for line in lines for point in line)
    if all(ring.area < _COVERED * box.width * box.height for ring in rings):
        yield Shape(chains[0].strokes[0].handle, layer, box.corners, closed=True, sides=lines)


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
        return f", or {named}: shape {shape.handle} on it is in the gap"
    return ""


def areas_of(hinted: Iterable[Shape], unassigned: Iterable[Shape], faces: Sequence[Face]) -> Iterator[Path]:
    """Yield the outlines of all that looks like an opening, drawing axes: a text in one is no wall's mark."""
    for shapes, looks in ((hinted, _is_large), (unassigned, looks_like_an_opening)):
        for shape, index, box in _placed(shapes, faces):
            if looks(shape, box, faces[index]):
                yield shape.points


def find_unassigned_openings(
    hinted: Iterable[Shape],
    unassigned: Iterable[Shape],
    finder: HoleFinder,
    layers: LayerIndex,
) -> list[Lookalike]:
    """Read what looks like an opening on layers without a role; openings of other layers go before.

    Args:
        hinted: shapes on layers whose names say openings.
        unassigned: shapes on layers whose names say nothing.
        finder: knows the walls and the openings in them, and takes those that are read now.
        layers: what is known of each layer.
    """
    faces = finder.faces
    taken = [[hole.box for hole in mine] for mine in finder.holes]
    found: list[Lookalike] = []
    for shape, index, box in (*_placed(hinted, faces), *_likely(unassigned, faces, finder.holes)):
        if _is_lookalike(shape, box, faces[index], taken[index]):
            layer = layers.get(shape.layer)
            alone = not any(box.overlaps(other, SAME_IN) for other in taken[index])
            read = layer.visible and alone and finder.add_shape(shape, index)
            taken[index].append(box)
            found.append(Lookalike(shape, index, layer, read))
    return found


def note_unassigned_openings(
    found: Iterable[Lookalike], faces: Sequence[Face], options: ReadingOptions, notices: Notices
) -> None:
    """Say of every layer without a role which shapes on it look like openings, and what became of them.

    What is read from a layer whose name says openings is certain; all else is a doubt.
    """
    kinds: dict[tuple[str, bool], list[Lookalike]] = defaultdict(list)
    for like in sorted(found, key=lambda like: like.wall):
        kinds[like.layer.name, like.read].append(like)
    for (_, read), likes in sorted(kinds.items()):
        if read and likes[0].layer.hint:
            _note_as_read(likes, faces, options, notices)
            continue
        layer, place = likes[0].layer, NoticePlace(layer=likes[0].layer.name)
        for wall in dict.fromkeys(like.wall for like in likes):
            words = _wall_sentence(layer, sum(like.wall == wall for like in likes), read=read)
            notices.doubt("unassigned-opening", words, replace(place, wall=str(faces[wall].tag)))
        words = _sentence(likes, faces, options, read=read)
        notices.doubt("unassigned-opening", words, place)


def _note_as_read(
    likes: Sequence[Lookalike], faces: Sequence[Face], options: ReadingOptions, notices: Notices
) -> None:
    layer, count = likes[0].layer, len(likes)
    tags = listed(dict.fromkeys(str(faces[like.wall].tag) for like in likes), 8, "more walls")
    shapes = "1 shape was" if count == 1 else f"{count} shapes were"
    ignored = as_setting((*options.ignored, layer.name))
    notices.note(
        "opening-by-layer-name",
        f"{shapes} read as openings of {tags} from layer {layer.name}, by its name: the outer "
        f"outline of each, without frames and sills. [layers] ignored = {ignored} leaves them out.",
        NoticePlace(layer=layer.name),
    )


_Placed = tuple[Shape, int, Box]
"""A shape, the number of the wall it stands in, and its box in the wall's axes."""


def _placed(shapes: Iterable[Shape], faces: Sequence[Face]) -> Iterator[_Placed]:
    """Yield the shapes that stand in walls, the largest first."""
    for shape in sorted(shapes, key=_size, reverse=True):
        index = _home(shape, faces)
        if index is not None:
            frame = faces[index].outline.frame
            yield shape, index, Box.around(frame.to_wall(p) for p in shape.points)


def _likely(
    unassigned: Iterable[Shape], faces: Sequence[Face], holes: Sequence[Sequence[Hole]]
) -> Iterator[_Placed]:
    """Yield the unassigned shapes that look like openings; no cladding, and nothing drawn round openings."""
    walls: dict[int, list[_Placed]] = defaultdict(list)
    for placed in _placed(unassigned, faces):
        shape, index, box = placed
        if looks_like_an_opening(shape, box, faces[index]):
            walls[index].append(placed)
    for index, mine in walls.items():
        boxes = [hole.box for hole in holes[index]]
        windows = [*boxes, *(box for _, _, box in mine)]
        single = [
            placed
            for placed in mine
            if not _is_round_others(placed, mine, boxes)
            and not (hangs(placed[2], faces[index]) and is_shutter(placed[2], windows))
        ]
        area = faces[index].outline.ring.area * faces[index].outline.frame.inches_per_unit ** 2
        for placed in single:
            if _covered_by(placed[0].layer, single) < _CLAD * area:
                yield placed


def _covered_by(layer: str, placed: Sequence[_Placed]) -> float:
    return sum(box.width * box.height for shape, _, box in placed if shape.layer == layer)


def _is_round_others(this: _Placed, others: Sequence[_Placed], holes: Sequence[Box]) -> bool:
    """True for a frame round several openings, or round one that was found: a field, a sheet's detail."""
    box = this[2]
    inner = [other for _, _, other in others if other is not box and _holds(box, other)]
    apart = [a for a in inner if not any(b is not a and _holds(b, a) for b in inner)]
    filled = sum(a.width * a.height for a in apart)
    several = len(apart) > 1 and filled < _COVERED * box.width * box.height
    return several or any(_holds(box, hole) for hole in holes)


def _holds(outer: Box, inner: Box) -> bool:
    return outer.grown(SAME_IN).contains(inner)


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


def _is_large(shape: Shape, box: Box, face: Face) -> bool:
    large = min(box.width, box.height) >= LEAST_OPENING_IN - SAME_IN
    return large and (shape.closed or stands_open(shape, face))


def _is_lookalike(shape: Shape, box: Box, face: Face, taken: Sequence[Box]) -> bool:
    if not _is_large(shape, box, face):
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


def _wall_sentence(layer: Layer, count: int, *, read: bool) -> str:
    """Return the short sentence beside the wall, on the plate too."""
    looks = f"{_shapes(count)} on layer {layer.named} {'looks' if count == 1 else 'look'} like"
    if read:
        return f"{looks} {_openings(count)}: read as such, by {'its' if count == 1 else 'their'} looks alone."
    blind = "it was" if count == 1 else "they were"
    return (
        f"{looks} {_openings(count)} but {'was' if count == 1 else 'were'} not read: joints are placed as if "
        f"{blind} not there."
    )


def _shapes(count: int) -> str:
    return "1 shape" if count == 1 else f"{count} shapes"


def _openings(count: int) -> str:
    return "an opening" if count == 1 else "openings"


def setting_with(layer: str, options: ReadingOptions) -> str:
    """Return the setting that makes openings of what is on a layer, beside those that are known."""
    return f"[layers] openings = {as_setting((*options.openings, layer))}"


def _sentence(
    likes: Sequence[Lookalike], faces: Sequence[Face], options: ReadingOptions, *, read: bool
) -> str:
    layer, count = likes[0].layer, len(likes)
    named = handles_named(like.shape.handle for like in likes)
    tags = listed(dict.fromkeys(str(faces[like.wall].tag) for like in likes), 8, "more walls")
    look = "looks" if count == 1 else "look"
    looks = f"{_shapes(count)} on it in {tags} {look} like {_openings(count)} ({named})"
    blind, required = ("it was", "it is one") if count == 1 else ("they were", "they are openings")
    became = f"{blind} read as such" if read else f"joints are placed as if {blind} not there"
    return (
        f"Layer {layer.named} has no role, yet {looks}: {became}. "
        f"If {required}, {layer.name_it} in the settings: {setting_with(layer.name, options)}; "
        f"if not, [layers] ignored = {as_setting((*options.ignored, layer.name))} keeps this quiet."
    )
