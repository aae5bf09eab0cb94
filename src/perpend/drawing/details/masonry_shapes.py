"""Units, joints, sealant, steel and break lines as a detail shows them in plan, elevation and section."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Literal

from perpend.drawing.details.detail_sketch import CUT, FINE, JOINT, SEAL, STEEL, Sketch, Vertex, ring
from perpend.drawing.details.detail_values import DetailValues
from perpend.model import Box, Point

End = Literal["flat", "ears", "sash", "tongue", "groove"]


def end_profile(kind: End, x: float, y0: float, y1: float, out: int, v: DetailValues) -> list[Point]:
    """Return the end of a unit in plan, from y0 up to y1.

    Args:
        kind: its shape.
        x: where the end is.
        y0: one face of the wall.
        y1: the other face.
        out: 1 for a right end, -1 for a left one.
        v: sizes.
    """
    middle = (y0 + y1) / 2
    if kind == "ears":
        low, high = y0 + v["shell"], y1 - v["shell"]
        deep = x - out * v["ear"]
        return [(x, y0), (x, low), (deep, low), (deep, high), (x, high), (x, y1)]
    if kind == "sash":
        half, deep = v["sash_width"] / 2, x - out * v["sash_depth"]
        low, high = middle - half, middle + half
        return [(x, y0), (x, low), (deep, low), (deep, high), (x, high), (x, y1)]
    if kind in ("tongue", "groove"):
        reach = v["sash_depth"] * (0.8 if kind == "tongue" else -1.0)
        reach += v["joint_width"] if kind == "tongue" else 0.0
        wide = (y1 - y0) / 4 + (0.0 if kind == "tongue" else v["joint_width"] / 3)
        tip, low, high = x + out * reach, middle - wide, middle + wide
        slope = v["sash_depth"] / 2
        return [(x, y0), (x, low), (tip, low + slope), (tip, high - slope), (x, high), (x, y1)]
    return [(x, y0), (x, y1)]


def unit(
    sk: Sketch,
    x0: float,
    x1: float,
    y0: float,
    v: DetailValues,
    *,
    left: End = "flat",
    right: End = "flat",
    grouted: Sequence[int] = (),
) -> list[Box]:
    """Draw one hollow unit in plan and return its cells, from the left.

    Args:
        sk: the sketch.
        x0: left end.
        x1: right end; a unit that the detail's edge cuts off is drawn by `cut_unit`.
        y0: its lower face.
        v: sizes.
        left: shape of the left end.
        right: likewise.
        grouted: numbers of the cells that are filled.
    """
    y1 = y0 + v["thickness"]
    outline = [*reversed(end_profile(left, x0, y0, y1, -1, v)), *end_profile(right, x1, y0, y1, 1, v)]
    inner0 = x0 + v["web"] + _set_back(left, v)
    inner1 = x1 - v["web"] - _set_back(right, v)
    wide = (inner1 - inner0 - v["web"]) / 2
    low, high = y0 + v["shell"], y1 - v["shell"]
    holes = [
        Box(inner0 + i * (wide + v["web"]), low, inner0 + i * (wide + v["web"]) + wide, high)
        for i in range(2)
    ]
    rings = [ring(hole.x0, hole.y0, hole.x1, hole.y1) for hole in holes]
    sk.fill("masonry", outline, *rings)
    sk.line(*outline, closed=True)
    for number, hole in enumerate(rings):
        if number in grouted:
            sk.fill("grout", hole)
        sk.line(*hole, closed=True)
    return holes


def _set_back(end: End, v: DetailValues) -> float:
    return {"ears": v["ear"], "sash": v["sash_depth"] * 0.6, "groove": v["sash_depth"] * 0.6}.get(end, 0.0)


def cut_unit(sk: Sketch, x_end: float, x_cut: float, y0: float, v: DetailValues, end: End = "flat") -> None:
    """Draw the part of a unit between one of its ends and the edge of the detail, in plan.

    Args:
        sk: the sketch.
        x_end: where its end is.
        x_cut: where the detail's edge cuts it.
        y0: its lower face.
        v: sizes.
        end: shape of the end.
    """
    y1, out = y0 + v["thickness"], 1 if x_end > x_cut else -1
    profile = end_profile(end, x_end, y0, y1, out, v)
    low, high = y0 + v["shell"], y1 - v["shell"]
    web = x_end - out * (v["web"] + _set_back(end, v))
    outline = [(x_cut, y0), *profile, (x_cut, y1), (x_cut, high), (web, high), (web, low), (x_cut, low)]
    sk.fill("masonry", outline)
    sk.line((x_cut, y0), *profile, (x_cut, y1))
    sk.line((x_cut, high), (web, high), (web, low), (x_cut, low))


def break_line(sk: Sketch, a: Point, b: Point) -> None:
    """Draw the jagged line where a detail's edge cuts the wall."""
    length = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    over, jag = sk.p(0.12), min(sk.p(0.09), length / 6)

    def at(along: float, across: float) -> Point:
        return (a[0] + along * ux - across * uy, a[1] + along * uy + across * ux)

    middle = length / 2
    sk.line(
        at(-over, 0),
        at(middle - jag / 2, 0),
        at(middle - jag / 6, jag),
        at(middle + jag / 6, -jag),
        at(middle + jag / 2, 0),
        at(length + over, 0),
        layer=FINE,
    )


def sealant(sk: Sketch, x0: float, x1: float, y: float, into: int, v: DetailValues) -> tuple[Point, Point]:
    """Draw backer rod and sealant in a joint whose mouth is at y; return a point in each: sealant, rod.

    Args:
        sk: the sketch.
        x0: one side of the joint.
        x1: the other side.
        y: the face of the wall.
        into: 1 where the wall is above the face, -1 where it is below.
        v: sizes.
    """
    depth, rod = v["sealant_depth"], v["rod"]
    hollow = 0.1
    face, back = y, y + into * depth
    curve = hollow * into
    body: list[Vertex] = [(x0, face, -curve), (x1, face), (x1, back, -curve), (x0, back)]
    sk.fill("solid", body)
    sk.line(*body, layer=SEAL, closed=True)
    near, far = back + into * hollow * depth * 0.3, back + into * rod
    middle = (near + far) / 2
    round_ = 0.8 * into
    rod_shape: list[Vertex] = [
        (x0, middle - into * rod * 0.15),
        (x0, middle + into * rod * 0.15, -round_),
        (x1, middle + into * rod * 0.15),
        (x1, middle - into * rod * 0.15, -round_),
    ]
    sk.line(*rod_shape, layer=SEAL, closed=True)
    d = (x1 - x0) * 0.32
    for lean in (-1, 1):
        cx = (x0 + x1) / 2
        sk.line((cx - d, middle - lean * d), (cx + d, middle + lean * d), layer=FINE)
    return ((x0 + x1) / 2, y + into * depth / 2), ((x0 + x1) / 2, middle)


def mortar(sk: Sketch, x0: float, y0: float, x1: float, y1: float) -> None:
    """Draw mortar in a joint."""
    sk.fill("mortar", ring(x0, y0, x1, y1))
    sk.line((x0, y0), (x1, y0), layer=FINE)
    sk.line((x0, y1), (x1, y1), layer=FINE)


def wires(sk: Sketch, x0: float, x1: float, y0: float, v: DetailValues) -> None:
    """Draw joint reinforcement in plan, one wire over each face shell."""
    for y in (y0 + v["shell"] / 2, y0 + v["thickness"] - v["shell"] / 2):
        sk.line((x0, y), (x1, y), layer=STEEL, dashed=True)


def courses(
    sk: Sketch, area: Box, v: DetailValues, voids: Iterable[Box] = (), joint: Sequence[Point] = ()
) -> None:
    """Draw bed and head joints of running bond in elevation, up to the edges of the voids.

    Args:
        sk: the sketch.
        area: what is shown; courses and half units count from its origin (0, 0).
        v: sizes.
        voids: boxes where other things are: openings, lintels, bond beams.
        joint: path of the control joint, from bottom to top; head joints that lie on it are left out.
    """
    boxes = list(voids)
    course, half = v["course"], v["unit"] / 2
    first, last = math.floor(area.y0 / course + 1e-9), math.ceil(area.y1 / course - 1e-9)
    for row in range(first, last):
        low, high = max(row * course, area.y0), min((row + 1) * course, area.y1)
        if row > first:
            for x0, x1 in _free(
                area.x0, area.x1, [(b.x0, b.x1) for b in boxes if b.y0 + 1e-6 < low < b.y1 - 1e-6]
            ):
                sk.line((x0, low), (x1, low), layer=FINE)
        number = math.ceil((area.x0 + 1e-6) / half)
        while number * half < area.x1 - 1e-6:
            x = number * half
            inside = any(b.x0 - 1e-6 < x < b.x1 + 1e-6 and b.y0 < (low + high) / 2 < b.y1 for b in boxes)
            on_joint = any(
                abs(a[0] - x) < half * 0.5
                and abs(b[0] - x) < half * 0.5
                and min(a[1], b[1]) < (low + high) / 2 < max(a[1], b[1])
                for a, b in pairwise(joint)
            )
            if (number + row) % 2 == 0 and not inside and not on_joint:
                sk.line((x, low), (x, high), layer=FINE)
            number += 1


def _free(x0: float, x1: float, taken: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return what is left of a span."""
    left = [(x0, x1)]
    for a, b in taken:
        left = [
            part
            for lo, hi in left
            for part in ((lo, min(hi, a)), (max(lo, b), hi))
            if part[1] - part[0] > 1e-6
        ]
    return left


def control_joint(sk: Sketch, *path: Point) -> None:
    """Draw a control joint in elevation."""
    sk.line(*path, layer=JOINT, heavy=True)


def edges(sk: Sketch, area: Box, sides: str = "lrtb") -> None:
    """Draw break lines at the edges of an elevation or section: left, right, top, bottom."""
    corners = {
        "l": ((area.x0, area.y0), (area.x0, area.y1)),
        "r": ((area.x1, area.y0), (area.x1, area.y1)),
        "t": ((area.x0, area.y1), (area.x1, area.y1)),
        "b": ((area.x0, area.y0), (area.x1, area.y0)),
    }
    for side in sides:
        break_line(sk, *corners[side])


def section_course(sk: Sketch, x0: float, y0: float, y1: float, v: DetailValues, *, solid: bool) -> None:
    """Draw one course in vertical section: two face shells, and grout between them where it is solid."""
    x1 = x0 + v["thickness"]
    for a, b in ((x0, x0 + v["shell"]), (x1 - v["shell"], x1)):
        sk.fill("masonry", ring(a, y0, b, y1))
        sk.rect(a, y0, b, y1, CUT)
    if solid:
        sk.fill("grout", ring(x0 + v["shell"], y0, x1 - v["shell"], y1))
        sk.rect(x0 + v["shell"], y0, x1 - v["shell"], y1, CUT)
