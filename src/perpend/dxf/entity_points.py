"""One DXF entity as plain points.

Glossary:
    stroke: the run of points an entity draws, curves flattened, in drawing axes and drawing units.
    carrier: the matrix that carries a block's own coordinates into the drawing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from perpend.dxf.curves import CHORD_RAD, arc_points, spline_points, swept, with_bulges
from perpend.errors import InputError
from perpend.model.geometry import Path, Point

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.math import Matrix44

FARTHEST: Final = 1e12
"""A coordinate beyond this is no place on a drawing, in any unit."""

_SPLINE_FRAME: Final = 16
"""Flag of a POLYLINE's vertex that shapes its fitted curve without lying on it."""

SHAPES: Final = frozenset(
    {
        "LINE",
        "LWPOLYLINE",
        "POLYLINE",
        "ARC",
        "CIRCLE",
        "ELLIPSE",
        "SPLINE",
        "HATCH",
        "MPOLYGON",
        "SOLID",
        "TRACE",
        "3DFACE",
    }
)
"""Entity types that `strokes_of` understands."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """What one entity draws.

    Attributes:
        handle: of the entity, or of the block reference it stands in.
        kind: DXF type.
        layer: the layer it shows on (a block's layer 0 takes that of its reference).
        points: its corners in order; a closed stroke does not repeat its first point.
        closed: True when its last point joins its first.
        curved: True when a part of it was an arc, an ellipse or a spline.
        block: name of the innermost block it stands in, or empty.
        instance: counts the block references met, so that a block's strokes can be kept together;
            0 outside blocks.
        holes: rings cut out of it (hatches).
    """

    handle: str
    kind: str
    layer: str
    points: Path
    closed: bool = False
    curved: bool = False
    block: str = ""
    instance: int = 0
    holes: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a stroke comes from: what is the same for every stroke of one entity."""

    handle: str
    layer: str
    block: str = ""
    instance: int = 0
    carrier: Matrix44 | None = None


def strokes_of(entity: DXFEntity, origin: Origin, file: str, most_points: int) -> list[Stroke]:
    """Return what an entity draws, in drawing axes.

    Args:
        entity: one of the types in `SHAPES`.
        origin: its handle, layer, block and carrier.
        file: the drawing's path, for sentences.
        most_points: budget of points.

    Returns:
        Its strokes; empty when it draws nothing that has an extent.

    Raises:
        InputError: a coordinate is not a number or absurdly far away, or there are too many points.
    """
    kind = entity.dxftype()
    try:
        raw = list(_raw(entity, kind))
    except InputError:
        raise
    except Exception as error:
        text = " ".join(str(error).split())
        raise InputError(f"{file}: {_named(kind, origin)} is damaged ({text}): redraw it.") from None
    found = []
    for points, closed, curved, holes in raw:
        if len(points) > most_points:
            raise InputError(
                f"{file}: {_named(kind, origin)} has {len(points):,} points, more than the {most_points:,} "
                "that are read: simplify it."
            )
        carried = _carried(points, kind, origin, file)
        rings = tuple(_carried(hole, kind, origin, file) for hole in holes)
        if closed and len(carried) > 1 and carried[0] == carried[-1]:
            carried = carried[:-1]
        if len(carried) > 1:
            found.append(
                Stroke(
                    origin.handle,
                    kind,
                    origin.layer,
                    carried,
                    closed and len(carried) > 2,
                    curved,
                    origin.block,
                    origin.instance,
                    rings,
                )
            )
    return found


_Raw = tuple[Sequence[Any], bool, bool, Sequence[Sequence[Any]]]


def _raw(entity: Any, kind: str) -> Iterator[_Raw]:  # noqa: ANN401 - ezdxf entities are duck-typed here
    """Yield (points in world axes, closed, curved, holes) before the carrier is applied."""
    if kind == "LINE":
        yield (entity.dxf.start, entity.dxf.end), False, False, ()
    elif kind == "LWPOLYLINE":
        yield _lwpolyline(entity)
    elif kind == "POLYLINE":
        yield from _polyline(entity)
    elif kind in ("ARC", "CIRCLE"):
        yield _arc_entity(entity, kind)
    elif kind == "ELLIPSE":
        yield _ellipse(entity)
    elif kind == "SPLINE":
        yield _spline(entity)
    elif kind in ("HATCH", "MPOLYGON"):
        yield from _hatch(entity)
    else:
        corners = entity.wcs_vertices()
        yield corners, True, False, ()


def _lwpolyline(entity: Any) -> _Raw:  # noqa: ANN401
    rows = entity.get_points("xyb")
    elevation = entity.dxf.elevation
    flat, curved = with_bulges(rows, entity.closed)
    if entity.dxf.hasattr("extrusion"):
        return _out_of_ocs(entity, flat, elevation), entity.closed, curved, ()
    return flat, entity.closed, curved, ()


def _polyline(entity: Any) -> Iterator[_Raw]:  # noqa: ANN401
    if entity.is_2d_polyline:
        drawn = [v for v in entity.vertices if not v.dxf.flags & _SPLINE_FRAME]
        rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in drawn]
        flat, curved = with_bulges(rows, entity.is_closed)
        height = entity.dxf.elevation.z
        points = _out_of_ocs(entity, flat, height) if entity.dxf.hasattr("extrusion") else flat
        yield points, entity.is_closed, curved, ()
    elif entity.is_3d_polyline:
        drawn = [v for v in entity.vertices if not v.dxf.flags & _SPLINE_FRAME]
        yield [v.dxf.location for v in drawn], entity.is_closed, False, ()


def _arc_entity(entity: Any, kind: str) -> _Raw:  # noqa: ANN401
    center, radius = entity.dxf.center, entity.dxf.radius
    if kind == "CIRCLE":
        points = arc_points((center.x, center.y), radius, 0.0, math.tau)[:-1]
    else:
        start, sweep = swept(entity.dxf.start_angle, entity.dxf.end_angle)
        points = arc_points((center.x, center.y), radius, start, sweep)
    if entity.dxf.hasattr("extrusion"):
        return _out_of_ocs(entity, points, center.z), kind == "CIRCLE", True, ()
    return points, kind == "CIRCLE", True, ()


def _ellipse(entity: Any) -> _Raw:  # noqa: ANN401
    curve = entity.construction_tool()
    sweep = (curve.end_param - curve.start_param) % math.tau or math.tau
    count = 4 * max(1, math.ceil(sweep / CHORD_RAD / 4))
    closed = math.isclose(sweep, math.tau)
    params = [curve.start_param + sweep * i / count for i in range(count + (0 if closed else 1))]
    return list(curve.vertices(params)), closed, True, ()


def _spline(entity: Any) -> _Raw:  # noqa: ANN401
    if entity.control_point_count() == 0 and len(entity.fit_points) > 1:
        return list(entity.fit_points), bool(entity.closed), True, ()
    curve = entity.construction_tool()
    return spline_points(curve), bool(entity.closed), True, ()


def _hatch(entity: Any) -> Iterator[_Raw]:  # noqa: ANN401
    """Yield each outer boundary of a hatch with the holes that lie in it."""
    rings: list[tuple[Sequence[Any], bool]] = []
    for boundary in entity.paths:
        flat, curved = _boundary(boundary)
        if len(flat) > 2:
            height = entity.dxf.elevation.z
            in_world = _out_of_ocs(entity, flat, height) if entity.dxf.hasattr("extrusion") else flat
            rings.append((in_world, curved))
    rings.sort(key=lambda ring: -abs(ring_area([_flat(p) for p in ring[0]])))
    outer: list[tuple[Sequence[Any], bool, list[Sequence[Any]]]] = []
    for points, curved in rings:
        home = next((o for o in outer if point_in_ring(_flat(points[0]), [_flat(p) for p in o[0]])), None)
        if home is None:
            outer.append((points, curved, []))
        else:
            home[2].append(points)
    for ring, bent, holes in outer:
        yield ring, True, bent, holes


def _boundary(boundary: Any) -> tuple[list[Point], bool]:  # noqa: ANN401
    if hasattr(boundary, "vertices"):
        return with_bulges([tuple(v) for v in boundary.vertices], closed=True)
    points: list[Point] = []
    curved = False
    for edge in boundary.edges:
        name = edge.type.name
        if name == "LINE":
            run = [(edge.start.x, edge.start.y), (edge.end.x, edge.end.y)]
        elif name == "ARC":
            curved = True
            start = math.radians(edge.start_angle)
            sweep = (math.radians(edge.end_angle) - start) % math.tau or math.tau
            run = arc_points((edge.center.x, edge.center.y), edge.radius, start, sweep)
            run = run if edge.ccw else run[::-1]
        elif name == "ELLIPSE":
            curved = True
            tool = edge.construction_tool()
            run = [(p.x, p.y) for p in tool.vertices(tool.params(361))]
            run = run if edge.ccw else run[::-1]
        else:
            curved = True
            run = [(p.x, p.y) for p in spline_points(edge.construction_tool())]
        if points and math.dist(points[-1], run[-1]) < math.dist(points[-1], run[0]):
            run.reverse()
        points += run if not points else run[1:]
    if len(points) > 1 and math.dist(points[0], points[-1]) <= 1e-9 * (1 + abs(points[0][0])):
        points.pop()
    return points, curved


def _out_of_ocs(entity: Any, points: Iterable[Point], elevation: float) -> list[Any]:  # noqa: ANN401
    ocs = entity.ocs()
    if not ocs.transform:
        return list(points)
    return list(ocs.points_to_wcs([(x, y, elevation) for x, y in points]))


def _carried(points: Sequence[Any], kind: str, origin: Origin, file: str) -> Path:
    """Carry points into the drawing, drop repeated ones, refuse what is not a place."""
    if origin.carrier is not None:
        points = list(origin.carrier.transform_vertices([(*_flat(p), _height(p)) for p in points]))
    flat = [_flat(p) for p in points]
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in flat):
        raise InputError(
            f"{file}: {_named(kind, origin)} has a coordinate that is not a number: delete or redraw it."
        )
    if any(abs(x) > FARTHEST or abs(y) > FARTHEST for x, y in flat):
        raise InputError(
            f"{file}: {_named(kind, origin)} has a coordinate beyond {FARTHEST:.0e}: move or redraw it."
        )
    kept = [flat[0]] if flat else []
    kept += [b for a, b in itertools.pairwise(flat) if a != b]
    return tuple(kept)


def _flat(point: Any) -> Point:  # noqa: ANN401
    return (float(point[0]), float(point[1]))


def _height(point: Any) -> float:  # noqa: ANN401
    return float(point[2]) if len(point) > 2 else 0.0


def _named(kind: str, origin: Origin) -> str:
    inside = f" in block {origin.block}" if origin.block else ""
    return f"the {kind} with handle {origin.handle}{inside} on layer {origin.layer}"


def ring_area(points: Sequence[Point]) -> float:
    """Return the signed area of a ring (positive when it turns left)."""
    x0, y0 = points[0]
    return (
        sum(
            (a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0)
            for a, b in zip(points, (*points[1:], points[0]), strict=True)
        )
        / 2
    )


def point_in_ring(point: Point, ring: Sequence[Point]) -> bool:
    """Say whether a point lies inside a ring (edges: either way)."""
    x, y = point
    inside = False
    for (xa, ya), (xb, yb) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ya > y) != (yb > y) and x < (xb - xa) * (y - ya) / (yb - ya) + xa:
            inside = not inside
    return inside
