"""What is in the wall: joints, slip planes, lintels and steel."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from perpend.drawing.page.drafting_style import BEAM, JOINT, LINTEL, SLIP, STEEL, WIRE
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene, rule_of
from perpend.drawing.page.sheet_page import Identity
from perpend.model import Path, Point, Profile
from perpend.units import ON_MODULE_IN, same

_LINETYPES = {"bed": WIRE, "horizontal": WIRE, "bond-beam": BEAM}
_GAP = 0.5
"""Gap between steel and the joint that it stops at, letter heights."""


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
    """Draw every bar; a label may lie over joint reinforcement, which fills whole walls.

    What ends at a joint ends short of it, so that the gap shows; what would lie below the wall's foot is
    left out.
    """
    rules = {rule.opening.tag: rule_of(rule.sources) for rule in placed.plan.openings}
    joints = [joint.path for joint in placed.plan.joints]
    for bar in placed.plan.bars:
        rule = next((rules[tag] for tag in bar.openings if tag in rules), "")
        identity = Identity("bar", " ".join((*bar.openings, bar.kind)), rule)
        level = Level.LINE if bar.kind == "horizontal" else Level.SOLID
        linetype = _LINETYPES.get(bar.kind, "")
        for path in above_foot(short_of(bar.path, joints, _GAP * scene.h), placed.plan.wall.bottom):
            scene.stroke(STEEL, placed.spot.path(path), identity, level=level, linetype=linetype)


def short_of(path: Path, joints: Sequence[Path], gap_in: float) -> Path:
    """Return a level bar whose ends at a joint are drawn back from it; any other bar as it is."""
    (xa, ya), (xb, yb) = path[0], path[-1]
    if len(path) != 2 or not same(ya, yb) or abs(xb - xa) <= 3 * gap_in:
        return path
    way = gap_in if xb > xa else -gap_in
    xa += way if any(_is_on((xa, ya), joint) for joint in joints) else 0.0
    xb -= way if any(_is_on((xb, yb), joint) for joint in joints) else 0.0
    return ((xa, ya), (xb, yb))


def _is_on(point: Point, joint: Path) -> bool:
    x, y = point
    return any(
        min(a[1], b[1]) - ON_MODULE_IN <= y <= max(a[1], b[1]) + ON_MODULE_IN
        and min(a[0], b[0]) - ON_MODULE_IN <= x <= max(a[0], b[0]) + ON_MODULE_IN
        for a, b in itertools.pairwise(joint)
    )


def above_foot(path: Path, bottom: Profile) -> Iterator[Path]:
    """Yield what of a bar lies above the wall's foot."""
    (xa, ya), (xb, yb) = min(path[0], path[-1]), max(path[0], path[-1])
    if not same(ya, yb):
        yield path
        return
    stations = [xa, *(x for x, _ in bottom.points if xa < x < xb), xb]
    runs: list[tuple[float, float]] = []
    for x0, x1 in itertools.pairwise(dict.fromkeys(stations)):
        if max(y for _, y in bottom.between(x0, x1)) > ya + ON_MODULE_IN:
            continue
        if runs and runs[-1][1] == x0:
            runs[-1] = (runs[-1][0], x1)
        else:
            runs.append((x0, x1))
    yield from (((x0, ya), (x1, ya)) for x0, x1 in runs)
