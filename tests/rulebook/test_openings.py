"""What an opening asks for: jamb joints, room around it, and the lintel that fits.

Sources: TEK 10-2B item 5 and TEK 10-2C Figure 1 (jambs), TMS 402 as MSJC-08 2.3.3.3 (4 in. bearing), the
PCA rule of 1 in. per foot, and the practice of the trade (8 in. bearing, bar at 4 in., 12 in. past it).
"""

from __future__ import annotations

import pytest

from perpend.errors import InputError
from perpend.model import Box, Opening, OpeningRule, Profile, Treatment, Wall
from perpend.rulebook import OpeningChoices, load_rulebook, opening_rules

BOOK = load_rulebook("us-cmu")
BARE = OpeningChoices(treatment=Treatment.UNREINFORCED)
STEEL = OpeningChoices(treatment=Treatment.REINFORCED)


def opening(x0: float, x1: float, y0: float = 0.0, y1: float = 88.0, **more: bool) -> Opening:
    return Opening(f"O{x0:g}", "", Box(x0, y0, x1, y1), arched=more.get("arched", False))


def wall(*openings: Opening, length: float = 480.0, top: Profile | None = None) -> Wall:
    edge = top or Profile.level(192.0, 0.0, length)
    return Wall("W1", "", length, edge, Profile.level(0.0, 0.0, length), openings=openings)


def only(hole: Opening, choices: OpeningChoices = BARE, **more: object) -> OpeningRule:
    (rule,) = opening_rules(BOOK, wall(hole, **more), [choices])  # type: ignore[arg-type]
    return rule


@pytest.mark.parametrize(
    ("width", "jambs", "boundary"),
    [(40.0, 1, False), (71.9, 1, False), (72.0, 1, True), (72.1, 2, False), (168.0, 2, False)],
)
def test_joints_at_one_jamb_up_to_6_ft_and_at_both_beyond(width: float, jambs: int, boundary: bool) -> None:
    rule = only(opening(80.0, 80.0 + width))
    assert (rule.jambs_required, rule.wide, rule.boundary_case) == (jambs, jambs == 2, boundary)
    assert rule.sources[0].row == "opening.unreinforced"


def test_the_setting_decides_exactly_6_ft_and_the_boundary_stays_marked() -> None:
    choices = OpeningChoices(treatment=Treatment.UNREINFORCED, wide_from_in=72.0)
    rule = only(opening(80.0, 152.0), choices)
    assert (rule.jambs_required, rule.boundary_case) == (2, True)
    assert only(opening(80.0, 151.0), choices).jambs_required == 1


def test_a_wider_limit_for_one_jamb_is_refused() -> None:
    choices = OpeningChoices(treatment=Treatment.UNREINFORCED, wide_from_in=96.0)
    with pytest.raises(InputError, match=r"8'-0\" is looser than 6'-0\" by TEK 10-2B, item 5"):
        only(opening(80.0, 152.0), choices)


def test_unreinforced_lintel_bears_8_in_and_the_slip_plane_is_as_long() -> None:
    rule = only(opening(80.0, 120.0))
    assert rule.lintel is not None
    assert rule.lintel.box == Box(72.0, 88.0, 128.0, 96.0)
    assert (rule.step_in, rule.clear_in, rule.bearing_in, rule.bearing_least_in) == (8.0, 8.0, 8.0, 4.0)


@pytest.mark.parametrize(("width", "bearing"), [(40.0, 6.0), (72.0, 6.0), (96.0, 8.0), (168.0, 14.0)])
def test_bearing_by_span_is_an_inch_per_foot_and_6_in_at_least(width: float, bearing: float) -> None:
    choices = OpeningChoices(treatment=Treatment.UNREINFORCED, bearing="by-span")
    rule = only(opening(80.0, 80.0 + width), choices)
    assert rule.step_in == pytest.approx(bearing)
    assert rule.lintel is not None
    assert rule.lintel.box.width == pytest.approx(width + 2 * bearing)


def test_a_bearing_under_4_in_is_refused() -> None:
    choices = OpeningChoices(treatment=Treatment.UNREINFORCED, bearing=3.0)
    with pytest.raises(InputError, match=r"least bearing of 0'-4\" by TMS 402 .*MSJC-08 2\.3\.3\.3"):
        only(opening(80.0, 120.0), choices)


def test_reinforced_opening_has_no_jamb_joint_and_a_lintel_16_in_past_the_jamb() -> None:
    rule = only(opening(80.0, 120.0), STEEL)
    assert (rule.jambs_required, rule.step_in, rule.clear_in) == (0, 0.0, 24.0)
    assert rule.lintel is not None
    assert rule.lintel.box == Box(64.0, 88.0, 136.0, 96.0)
    assert rule.bearing_in == 4.0


def test_the_clear_distance_is_never_less_than_the_lintel_end() -> None:
    tight = OpeningChoices(treatment=Treatment.REINFORCED, clear_in=8.0)
    assert only(opening(80.0, 120.0), tight).clear_in == 16.0
    wide = OpeningChoices(treatment=Treatment.REINFORCED, clear_in=32.0)
    assert only(opening(80.0, 120.0), wide).clear_in == 32.0


def test_an_opening_that_reaches_the_top_has_no_lintel_and_a_straight_joint() -> None:
    rule = only(opening(80.0, 120.0, 0.0, 192.0))
    assert rule.lintel is None
    assert (rule.jambs_required, rule.step_in, rule.clear_in, rule.bearing_in) == (1, 0.0, 0.0, 0.0)


def test_the_lintel_is_no_deeper_than_the_masonry_above() -> None:
    rule = only(opening(80.0, 120.0, 0.0, 187.0))
    assert rule.lintel is not None
    assert (rule.lintel.box.y0, rule.lintel.box.y1) == (187.0, 192.0)
    assert "0'-5\" of masonry above" in rule.lintel.note


def test_the_lintel_is_no_deeper_than_the_masonry_under_a_window_above() -> None:
    door, window = opening(80.0, 120.0), opening(100.0, 140.0, 93.0, 140.0)
    low, _ = opening_rules(BOOK, wall(door, window), (BARE, BARE))
    assert low.lintel is not None
    assert low.lintel.box.y1 == 93.0
    stacked, _ = opening_rules(BOOK, wall(door, opening(80.0, 120.0, 88.0, 140.0)), (BARE, BARE))
    assert (stacked.lintel, stacked.step_in) == (None, 0.0)


def test_veneer_on_an_anchored_lintel_has_a_straight_jamb_joint() -> None:
    anchored = OpeningChoices(treatment=Treatment.UNREINFORCED, method="veneer", lintel_support="anchored")
    rule = only(opening(80.0, 120.0), anchored)
    assert rule.lintel is not None
    assert rule.lintel.box == Box(80.0, 88.0, 120.0, 96.0)
    assert (rule.jambs_required, rule.step_in, rule.bearing_in) == (1, 0.0, 0.0)
    loose = OpeningChoices(treatment=Treatment.UNREINFORCED, method="veneer")
    assert only(opening(80.0, 120.0), loose).step_in == 8.0


def test_anchored_means_nothing_outside_veneer() -> None:
    choices = OpeningChoices(treatment=Treatment.UNREINFORCED, lintel_support="anchored")
    assert only(opening(80.0, 120.0), choices).step_in == 8.0


@pytest.mark.parametrize("choices", [BARE, STEEL])
def test_a_wall_without_joints_asks_for_none_at_its_openings(choices: OpeningChoices) -> None:
    rule = only(opening(80.0, 200.0), OpeningChoices(treatment=choices.treatment, method="no-joints"))
    assert (rule.jambs_required, rule.step_in) == (0, 0.0)
    assert rule.lintel is not None


def test_the_end_of_the_wall_cuts_the_bearing_and_says_so() -> None:
    rule = only(opening(5.0, 45.0))
    assert rule.lintel is not None
    assert (rule.lintel.bearing_left_in, rule.lintel.bearing_right_in) == (5.0, 8.0)
    assert rule.lintel.box.x0 == 0.0
    assert "0'-5\" on the left, cut by the end of the wall" in rule.lintel.note
    assert rule.bearing_in == 8.0
    at_end = only(opening(440.0, 480.0))
    assert at_end.lintel is not None
    assert at_end.lintel.bearing_right_in == 0.0


def test_two_lintels_share_a_narrow_pier() -> None:
    first, second = opening(80.0, 120.0), opening(132.0, 172.0)
    a, b = opening_rules(BOOK, wall(first, second), (BARE, BARE))
    assert a.lintel is not None
    assert b.lintel is not None
    assert (a.lintel.bearing_right_in, b.lintel.bearing_left_in) == (6.0, 6.0)
    assert a.lintel.box.x1 == b.lintel.box.x0 == 126.0
    assert "cut by opening O132" in a.lintel.note


def test_a_pier_of_16_in_holds_two_bearings_of_8() -> None:
    first, second = opening(80.0, 120.0), opening(136.0, 176.0)
    for rule in opening_rules(BOOK, wall(first, second), (BARE, BARE)):
        assert rule.lintel is not None
        assert rule.lintel.note == ""


def test_the_lintel_with_steel_yields_to_the_bearing_beside_it() -> None:
    """On a 20 in. pier: 8 in. of bearing for one, the other 12 in. of the extension for the other."""
    first, second = opening(80.0, 120.0), opening(140.0, 180.0)
    bare, steel = opening_rules(BOOK, wall(first, second), (BARE, STEEL))
    assert bare.lintel is not None
    assert steel.lintel is not None
    assert (bare.lintel.bearing_right_in, steel.lintel.bearing_left_in) == (8.0, 12.0)


def test_an_opening_on_another_level_is_not_in_the_way() -> None:
    low, high = opening(80.0, 120.0, 0.0, 64.0), opening(124.0, 164.0, 104.0, 144.0)
    a, b = opening_rules(BOOK, wall(low, high), (BARE, BARE))
    for rule in (a, b):
        assert rule.lintel is not None
        assert (rule.lintel.bearing_left_in, rule.lintel.bearing_right_in) == (8.0, 8.0)


def test_a_taller_opening_beside_the_head_leaves_only_the_pier() -> None:
    window, door = opening(80.0, 120.0, 32.0, 72.0), opening(126.0, 166.0, 0.0, 120.0)
    rule, _ = opening_rules(BOOK, wall(window, door), (BARE, BARE))
    assert rule.lintel is not None
    assert rule.lintel.bearing_right_in == 6.0


def test_a_low_wing_beside_the_head_cuts_the_bearing_at_the_step() -> None:
    """The wall is 6'-8" high left of station 76 and 16 ft right of it; the head is at 7'-4"."""
    top = Profile(((0.0, 80.0), (76.0, 80.0), (76.0, 192.0), (480.0, 192.0)))
    rule = only(opening(80.0, 120.0), top=top)
    assert rule.lintel is not None
    assert (rule.lintel.bearing_left_in, rule.lintel.bearing_right_in) == (4.0, 8.0)
    assert rule.lintel.box == Box(76.0, 88.0, 128.0, 96.0)
    assert "the wall's top" in rule.lintel.note


def test_a_sloping_top_cuts_the_bearing_where_it_meets_the_head() -> None:
    """The top rises from 82 at station 74 to 94 at station 80: it is at the head (88) at station 77."""
    top = Profile(((0.0, 80.0), (74.0, 82.0), (80.0, 94.0), (120.0, 192.0), (480.0, 192.0)))
    rule = only(opening(80.0, 120.0), top=top)
    assert rule.lintel is not None
    assert rule.lintel.bearing_left_in == pytest.approx(3.0)


def test_no_lintel_is_drawn_over_an_arch() -> None:
    rule = only(opening(80.0, 120.0, arched=True))
    assert rule.lintel is None
    assert rule.jambs_required == 0
    assert rule.clear_in == 24.0


def test_the_mirrored_wall_has_the_mirrored_lintels() -> None:
    holes = (opening(5.0, 45.0), opening(57.0, 137.0), opening(200.0, 280.0))
    mirrored = tuple(opening(480.0 - o.box.x1, 480.0 - o.box.x0) for o in reversed(holes))
    kinds = (BARE, STEEL, BARE)
    straight = opening_rules(BOOK, wall(*holes), kinds)
    turned = opening_rules(BOOK, wall(*mirrored), kinds[::-1])
    for a, b in zip(straight, reversed(turned), strict=True):
        assert a.lintel is not None
        assert b.lintel is not None
        assert a.lintel.bearing_left_in == pytest.approx(b.lintel.bearing_right_in)
        assert a.lintel.bearing_right_in == pytest.approx(b.lintel.bearing_left_in)
