"""What stands in the wall: joints, slip planes, lintels and steel."""

from __future__ import annotations

from perpend.drawing.page.drafting_style import BEAM, JOINT, LINTEL, SLIP, STEEL, WIRE
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene, rule_of
from perpend.drawing.page.sheet_page import Identity

_LINETYPES = {"bed": WIRE, "horizontal": WIRE, "bond-beam": BEAM}


def draw_joints(scene: Scene, placed: PlacedPlan) -> None:
    """Draw each new joint as one line from bottom to top, and its slip planes over it."""
    for joint in placed.plan.joints:
        number = placed.number(joint)
        path = placed.spot.path(joint.path)
        if joint.existing:
            scene.field.add_path(path)
            continue
        state = ("state=held",) if joint.held else ()
        scene.stroke(JOINT, path, Identity("joint", number, rule_of(joint.sources), state))
        for plane in joint.slip_planes:
            level = placed.spot.path(((plane.x0_in, plane.y_in), (plane.x1_in, plane.y_in)))
            scene.stroke(SLIP, level, Identity("slip-plane", number, rule_of(joint.sources)))


def draw_lintels(scene: Scene, placed: PlacedPlan) -> None:
    """Draw the outline of every lintel, bearings and extensions included."""
    for rule in placed.plan.openings:
        if rule.lintel is not None:
            identity = Identity("lintel", rule.opening.tag, rule_of(rule.sources))
            scene.stroke(LINTEL, placed.spot.box(rule.lintel.box).corners, identity, closed=True)


def draw_steel(scene: Scene, placed: PlacedPlan) -> None:
    """Draw every bar; a label may lie over joint reinforcement, which fills whole walls."""
    rules = {rule.opening.tag: rule_of(rule.sources) for rule in placed.plan.openings}
    for bar in placed.plan.bars:
        rule = next((rules[tag] for tag in bar.openings), "")
        identity = Identity("bar", " ".join((*bar.openings, bar.kind)), rule)
        level = Level.LINE if bar.kind == "horizontal" else Level.SOLID
        linetype = _LINETYPES.get(bar.kind, "")
        scene.stroke(STEEL, placed.spot.path(bar.path), identity, level=level, linetype=linetype)
