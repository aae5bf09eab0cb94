"""Details of horizontal steel at a joint: a structural bond beam that runs through, and what stops."""

from __future__ import annotations

from perpend.drawing.details.detail_sketch import FINE, STEEL, Sketch
from perpend.drawing.details.detail_values import DetailValues
from perpend.drawing.details.masonry_shapes import control_joint, courses, edges
from perpend.drawing.details.opening_details import elevation_scale
from perpend.model import Box


def bond_beam_through(v: DetailValues) -> Sketch:
    """A structural bond beam: its bars pass the joint and are debonded on one side."""
    sk, area, beam = _wall(v)
    y = (beam.y0 + beam.y1) / 2
    sk.line((area.x0, y), (area.x1, y), layer=STEEL, dashed=True, heavy=True)
    sleeve = v["unit"] * 0.9
    wide = sk.p(0.05)
    sk.line((0.0, y - wide), (sleeve, y - wide), (sleeve, y + wide), (0.0, y + wide), layer=FINE, closed=True)
    sk.note(f"BOND BEAM REINF. CONT. THRU {v.label}; {v.bar} SHOWN, SEE STRUCT.", (area.x0 * 0.6, y))
    sk.note(f"{v.label} CONT. THRU BOND BEAM UNITS AND GROUT", (0.0, (beam.y1 + area.y1) / 2))
    sk.note("DEBOND BARS ONE SIDE: SLEEVE OR GREASE AND WRAP; LENGTH SEE STRUCT.", (sleeve * 0.8, y + wide))
    sk.note(
        "STRUCT. BOND BEAM AT FLOOR OR ROOF", (area.x0 * 0.35, beam.y0 + v["course"] * 0.2), side="bottom"
    )
    sk.note(f"JOINT REINF.; DISCONTINUE AT {v.label}, TYP.", (area.x1 * 0.6, v["course"]), side="bottom")
    return _ended(sk, v, area, beam)


def horizontal_steel_stopped(v: DetailValues) -> Sketch:
    """A bond beam for crack control and joint reinforcement: both stop at the joint."""
    sk, area, beam = _wall(v)
    y, end = (beam.y0 + beam.y1) / 2, v["end_gap"]
    for x0, x1 in ((area.x0, -end), (end, area.x1)):
        sk.line((x0, y), (x1, y), layer=STEEL, dashed=True, heavy=True)
    sk.note(f"STOP BOND BEAM REINF. EA. SIDE OF {v.label}; NOT STRUCT. BOND BEAMS", (-end * 1.5, y))
    sk.note(f"{v.label}, FULL HEIGHT", (0.0, (beam.y1 + area.y1) / 2))
    sk.note(f"{v.bar} IN BOND BEAM, U.N.O.", (area.x1 * 0.6, y))
    sk.note(v.wire, (area.x0 * 0.6, v["course"]), side="bottom")
    sk.note(f"DISCONTINUE JOINT REINF. AT {v.label}, TYP.", (-end, v["course"]), side="bottom")
    sk.note("DAM GROUT AT JOINT", (0.0, beam.y0 + v["course"] * 0.25), side="bottom")
    return _ended(sk, v, area, beam)


def _wall(v: DetailValues) -> tuple[Sketch, Box, Box]:
    """Draw the wall that both show."""
    course, reach = v["course"], v["unit"] * (1.1 if v.metric else 1.4)
    low, high = (0.45, 3.5) if v.metric else (0.2, 3.8)
    area = Box(-reach, low * course, reach, high * course)
    sk = Sketch(elevation_scale(v), v.metric, area, beside=True)
    sk.top_room, sk.bottom_room = 0.42, 0.75
    beam = Box(area.x0, 2 * course, area.x1, 3 * course)
    courses(sk, area, v, joint=((0.0, area.y0), (0.0, area.y1)))
    return sk, area, beam


def _ended(sk: Sketch, v: DetailValues, area: Box, beam: Box) -> Sketch:
    """Add joint reinforcement, the joint, the edges and the dimensions."""
    for y in (beam.y0, beam.y1):
        sk.line((area.x0, y), (area.x1, y))
    for x0, x1 in ((area.x0, -v["end_gap"]), (v["end_gap"], area.x1)):
        sk.line((x0, v["course"]), (x1, v["course"]), layer=STEEL, dashed=True)
    control_joint(sk, (0.0, area.y0), (0.0, area.y1))
    edges(sk, area)
    p = sk.p
    sk.measure_v("course", beam.y0, beam.y1, area.x0, area.x0 - p(0.3), v.show("course"))
    sk.measure_h("unit", 0.0, v["unit"], area.y0, area.y0 - p(0.35), f"{v.show('unit')} NOM.")
    return sk
