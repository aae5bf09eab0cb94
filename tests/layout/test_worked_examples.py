"""Walls laid out by hand: each value and place is worked out in the comment beside it.

Limits (project facts, section 1): the lesser of 1.5 × height and 25 ft = 300 in.; near a corner half of it.
Joints stand on multiples of 8 in., so a limit of 300 in. gives plain panels of at most 296 in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest

from layout import brute, solver
from layout.builders import CONTINUES, CORNER, FREE, JOINT, basis
from layout.referee import judge
from layout.stations import TICKS, ticks
from perpend.checks import check_wall
from perpend.findings import Finding
from perpend.jobs.judge_plan import judged_plan
from perpend.layout import Placement, place_joints, plan_wall
from perpend.layout.facts import PanelBlocked, PlaceBlocked, Unserved
from perpend.model import Cure, DrawnJoint, JointChange, JointKind, PlaceKind, Treat
from perpend.rulebook.wall_basis import WallBasis

MM = 5 / 127


def laid_out(wall: WallBasis, feet: Sequence[float], lengths: Sequence[float]) -> Placement:
    """Place the joints and compare feet and panel lengths, after the referee has looked."""
    placement = place_joints(wall)
    inner = [j for j in placement.joints if j.kind is not JointKind.END]
    assert judge(wall, placement).complaints == []
    assert [j.x_in for j in inner] == pytest.approx(list(feet), abs=1e-9)
    assert [p.length_in for p in placement.panels] == pytest.approx(list(lengths), abs=1e-9)
    assert placement.cost.joints == len(feet)
    assert placement.cost.longest_in == pytest.approx(max(lengths))
    assert placement.cost.unevenness == pytest.approx(sum(n * n for n in lengths))
    return placement


def judged(wall: WallBasis, placement: Placement) -> list[Finding]:
    """Return what the judge requires of the layout, left to right."""
    return list(check_wall(wall, placement.joints).required)


def cures(wall: WallBasis) -> dict[str, Cure]:
    """Return the cures of what the layout of a wall breaks, by code."""
    found = judged_plan(wall, plan_wall(wall), {}).findings
    return {f.code: f.cure for f in found if f.cure is not None}


def faults(wall: WallBasis, placement: Placement) -> tuple[int, float, list[str]]:
    codes = [f.code for f in judged(wall, placement)]
    return placement.cost.violations, placement.cost.excess_in, codes


def test_warehouse_of_200_ft_between_two_corners() -> None:
    # 20 ft high: 300 in., 150 in. at corners. End panels at most 144 in. leave at least 2112 in., and
    # 2112 / 296 > 7: eight panels. Eight panels of 264 in. are 2112 in.: nothing else has a shorter longest.
    wall = basis(2400, 240, ends=(CORNER, CORNER))
    placement = laid_out(wall, [144 + 264 * k for k in range(9)], [144, *[264] * 8, 144])
    assert faults(wall, placement) == (0, 0.0, [])
    assert {p.limit_in for p in placement.panels} == {300}
    assert [p.at_corner for p in placement.panels] == [True, *[False] * 8, True]


def test_warehouse_of_200_ft_with_free_ends() -> None:
    # 8 panels of 296 in. are 2368 in., too little: nine. 2400 / 9 = 266.7, so the longest is 272 in.;
    # evenest is 3 × 272 + 6 × 264; leftmost puts the short ones first.
    laid_out(
        basis(2400, 240, ends=(FREE, CONTINUES)),
        [264, 528, 792, 1056, 1320, 1584, 1856, 2128],
        [264] * 6 + [272] * 3,
    )


@pytest.mark.parametrize(
    ("ratio", "cap", "length", "feet", "limit"),
    [
        # 4'-8" empirical: 1.5 × 56 = 84 in. (7'-0"), on the module 80: 480 = 6 × 80.
        (1.5, 300, 480, [80, 160, 240, 320, 400], 84),
        # engineered 2.0: 112 in. (9'-4"), itself on the module: 480 / 112 > 4, so 5 × 96.
        (2.0, 240, 480, [96, 192, 288, 384], 112),
        # engineered 2.5: 140 in. (11'-8"), laid out as 136 in. (11'-4"): 544 = 4 × 136.
        (2.5, 300, 544, [136, 272, 408], 140),
        # half-high units: 1.5 × 56 = 84 in. again, the 20 ft cap does not govern.
        (1.5, 240, 480, [80, 160, 240, 320, 400], 84),
    ],
)
def test_wainscot_of_4_ft_8(ratio: float, cap: float, length: float, feet: list[float], limit: float) -> None:
    ends = [0, *feet, length]
    lengths = [b - a for a, b in pairwise(ends)]
    placement = laid_out(basis(length, 56, ratio=ratio, cap=cap), feet, lengths)
    assert [p.limit_in for p in placement.panels] == pytest.approx([limit] * len(lengths))


def test_wainscot_between_corners() -> None:
    # Half of 84 is 42 in.: 40 on the module. 480 - 2 × 40 = 400 = 5 × 80.
    laid_out(
        basis(480, 56, ends=(CORNER, CORNER)), [40, 120, 200, 280, 360, 440], [40, 80, 80, 80, 80, 80, 40]
    )


@pytest.mark.parametrize(
    ("length", "feet"),
    [
        (300, []),  # 16'-8" high, 25'-0" long: just allowed
        (300 + 1 / 64, []),  # within the tolerance
        (300 + 1 / 32, [152]),  # beyond it; 152 + 148.03 beats 144 + 156.03
        (308, [152]),  # 152 + 156 beats 160 + 148
    ],
)
def test_a_wall_of_16_ft_8_may_be_25_ft_long(length: float, feet: list[float]) -> None:
    ends = [0, *feet, length]
    laid_out(basis(length, 200), feet, [b - a for a, b in pairwise(ends)])


def test_a_door_of_3_ft_4_takes_one_jamb_joint_where_the_panels_allow_it() -> None:
    # 400 in. needs one joint anyway. At the left jamb (100, above the head 92) the rest is 308 > 300 in.;
    # at the right jamb (140, above the head 148) the panels are 148 and 400 - 140 = 260 in.
    wall = basis(400, 200, [(100, 0, 140, 84, "u")])
    placement = laid_out(wall, [140], [148, 260])
    (joint,) = placement.joints
    assert joint.path == ((140, 0), (140, 84), (148, 84), (148, 200))
    assert joint.kind is JointKind.JAMB
    assert joint.serves == ("O1",)
    (plane,) = joint.slip_planes
    assert (plane.x0_in, plane.x1_in, plane.y_in, plane.opening) == (140, 148, 84, "O1")
    assert placement.cost.slip_planes == 1


def test_a_door_of_8_ft_takes_a_joint_at_both_jambs() -> None:
    # The panel of the door is 96 in. below the head and 96 + 2 × 8 = 112 in. above it.
    placement = laid_out(basis(400, 200, [(152, 0, 248, 84, "u")]), [152, 248], [152, 112, 152])
    assert placement.joints[0].path == ((152, 0), (152, 84), (144, 84), (144, 200))
    assert placement.joints[1].path == ((248, 0), (248, 84), (256, 84), (256, 200))
    assert placement.cost.slip_planes == 2


def test_a_reinforced_shopfront_keeps_joints_24_in_off() -> None:
    # No joint between 76 and 292 in.; one is needed at 100 or more (400 - 300), at 300 at most: only 296.
    laid_out(basis(400, 200, [(100, 0, 268, 84, "r")]), [296], [296, 104])


def test_a_joint_may_stand_exactly_at_the_clear_distance() -> None:
    # 96 - 24 = 72 and 176 + 24 = 200 may both be taken; 304 in. needs one joint, and 200 + 104 is evener.
    laid_out(basis(304, 200, [(96, 0, 176, 84, "r")]), [200], [200, 104])


def test_an_opening_too_wide_for_its_panel_breaks_as_little_as_can_be() -> None:
    # 26 ft reinforced: joints at 126 - 6 = 120 and 486 + 2 = 488 on the module; 368 in. between them.
    # Any other layout is as wrong (one joint lacking) and by more than 68 in.
    wall = basis(600, 200, [(150, 0, 462, 120, "r")])
    placement = laid_out(wall, [120, 488], [120, 368, 112])
    assert faults(wall, placement) == (1, 68.0, ["panel-too-long"])
    (long,) = judged(wall, placement)
    assert (long.measured_in, long.limit_in) == (368, 300)
    (tag,) = (rule.opening.tag for rule in wall.openings)
    assert placement.facts == (PanelBlocked(120, 488, (tag,)),)


def test_a_low_wing_has_its_own_limit_and_a_joint_where_the_height_changes() -> None:
    # 240 in. high: 300; 120 in. high: 180. 400 = 200 + 200, and 240 = 120 + 120.
    wall = basis(640, top=((0, 240), (400, 240), (400, 120), (640, 120)))
    placement = laid_out(wall, [200, 400, 520], [200, 200, 120, 120])
    assert [p.limit_in for p in placement.panels] == [300, 300, 180, 180]
    assert [j.kind for j in placement.joints] == [JointKind.STRAIGHT, JointKind.FORCED, JointKind.STRAIGHT]
    assert placement.joints[1].place is PlaceKind.HEIGHT_CHANGE
    assert placement.joints[1].path == ((400, 0), (400, 120))


def test_a_small_change_of_height_is_let_pass_where_the_book_says_so() -> None:
    # 16 / 120 = 13 %, not over 25 %. The lesser height governs a panel that runs across: 180 in.
    # Both panels hold some of the 120 in. part only right of 200: 336 = 168 + 168.
    wall = basis(336, top=((0, 136), (160, 136), (160, 120), (336, 120)), over=0.25)
    placement = laid_out(wall, [168], [168, 168])
    assert [p.limit_in for p in placement.panels] == [180, 180]


def test_under_a_gable_each_panel_has_the_height_of_its_lower_end() -> None:
    # 120 in. at the ends, 170 at the ridge. End panels at most 180: two joints. 400 / 3 = 133.3: longest 136;
    # 128 + 136 + 136 is leftmost. Between 128 (152 in. high) and 264 (154 in.): 1.5 × 152 = 228.
    wall = basis(400, top=((0, 120), (200, 170), (400, 120)))
    placement = laid_out(wall, [128, 264], [128, 136, 136])
    assert [p.height_in for p in placement.panels] == pytest.approx([120, 152, 120])
    assert [p.limit_in for p in placement.panels] == pytest.approx([180, 228, 180])
    assert placement.joints[0].path == ((128, 0), (128, 152))


def test_windows_in_line_share_one_joint_with_two_slip_planes() -> None:
    # Right jamb: 148 and 280 - 140 = 140; left jamb: 100 and 280 - 92 = 188.
    wall = basis(280, 200, [(100, 32, 140, 72, "u"), (100, 120, 140, 160, "u")])
    placement = laid_out(wall, [140], [148, 140])
    (joint,) = placement.joints
    assert joint.path == (
        (140, 0),
        (140, 72),
        (148, 72),
        (148, 120),
        (140, 120),
        (140, 160),
        (148, 160),
        (148, 200),
    )
    assert [(s.x0_in, s.x1_in, s.y_in, s.opening) for s in joint.slip_planes] == [
        (140, 148, 72, "O1"),
        (140, 148, 160, "O2"),
    ]
    assert joint.serves == ("O1", "O2")


def test_a_metric_wall_stands_on_the_module_of_200_mm() -> None:
    # 2.4 m high: 3.6 m, so 7.4 m takes three panels. 7.4 / 3 = 2.47 m: longest 2.6 m, leftmost 2.4 m first.
    wall = basis(7400 * MM, 2400 * MM, module=200 * MM, cap=7620 * MM)
    laid_out(wall, [2400 * MM, 4800 * MM], [2400 * MM, 2400 * MM, 2600 * MM])


def test_a_short_wall_between_corners_takes_one_joint_for_both() -> None:
    laid_out(basis(96, 200, ends=(CORNER, CORNER)), [48], [48, 48])


def test_a_joint_at_the_end_serves_a_corner_near_by_and_is_not_counted() -> None:
    placement = laid_out(basis(100, 200, ends=(CORNER, JOINT)), [], [100])
    (joint,) = placement.joints
    assert (joint.kind, joint.x_in, joint.number) == (JointKind.END, 100, 1)
    assert joint.path == ((100, 0), (100, 200))


def test_a_corner_with_no_room_for_a_joint_is_broken() -> None:
    # 40 in. with a reinforced opening of 24 in. in the middle: no station is free.
    wall = basis(40, 200, [(8, 0, 32, 84, "r")], ends=(CORNER, CORNER))
    placement = laid_out(wall, [], [40])
    assert faults(wall, placement) == (2, 0.0, ["corner-too-far", "corner-too-far"])


def test_a_veneer_corner_asks_for_a_station_off_the_module() -> None:
    # Within 4 in. of the corner; 200 - 4 = 196 in. is within 1.5 × 160 = 240.
    wall = basis(200, 160, ends=(CORNER, FREE), cap=240, corner_fraction=None, corner_max=4)
    laid_out(replace(wall, corner_stations_in=(4.0,)), [4], [4, 196])


def test_a_least_distance_from_corners_is_kept() -> None:
    # Joints within 36 in. and 32 in. or more from the corner: 32 only. 300 in. long: 32 + 268.
    wall = basis(300, 200, ends=(CORNER, FREE), corner_fraction=None, corner_max=36, corner_min=32)
    laid_out(wall, [32], [32, 268])


def test_a_large_opening_asks_for_a_joint_near_it() -> None:
    # Reinforced, 24 in. clear and a joint within 24 in.: at 72 or 200 of 280 in.; 200 + 80 beats 72 + 208.
    laid_out(basis(280, 200, [(96, 0, 176, 84, "r")], near=24), [200], [200, 80])


def test_a_drawn_joint_stays_where_it_is() -> None:
    # Drawn at 101. 379 in. are left: 288 gives 187 + 192, 296 gives 195 + 184.
    placement = laid_out(basis(480, 200, drawn=[101]), [101, 288], [101, 187, 192])
    first = placement.joints[0]
    assert (first.kind, first.existing, first.handle) == (JointKind.EXISTING, True, "D1")


def test_a_drawn_joint_that_steps_around_a_lintel_serves_the_opening() -> None:
    # As drawn: up the right jamb, out at the head. The panels are 148 and 260 in., as if placed here.
    wall = basis(400, 200, [(100, 0, 140, 84, "u")], drawn=[(140, 84, 148)])
    placement = laid_out(wall, [140], [148, 260])
    assert placement.joints[0].kind is JointKind.EXISTING
    assert placement.joints[0].serves == ("O1",)
    assert faults(wall, placement) == (0, 0.0, [])


def test_a_drawn_joint_wins_over_the_places_at_its_station() -> None:
    wall = basis(200, 200, drawn=[101 + 1 / 64], places=[(101, PlaceKind.PILASTER)])
    placement = laid_out(wall, [101 + 1 / 64], [101 + 1 / 64, 99 - 1 / 64])
    assert placement.joints[0].kind is JointKind.EXISTING


def test_a_pilaster_too_near_a_reinforced_opening_gets_its_joint_and_a_fault() -> None:
    wall = basis(280, 200, [(96, 0, 136, 84, "r")], places=[(80, PlaceKind.PILASTER)])
    placement = laid_out(wall, [80], [80, 200])
    assert faults(wall, placement) == (1, 0.0, ["joint-in-keep-out"])
    assert judged(wall, placement)[0].measured_in == 16


@pytest.mark.parametrize(("from_end", "faulty"), [(16, True), (24, False)])
def test_a_joint_where_another_wall_adjoins_cannot_be_moved_away(from_end: float, faulty: bool) -> None:
    # A reinforced opening keeps joints 24 in. off; the joint between two walls stands at the end.
    for ends, hole, at in (
        ((FREE, JOINT), (120, 0, 200 - from_end, 80, "r"), 200.0),
        ((JOINT, FREE), (from_end, 0, 80, 80, "r"), 0.0),
    ):
        wall = basis(200, 200, [hole], ends=ends)
        placement = laid_out(wall, [], [200])
        assert faults(wall, placement) == (int(faulty), 0.0, ["joint-in-keep-out"] * faulty)
        assert [f.at[0][0] for f in judged(wall, placement)] == [at] * faulty
        assert [f.measured_in for f in judged(wall, placement)] == [16.0] * faulty


def test_a_drawn_joint_through_a_door_is_reported_and_removed() -> None:
    wall = basis(296, 240, [(100, 0, 180, 84, "r")], drawn=[140.0])
    assert place_joints(wall).joints == ()
    found = next(f for f in judged_plan(wall, plan_wall(wall), {}).findings if f.severity == "required")
    assert (found.code, found.at[0][0], found.handle) == ("joint-through-opening", 140, "D1")
    assert found.cure is not None
    assert found.cure.complies
    (change,) = found.cure.changes
    assert isinstance(change, JointChange)
    assert (change.kind, change.handle, change.x_in) == ("remove", "D1", 140)


def test_a_place_inside_an_opening_gets_no_joint_and_counts_once() -> None:
    places = [(110, PlaceKind.PILASTER), (110, PlaceKind.INTERSECTION)]
    wall = basis(280, 200, [(96, 0, 136, 84, "r")], places=places)
    placement = laid_out(wall, [], [280])
    assert placement.cost.violations == 1
    assert placement.facts == (PlaceBlocked(110, wall.openings[0].opening.tag),)


def test_steps_that_would_touch_in_one_bed_joint_are_not_both_taken() -> None:
    # The pier is 16 in.: the door's joint steps from 48 to 56 at 32 in., where the windows' joint, at 56
    # between their two courses, steps back to 64. One point in common is one too many.
    holes = [(12, 0, 48, 32, "u"), (64, 0, 92, 16, "u"), (64, 32, 92, 64, "u")]
    wall = basis(140, 64, holes, cap=40, module=24, step=8)
    placement = place_joints(wall)
    assert judge(wall, placement).complaints == []
    assert not {48.0, 64.0} <= {j.x_in for j in placement.joints}
    assert [foot for foot, _ in solver.solve(wall)[-1]] == [ticks(j.x_in) for j in placement.joints]


def test_a_long_panel_is_kept_where_each_cut_would_break_more() -> None:
    """Found by chance: the joints at 36 and 172 both lean to the right, so the parts add up to more."""
    holes = [(20, 0, 36, 20, "u"), (20, 40, 35, 120, "u"), (92, 0, 102, 60, "r"), (146, 0, 172, 60, "u")]
    wall = basis(185, 120, holes, ratio=None, cap=46, module=32, origin=6, step=12)
    placement = place_joints(wall)
    assert [j.x_in for j in placement.joints] == [20, 36, 172]
    assert (placement.cost.violations, placement.cost.excess_in) == (2, 90)
    # From 36 (48 above its head of 20 in.) to 172 (184 above 60 in.): 136 in. but for the courses between,
    # 124; 136 / 46 lacks 2 joints, by 90 in. Cut at 134: 98 in. lacks 2, and 184 - 134 = 50 in. lacks 1.
    assert solver.solve(wall)[:2] == (2, ticks(90))


def test_an_opening_that_can_have_neither_jamb_joint_is_reported_once() -> None:
    # 10 ft wide needs both jambs; 8 in. steps would run out of both ends, 4 in. away.
    wall = basis(128, 240, [(4, 0, 124, 84, "u")])
    placement = place_joints(wall)
    assert [f.code for f in judged(wall, placement)] == ["opening-without-joint"]
    assert set(placement.facts) == {Unserved(wall.openings[0].opening.tag, ("the wall's end",))}


def test_a_cure_names_the_two_openings_that_free_the_spacing_only_together() -> None:
    # Two doors of 23 ft 4 in. leave panels of 280 + 2 × 24 in. > 300 in. when reinforced, 280 + 16 in. when
    # not. The third is 4 in. from the end: unreinforced, it would need a joint that steps out of the wall.
    doors = [(48, 0, 328, 84), (432, 0, 712, 84), (844, 0, 924, 84)]
    reinforced, turned = (basis(928, 240, [(*d, how) for d in doors]) for how in "ru")
    wall = replace(reinforced, other_treatments=turned.openings)
    found = judged_plan(wall, plan_wall(wall), {}).findings
    one, two, _ = (rule.opening.tag for rule in turned.openings)
    for finding in (f for f in found if f.code == "panel-too-long"):
        assert finding.cure is not None
        assert finding.cure.complies
        ways = (finding.cure.changes, *finding.cure.others)
        treated = {frozenset(c.opening for c in way if isinstance(c, Treat)) for way in ways}
        assert treated <= {frozenset({one}), frozenset({two}), frozenset({one, two})}


def test_a_drawn_joint_in_a_keep_out_is_moved_to_the_nearest_line_that_complies() -> None:
    # A joint drawn at the right jamb, at 240: 24 in. are required, so it may be at 136 or at 264
    # (both on the 8 in. module), and panels of 300 in. are allowed beside either; 264 is nearer.
    wall = basis(480, 240, [(160, 0, 240, 84, "r")], drawn=[240])
    (change,) = cures(wall)["joint-through-lintel"].changes
    assert isinstance(change, JointChange)
    assert (change.kind, change.handle, change.path) == ("move", "D1", ((264, 0), (264, 240)))
    for x in (136, 264):
        assert place_joints(basis(480, 240, [(160, 0, 240, 84, "r")], drawn=[x])).facts == ()
        assert place_joints(basis(480, 240, [(160, 0, 240, 84, "r")], drawn=[x])).cost.violations == 0
    for x in (144, 256):  # one line nearer
        assert place_joints(basis(480, 240, [(160, 0, 240, 84, "r")], drawn=[x])).cost.violations == 1


def test_a_drawn_joint_that_is_left_out_does_not_hide_the_cure_of_another() -> None:
    # Another joint is drawn through the opening, at 200; that one is removed, whatever else is done.
    found = cures(basis(480, 240, [(160, 0, 240, 84, "r")], drawn=[200, 240]))
    kinds = {code: [getattr(c, "kind", "") for c in cure.changes] for code, cure in found.items()}
    assert (kinds["joint-through-opening"], kinds["joint-through-lintel"]) == (["remove"], ["move"])


def test_a_drawn_joint_that_leans_stays_as_it_was_drawn() -> None:
    # 4 in. aside over 240 in.: no part of it is level, so nothing of it is a step.
    wall = basis(480, 240)
    leaning = DrawnJoint(((240.0, 0.0), (244.0, 240.0)), handle="D1")
    wall = replace(wall, wall=replace(wall.wall, drawn_joints=(leaning,)))
    paths = [j.path for j in place_joints(wall).joints if j.existing]
    assert paths == [((240.0, 0.0), (244.0, 240.0))]


def test_a_joint_stands_at_a_step_that_serves_as_well_as_another_station() -> None:
    # 312 in. in panels of 300 at most: 152 + 160 or 160 + 152, and leftmost is 152. Ground and top step down
    # alike at 160, so that no change of height asks for a joint there.
    ground = ((0, 0), (160, 0), (160, -32), (312, -32))
    laid_out(basis(312, 200), [152], [152, 160])
    terrace = basis(312, 200, top=[(x, y + 200) for x, y in ground], bottom=ground)
    laid_out(terrace, [160], [160, 152])
    # 8 in. farther left it would make the panels less even.
    moved = tuple((144 if x == 160 else x, y) for x, y in ground)
    laid_out(basis(312, 200, top=[(x, y + 200) for x, y in moved], bottom=moved), [152], [152, 160])


def test_the_joint_at_the_far_jamb_of_a_narrow_pier_cuts_no_panel() -> None:
    """A panel from 12 to 32 is over 18 in.; the joint at 24 can't cut it: 12 to 24 is a narrow pier."""
    wall = basis(
        36,
        24,
        [(4, 0, 12, 12, "u"), (24, 0, 32, 12, "u")],
        ends=(CORNER, CORNER),
        module=24,
        step=0,
        pier=48,
        drawn=[4],
        supports=[(12, 0, 36)],
        storey=True,
    )
    placement = place_joints(wall)
    assert [j.x_in for j in placement.joints] == [4, 12, 32]
    assert judge(wall, placement).complaints == []
    assert [foot / TICKS for foot, _ in brute.best(wall)[-1]] == [4, 12, 32]


@pytest.mark.parametrize(("head", "excused"), [(36.0, True), (52.0, False)])
def test_a_drawn_joint_that_leans_into_a_pilaster_stands_for_the_joint_at_its_face(
    head: float, excused: bool
) -> None:
    """Its foot is at the face at 44; where its head is beyond the face at 32 it is between the two."""
    wall = basis(160, 56, drawn=[(44, 28, head)], pilasters=[(32, 44)], cap=None, ratio=None)
    placement = place_joints(wall)
    assert [j.x_in for j in placement.joints] == ([44] if excused else [32, 44])
    assert judge(wall, placement).complaints == []
    assert [foot / TICKS for foot, _ in brute.best(wall)[-1]] == [j.x_in for j in placement.joints]
