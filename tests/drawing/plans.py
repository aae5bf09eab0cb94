"""Plans made by hand, so that the drafting is tried without the layout."""

from __future__ import annotations

import itertools
from dataclasses import replace

from perpend.model import (
    Bar,
    Box,
    EndCondition,
    Frame,
    HeightBasis,
    HorizontalReinforcement,
    Joint,
    JointKind,
    Limits,
    Lintel,
    Opening,
    OpeningRule,
    Panel,
    Profile,
    ReinforcementChoice,
    SlipPlane,
    Source,
    Standing,
    Treatment,
    Wall,
    WallPlan,
)

TABLE = Source("spacing.empirical-full", "TEK 10-2C (2010)", "Table 1", Standing.PUBLISHED, "1.5 x H, 25 ft")
WIRES = Source("steel.wires-w17", "TEK 10-2C", "Table 2", Standing.MEMORY, "2 W1.7 at 16 in.")
CAUTION = (
    "Caution: this layout is an aid, not a design. The licensed engineer or architect of record decides "
    "the type and the location of every joint; local codes and the adopted editions govern; lintels, jamb "
    "steel and shear walls need structural design.",
)
STEEL = HorizontalReinforcement(
    0.025,
    (
        ReinforcementChoice("2 wires W1.7 (9 gauge)", 0.034, 16.0, WIRES),
        ReinforcementChoice("one No. 4 bar", 0.20, 96.0, WIRES),
    ),
    TABLE,
)


def limits(height: float) -> Limits:
    by_ratio = 1.5 * height
    spacing = min(by_ratio, 300.0)
    return Limits(
        "empirical",
        "full-height",
        height,
        HeightBasis.WALL,
        spacing,
        "ratio" if by_ratio < 300.0 else "cap",
        1.5,
        300.0,
        spacing / 2,
        sources=(TABLE,),
    )


def straight(number: int, x: float, height: float) -> Joint:
    return Joint(number, x, ((x, 0.0), (x, height)), JointKind.STRAIGHT, "spacing", sources=(TABLE,))


def jamb_joint(
    number: int, opening: Opening, side: str, height: float, lintel_depth: float = 8.0, bearing: float = 8.0
) -> Joint:
    """The joint at a jamb: up the jamb, out under the bearing, up at the end of the lintel."""
    box = opening.box
    jamb = box.x0 if side == "left" else box.x1
    end = jamb - bearing if side == "left" else jamb + bearing
    path = ((jamb, 0.0), (jamb, box.y1), (end, box.y1), (end, height))
    plane = SlipPlane(min(jamb, end), max(jamb, end), box.y1, opening.tag)
    return Joint(number, jamb, path, JointKind.JAMB, "jamb", (opening.tag,), (plane,), sources=(TABLE,))


def lintel(opening: Opening, past: float, depth: float = 8.0) -> Lintel:
    box = opening.box
    return Lintel(Box(box.x0 - past, box.y1, box.x1 + past, box.y1 + depth), past, past)


def unreinforced(opening: Opening, jambs: int) -> OpeningRule:
    return OpeningRule(
        opening,
        Treatment.UNREINFORCED,
        jambs,
        8.0,
        8.0,
        lintel(opening, 8.0),
        wide=jambs == 2,
        sources=(TABLE,),
    )


def reinforced(opening: Opening) -> OpeningRule:
    return OpeningRule(opening, Treatment.REINFORCED, 0, 24.0, 0.0, lintel(opening, 16.0), sources=(TABLE,))


def bars_of(opening: Opening, x0: float, x1: float, height: float) -> tuple[Bar, ...]:
    box = opening.box
    return (
        Bar(((box.x0 - 4, 0.0), (box.x0 - 4, height)), "jamb", (opening.tag,)),
        Bar(((box.x1 + 4, 0.0), (box.x1 + 4, height)), "jamb", (opening.tag,)),
        Bar(((x0, box.y0 - 4), (x1, box.y0 - 4)), "sill", (opening.tag,)),
    )


def plan(
    tag: str,
    length: float,
    height: float,
    joints: tuple[Joint, ...],
    *,
    rules: tuple[OpeningRule, ...] = (),
    bars: tuple[Bar, ...] = (),
    top: Profile | None = None,
    frame: Frame | None = None,
) -> WallPlan:
    """Put a plan together; its panels follow from the joints."""
    edge = top or Profile.level(height, 0.0, length)
    wall = Wall(
        tag,
        "A1",
        length,
        edge,
        Profile.level(0.0, 0.0, length),
        frame or Frame(),
        tuple(rule.opening for rule in rules),
        layer="A-ELEV-WALL",
    )
    bound = limits(height)
    stations = [0.0, *(j.x_in for j in joints), length]
    spacing, corner = bound.max_spacing_in, bound.corner_distance_in
    panels = tuple(
        Panel(a, b, b - a, spacing, height, at_corner, corner if at_corner else None)
        for a, b in itertools.pairwise(stations)
        for at_corner in (a == 0.0 or b == length,)
    )
    return WallPlan(
        wall,
        bound,
        EndCondition.CORNER,
        EndCondition.CORNER,
        rules,
        joints,
        panels,
        bars,
        STEEL,
        "formed-paper",
        "formed paper joint; transfers out-of-plane shear; 4 h",
        8.0,
    )


def long_plain(frame: Frame | None = None) -> WallPlan:
    """A 200 ft warehouse wall, 20 ft high, with straight joints at 25 ft and half of it at the ends."""
    stations = [144.0 + 300.0 * i for i in range(8)]
    joints = tuple(straight(i, x, 240.0) for i, x in enumerate(stations, start=1))
    return plan("W1", 2400.0, 240.0, joints, frame=frame)


def shopfront(frame: Frame | None = None, tag: str = "W2") -> WallPlan:
    """A 60 ft wall with a door, a wide door, a reinforced window, each treated its own way."""
    door = Opening("D1", "B1", Box(96.0, 0.0, 136.0, 88.0))
    wide = Opening("D2", "B2", Box(280.0, 0.0, 400.0, 96.0))
    window = Opening("A", "B3", Box(528.0, 40.0, 600.0, 96.0))
    joints = (
        jamb_joint(1, door, "right", 144.0),
        jamb_joint(2, wide, "left", 144.0),
        jamb_joint(3, wide, "right", 144.0),
        straight(4, 640.0, 144.0),
    )
    rules = (unreinforced(door, 1), unreinforced(wide, 2), reinforced(window))
    return plan(
        "W2" if tag == "W2" else tag,
        720.0,
        144.0,
        joints,
        rules=rules,
        bars=bars_of(window, 400.0, 640.0, 144.0),
        frame=frame,
    )


def stepped(frame: Frame | None = None) -> WallPlan:
    """A wall 12 ft high with a wing of 8 ft."""
    top = Profile(((0.0, 144.0), (320.0, 144.0), (320.0, 96.0), (560.0, 96.0)))
    joints = (
        straight(1, 104.0, 144.0),
        replace(straight(2, 320.0, 96.0), kind=JointKind.FORCED),
        straight(3, 456.0, 96.0),
    )
    return plan("W3", 560.0, 96.0, joints, top=top, frame=frame)
