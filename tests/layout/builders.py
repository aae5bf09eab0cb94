"""Compact builders of `WallBasis` for tests, with the rules of the openings written out by hand.

Numbers (docs of `OpeningRule`; project facts, section 4): an unreinforced opening keeps other joints off the
8 in. bearing of its lintel, its own joint steps out by that bearing, and it needs one jamb joint up to 72 in.
of width, two above. A reinforced opening keeps joints 24 in. off and its lintel runs 16 in. past the jamb.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from perpend.model import (
    Box,
    DrawnJoint,
    EndCondition,
    Frame,
    HeightBasis,
    HorizontalReinforcement,
    Lintel,
    Opening,
    OpeningRule,
    Path,
    Place,
    PlaceKind,
    Profile,
    Support,
    Treatment,
    Wall,
)
from perpend.rulebook.judgment import Judgment, KeepOut, PlaceRule, Restraint
from perpend.rulebook.wall_basis import SpacingRule, WallBasis
from perpend.units import SAME_IN

BEARING_IN = 8.0
EXTENSION_IN = 16.0
CLEAR_IN = 24.0
LINTEL_DEPTH_IN = 8.0
WIDE_OVER_IN = 72.0

CORNER, FREE = EndCondition.CORNER, EndCondition.FREE
CONTINUES, JOINT = EndCondition.CONTINUES, EndCondition.JOINT

Drawn = float | tuple[float, float, float]
"""A joint in the drawing: its station, or (foot, level of its step, head)."""

Hole = tuple[float, float, float, float, str]
"""Left jamb, sill, right jamb, head, and ``u`` (unreinforced), ``r`` (reinforced) or ``a`` (arched).

An arched opening has no lintel and asks for no jamb joint; joints keep off it as off a reinforced one."""


def basis(
    length: float,
    height: float | None = None,
    holes: Sequence[Hole] = (),
    *,
    top: Sequence[tuple[float, float]] | None = None,
    bottom: Sequence[tuple[float, float]] | None = None,
    ends: tuple[EndCondition, EndCondition] = (FREE, FREE),
    ratio: float | None = 1.5,
    cap: float | None = 300.0,
    corner_fraction: float | None = 0.5,
    corner_max: float | None = None,
    corner_min: float = 0.0,
    module: float = 8.0,
    origin: float = 0.0,
    places: Sequence[tuple[float, PlaceKind]] = (),
    drawn: Sequence[Drawn] = (),
    supports: Sequence[tuple[float, float, float]] = (),
    storey: bool = False,
    over: float = 0.0,
    near: float | None = None,
    step: float = BEARING_IN,
    frame: Frame | None = None,
    least: float = 0.0,
    pier: float = 0.0,
    rise: float = 0.0,
    pilasters: Sequence[tuple[float, float]] = (),
    zones: Sequence[tuple[float, float]] = (),
    bonded: Sequence[tuple[float, float]] = (),
) -> WallBasis:
    """Return the basis of one wall; every length is in inches and every default the empirical method's."""
    upper = Profile(tuple(top)) if top else Profile.level(height or 0.0, 0.0, length)
    lower = Profile(tuple(bottom)) if bottom else Profile.level(0.0, 0.0, length)
    ordered = sorted(holes, key=lambda hole: (hole[0], hole[1]))
    openings = tuple(opening(hole, number) for number, hole in enumerate(ordered, start=1))
    wall = Wall(
        tag="W1",
        handle="A1",
        length_in=length,
        top=upper,
        bottom=lower,
        frame=frame or Frame(),
        openings=openings,
        places=tuple(Place(x, kind) for x, kind in sorted(places)),
        drawn_joints=tuple(
            DrawnJoint(drawn_path(d, upper, lower), handle=f"D{i}") for i, d in enumerate(drawn, 1)
        ),
        supports=tuple(Support(y, x0, x1) for y, x0, x1 in supports),
    )
    rules = tuple(
        rule(wall, index, treatment(hole), near=near, step=step) for index, hole in enumerate(ordered)
    )
    marked = (PlaceRule(place, (place.x_in,)) for place in wall.places)
    bodies = [
        PlaceRule(Place((x0 + x1) / 2, PlaceKind.PILASTER, f"P{x0:g}", faces_in=(x0, x1)), (x0, x1))
        for x0, x1 in pilasters
    ]
    kept_free = [KeepOut(x0, x1, "joint-in-no-joint-zone", "a sign", f"Z{x0:g}") for x0, x1 in zones]
    kept_free += [KeepOut(x0, x1, "joint-through-pilaster", "a pilaster") for x0, x1 in pilasters]
    kept_free += [KeepOut(x0 - 8, x1 + 8, "joint-at-bonded-wall", "a bonded wall") for x0, x1 in bonded]
    return WallBasis(
        restraints=tuple(Restraint(x0, x1) for x0, x1 in sorted(bonded)),
        judgment=Judgment(least_panel_in=least, narrow_pier_in=pier, height_change_in=rise),
        place_rules=tuple(sorted((*marked, *bodies), key=lambda r: r.place.x_in)),
        keep_outs=tuple(sorted(kept_free, key=lambda k: (k.x0_in, k.x1_in))),
        wall=wall,
        spacing=SpacingRule(
            "empirical",
            "full-height",
            ratio,
            cap,
            corner_fraction=corner_fraction,
            corner_max_in=corner_max,
            corner_min_in=corner_min,
        ),
        height_basis=HeightBasis.STOREY if storey else HeightBasis.WALL,
        left_end=ends[0],
        right_end=ends[1],
        openings=rules,
        module_in=module,
        bond_origin_in=origin,
        height_change_over=over,
        joint_type="keyed",
        joint_type_name="keyed joint",
        transfers_shear=True,
        reinforcement=HorizontalReinforcement(0.025, ()),
        bar_offset_in=4.0,
        corner_reinforcement_past_in=24.0,
        corner_reinforcement_beds=2,
        course_in=8.0,
    )


def drawn_path(drawn: Drawn, upper: Profile, lower: Profile) -> Path:
    """Return the line of a drawn joint from the wall's bottom to its top."""
    foot, level, head = drawn if isinstance(drawn, tuple) else (drawn, None, drawn)
    low, high = (foot, max(lower.at(foot))), (head, min(upper.at(head)))
    return (low, high) if level is None or foot == head else (low, (foot, level), (head, level), high)


def opening(hole: Hole, number: int) -> Opening:
    """Return an opening with a mark of its own."""
    x0, y0, x1, y1, _ = hole
    return Opening(f"O{number}", f"B{number}", Box(x0, y0, x1, y1), ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))


def treatment(hole: Hole) -> Treatment:
    """Return how the opening is dealt with."""
    return Treatment.REINFORCED if hole[4] == "r" else Treatment.UNREINFORCED


def rule(
    wall: Wall, index: int, treated: Treatment, *, near: float | None = None, step: float = BEARING_IN
) -> OpeningRule:
    """Return what is asked of one opening of a wall."""
    this = wall.openings[index]
    if this.arched:
        return OpeningRule(this, treated, 0, CLEAR_IN, 0.0, None, near_within_in=near)
    loose = treated is Treatment.UNREINFORCED
    lintel = lintel_over(wall, index, step if loose else EXTENSION_IN)
    wide = loose and this.width_in > WIDE_OVER_IN
    return OpeningRule(
        opening=this,
        treatment=treated,
        jambs_required=(2 if wide else 1) if loose else 0,
        clear_in=(step if lintel else 0.0) if loose else CLEAR_IN,
        step_in=step if loose and lintel else 0.0,
        lintel=lintel,
        wide=wide,
        near_within_in=near,
        bearing_in=BEARING_IN if lintel else 0.0,
    )


def lintel_over(wall: Wall, index: int, reach: float) -> Lintel | None:
    """Return the lintel over an opening, cut where the masonry ends; None where none is above."""
    box = wall.openings[index].box
    above = min(y for _, y in wall.top.between(box.x0, box.x1)) - box.y1
    if above <= SAME_IN:
        return None
    left, right = masonry_beside(wall, box.x0, -reach, box.y1), masonry_beside(wall, box.x1, reach, box.y1)
    x0, x1 = box.x0 - left, box.x1 + right
    depth = min(LINTEL_DEPTH_IN, *(y - box.y1 for _, y in wall.top.between(x0, x1)))
    return Lintel(Box(x0, box.y1, x1, box.y1 + depth), left, right) if depth > SAME_IN else None


def masonry_beside(wall: Wall, jamb: float, reach: float, head: float) -> float:
    """Return how much masonry, up to a reach (negative: to the left), is beside a jamb at the head."""
    end = min(max(jamb + reach, 0.0), wall.length_in)
    stops = {x for x, _ in wall.top.points if min(jamb, end) < x < max(jamb, end)}
    at = jamb
    for stop in sorted({*stops, end}, reverse=reach < 0):
        near, far = wall.top.between(*sorted((at, stop)))[:: -1 if reach < 0 else 1]
        if far[1] <= head:
            share = 0.0 if near[1] <= head else (near[1] - head) / (near[1] - far[1])
            return abs(at + (stop - at) * share - jamb)
        at = stop
    return abs(end - jamb)


def mirrored(this: WallBasis) -> WallBasis:
    """Return the same wall seen from its other side: x becomes length - x everywhere."""
    length = this.wall.length_in

    def box(b: Box) -> Box:
        return Box(length - b.x1, b.y0, length - b.x0, b.y1)

    def edge(p: Profile) -> Profile:
        return Profile(tuple((length - x, y) for x, y in reversed(p.points)))

    def turned(r: OpeningRule) -> OpeningRule:
        new = replace(
            r.opening, box=box(r.opening.box), outline=tuple((length - x, y) for x, y in r.opening.outline)
        )
        lintel = r.lintel and Lintel(box(r.lintel.box), r.lintel.bearing_right_in, r.lintel.bearing_left_in)
        return replace(r, opening=new, lintel=lintel)

    rules = tuple(
        sorted((turned(r) for r in this.openings), key=lambda r: (r.opening.box.x0, r.opening.box.y0))
    )
    wall = replace(
        this.wall,
        top=edge(this.wall.top),
        bottom=edge(this.wall.bottom),
        openings=tuple(r.opening for r in rules),
        places=tuple(replace(p, x_in=length - p.x_in) for p in reversed(this.wall.places)),
        supports=tuple(
            replace(s, x0_in=length - s.x1_in, x1_in=length - s.x0_in) for s in this.wall.supports
        ),
        drawn_joints=tuple(
            replace(d, path=tuple((length - x, y) for x, y in d.path))
            for d in reversed(this.wall.drawn_joints)
        ),
    )
    return replace(
        this,
        place_rules=tuple(
            replace(
                r,
                place=replace(r.place, x_in=length - r.place.x_in),
                stations_in=tuple(length - x for x in reversed(r.stations_in)),
            )
            for r in reversed(this.asked_places)
        ),
        keep_outs=tuple(
            replace(k, x0_in=length - k.x1_in, x1_in=length - k.x0_in) for k in reversed(this.keep_outs)
        ),
        restraints=tuple(
            replace(r, x0_in=length - r.x1_in, x1_in=length - r.x0_in) for r in reversed(this.restraints)
        ),
        wall=wall,
        openings=rules,
        left_end=this.right_end,
        right_end=this.left_end,
        bond_origin_in=length - this.bond_origin_in,
        corner_stations_in=tuple(length - x for x in this.corner_stations_in),
    )
