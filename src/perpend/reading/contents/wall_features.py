"""What else stands in or at a wall: pilasters, changes of thickness, supports, bond beams.

Where the joint that a place asks for stands:
    a line: at the line.
    a pilaster, an intersecting wall, a foundation or expansion joint drawn with its width (a closed shape,
        or two upright lines up to 32 in. apart): its middle and its two sides are told; the rule book says
        where the joint goes.
    a recess or a thicker part drawn as a closed shape: at its sides, of which a wide one changes the
        thickness twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import BondBeam, Box, Place, PlaceKind, Support, Zone, ZoneKind
from perpend.notices import NoticePlace, Notices
from perpend.reading.outlines.close_outlines import close_strokes
from perpend.reading.outlines.wall_profile import Outline, grain
from perpend.reading.reading_options import Role
from perpend.units import ON_MODULE_IN, SAME_IN

KINDS: Final = {
    Role.PILASTERS: PlaceKind.PILASTER,
    Role.THICKNESS_CHANGES: PlaceKind.THICKNESS_CHANGE,
    Role.INTERSECTIONS: PlaceKind.INTERSECTION,
    Role.FOUNDATION_JOINTS: PlaceKind.FOUNDATION_JOINT,
    Role.EXPANSION_JOINTS: PlaceKind.EXPANSION_JOINT,
}
ZONES: Final = {Role.BEARINGS: ZoneKind.BEARING, Role.NO_JOINTS: ZoneKind.NO_JOINTS}

_WIDEST_PAIR_IN: Final = 32.0
"""Two upright lines this near are the two faces of one pilaster or intersecting wall."""

_BELOW_IN: Final = 120.0
"""A foundation joint is drawn below the wall, at most this far."""

_UPRIGHT: Final = 8.0
"""Rise over lean of a line that counts as upright."""


Texts = Sequence[tuple[str, tuple[float, float]]]
"""Texts with their places, drawing axes."""


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
    stations: list[_Station] = []
    upright: list[_Shape] = []
    for shape in here:
        placed.add(shape.handle)
        if shape.closed and role is Role.THICKNESS_CHANGES:
            stations.append((shape.box.x0, shape.handle, "", (shape.box.x0, shape.box.x1)))
        elif shape.closed:
            stations.append((shape.box.center[0], shape.handle, "middle", (shape.box.x0, shape.box.x1)))
        elif shape.box.height >= _UPRIGHT * shape.box.width:
            upright.append(shape)
        else:
            notices.ignore(shape.handle, shape.kind, shape.layer, "it is neither upright nor closed")
    pairs = _pairs_and_singles(upright, role)
    stations += pairs
    if role is Role.PILASTERS:
        _doubt_single_lines(pairs, notices)
    return _places(stations, KINDS[role], outline)


def _doubt_single_lines(stations: Sequence[_Station], notices: Notices) -> None:
    """Say which pilasters are one line each: whether that is a side of them or their middle is not known."""
    for _, handle, _, sides in stations:
        if sides is None:
            notices.doubt(
                "pilaster-without-width",
                f"The pilaster of line {handle} is drawn as one line, and its joint is put on that line: "
                "draw both sides of it, so that the joint is at one of them and not in its middle.",
                NoticePlace(handle),
                grave=False,
            )


_Station = tuple[float, str, str, tuple[float, float] | None]
"""Where, handle, what it is, and its two sides where it has a width."""


def _pairs_and_singles(upright: Sequence[_Shape], role: Role) -> list[_Station]:
    pairing = role in (Role.PILASTERS, Role.INTERSECTIONS, Role.EXPANSION_JOINTS)
    found: list[_Station] = []
    index = 0
    while index < len(upright):
        here = upright[index]
        after = upright[index + 1] if index + 1 < len(upright) else None
        apart = after.box.center[0] - here.box.center[0] if after else 0.0
        if pairing and after and ON_MODULE_IN < apart <= _WIDEST_PAIR_IN:
            sides = (here.box.center[0], after.box.center[0])
            found.append((sum(sides) / 2, here.handle, "middle of two lines", sides))
            index += 2
        else:
            found.append((here.box.center[0], here.handle, "", None))
            index += 1
    return found


def _places(stations: Sequence[_Station], kind: PlaceKind, outline: Outline) -> list[Place]:
    """One place per station; at the wall's very ends there is nothing to part."""
    found: list[Place] = []
    for x, handle, note, sides in sorted(stations, key=lambda s: s[:3]):
        inside = any(ON_MODULE_IN < at < outline.length_in - ON_MODULE_IN for at in (x, *(sides or ())))
        if inside and not (found and x - found[-1].x_in <= ON_MODULE_IN):
            faces = None if sides is None else (grain((sides[0], 0.0))[0], grain((sides[1], 0.0))[0])
            found.append(Place(grain((x, 0.0))[0], kind, handle, note, faces_in=faces))
    return found


def _meets(box: Box, outline: Outline, below: float) -> bool:
    high = max(y for _, y in outline.top.points)
    return (
        -ON_MODULE_IN <= box.center[0] <= outline.length_in + ON_MODULE_IN
        and box.y1 >= -below - ON_MODULE_IN
        and box.y0 <= high + ON_MODULE_IN
    )


def zones_of(
    role: Role, strokes: Sequence[Stroke], outline: Outline, gap_in: float, placed: set[str], texts: Texts
) -> list[Zone]:
    """Return the parts of a wall that one of the `ZONES` roles keeps free of joints, left to right."""
    found = []
    for shape in shapes_in(strokes, outline, gap_in):
        if _meets(shape.box, outline, 0.0):
            placed.add(shape.handle)
            said = next((text for text, at in texts if shape.box.holds(outline.frame.to_wall(at))), "")
            found.append(Zone(shape.box, ZONES[role], shape.handle, said))
    return sorted(found, key=lambda z: (z.box.x0, z.box.y0))


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


def shelf_levels(strokes: Sequence[Stroke], outline: Outline, gap_in: float) -> list[float]:
    """Return the levels of the shelf angles that run through a wall, lowest first.

    An angle that is drawn with its depth counts at its top, where the masonry above it stands.
    """
    found = [
        s.box.y1
        for s in shapes_in(strokes, outline, gap_in)
        if s.box.x0 <= outline.length_in / 4
        and s.box.x1 >= 3 * outline.length_in / 4
        and s.box.width >= _UPRIGHT * s.box.height
    ]
    return sorted({grain((0.0, y))[1] for y in found})


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
