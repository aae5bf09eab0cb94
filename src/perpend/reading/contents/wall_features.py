"""What else stands in or at a wall: pilasters, changes of thickness, supports, bond beams.

Where the joint that a place asks for stands:
    a line: at the line.
    a pilaster, an intersecting wall or a foundation joint drawn with its width (a closed shape, or
        two upright lines up to 32 in. apart): at its middle, which lies on the module when the
        pilaster does and is the same for a mirrored drawing.
    a recess or a thicker part drawn as a closed shape: at both its sides, for the thickness changes
        twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import BondBeam, Box, Place, PlaceKind, Support
from perpend.notices import Notices
from perpend.reading.outlines.close_outlines import close_strokes
from perpend.reading.outlines.wall_profile import Outline, grain
from perpend.reading.reading_options import Role
from perpend.units import ON_MODULE_IN, SAME_IN

KINDS: Final = {
    Role.PILASTERS: PlaceKind.PILASTER,
    Role.THICKNESS_CHANGES: PlaceKind.THICKNESS_CHANGE,
    Role.INTERSECTIONS: PlaceKind.INTERSECTION,
    Role.FOUNDATION_JOINTS: PlaceKind.FOUNDATION_JOINT,
}

_WIDEST_PAIR_IN: Final = 32.0
"""Two upright lines this near are the two faces of one pilaster or intersecting wall."""

_BELOW_IN: Final = 120.0
"""A foundation joint is drawn below the wall, at most this far."""

_UPRIGHT: Final = 8.0
"""Rise over lean of a line that counts as upright."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """A stroke or a ring in wall axes."""

    box: Box
    closed: bool
    handle: str
    kind: str
    layer: str


def shapes_in(strokes: Sequence[Stroke], outline: Outline, gap_in: float) -> list[_Shape]:
    """Carry strokes into wall axes; those that close become one shape."""
    inches = outline.frame.inches_per_unit
    closed = close_strokes(strokes, gap_in / inches, SAME_IN / inches, outer_only=True)
    found = [_shape(r.points, outline, True, r.handle, r.kind, r.layer) for r in closed.rings]
    for chain in closed.chains:
        first = chain.strokes[0]
        found.append(_shape(chain.points, outline, False, first.handle, first.kind, first.layer))
    return found


def _shape(
    points: Sequence[tuple[float, float]], outline: Outline, closed: bool, handle: str, kind: str, layer: str
) -> _Shape:
    box = Box.around(grain(outline.frame.to_wall(p)) for p in points)
    return _Shape(box, closed, handle, kind, layer)


def places_of(
    role: Role,
    strokes: Sequence[Stroke],
    outline: Outline,
    gap_in: float,
    placed: set[str],
    notices: Notices,
) -> list[Place]:
    """Return the stations of one role's shapes in one wall.

    Args:
        role: one of `KINDS`.
        strokes: what is drawn on the role's layers.
        outline: the wall.
        gap_in: ends up to this far apart are joined.
        placed: handles that found their wall; those used here are added.
        notices: takes what is ignored.
    """
    below = _BELOW_IN if role is Role.FOUNDATION_JOINTS else 0.0
    here = [s for s in shapes_in(strokes, outline, gap_in) if _meets(s.box, outline, below)]
    here.sort(key=lambda s: s.box.x0)
    stations: list[tuple[float, str, str]] = []
    upright: list[_Shape] = []
    for shape in here:
        placed.add(shape.handle)
        if shape.closed and role is Role.THICKNESS_CHANGES:
            stations += [
                (shape.box.x0, shape.handle, "left side"),
                (shape.box.x1, shape.handle, "right side"),
            ]
        elif shape.closed:
            stations.append((shape.box.center[0], shape.handle, "middle"))
        elif shape.box.height >= _UPRIGHT * shape.box.width:
            upright.append(shape)
        else:
            notices.ignore(shape.handle, shape.kind, shape.layer, "it is neither upright nor closed")
    stations += _pairs_and_singles(upright, role)
    return _places(stations, KINDS[role], outline)


def _pairs_and_singles(upright: Sequence[_Shape], role: Role) -> list[tuple[float, str, str]]:
    pairing = role in (Role.PILASTERS, Role.INTERSECTIONS)
    found = []
    index = 0
    while index < len(upright):
        here = upright[index]
        after = upright[index + 1] if index + 1 < len(upright) else None
        apart = after.box.center[0] - here.box.center[0] if after else 0.0
        if pairing and after and ON_MODULE_IN < apart <= _WIDEST_PAIR_IN:
            found.append(((here.box.center[0] + after.box.center[0]) / 2, here.handle, "middle of two lines"))
            index += 2
        else:
            found.append((here.box.center[0], here.handle, ""))
            index += 1
    return found


def _places(stations: Sequence[tuple[float, str, str]], kind: PlaceKind, outline: Outline) -> list[Place]:
    """One place per station; at the wall's very ends there is nothing to part."""
    found: list[Place] = []
    for x, handle, note in sorted(stations):
        inside = ON_MODULE_IN < x < outline.length_in - ON_MODULE_IN
        if inside and not (found and x - found[-1].x_in <= ON_MODULE_IN):
            found.append(Place(grain((x, 0.0))[0], kind, handle, note))
    return found


def _meets(box: Box, outline: Outline, below: float) -> bool:
    high = max(y for _, y in outline.top.points)
    return (
        -ON_MODULE_IN <= box.center[0] <= outline.length_in + ON_MODULE_IN
        and box.y1 >= -below - ON_MODULE_IN
        and box.y0 <= high + ON_MODULE_IN
    )


def supports_of(
    strokes: Sequence[Stroke], outline: Outline, gap_in: float, placed: set[str], notices: Notices
) -> list[Support]:
    """Return the lines of lateral support of one wall, cut to its length, from bottom to top.

    A support drawn with its depth (a slab) counts at its mid-depth.
    """
    found: list[Support] = []
    for shape in shapes_in(strokes, outline, gap_in):
        box = shape.box
        x0, x1 = max(box.x0, 0.0), min(box.x1, outline.length_in)
        if x1 - x0 <= SAME_IN or not _touches_height(box, outline):
            continue
        placed.add(shape.handle)
        if box.width >= _UPRIGHT * box.height or shape.closed:
            found.append(Support(box.center[1], x0, x1, shape.handle))
        else:
            notices.ignore(shape.handle, shape.kind, shape.layer, "a line of support must be level")
    return sorted(found, key=lambda s: (s.y_in, s.x0_in))


def bond_beams_of(
    strokes: Sequence[Stroke],
    outline: Outline,
    gap_in: float,
    placed: set[str],
    notices: Notices,
    *,
    structural: bool,
    course_in: float,
) -> list[BondBeam]:
    """Return the bond beams of one wall, cut to its length, from bottom to top.

    A bond beam drawn as one line is one course deep, the line at its middle.
    """
    found: list[BondBeam] = []
    for shape in shapes_in(strokes, outline, gap_in):
        box = shape.box
        x0, x1 = max(box.x0, 0.0), min(box.x1, outline.length_in)
        if x1 - x0 <= SAME_IN or not _touches_height(box, outline):
            continue
        placed.add(shape.handle)
        if not shape.closed and box.width < _UPRIGHT * box.height:
            notices.ignore(shape.handle, shape.kind, shape.layer, "a bond beam must be level")
            continue
        half = 0.0 if shape.closed else course_in / 2
        middle = box.center[1]
        y0, y1 = (box.y0, box.y1) if shape.closed else (middle - half, middle + half)
        found.append(BondBeam(Box(x0, y0, x1, y1), structural, shape.handle, shape.layer))
    return sorted(found, key=lambda b: (b.box.y0, b.box.x0))


def _touches_height(box: Box, outline: Outline) -> bool:
    high = max(y for _, y in outline.top.points)
    return box.y1 >= -ON_MODULE_IN and box.y0 <= high + ON_MODULE_IN
