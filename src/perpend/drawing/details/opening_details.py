"""Details at openings: slip plane, lintel bearing, reinforced jamb."""

from __future__ import annotations

from perpend.drawing.details.detail_sketch import CUT, FINE, JOINT, STEEL, Sketch, ring
from perpend.drawing.details.detail_values import DetailValues
from perpend.drawing.details.masonry_shapes import (
    break_line,
    control_joint,
    courses,
    cut_unit,
    edges,
    section_course,
    unit,
    wires,
)
from perpend.model import Box


def elevation_scale(v: DetailValues) -> int:
    """Return the scale of details in elevation: 1" = 1'-0", or 1:10."""
    return v.scale(12, 10)


def section_scale(v: DetailValues) -> int:
    """Return the scale of details in section: 1 1/2" = 1'-0", or 1:10."""
    return v.scale(8, 10)


def slip_plane(v: DetailValues) -> Sketch:
    """A joint that runs up a jamb, out under the lintel's bearing, and on up at the lintel's end."""
    course, deep, bearing = v["course"], v["lintel_depth"], v["bearing"]
    area = _around(v, bearing, 1.25, 1.0)
    sk = _elevation(v, area)
    opening = Box(area.x0, area.y0, 0.0, 0.0)
    lintel = Box(area.x0, 0.0, bearing, deep)
    path = ((0.0, area.y0), (0.0, 0.0), (bearing, 0.0), (bearing, area.y1))
    courses(sk, area, v, [opening, lintel], path)
    sk.line((area.x0, deep), (bearing, deep))
    sk.line((area.x0, 0.0), (0.0, 0.0))
    control_joint(sk, *path)
    sk.line((0.0, 0.0), (bearing, 0.0), layer=JOINT, heavy=True)
    edges(sk, Box(0.0, area.y0, area.x1, area.y1), "rb")
    edges(sk, area, "t")
    break_line(sk, (area.x0, 0.0), (area.x0, area.y1))
    past = min(v["corner_reinforcement_past"], area.x1 - sk.p(0.1))
    beds = [deep + course * 0.02]
    for y in beds:
        sk.line((area.x0, y + sk.p(0.05)), (bearing - v["end_gap"], y + sk.p(0.05)), layer=STEEL, dashed=True)
        sk.line(
            (bearing + v["end_gap"], y + sk.p(0.05)),
            (min(past, area.x1), y + sk.p(0.05)),
            layer=STEEL,
            dashed=True,
        )
    p = sk.p
    sk.measure_h("bearing", 0.0, bearing, area.y0, area.y0 - p(0.35), f"{v.show('bearing')} BRG.")
    sk.measure_v("lintel_depth", 0.0, deep, area.x0, area.x0 - p(0.3), v.show("lintel_depth"))
    sk.note(f"{v.label} UP TO TOP OF WALL", (bearing, (deep + area.y1) / 2))
    sk.note("LINTEL; SEE STRUCT.", (area.x0 * 0.55, deep * 0.55))
    sk.note(f"JOINT REINF.; DISCONTINUE AT {v.label}, TYP.", (area.x1 * 0.9, deep + p(0.07)))
    sk.note(
        "SLIP PLANE: BOND BREAKER OR NONCORRODING PLATE, FULL BEARING; NO MORTAR",
        (bearing * 0.5, 0.0),
        side="left",
        key_at=-p(0.4),
    )
    sk.note(f"{v.label} AT JAMB", (0.0, area.y0 * 0.6), side="left", key_at=area.y0 * 0.6 - p(0.45))
    sk.note(
        f"SEALANT AND BACKER ROD, CONT. ALONG {v.label} AND SLIP PLANE, EA. FACE",
        (bearing, deep * 0.5),
        key_at=min(bearing + p(0.5), area.x1 * 0.9 - p(0.01)),
    )
    return sk


def slip_plane_section(v: DetailValues) -> Sketch:
    """The bearing of a lintel that slides on it, cut through."""
    sk = _bearing_section(v, slides=True)
    thick = v["thickness"]
    near, high = sk.p(0.17), max(v["lintel_depth"] * 0.7, sk.p(0.55))
    sk.note("LINTEL; SEE STRUCT.", (thick * 0.45, v["lintel_depth"] * 0.7), side="left", key_at=high)
    sk.note(
        "SLIP PLANE: BOND BREAKER OR NONCORRODING PLATE, FULL BEARING",
        (thick * 0.62, 0.0),
        side="left",
        key_at=near,
    )
    sk.note("SEALANT ON BACKER ROD, EA. FACE", (0.0, -v["mortar"] / 2), side="left", key_at=-near)
    sk.note(
        "NO DOWELS OR VERT. BARS ACROSS SLIP PLANE U.N.O. ON STRUCT.",
        (thick * 0.4, -v["course"] * 0.3),
        side="left",
        key_at=-near - sk.p(0.35),
    )
    sk.note(
        "GROUT SOLID UNDER BEARING; SEE STRUCT.",
        (thick * 0.6, -v["course"] * 0.8),
        side="left",
        key_at=-near - sk.p(0.7),
    )
    return sk


def lintel_bearing_section(v: DetailValues) -> Sketch:
    """The bearing of a lintel over reinforced jambs, cut through."""
    sk = _bearing_section(v, slides=False)
    thick = v["thickness"]
    sk.line((thick / 2, sk.box.y0), (thick / 2, sk.box.y1), layer=STEEL, heavy=True)
    near, high = sk.p(0.17), max(v["lintel_depth"] * 0.7, sk.p(0.55))
    sk.note(
        "LINTEL AND REINF.; SEE STRUCT.", (thick * 0.75, v["lintel_depth"] * 0.7), side="left", key_at=high
    )
    sk.note(
        f"JAMB BAR CONT. THRU BEARING; {v.bar} SHOWN, SEE STRUCT.",
        (thick / 2, v["lintel_depth"] + v["course"] * 0.5),
        side="left",
    )
    sk.note("FULL MORTAR BED", (thick * 0.2, -v["mortar"] / 2), side="left", key_at=-near)
    sk.note(
        "GROUT SOLID UNDER BEARING; SEE STRUCT.",
        (thick * 0.65, -v["course"] * 0.7),
        side="left",
        key_at=-near - sk.p(0.5),
    )
    sk.note(
        f"BRG. {v.show('bearing')}; NOT LESS THAN {v.show('bearing_least')}",
        (thick * 0.85, 0.0),
        side="left",
        key_at=near,
    )
    return sk


def _bearing_section(v: DetailValues, *, slides: bool) -> Sketch:
    """Draw the section that both bearings share; it is cut through the bearing, so all is solid there."""
    course, deep, thick = v["course"], v["lintel_depth"], v["thickness"]
    area = Box(0.0, -1.6 * course, thick, deep + 0.9 * course)
    sk = Sketch(section_scale(v), v.metric, area, beside=True)
    sk.top_room, sk.bottom_room = 0.42, 0.72
    joint = v["mortar"]
    low = -course
    section_course(sk, 0.0, area.y0, low - joint, v, solid=False)
    section_course(sk, 0.0, low, -joint, v, solid=True)
    sk.fill("concrete", ring(0.0, 0.0, thick, deep))
    sk.rect(0.0, 0.0, thick, deep, CUT)
    section_course(sk, 0.0, deep + joint, area.y1, v, solid=False)
    for x in (thick * 0.3, thick * 0.7):
        sk.dot(x, deep * 0.25, v["bar_diameter"])
    if slides:
        sk.line((0.0, -joint / 2), (thick, -joint / 2), layer=JOINT, heavy=True)
    else:
        sk.fill("mortar", ring(0.0, -joint, thick, 0.0))
    edges(sk, area, "tb")
    p = sk.p
    sk.measure_h("thickness", 0.0, thick, area.y0, area.y0 - p(0.35), v.show("thickness"))
    sk.measure_v("lintel_depth", 0.0, deep, thick, thick + p(0.3), v.show("lintel_depth"))
    return sk


def lintel_bearing(v: DetailValues) -> Sketch:
    """A lintel that runs past the jamb bar of a reinforced opening."""
    deep, bar = v["lintel_depth"], v["bar_offset"]
    past = bar + v["lintel_past_bar"]
    area = _around(v, past, 0.9, 0.6)
    sk = _elevation(v, area)
    lintel = Box(area.x0, 0.0, past, deep)
    opening = Box(area.x0, area.y0, 0.0, 0.0)
    courses(sk, area, v, [opening, lintel])
    sk.line((area.x0, deep), (past, deep), (past, 0.0), (0.0, 0.0), (0.0, area.y0))
    sk.line((area.x0, 0.0), (0.0, 0.0))
    edges(sk, Box(0.0, area.y0, area.x1, area.y1), "rb")
    edges(sk, area, "t")
    break_line(sk, (area.x0, 0.0), (area.x0, area.y1))
    sk.line((bar, area.y0), (bar, area.y1), layer=STEEL, dashed=True, heavy=True)
    sk.line((area.x0, deep * 0.3), (past - v["end_gap"], deep * 0.3), layer=STEEL, dashed=True, heavy=True)
    p = sk.p
    row = area.y0 - p(0.35)
    sk.measure_h("bar_offset", 0.0, bar, area.y0, row, v.show("bar_offset"))
    sk.measure_h("lintel_past_bar", bar, past, area.y0, row, v.show("lintel_past_bar"))
    sk.measure_v("lintel_depth", 0.0, deep, area.x0, area.x0 - p(0.3), v.show("lintel_depth"))
    sk.note("LINTEL AND REINF.; SEE STRUCT.", (area.x0 * 0.5, deep * 0.7))
    sk.note(f"JAMB BAR, FULL HEIGHT, EA. JAMB; {v.bar} SHOWN, SEE STRUCT.", (bar, (deep + area.y1) / 2))
    sk.note(
        f"NO {v.label} AT JAMB AND NO SLIP PLANE",
        (0.0, area.y0 * 0.6),
        side="left",
        key_at=area.y0 * 0.6 - p(0.45),
    )
    if v.clear:
        text = f"{v.label} NOT LESS THAN {v.clear} FROM JAMB, CLEAR OF LINTEL"
        sk.note(text, (past, deep * 0.6), key_at=past + p(0.3))
    text = f"BRG. NOT LESS THAN {v.show('bearing_least')}; GROUT SOLID UNDER"
    sk.note(text, (bar * 0.5, 0.0), side="left", key_at=-p(0.4))
    return sk


def reinforced_jamb(v: DetailValues) -> Sketch:
    """The grouted cell and the bar beside a reinforced opening, in plan."""
    thick, length = v["thickness"], v["unit"] - v["mortar"]
    reach = length + v["mortar"] + v["unit"] * 0.28
    sk = Sketch(v.scale(4, 5), v.metric, Box(-v["unit"] * 0.16, 0.0, reach, thick))
    sk.top_room, sk.bottom_room = 0.42, 0.78
    cells = unit(sk, 0.0, length, 0.0, v, grouted=(0,))
    cut_unit(sk, length + v["mortar"], reach, 0.0, v)
    for y0, y1 in ((0.0, v["shell"]), (thick - v["shell"], thick)):
        sk.fill("mortar", ring(length, y0, length + v["mortar"], y1))
        for y in (y0, y1):
            sk.line((length, y), (length + v["mortar"], y), layer=FINE)
    break_line(sk, (reach, 0.0), (reach, thick))
    sk.dot(v["bar_offset"], thick / 2, v["bar_diameter"])
    wires(sk, v["end_gap"] * 0.5, reach, 0.0, v)
    for y in (0.0, thick):
        sk.line((-v["unit"] * 0.16, y), (0.0, y), layer=FINE, dashed=True)
    p = sk.p
    sk.measure_h("bar_offset", 0.0, v["bar_offset"], 0.0, -p(0.32), v.show("bar_offset"))
    sk.measure_v("thickness", 0.0, thick, -v["unit"] * 0.16, -v["unit"] * 0.16 - p(0.3), v.show("thickness"))
    sk.measure_v("shell", 0.0, v["shell"], reach, reach + p(0.3), v.show("shell"))
    sk.note(f"VERT. BAR IN FIRST CELL, FULL HEIGHT; {v.bar} SHOWN, SEE STRUCT.", (v["bar_offset"], thick / 2))
    sk.note(
        "NUMBER OF GROUTED CELLS BY WIDTH OF OPENING: SEE STRUCT.",
        (cells[1].x0 + cells[1].width * 0.6, thick * 0.6),
    )
    sk.note(v.wire, (reach - v["unit"] * 0.2, thick - v["shell"] / 2))
    sk.note("GROUT CELL SOLID", (cells[0].x0 + cells[0].width * 0.75, thick * 0.35), side="bottom")
    sk.note("OPENING; FRAME AND SEALANT: SEE ARCH.", (-v["unit"] * 0.08, 0.0), side="bottom")
    return sk


def _around(v: DetailValues, lintel_end: float, left: float, right: float) -> Box:
    """Return what an elevation at a lintel shows; at 1:10 that is less than at 1" = 1'-0".

    Args:
        v: sizes.
        lintel_end: how far the lintel runs past the jamb.
        left: units shown left of the jamb.
        right: units shown right of the lintel's end.
    """
    share = 0.65 if v.metric else 1.0
    low, high = (-1.2, 0.8) if v.metric else (-1.7, 1.2)
    return Box(
        -v["unit"] * left * share,
        v["course"] * low,
        lintel_end + v["unit"] * right * share,
        v["lintel_depth"] + v["course"] * high,
    )


def _elevation(v: DetailValues, area: Box) -> Sketch:
    """Return a sketch for an elevation, its notes beside it."""
    sk = Sketch(elevation_scale(v), v.metric, area, beside=True)
    sk.top_room, sk.bottom_room = 0.42, 0.75
    return sk
