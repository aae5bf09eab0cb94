"""Details where the wall itself changes: corner, pilaster, intersecting wall; all in plan."""

from __future__ import annotations

from collections.abc import Callable

from perpend.drawing.details.detail_sketch import (
    FINE,
    Mark,
    Sketch,
    mapped,
    ring,
)
from perpend.drawing.details.detail_values import DetailValues
from perpend.drawing.details.masonry_shapes import break_line, cut_unit, mortar, sealant, unit, wires
from perpend.drawing.details.opening_details import section_scale
from perpend.model import Box


def corner(v: DetailValues) -> Sketch:
    """A bonded corner and the first joint of one of its walls."""
    thick, length, gap = v["thickness"], v["unit"] - v["mortar"], v["mortar"]
    joint = v["joint_width"]
    down = -v["unit"] * 0.8
    end = 2 * v["unit"] - gap
    right = end + joint + v["unit"] * 0.75
    sk = _plan(v, Box(0.0, down, right, thick))
    sk.bottom_room = down / sk.scale + 0.78
    cells = unit(sk, 0.0, length, 0.0, v, grouted=(0,))
    unit(sk, length + gap, end, 0.0, v)
    cut_unit(sk, end + joint, right, 0.0, v)
    _head_joint(sk, length, v, thick)
    body = sealant(sk, end, end + joint, 0.0, 1, v)
    mortar(sk, end, thick - v["shell"], end + joint, thick - v["rake_interior"])
    _upright(sk, lambda leg: cut_unit(leg, -gap, down, 0.0, v), thick)
    _bed(sk, v, 0.0, thick, -gap, 0.0)
    break_line(sk, (right, 0.0), (right, thick))
    break_line(sk, (0.0, down), (thick, down))
    for x, y in ((cells[0].center),):
        sk.dot(x, y, v["bar_diameter"])
    wires(sk, thick, end - v["end_gap"], 0.0, v)
    wires(sk, end + joint + v["end_gap"], right, 0.0, v)
    p = sk.p
    sk.measure_v("thickness", 0.0, thick, right, right + p(0.3), v.show("thickness"))
    sk.measure_h("joint_width", end, end + joint, 0.0, -p(0.3), v.show("joint_width"))
    sk.note("BONDED CORNER; VERT. REINF. SEE STRUCT.", (cells[0].x0 + cells[0].width * 0.25, thick * 0.62))
    sk.note("JOINT REINF. CONT. AROUND CORNER", (length + v["unit"] * 0.4, thick - v["shell"] / 2))
    sk.note(
        f"FIRST {v.label} {v.corner.format(cj=v.label)}; SEE ELEV.",
        (end + joint / 2, thick - v["rake_interior"] / 2),
    )
    sk.note("SEALANT ON BACKER ROD", body[0], side="bottom")
    sk.note(
        f"JOINT REINF.; DISCONTINUE AT {v.label}, TYP.",
        (end + joint + v["end_gap"] + v["unit"] * 0.3, v["shell"] / 2),
        side="bottom",
    )
    return sk


def pilaster(v: DetailValues) -> Sketch:
    """A joint at one face of a pilaster."""
    thick, gap, joint = v["thickness"], v["mortar"], v["joint_width"]
    wide = v["unit"] - gap
    left, right = -v["unit"] * 1.05, wide + joint + v["unit"] * 0.95
    low = thick - wide
    sk = _plan(v, Box(left, low, right, thick))
    body = ring(0.0, low, wide, thick)
    core = Box(v["shell"], low + v["shell"], wide - v["shell"], thick - v["shell"])
    inner = ring(core.x0, core.y0, core.x1, core.y1)
    sk.fill("masonry", body, inner)
    sk.fill("grout", inner)
    sk.line(*body, closed=True)
    sk.line(*inner, closed=True)
    cut_unit(sk, -gap, left, 0.0, v)
    for y0, y1 in ((0.0, v["shell"]), (thick - v["shell"], thick)):
        sk.fill("mortar", ring(-gap, y0, 0.0, y1))
    cut_unit(sk, wide + joint, right, 0.0, v)
    seal = sealant(sk, wide, wide + joint, thick, -1, v)
    mortar(sk, wide, v["rake_interior"], wide + joint, v["shell"])
    inset = wide * 0.12
    for x in (core.x0 + inset, core.x1 - inset):
        for y in (core.y0 + inset, core.y1 - inset):
            sk.dot(x, y, v["bar_diameter"])
    tie = core.grown(-inset * 0.55)
    sk.line(*ring(tie.x0, tie.y0, tie.x1, tie.y1), layer=FINE, closed=True)
    wires(sk, left, -v["end_gap"], 0.0, v)
    wires(sk, wide + joint + v["end_gap"], right, 0.0, v)
    for x in (left, right):
        break_line(sk, (x, 0.0), (x, thick))
    p = sk.p
    sk.measure_h("joint_width", wide, wide + joint, 0.0, low - p(0.3), v.show("joint_width"))
    sk.measure_v("thickness", 0.0, thick, right, right + p(0.3), v.show("thickness"))
    sk.note(f"{v.label} AT ONE FACE OF PILASTER; NEVER THRU PILASTER", seal[0])
    sk.note("BONDED TO WALL AT OTHER FACE", (-gap / 2, thick * 0.86))
    sk.note(
        "SEALANT ON BACKER ROD, EXTERIOR FACE",
        (wide + joint * 0.5, thick - v["sealant_depth"] - v["rod"] / 2),
    )
    sk.note(
        "PILASTER; REINF., TIES AND GROUT: SEE STRUCT.",
        (core.x0 + core.width * 0.3, core.y0 + core.height * 0.4),
        side="bottom",
    )
    sk.note(
        f"JOINT REINF.; DISCONTINUE AT {v.label}, TYP.",
        (wide + joint + v["unit"] * 0.5, v["shell"] / 2),
        side="bottom",
    )
    return sk


def intersection(v: DetailValues) -> Sketch:
    """The joint where a wall meets another one that it is not bonded to."""
    thick, joint = v["thickness"], v["joint_width"]
    reach, down = v["unit"] * 1.05, -v["unit"] * 0.55
    middle = thick / 2
    sk = _plan(v, Box(middle - reach, down, middle + reach, thick))
    sk.bottom_room = down / sk.scale + 0.75
    sk.top_room = 0.36
    half = v["mortar"] / 2
    cut_unit(sk, middle - half, middle - reach, 0.0, v)
    cut_unit(sk, middle + half, middle + reach, 0.0, v)
    for y0, y1 in ((0.0, v["shell"]), (thick - v["shell"], thick)):
        sk.fill("mortar", ring(middle - half, y0, middle + half, y1))
    _upright(sk, lambda leg: cut_unit(leg, -joint, down, 0.0, v), thick)
    seals = [_sealed_end(sk, v, x, into, joint) for x, into in ((0.0, 1), (thick, -1))]
    sk.fill("solid", ring(v["rake_exterior"], -joint, thick - v["rake_exterior"], 0.0))
    wires(sk, middle - reach, middle + reach, 0.0, v)
    for x in (middle - reach, middle + reach):
        break_line(sk, (x, 0.0), (x, thick))
    break_line(sk, (0.0, down), (thick, down))
    p = sk.p
    sk.measure_h("thickness", 0.0, thick, down, down - p(0.3), v.show("thickness"))
    sk.measure_v("joint_width", -joint, 0.0, middle + reach, middle + reach + p(0.3), v.show("joint_width"))
    sk.note("JOINT REINF. CONT. IN MAIN WALL", (middle + reach * 0.6, thick - v["shell"] / 2))
    sk.note("MAIN WALL; NO JOINT ON THIS FACE", (middle - reach * 0.6, thick))
    sk.note(
        "COMPRESSIBLE FILLER OR BOND BREAKER",
        (thick * 0.7, -joint / 2),
        side="bottom",
        key_at=thick + sk.p(0.85),
    )
    sk.note("SEALANT ON BACKER ROD, EA. SIDE", seals[0], side="bottom", key_at=-sk.p(0.35))
    sk.note(
        "LATERAL SUPPORT OF INTERSECTING WALL: SEE STRUCT.",
        (thick, down * 0.25),
        side="bottom",
        key_at=thick + sk.p(0.4),
    )
    return sk


def _plan(v: DetailValues, area: Box) -> Sketch:
    sk = Sketch(section_scale(v), v.metric, area)
    sk.top_room, sk.bottom_room = 0.42, 0.72
    return sk


def _head_joint(sk: Sketch, x: float, v: DetailValues, thick: float) -> None:
    """Draw the mortar of a head joint over both face shells."""
    for y0, y1 in ((0.0, v["shell"]), (thick - v["shell"], thick)):
        mortar(sk, x, y0, x + v["mortar"], y1)


def _bed(sk: Sketch, v: DetailValues, x0: float, x1: float, y0: float, y1: float) -> None:
    """Draw the mortar between an upright leg and the wall above it, over both face shells."""
    for a, b in ((x0, x0 + v["shell"]), (x1 - v["shell"], x1)):
        sk.fill("mortar", ring(a, y0, b, y1))


def _sealed_end(sk: Sketch, v: DetailValues, x: float, into: int, joint: float) -> tuple[float, float]:
    """Draw sealant and rod at one end of the level joint between two walls; return a point in the sealant."""
    leg = Sketch(sk.scale, sk.metric, sk.box)
    seal, _ = sealant(leg, -joint, 0.0, -x, -into, v)
    sk.marks.extend(_turned(mark) for mark in leg.marks)
    return (-seal[1], seal[0])


def _upright(sk: Sketch, draw: Callable[[Sketch], None], thick: float) -> None:
    """Draw a wall that runs up and down: along x as ever, then turned by a quarter to its place."""
    leg = Sketch(sk.scale, sk.metric, sk.box)
    draw(leg)
    sk.marks.extend(mapped(_turned(mark), lambda q: (q[0] + thick, q[1])) for mark in leg.marks)


def _turned(mark: Mark) -> Mark:
    """Turn a mark a quarter counter-clockwise about the origin."""
    return mapped(mark, lambda q: (-q[1], q[0]))
