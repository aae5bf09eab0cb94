# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""What entities show, reduced to texts, straight pieces and areas, flat.

Every reading here is a cautious estimate that asks no font: a text's box is never smaller than the
text. Blocks are read once each, however many references they have (`perpend.dxf.reference_shapes`), and
what is opened is bounded, so that no drawing can hang it. A drawing may hold a hundred thousand
entities, so the commonest kinds are read by the shortest way and everything is kept in flat arrays.

Glossary:
    quad: the four corners of a text, eight numbers.
    segment: a straight piece of a line, four numbers.
"""

from __future__ import annotations

import itertools
from array import array
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing
from ezdxf.math import OCS, Vec3

from perpend.dxf.damage import DAMAGED
from perpend.dxf.expansion_budget import Budget
from perpend.dxf.flat_pieces import ARC_PIECES, arc_at, around, bulged, chain, circle_at
from perpend.dxf.partial.skipped_geometry import areas_of, curves_of, line_text, paragraph_lines, quads_of
from perpend.dxf.reference_shapes import (
    BlockShapes,
    Carrier,
    Content,
    References,
    Shapes,
    plain_carrier,
)
from perpend.dxf.text_extents import line_corners, paragraph_corners, placed

if TYPE_CHECKING:
    from perpend.dxf.partial.record_geometry import Shown

Numbers = npt.NDArray[np.float64]
Flat = list[float]

_BUDGET: Final = Budget()


def _doubles() -> array[float]:
    return array("d")


@dataclass(slots=True)
class ShownReader:
    """Collects what entities show, flat; block references are kept for later."""

    quads: array[float] = field(default_factory=_doubles)
    lines: array[float] = field(default_factory=_doubles)
    dimension_lines: array[float] = field(default_factory=_doubles)
    areas: array[float] = field(default_factory=_doubles)
    references: References = field(default_factory=References)
    opened: int = 0
    depth: int = 0

    def everything(self, doc: Drawing) -> Shapes:
        """Return what was read, and what the block references show."""
        blocks = BlockShapes(lambda name: _content(doc, name))
        return Shapes.together([self.references.shown(blocks.of), self.shapes()])

    def shapes(self) -> Shapes:
        """Return everything read so far but what block references show.

        What is infinite or undefined is left out.
        """
        return Shapes(
            _rows(self.quads, 4), _rows(self.lines, 2), _rows(self.dimension_lines, 2), _rows(self.areas, 4)
        )

    def read(self, entity: Any, in_dimension: bool = False) -> None:
        """Add what one entity shows; what cannot be read is left out."""
        kind = entity.DXFTYPE
        try:
            if kind in _LINES:
                (self.dimension_lines if in_dimension else self.lines).extend(_LINES[kind](entity))
            elif kind in TEXTS:
                self.quads.extend(TEXTS[kind](entity))
            elif kind in _AREAS:
                self.areas.extend(around(_AREAS[kind](entity)))
            elif kind == "INSERT":
                self._refer(entity, in_dimension)
            elif kind == "MULTILEADER" or "DIMENSION" in kind:
                self._open(entity, in_dimension or kind != "MULTILEADER")
        except DAMAGED:
            return

    def add_shown(self, shown: Shown, *, hidden: bool = False, in_dimension: bool = False) -> None:
        """Add what records show that were kept from ezdxf; of a hidden layer only the texts."""
        self.quads.extend(quads_of(shown, hidden=hidden))
        if hidden:
            return
        lines = self.dimension_lines if in_dimension else self.lines
        lines.extend(shown.lines)
        lines.extend(curves_of(shown))
        self.areas.extend(areas_of(shown))
        for block, *place in shown.references:
            self.references.add(block, plain_carrier(*place), in_dimension)

    def _refer(self, entity: Any, in_dimension: bool) -> None:
        if entity.mcount > 1:
            return
        for attrib in entity.attribs:
            self.read(attrib, in_dimension)
        self.references.add(entity.dxf.name, _carrier(entity), in_dimension)

    def _open(self, entity: Any, in_dimension: bool) -> None:
        block = entity.get_geometry_block() if _lies_flat(entity) else None
        if self.depth >= _BUDGET.shown_depth:
            return
        self.depth += 1
        for part in entity.virtual_entities() if block is None else block:
            self.opened += block is None
            if self.opened >= _BUDGET.shown_parts:
                break
            self.read(part, in_dimension)
        self.depth -= 1


def _content(doc: Drawing, name: str) -> Content:
    """Read a block in its own axes, from its base point."""
    reader, layout = ShownReader(), doc.blocks.get(name)
    if layout is None or layout.block is None:
        return Shapes(), References()
    for entity in layout:
        reader.read(entity)
    x, y, _ = layout.block.dxf.base_point
    if x or y:
        back = np.array([(1.0, 0.0, 0.0, 1.0, -x, -y)])
        for carriers in reader.references.carriers.values():
            carriers[:] = [(a, b, c, d, u - x, v - y) for a, b, c, d, u, v in carriers]
        return reader.shapes().carried(back), reader.references
    return reader.shapes(), reader.references


def _carrier(entity: Any) -> Carrier:
    dxf = entity.dxf
    x, y, _ = _world(entity, dxf.insert)
    if dxf.extrusion[2] == 1.0:
        return plain_carrier(x, y, dxf.xscale, dxf.yscale, dxf.rotation)
    (a, b, *_), (c, d, *_) = itertools.islice(entity.matrix44().rows(), 2)
    return (a, b, c, d, x, y)


def _lies_flat(entity: Any) -> bool:
    """Say whether a dimension shows its block as it is, where it is."""
    if entity.DXFTYPE != "DIMENSION":
        return False
    return not entity.dxf.hasattr("insert") and tuple(entity.dxf.extrusion) == (0.0, 0.0, 1.0)


def _rows(numbers: array[float], corners: int) -> Numbers:
    """Return rows of corners, without those that have an infinite or undefined number."""
    rows: Numbers = np.frombuffer(numbers, np.float64).reshape(-1, 2 * corners)
    finite = np.isfinite(rows).all(axis=1)
    return (rows if finite.all() else rows[finite]).reshape(-1, corners, 2)


def _line(entity: Any) -> Flat:
    dxf = entity.dxf
    start, end = dxf.start, dxf.end
    return [start.x, start.y, end.x, end.y]


def _lwpolyline(entity: Any) -> Flat:
    rows = entity.lwpoints.values.tolist()
    if "extrusion" in entity.dxf.__dict__ and entity.dxf.extrusion[2] < 0:
        rows = [(-row[0], row[1], 0.0, 0.0, -row[4]) for row in rows]
    return bulged(rows, entity.closed) if any(row[4] for row in rows) else chain(rows, entity.closed)


def _polyline(entity: Any) -> Flat:
    return chain([v.dxf.location for v in entity.vertices], entity.is_closed)


def _circle(entity: Any) -> Flat:
    x, y, _ = _world(entity, entity.dxf.center)
    return circle_at(x, y, entity.dxf.radius)


def _arc(entity: Any) -> Flat:
    x, y, _ = _world(entity, entity.dxf.center)
    flip = -1.0 if entity.dxf.extrusion[2] < 0 else 1.0
    return arc_at(x, y, entity.dxf.radius, entity.dxf.start_angle, entity.dxf.end_angle, flip)


def _ellipse(entity: Any) -> Flat:
    return chain(entity.vertices(entity.params(ARC_PIECES)))


def _spline(entity: Any) -> Flat:
    return chain(entity.control_points) or chain(entity.fit_points)


def _leader(entity: Any) -> Flat:
    return chain(entity.vertices)


_LINES: Final[dict[str, Callable[[Any], Flat]]] = {
    "LINE": _line,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "CIRCLE": _circle,
    "ARC": _arc,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
    "LEADER": _leader,
}


def _hatch(entity: Any) -> list[Any]:
    points: list[Any] = []
    for path in entity.paths:
        if hasattr(path, "vertices"):
            points += path.vertices
            continue
        for edge in path.edges:
            if hasattr(edge, "start"):
                points += (edge.start, edge.end)
    return points


def _solid(entity: Any) -> list[Any]:
    return [entity.dxf.get(name) for name in ("vtx0", "vtx1", "vtx2") if entity.dxf.hasattr(name)]


def _image(entity: Any) -> list[Any]:
    return list(entity.boundary_path_wcs())


_AREAS: Final[dict[str, Callable[[Any], list[Any]]]] = {
    "HATCH": _hatch,
    "SOLID": _solid,
    "TRACE": _solid,
    "3DFACE": _solid,
    "IMAGE": _image,
    "WIPEOUT": _image,
}


def _world(entity: Any, point: Any) -> Vec3:
    extrusion = entity.dxf.extrusion
    if extrusion[2] == 1.0:
        return Vec3(point)
    return OCS(extrusion).to_wcs(Vec3(point))


def _text(entity: Any) -> Flat:
    """Return the corners of a TEXT or ATTRIB, whatever its alignment."""
    dxf = entity.dxf
    corners, place = line_corners(
        line_text(dxf.text),
        dxf.height,
        dxf.width,
        dxf.halign,
        dxf.valign,
        dxf.rotation,
        bool(dxf.text_generation_flag & 2),
        dxf.insert,
        dxf.__dict__.get("align_point"),
    )
    return placed(corners, _world(entity, place)) if corners else []


def _attrib(entity: Any) -> Flat:
    return [] if entity.is_invisible else _text(entity)


def _mtext(entity: Any) -> Flat:
    """Return the corners of an MTEXT."""
    dxf = entity.dxf
    corners = paragraph_corners(
        paragraph_lines(entity.text),
        dxf.char_height,
        dxf.get("width", 0.0) or 0.0,
        dxf.get("line_spacing_factor", 1.0),
        dxf.get("attachment_point", 1),
        entity.get_rotation(),
    )
    return placed(corners, dxf.insert) if corners else []


TEXTS: Final[dict[str, Callable[[Any], Flat]]] = {"TEXT": _text, "ATTRIB": _attrib, "MTEXT": _mtext}
