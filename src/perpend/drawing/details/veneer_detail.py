"""Detail of a joint in an anchored veneer, in plan."""

from __future__ import annotations

from perpend.drawing.details.detail_sketch import FINE, STEEL, Sketch, ring
from perpend.drawing.details.detail_values import DetailValues
from perpend.drawing.details.masonry_shapes import break_line, cut_unit, sealant
from perpend.model import Box


def veneer(v: DetailValues) -> Sketch:
    """Veneer with a joint of sealant and backer rod, a cavity, anchors on both sides, and the backup."""
    half, deep = v["joint_width"] / 2, v["veneer"]
    back = deep + v["cavity"]
    reach = v["unit"] * 0.6
    sk = Sketch(v.scale(6, 5), v.metric, Box(-reach, 0.0, reach, back + v["thickness"]), beside=True)
    sk.top_room, sk.bottom_room = 0.42, 0.78
    for x, edge in ((-half, -reach), (half, reach)):
        wythe = ring(min(x, edge), 0.0, max(x, edge), deep)
        sk.fill("masonry", wythe)
        sk.line((edge, 0.0), (x, 0.0), (x, deep), (edge, deep))
    middle = v["unit"] * 0.2
    shift = Sketch(sk.scale, sk.metric, sk.box)
    cut_unit(shift, middle - v["mortar"] / 2, -reach, back, v)
    cut_unit(shift, middle + v["mortar"] / 2, reach, back, v)
    sk.marks.extend(shift.marks)
    for y in (back, back + v["thickness"] - v["shell"]):
        sk.fill("mortar", ring(middle - v["mortar"] / 2, y, middle + v["mortar"] / 2, y + v["shell"]))
    seal, _ = sealant(sk, -half, half, 0.0, 1, v)
    for x in (-reach * 0.5, reach * 0.5):
        _anchor(sk, x, deep, back, v)
    for x in (-reach, reach):
        break_line(sk, (x, 0.0), (x, deep))
        break_line(sk, (x, back), (x, back + v["thickness"]))
    p = sk.p
    sk.measure_h("joint_width", -half, half, 0.0, -p(0.32), v.show("joint_width"))
    sk.measure_v("veneer", 0.0, deep, -reach, -reach - p(0.3), v.show("veneer"))
    sk.measure_v("thickness", back, back + v["thickness"], -reach, -reach - p(0.3), v.show("thickness"))
    sk.note("BACKUP WALL; SEE STRUCT.", (-reach * 0.55, back + v["thickness"] - v["shell"] * 0.5))
    sk.note("BACKUP WALL JOINTS: SEE ELEV.", (middle, back + v["thickness"] - v["shell"] * 0.5))
    sk.note("AIR SPACE AND INSULATION: SEE ARCH.", (reach * 0.78, deep + v["cavity"] * 0.5))
    sk.note("ANCHORS EA. SIDE OF JOINT; SPACING SEE STRUCT.", (reach * 0.5, deep * 0.55), side="bottom")
    sk.note("SEALANT ON BACKER ROD; JOINT CLEAR OF MORTAR, FULL DEPTH", seal, side="bottom")
    sk.note("VENEER; NO REINF. ACROSS JOINT", (-reach * 0.6, deep * 0.3), side="bottom")
    return sk


def _anchor(sk: Sketch, x: float, deep: float, back: float, v: DetailValues) -> None:
    """Draw a wire anchor from the backup's face shell into the veneer's bed joint."""
    half = v["veneer"] * 0.22
    tip = deep * 0.45
    sk.line((x - half, tip), (x - half, deep), (x - half, back), layer=STEEL)
    sk.line((x - half, tip), (x + half, tip), layer=STEEL)
    sk.line((x + half, tip), (x + half, back), layer=STEEL)
    sk.line((x - half * 1.3, back), (x + half * 1.3, back), layer=FINE)
