"""Arching over a lintel: each condition, and the masonry load with and without it.

Source: TEK 17-1B and Taly p. 219: running bond; a 45-degree triangle on the effective span; 8 in. of masonry
above its apex; 4 in. of bearing; no joint next to the lintel; masonry enough at each side.
"""

from __future__ import annotations

import pytest
import shapely

from perpend.model import Box, Joint, JointKind, Opening, Profile, Treatment, Wall
from perpend.rulebook import Arching, OpeningChoices, arching, load_rulebook, opening_rules

BOOK = load_rulebook("us-cmu")
STEEL = OpeningChoices(treatment=Treatment.REINFORCED)
BARE = OpeningChoices(treatment=Treatment.UNREINFORCED)
NAMES = (
    "running bond",
    "height above the apex",
    "an uncut triangle",
    "bearing",
    "no joint next to the lintel",
    "masonry enough at each side",
)


def straight(x: float, top: float = 192.0) -> Joint:
    return Joint(1, x, ((x, 0.0), (x, top)), JointKind.STRAIGHT, "spacing")


def compared(
    *holes: Opening,
    joints: tuple[Joint, ...] = (),
    top: float = 192.0,
    choices: OpeningChoices = STEEL,
    running: bool = True,
    weight: float | None = None,
) -> Arching:
    wall = Wall("W1", "", 480.0, Profile.level(top, 0, 480), Profile.level(0, 0, 480), openings=holes)
    rule = opening_rules(BOOK, wall, tuple(choices for _ in holes))[0]
    found = arching(BOOK, wall, rule, joints, thickness_in=7.625, weight_lb_ft3=weight, running_bond=running)
    assert found is not None
    return found


def met(found: Arching) -> dict[str, bool | None]:
    return {condition.name: condition.met for condition in found.conditions}


DOOR = Opening("D1", "", Box(200.0, 0.0, 240.0, 88.0))


def test_all_conditions_are_tested_and_thrust_is_left_to_the_designer() -> None:
    found = compared(DOOR)
    assert tuple(met(found)) == NAMES
    assert met(found) == {name: None if "each side" in name else True for name in NAMES}
    assert found.possible
    assert found.sources[0].document == "TEK 17-1B"


def test_the_load_with_and_without_arching_by_hand_and_by_shapely() -> None:
    """3'-4" door, 16 in. lintel ends: span 56 in., triangle 28 in. high; 104 in. of masonry, 140 lb/ft³."""
    found = compared(DOOR)
    assert found.span_in == 56.0
    per_in2 = 140.0 * 7.625 / 1728.0
    assert found.full_lb == pytest.approx(56.0 * 104.0 * per_in2)
    triangle = shapely.Polygon([(192.0, 88.0), (248.0, 88.0), (220.0, 116.0)])
    assert found.arched_lb == pytest.approx(triangle.area * per_in2)
    assert (round(found.full_lb), round(found.arched_lb)) == (3598, 484)


def test_a_given_weight_replaces_the_rule_book_s() -> None:
    assert compared(DOOR, weight=70.0).full_lb == pytest.approx(compared(DOOR).full_lb / 2)


def test_stack_bond_does_not_arch() -> None:
    found = compared(DOOR, running=False)
    assert met(found)["running bond"] is False
    assert not found.possible


@pytest.mark.parametrize(("top", "enough"), [(124.0, True), (123.0, False), (110.0, False)])
def test_8_in_of_masonry_above_the_apex(top: float, enough: bool) -> None:
    """Head at 88, triangle 28 in., 8 in. above: 124."""
    found = compared(DOOR, top=top)
    assert met(found)["height above the apex"] is enough
    assert found.arched_lb <= found.full_lb


def test_a_window_above_cuts_the_triangle_only_where_it_reaches_it() -> None:
    """The triangle is 28 in. high over the middle and 8 in. high 20 in. beside it."""
    middle = Opening("N1", "", Box(210.0, 112.0, 230.0, 140.0))
    assert met(compared(DOOR, middle))["an uncut triangle"] is False
    higher = Opening("N1", "", Box(210.0, 118.0, 230.0, 140.0))
    assert met(compared(DOOR, higher))["an uncut triangle"] is True
    beside = Opening("N1", "", Box(240.0, 98.0, 270.0, 140.0))
    assert met(compared(DOOR, beside))["an uncut triangle"] is True
    assert (
        met(compared(DOOR, Opening("N1", "", Box(238.0, 96.0, 270.0, 140.0))))["an uncut triangle"] is False
    )


def test_an_opening_above_takes_its_weight_off_the_lintel() -> None:
    window = Opening("N1", "", Box(210.0, 120.0, 230.0, 160.0))
    lighter = compared(DOOR).full_lb - compared(DOOR, window).full_lb
    assert lighter == pytest.approx(20.0 * 40.0 * 140.0 * 7.625 / 1728.0)


def test_a_bearing_cut_by_the_wall_s_end_does_not_arch() -> None:
    found = compared(Opening("D1", "", Box(3.0, 0.0, 43.0, 88.0)))
    assert met(found)["bearing"] is False


@pytest.mark.parametrize(
    ("x", "clear"),
    [(200.0, False), (184.0, False), (176.0, False), (175.0, True), (264.0, False), (265.0, True)],
)
def test_a_joint_within_half_a_unit_of_the_lintel_end_carries_arching_away(x: float, clear: bool) -> None:
    """The lintel with steel runs from 184 to 256; half a unit is 8 in."""
    assert met(compared(DOOR, joints=(straight(x),)))["no joint next to the lintel"] is clear


def test_the_jamb_joint_of_an_unreinforced_opening_leaves_the_full_load() -> None:
    """Beall, Masonry and Concrete: with a joint beside the opening the lintel carries everything above it."""
    path = ((200.0, 0.0), (200.0, 88.0), (192.0, 88.0), (192.0, 192.0))
    joint = Joint(1, 200.0, path, JointKind.JAMB, "jamb")
    found = compared(DOOR, joints=(joint,), choices=BARE)
    assert met(found)["no joint next to the lintel"] is False
    assert met(found)["masonry enough at each side"] is False
    assert not found.possible
    assert found.full_lb > found.arched_lb


def test_a_joint_that_ends_below_the_head_does_not_matter() -> None:
    low = Joint(1, 190.0, ((190.0, 0.0), (190.0, 40.0)), JointKind.EXISTING, "drawn")
    assert met(compared(DOOR, joints=(low,)))["no joint next to the lintel"] is True


def test_the_masonry_beside_is_measured_to_joints_openings_and_ends() -> None:
    def beside(found: Arching) -> float | None:
        return found.conditions[-1].measured_in

    assert beside(compared(DOOR)) == 200.0
    assert beside(compared(DOOR, joints=(straight(150.0), straight(420.0)))) == 50.0
    assert beside(compared(DOOR, Opening("D2", "", Box(280.0, 0.0, 320.0, 88.0)))) == 40.0


def test_no_comparison_without_a_lintel_that_bears() -> None:
    full = Opening("D1", "", Box(200.0, 0.0, 240.0, 192.0))
    wall = Wall("W1", "", 480.0, Profile.level(192.0, 0, 480), Profile.level(0.0, 0, 480), openings=(full,))
    anchored = OpeningChoices(treatment=Treatment.UNREINFORCED, method="veneer", lintel_support="anchored")
    for hole, choices in ((full, BARE), (DOOR, anchored)):
        one = Wall("W1", "", 480.0, wall.top, wall.bottom, openings=(hole,))
        rule = opening_rules(BOOK, one, (choices,))[0]
        assert arching(BOOK, one, rule, (), thickness_in=3.625) is None
