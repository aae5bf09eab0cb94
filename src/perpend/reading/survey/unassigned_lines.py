"""Straight pieces on unassigned layers, as raw numbers: there may be a hundred thousand of them.

What was left out of the loading is known as numbers already, and of what ezdxf has loaded the same
numbers are taken by the shortest way, so that both come to the same. A block is looked into once.

Glossary:
    unassigned: on a layer without a role whose name says nothing of what is on it.
    piece: a straight line between two corners, four numbers; what has an arc in it has none.
"""

from __future__ import annotations

import itertools
import math
from array import array
from collections import defaultdict
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.block_index import Block, cells
from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import FARTHEST, Origin
from perpend.dxf.load import LoadedDrawing
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.reading.gather.entities import Gathered
from perpend.reading.gather.layer_index import Layer
from perpend.reading.survey.unassigned_blocks import UnassignedBlocks, is_open

if TYPE_CHECKING:
    from ezdxf.math import Matrix44

Pieces = npt.NDArray[np.float64]
"""Ends of straight pieces, shape (n, 4)."""

_STRAIGHT: Final = frozenset({"LINE", "LWPOLYLINE", "POLYLINE"})


def unassigned_pieces(source: LoadedDrawing, found: Gathered, least: float) -> dict[str, Pieces]:
    """Return the straight pieces on every unassigned layer that shows, drawing axes and drawing units.

    Args:
        source: the drawing.
        found: what the pass over its layout found.
        least: of a block whose pieces reach less far than this, nothing is returned.
    """
    return _Finder(source, found, least).run()


class _Finder(UnassignedBlocks):
    def __init__(self, source: LoadedDrawing, found: Gathered, least: float) -> None:
        super().__init__(source, found)
        self.least = least
        self.numbers: dict[str, array[float]] = defaultdict(lambda: array("d"))
        self._blocks: dict[tuple[str, str], dict[str, Pieces]] = {}
        self._reaches: dict[tuple[str, str], float] = {}

    def run(self) -> dict[str, Pieces]:
        """Look at what is loaded, then at what was left out."""
        for entity in self.found.unassigned:
            if is_invisible(entity):
                continue
            if entity.dxftype() == "INSERT":
                self._refer(entity, self.found.layers.get(layer_of(entity)))
            else:
                self.numbers[layer_of(entity)].extend(self._corners(entity))
        for name, shown in left_out_of(self.source.doc).shown.items():
            layer = self.found.layers.get(name)
            if layer.unassigned and layer.visible:
                self.numbers[name].extend(shown.lines)
            for block, *place in shown.references:
                if is_open(layer) and self._reach(block, layer) * max(map(abs, place[2:4])) >= self.least:
                    self._add(self._in_block(block, layer), self._carrier(block, place))
        return {name: _rows(numbers) for name, numbers in self.numbers.items() if numbers}

    def _corners(self, entity: Any) -> Iterable[float]:  # noqa: ANN401 - ezdxf entities are duck-typed
        """Return the pieces of one entity, flat."""
        kind, dxf = entity.dxftype(), entity.dxf
        if kind == "LINE":
            (x0, y0, _), (x1, y1, _) = dxf.start, dxf.end
            return x0, y0, x1, y1
        if kind == "LWPOLYLINE" and not dxf.hasattr("extrusion"):
            rows = np.asarray(entity.lwpoints.values, dtype=np.float64).reshape(-1, 5)
            bulged = rows[:, 4].any()
            return () if bulged else _chained(*rows[:, :2].T.tolist(), closed=entity.closed)
        flat: list[float] = []
        if kind in _STRAIGHT:
            for stroke in self.strokes(entity, Origin("", "")):
                if not stroke.curved:
                    flat += _chained(*zip(*stroke.points, strict=True), closed=stroke.closed)
        return flat

    def _refer(self, reference: Any, layer: Layer) -> None:  # noqa: ANN401 - an Insert
        name = str(reference.dxf.get("name", ""))
        scale = max(abs(reference.dxf.get("xscale", 1.0)), abs(reference.dxf.get("yscale", 1.0)))
        far = cells(reference) > 1 or self._reach(name, layer) * scale >= self.least
        if is_open(layer) and far:
            for carrier in self.carriers(reference):
                self._add(self._in_block(name, layer), carrier)

    def _carrier(self, block: str, place: Iterable[float]) -> Matrix44:
        """Return what carries a block into the drawing where only the numbers of its reference are known."""
        from ezdxf.math import Matrix44

        x, y, x_scale, y_scale, degrees = place
        base = self.foot_of(block)
        return (
            Matrix44.translate(-base[0], -base[1], 0.0)
            @ Matrix44.scale(x_scale, y_scale, 1.0)
            @ Matrix44.z_rotate(math.radians(degrees))
            @ Matrix44.translate(x, y, 0.0)
        )

    def _add(self, pieces: dict[str, Pieces], carrier: Matrix44) -> None:
        for name, rows in pieces.items():
            self.numbers[name].extend(_carried(rows, carrier).ravel())

    def _reach(self, block: str, layer: Layer) -> float:
        """Return how far the pieces of one layer in a block reach, from corner to corner, block axes."""
        key = block.lower(), layer.name
        if key not in self._reaches:
            rows = self._in_block(block, layer).values()
            self._reaches[key] = max(map(_diagonal, rows), default=0.0)
        return self._reaches[key]

    def _in_block(self, name: str, layer: Layer) -> dict[str, Pieces]:
        """Return the pieces of a block by the layer they show on, for references on one layer; block axes."""
        key = name.lower(), layer.name
        if key not in self._blocks:
            block = self.openable(name)
            self._blocks[key] = self._open(block, layer) if block else {}
        return self._blocks[key]

    def _open(self, block: Block, layer: Layer) -> dict[str, Pieces]:
        found: dict[str, list[Pieces]] = defaultdict(list)
        for shown_on, entities in self.entities_in(block, layer):
            flat = array("d", itertools.chain.from_iterable(map(self._corners, entities)))
            found[shown_on.name].append(_rows(flat))
        for inner, inner_name, shown_on in self.references_in(block, layer):
            pieces = self._in_block(inner_name, shown_on)
            for carrier in self.carriers(inner) if pieces else ():
                for name, rows in pieces.items():
                    found[name].append(_carried(rows, carrier))
        return {name: np.concatenate(rows) for name, rows in found.items()}


def _rows(numbers: array[float]) -> Pieces:
    """Return flat numbers as pieces, without what is no place on a drawing."""
    rows = np.array(numbers, dtype=np.float64).reshape(-1, 4)
    found: Pieces = rows[(np.abs(rows) < FARTHEST).all(axis=1)]
    return found


def _chained(xs: Iterable[float], ys: Iterable[float], *, closed: bool) -> list[float]:
    corners = list(zip(xs, ys, strict=True))
    if closed and len(corners) > 2:
        corners.append(corners[0])
    return [number for a, b in itertools.pairwise(corners) for number in (*a, *b)]


def _diagonal(rows: Pieces) -> float:
    """Return the diagonal of the box round pieces."""
    return float(np.hypot(*np.ptp(rows.reshape(-1, 2), axis=0))) if len(rows) else 0.0


def _carried(rows: Pieces, carrier: Matrix44) -> Pieces:
    """Carry pieces from a block into what holds it."""
    origin, right, up = (carrier.transform(p) for p in ((0, 0, 0), (1, 0, 0), (0, 1, 0)))
    across, upward = right - origin, up - origin
    x, y = rows[:, 0::2], rows[:, 1::2]
    carried = np.empty_like(rows)
    carried[:, 0::2] = origin.x + x * across.x + y * upward.x
    carried[:, 1::2] = origin.y + x * across.y + y * upward.y
    return carried
