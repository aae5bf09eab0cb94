# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""What the drafter has drawn, reduced to what a label must mind: texts, dimensions, lines.

Every reading here is a cautious estimate that asks no font: a text's box is never smaller than the
text. Blocks are opened up to a depth and a number of entities, so that no drawing can hang it.

Glossary:
    quad: the four corners of a text in drawing axes.
    closed frame: a level closed rectangle of the drafter's, such as a sheet border.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

from ezdxf.document import Drawing
from ezdxf.entities.dxfgfx import DXFGraphic

from perpend.drawing.lettering import text_width
from perpend.drawing.style import APP_ID
from perpend.model import Point

Quad = tuple[Point, Point, Point, Point]
Segment = tuple[Point, Point]

_MAX_DEPTH: Final = 4
_MAX_OPENED: Final = 50_000
_ARC_PIECES: Final = 12
_LINE_PITCH: Final = 1.7


@dataclass(slots=True)
class Survey:
    """Everything of the drafter's in modelspace, in drawing axes and drawing units.

    Attributes:
        quads: texts.
        lines: straight pieces of lines and curves.
        dimension_lines: straight pieces of dimensions.
        areas: corners of boxes around hatches, solids and pictures.
        opened: entities taken out of blocks.
    """

    quads: list[Quad] = field(default_factory=list)
    lines: list[Segment] = field(default_factory=list)
    dimension_lines: list[Segment] = field(default_factory=list)
    areas: list[tuple[Point, Point]] = field(default_factory=list)
    opened: int = 0


def survey(doc: Drawing) -> Survey:
    """Read every entity of modelspace that is not ours.

    Args:
        doc: a loaded drawing; nothing in it is changed.
    """
    found = Survey()
    for entity in doc.modelspace():
        if entity.xdata is not None and entity.has_xdata(APP_ID):
            continue
        _read(entity, found, 0, False)
    return found


def _read(entity: DXFGraphic, found: Survey, depth: int, in_dimension: bool) -> None:
    """Add what one entity shows; what cannot be read is left out."""
    kind = entity.dxftype()
    reader = _READERS.get(kind)
    try:
        if reader is not None:
            (found.dimension_lines if in_dimension else found.lines).extend(reader(entity))
        elif kind == "TEXT":
            _keep_quad(found, _text_quad(entity))
        elif kind in {"ATTRIB", "ATTDEF"}:
            if kind == "ATTRIB" and not entity.is_invisible:  # type: ignore[attr-defined]
                _keep_quad(found, _text_quad(entity))
        elif kind == "MTEXT":
            _keep_quad(found, _mtext_quad(entity))
        elif kind in _AREAS:
            found.areas.append(_AREAS[kind](entity))
        elif kind in {"INSERT", "DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION", "MULTILEADER"}:
            _open(entity, found, depth, in_dimension or "DIMENSION" in kind)
    except (AttributeError, IndexError, KeyError, ValueError, TypeError, ZeroDivisionError):
        return


def _keep_quad(found: Survey, quad: Quad | None) -> None:
    if quad is not None and all(math.isfinite(v) for corner in quad for v in corner):
        found.quads.append(quad)


def _open(entity: Any, found: Survey, depth: int, in_dimension: bool) -> None:
    if depth >= _MAX_DEPTH or found.opened >= _MAX_OPENED:
        return
    if entity.dxftype() == "INSERT":
        if entity.mcount > 1:
            return
        for attrib in entity.attribs:
            _read(attrib, found, depth, in_dimension)
    for part in entity.virtual_entities():
        found.opened += 1
        if found.opened >= _MAX_OPENED:
            return
        _read(part, found, depth + 1, in_dimension)


def _flat(points: Iterable[Any]) -> list[Point]:
    return [(float(p[0]), float(p[1])) for p in points]


def _pieces(points: list[Point], closed: bool = False) -> Iterator[Segment]:
    if not all(math.isfinite(v) for p in points for v in p):
        return
    yield from itertools.pairwise(points)
    if closed and len(points) > 2:
        yield (points[-1], points[0])


def _line(entity: Any) -> Iterator[Segment]:
    values = entity.dxf.all_existing_dxf_attribs()
    yield from _pieces(_flat((values["start"], values["end"])))


def _lwpolyline(entity: Any) -> Iterator[Segment]:
    points = list(entity.get_points("xyb"))
    if entity.dxf.get("extrusion", (0, 0, 1))[2] < 0:
        points = [(-x, y, -bulge) for x, y, bulge in points]
    yield from _pieces(_bulged(points, entity.closed), False)


def _bulged(points: list[Any], closed: bool) -> list[Point]:
    """Return the corners of a polyline with a few points along each arc."""
    if not points:
        return []
    ring = [*points, points[0]] if closed else points
    flat: list[Point] = [(ring[0][0], ring[0][1])]
    for (xa, ya, bulge), (xb, yb, _) in itertools.pairwise(ring):
        if bulge:
            sagitta = bulge / 2
            nx, ny = (yb - ya) * sagitta, -(xb - xa) * sagitta
            for t in (0.25, 0.5, 0.75):
                swell = 4 * t * (1 - t)
                flat.append((xa + (xb - xa) * t + nx * swell, ya + (yb - ya) * t + ny * swell))
        flat.append((xb, yb))
    return flat


def _polyline(entity: Any) -> Iterator[Segment]:
    yield from _pieces(_flat(v.dxf.location for v in entity.vertices), entity.is_closed)


def _circle(entity: Any) -> Iterator[Segment]:
    start, end = (0.0, 360.0)
    if entity.dxftype() == "ARC":
        start, end = entity.dxf.start_angle, entity.dxf.end_angle
        end += 360.0 if end <= start else 0.0
    center, radius = entity.ocs().to_wcs(entity.dxf.center), entity.dxf.radius
    angles = [math.radians(start + (end - start) * i / _ARC_PIECES) for i in range(_ARC_PIECES + 1)]
    flip = -1.0 if entity.dxf.get("extrusion", (0, 0, 1))[2] < 0 else 1.0
    ring = [(center[0] + flip * radius * math.cos(a), center[1] + radius * math.sin(a)) for a in angles]
    yield from _pieces(ring)


def _curve(entity: Any) -> Iterator[Segment]:
    if entity.dxftype() == "ELLIPSE":
        points = _flat(entity.vertices(entity.params(_ARC_PIECES)))
    else:
        points = _flat(entity.control_points) or _flat(entity.fit_points)
    yield from _pieces(points)


def _leader(entity: Any) -> Iterator[Segment]:
    yield from _pieces(_flat(entity.vertices))


_READERS: Final = {
    "LINE": _line,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "CIRCLE": _circle,
    "ARC": _circle,
    "ELLIPSE": _curve,
    "SPLINE": _curve,
    "LEADER": _leader,
}


def _corners(points: list[Point]) -> tuple[Point, Point]:
    xs, ys = zip(*points, strict=True)
    low, high = (min(xs), min(ys)), (max(xs), max(ys))
    if not all(math.isfinite(v) for v in (*low, *high)):
        raise ValueError("an infinite coordinate")
    return (low, high)


def _hatch_area(entity: Any) -> tuple[Point, Point]:
    points: list[Point] = []
    for path in entity.paths:
        if hasattr(path, "vertices"):
            points += _flat(path.vertices)
            continue
        for edge in path.edges:
            if hasattr(edge, "start"):
                points += _flat((edge.start, edge.end))
    return _corners(points)


def _solid_area(entity: Any) -> tuple[Point, Point]:
    return _corners(
        _flat(entity.dxf.get(name) for name in ("vtx0", "vtx1", "vtx2") if entity.dxf.hasattr(name))
    )


def _image_area(entity: Any) -> tuple[Point, Point]:
    return _corners(_flat(entity.boundary_path_wcs()))


_AREAS: Final = {
    "HATCH": _hatch_area,
    "SOLID": _solid_area,
    "TRACE": _solid_area,
    "3DFACE": _solid_area,
    "IMAGE": _image_area,
    "WIPEOUT": _image_area,
}


def _text_quad(entity: Any) -> Quad | None:
    """Return the corners of a TEXT or ATTRIB, whatever its alignment."""
    text, dxf = entity.plain_text(), entity.dxf
    if not text.strip() or dxf.height <= 0:
        return None
    height, factor = dxf.height, dxf.get("width", 1.0) or 1.0
    width = text_width(text, height, max(abs(factor), 0.1))
    align, valign = dxf.get("halign", 0), dxf.get("valign", 0)
    anchor = dxf.insert
    if (align or valign) and dxf.hasattr("align_point"):
        anchor = dxf.align_point
    angle = math.radians(dxf.get("rotation", 0.0))
    if align in {3, 5} and dxf.hasattr("align_point"):
        anchor, span = dxf.insert, dxf.align_point - dxf.insert
        width, angle = max(span.magnitude, height), math.atan2(span.y, span.x)
        align = 0
    left = {0: 0.0, 1: -width / 2, 2: -width, 4: -width / 2}.get(align, 0.0)
    bottom = {0: -0.35, 1: 0.0, 2: -0.75, 3: -1.35}.get(0 if align == 4 else valign, -0.35) * height
    bottom = -0.75 * height if align == 4 else bottom
    if dxf.get("text_generation_flag", 0) & 2:
        left = -(left + width)
    place = entity.ocs().to_wcs(anchor)
    return _turned(place, angle, left, bottom, width, 1.5 * height)


def _mtext_quad(entity: Any) -> Quad | None:
    """Return the corners of an MTEXT; its lines are broken again by the cautious width table."""
    lines = entity.plain_text(split=True)
    if not any(line.strip() for line in lines):
        return None
    height = entity.dxf.char_height
    column = entity.dxf.get("width", 0.0) or 0.0
    count, width = 0, 0.0
    for line in lines:
        natural = text_width(line, height, 1.0)
        if column > 0 and natural > column:
            count += math.ceil(natural / column + 0.3)
            width = max(width, column)
        else:
            count += 1
            width = max(width, natural)
    pitch = height * _LINE_PITCH * entity.dxf.get("line_spacing_factor", 1.0)
    tall = height * 1.4 + (count - 1) * pitch
    point = entity.dxf.get("attachment_point", 1)
    left = -width * ((point - 1) % 3) / 2
    bottom = {0: -tall + 0.1 * height, 1: -tall / 2, 2: -0.3 * height}[(point - 1) // 3]
    return _turned(entity.dxf.insert, math.radians(entity.get_rotation()), left, bottom, width, tall)


def _turned(place: Any, angle: float, left: float, bottom: float, width: float, tall: float) -> Quad:
    cos, sin = math.cos(angle), math.sin(angle)

    def corner(x: float, y: float) -> Point:
        return (place[0] + x * cos - y * sin, place[1] + x * sin + y * cos)

    return (
        corner(left, bottom),
        corner(left + width, bottom),
        corner(left + width, bottom + tall),
        corner(left, bottom + tall),
    )
