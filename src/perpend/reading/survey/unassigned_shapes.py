"""Shapes on layers whose names say nothing: openings may be among them.

Most of a drawing is on such layers. So what is smaller than an opening, or has its middle in no
wall, is judged by its box alone; only the rest is looked into. A block is looked into once, however
many references it has. Where most of a drawing was left out of the loading, the boxes are known from there
and the few records that count are loaded now, so that the same is found either way.

Glossary:
    unassigned: on a layer without a role whose name says nothing of what is on it.
    near: by its box alone as large as an opening, and in a wall.
    reach: how far the shapes of a block are from where it is inserted.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.block_index import cells
from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import FARTHEST, Origin, Stroke
from perpend.dxf.load import LoadedDrawing
from perpend.dxf.partial.skipped_records import Reach, Records, box_of, left_out_of
from perpend.reading.contents.opening_placement import LEAST_OPENING_IN
from perpend.reading.gather.entities import OUTLINES, Gathered
from perpend.reading.gather.layer_index import Layer
from perpend.reading.outlines.end_proximity import have_company
from perpend.reading.outlines.wall_profile import Outline
from perpend.reading.reading_options import ReadingOptions, Role, matches
from perpend.reading.survey.unassigned_blocks import UnassignedBlocks, is_open
from perpend.reading.survey.unassigned_openings import shapes_among
from perpend.reading.walls.opening_shape_test import LEAN, LEAST_MASONRY_IN, LONGEST, Shape
from perpend.reading.walls.wall_faces import Face

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

_Key = tuple[str, str, str]
"""Layer, kind, and block of a reference."""

_MOST: Final = 2000
"""More lines, outlines or references of one block than these, near on one layer, are a pattern."""


def unassigned_shapes(
    source: LoadedDrawing,
    found: Gathered,
    faces: Sequence[Face],
    options: ReadingOptions,
    gap: float,
    same: float,
) -> list[Shape]:
    """Find the shapes on unassigned layers that may be as large as an opening and stand in walls.

    Args:
        source: the drawing.
        found: what the pass over its layout found.
        faces: the walls.
        options: what is looked for.
        gap: ends up to this far apart are joined, drawing units.
        same: ends up to this far apart are one point, drawing units.
    """
    finder = _Finder(source, found, faces, options, same)
    strokes: list[Stroke] = []
    shapes: list[Shape] = []
    for (layer, kind, block), entities, lines in finder.near():
        strokes += lines
        for entity in entities:
            if kind == "INSERT":
                shapes += finder.referred(entity, block, layer)
            else:
                strokes += finder.strokes(entity, Origin(str(entity.dxf.handle), layer))
    strokes = _sides(strokes, faces, gap)
    strokes.sort(key=lambda stroke: _number(stroke.handle))
    shapes.sort(key=lambda shape: (_number(shape.handle), shape.points))
    return shapes_among(strokes, gap, same) + shapes


def _sides(strokes: Sequence[Stroke], faces: Sequence[Face], gap: float) -> list[Stroke]:
    """Leave out lines that are no sides of openings: that lean and do not meet others, or run across a wall.

    A sloping head meets the jambs. What only crosses other lines would make a net of a pattern, at great
    cost; lines across a wall would make openings of what lies between joints and courses.
    """
    if not strokes:
        return []
    ends = np.array([(stroke.points[0], stroke.points[-1]) for stroke in strokes])
    layers = {name: number for number, name in enumerate(dict.fromkeys(s.layer for s in strokes))}
    kept = have_company(ends, np.array([layers[s.layer] for s in strokes]), max(gap, 1e-6)).all(axis=1)
    lines = np.array([stroke.kind == "LINE" for stroke in strokes])
    kept |= ~lines
    runs = ends[:, 1] - ends[:, 0]
    for turn in {face.outline.frame.angle_rad for face in faces}:
        cos, sin = math.cos(turn), math.sin(turn)
        along, up = np.abs(runs @ np.array([[cos, -sin], [sin, cos]])).T
        kept |= np.minimum(along, up) <= LEAN * np.maximum(along, up)
    for face in faces:
        kept &= ~(lines & _run_across(ends, face.outline))
    return list(itertools.compress(strokes, kept))


def _run_across(ends: npt.NDArray[np.float64], outline: Outline) -> npt.NDArray[np.bool_]:
    """Say of each line, shape (n, 2, 2), whether it runs all along a wall or from its foot to its top."""
    frame, high = outline.frame, max(y for _, y in outline.top.points)
    cos, sin = math.cos(frame.angle_rad), math.sin(frame.angle_rad)
    turned = (ends - frame.origin) @ np.array([[cos, -sin], [sin, cos]]) * frame.inches_per_unit
    x, y = turned.mean(axis=1).T
    along, up = np.abs(turned[:, 1] - turned[:, 0]).T
    inside = (x > 0) & (x < outline.length_in) & (y >= 0) & (y <= high)
    found: npt.NDArray[np.bool_] = inside & (
        (along > LONGEST * outline.length_in) | (up > high - LEAST_MASONRY_IN)
    )
    return found


def _number(handle: str) -> tuple[int, str]:
    """Return what brings handles into one order, however the entities were come by."""
    return len(handle), handle


class _Finder(UnassignedBlocks):
    def __init__(
        self,
        source: LoadedDrawing,
        found: Gathered,
        faces: Sequence[Face],
        options: ReadingOptions,
        same: float,
    ) -> None:
        super().__init__(source, found)
        self.options = options
        self.same = same
        self.walls = [face.outline.ring.box for face in faces]
        self.least = LEAST_OPENING_IN / faces[0].outline.frame.inches_per_unit - same
        self._blocks: dict[tuple[str, str], tuple[Shape, ...]] = {}

    def near(self) -> Iterator[tuple[_Key, list[DXFEntity], list[Stroke]]]:
        """Yield what is to be looked into; of lines that were left out, all is known without loading them."""
        loaded = self._loaded()
        outlines = left_out_of(self.source.doc).outlines
        left_out = {(layer, kind.decode("ascii"), block): r for (layer, kind, block), r in outlines.items()}
        for key in dict.fromkeys((*loaded, *left_out)):
            if not self._counts(key):
                continue
            reaches, entities = loaded.get(key, ((), ()))
            records = left_out.get(key)
            here = self._near(reaches, key)
            there = self._near(records.reaches, key) if records else ()
            if len(here) + len(there) > _MOST:
                continue
            found = [entities[n] for n in here]
            lines: list[Stroke] = []
            if records and key[1] == "LINE":
                lines += (line for n in there for line in self._line(records, n, key[0]))
            elif records:
                found += [records.entity(n, self.source.data, self.source.doc) for n in there]
            yield key, found, lines

    def _line(self, records: Records, number: int, layer: str) -> Iterator[Stroke]:
        x0, y0, x1, y1 = ends = records.reaches[4 * number : 4 * number + 4]
        if max(map(abs, ends)) <= FARTHEST:
            yield Stroke(records.handle(number, self.source.data), "LINE", layer, ((x0, y0), (x1, y1)))

    def _loaded(self) -> dict[_Key, tuple[list[Reach], list[DXFEntity]]]:
        """Sort the entities of unassigned layers that ezdxf has, with the box of each."""
        found: dict[_Key, tuple[list[Reach], list[DXFEntity]]] = defaultdict(lambda: ([], []))
        for entity in self.found.unassigned:
            kind = entity.dxftype()
            box = None if is_invisible(entity) else self._reach(entity, kind)
            if box is not None:
                block = str(entity.dxf.get("name", "")) if kind == "INSERT" else ""
                boxes, entities = found[layer_of(entity), kind, block]
                boxes.append(box)
                entities.append(entity)
        return found

    def _reach(self, entity: Any, kind: str) -> Reach | None:  # noqa: ANN401 - ezdxf entities are duck-typed
        """Return how far an entity reaches; None for a faulty one."""
        dxf = entity.dxf
        tilted = dxf.hasattr("extrusion")
        try:
            if kind == "LINE":
                return dxf.start.x, dxf.start.y, dxf.end.x, dxf.end.y
            if kind == "INSERT":
                if tilted or cells(entity) > 1:
                    return 0.0, 0.0, math.inf, math.inf
                return dxf.insert.x, dxf.insert.y, dxf.get("xscale", 1.0), dxf.get("yscale", 1.0)
            if tilted:
                strokes = self.strokes(entity, Origin(str(dxf.handle), dxf.layer))
                return box_of([number for stroke in strokes for point in stroke.points for number in point])
            if kind == "ARC":
                x, y, radius = dxf.center.x, dxf.center.y, dxf.radius
                return x - radius, y - radius, x + radius, y + radius
            corners = entity.vertices() if kind == "LWPOLYLINE" else entity.points()
            return box_of([number for corner in corners for number in (corner[0], corner[1])])
        except Exception:  # a damaged entity that plays no role
            return None

    def _counts(self, key: _Key) -> bool:
        name, kind, block = key
        layer = self.found.layers.get(name)
        if kind != "INSERT":
            return layer.unassigned and layer.visible
        shown = is_open(layer) and Role.JOINTS not in layer.roles
        return shown and bool(self._shapes(block, name))

    def _near(self, reaches: Sequence[Reach] | Sequence[float], key: _Key) -> Sequence[int]:
        boxes: npt.NDArray[np.float64] = np.asarray(reaches, dtype=np.float64).reshape(-1, 4)
        x0, y0, x1, y1 = boxes.T
        slack: npt.NDArray[np.float64] | float = self.least
        if key[1] == "INSERT":
            slack = self._farthest(key[2], key[0]) * np.maximum(abs(x1), abs(y1))
            x1, y1, large = x0, y0, np.full(len(boxes), fill_value=True)
        else:
            large = np.maximum(abs(x1 - x0), abs(y1 - y0)) >= self.least
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        inside = np.zeros(len(boxes), dtype=bool)
        for left, low, right, high in self.walls:
            inside |= (x >= left - slack) & (x <= right + slack) & (y >= low - slack) & (y <= high + slack)
        found: list[int] = np.flatnonzero(inside & large).tolist()
        return found

    def _farthest(self, block: str, layer: str) -> float:
        foot = self.foot_of(block)
        return max(math.dist(foot, point) for shape in self._shapes(block, layer) for point in shape.points)

    def referred(self, reference: Any, block: str, layer: str) -> Iterator[Shape]:  # noqa: ANN401 - an Insert
        """Yield the shapes that a reference shows, as its own."""
        handle = str(reference.dxf.handle)
        for carrier in self.carriers(reference):
            for shape in self._shapes(block, layer):
                yield replace(shape.carried(carrier), handle=handle)

    def _shapes(self, name: str, layer: str) -> tuple[Shape, ...]:
        """Return the shapes of a block in its own axes, for references on one layer."""
        key = name.lower(), layer
        if key not in self._blocks:
            self._blocks[key] = tuple(self._look_into(name, self.found.layers.get(layer)))
        return self._blocks[key]

    def _look_into(self, name: str, layer: Layer) -> Iterator[Shape]:
        block, drawn_as = self.openable(name), self.found.blocks.name_of(name)
        patterns = (*self.options.opening_blocks, *self.options.not_opening_blocks)
        if block is None or matches(drawn_as, patterns):
            return
        strokes = []
        for shown_on, entities in self.entities_in(block, layer):
            origin = Origin("", shown_on.name, name, 1)
            for entity in entities:
                if entity.dxftype() in OUTLINES:
                    strokes += self.strokes(entity, origin)
        yield from shapes_among(strokes, self.same, self.same)
        for inner, inner_name, shown_on in self.references_in(block, layer):
            yield from self.referred(inner, inner_name, shown_on.name)
