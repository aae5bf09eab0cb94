"""Clay brick veneer in the United States.

Sources: BIA Technical Note 18A (2006): 25 ft, 20 ft with several openings, corner 10 ft + 15 ft, parapets
over 15 ft, 1/4 in. under shelf angles, 1/2 in. joint of class 50 printed as 23'-2"; a consultant's page:
3/8 in. and 50 % over 0.0009 give 17'-4"; TM 5-809-3 Eq. 4-1: Wx = (0.0003 + 0.000004 ΔT) L.
"""

from __future__ import annotations

import pytest

from perpend.checks import check_wall
from perpend.errors import InputError
from perpend.layout import place_joints, plan_wall
from perpend.model import Box, EndCondition, Opening, Profile, Support, Treatment, Wall
from perpend.rulebook import JointChoices, WallBasis, joint_width, limits, load_rulebook, spacing_rule
from perpend.rulebook.movement import strain
from perpend.settings import parse_settings, resolve_wall
from perpend.units import format_length, parse_length

BOOK = load_rulebook("us-clay")


def hole(tag: str, x0: str, width: str, *, sill: float = 32.0, treatment: Treatment | None = None) -> Opening:
    left = parse_length(x0)
    return Opening(tag, "", Box(left, sill, left + parse_length(width), 88.0), treatment=treatment)


def wall(
    length: str, *holes: Opening, height: float = 120.0, ends: str = "cc", supports: tuple[float, ...] = ()
) -> Wall:
    end = {"c": EndCondition.CORNER, "f": EndCondition.FREE}
    x1 = parse_length(length)
    return Wall(
        "W1",
        "",
        x1,
        Profile.level(height, 0, x1),
        Profile.level(0.0, 0, x1),
        openings=holes,
        left_end=end[ends[0]],
        right_end=end[ends[1]],
        supports=tuple(Support(y, 0.0, x1) for y in supports),
    )


def basis(drawn: Wall, text: str = "") -> WallBasis:
    return resolve_wall(parse_settings(f"rulebook = 'us-clay'\n[defaults]\n{text}"), BOOK, drawn)


def stations(found: WallBasis) -> list[str]:
    plan = plan_wall(found)
    return [format_length(joint.x_in) for joint in plan.joints]


@pytest.mark.parametrize("height", [36.0, 120.0, 480.0])
def test_the_height_does_not_enter(height: float) -> None:
    assert limits(BOOK, height).max_spacing_in == 300.0


@pytest.mark.parametrize(("openings", "feet"), [(0, 25), (1, 25), (2, 20), (7, 20)])
def test_several_openings_bring_joints_closer(openings: int, feet: int) -> None:
    assert spacing_rule(BOOK, openings=openings).cap_in == feet * 12
    assert (
        basis(
            wall("60 ft", *(hole(f"D{n}", f"{6 * n + 4} ft", "3 ft") for n in range(openings)))
        ).spacing.cap_in
        == feet * 12
    )


@pytest.mark.parametrize(
    ("width", "percent", "inches", "printed"),
    [(0.375, 50, 208.33, "17'-4\""), (0.5, 50, 277.78, "23'-2\""), (0.5, 25, 138.89, "11'-7\"")],
)
def test_the_calculated_spacing_is_the_published_one(
    width: float, percent: float, inches: float, printed: str
) -> None:
    """17'-4" by the consultant's page, 23'-2" by Technical Note 18A; class 25 gives half of it."""
    found = spacing_rule(BOOK, method="engineered", joint=JointChoices(width, percent))
    assert found.cap_in == pytest.approx(inches, abs=0.005)
    assert format_length(round(inches)) == printed
    assert strain(BOOK.row("spacing.calculated")) == pytest.approx(0.0009)


def test_a_wide_joint_does_not_go_beyond_the_recommended_spacing() -> None:
    assert spacing_rule(BOOK, method="engineered", joint=JointChoices(0.75, 50)).cap_in == 300.0
    assert spacing_rule(BOOK, method="engineered", joint=JointChoices(0.75, 50), openings=3).cap_in == 240.0
    warm = spacing_rule(BOOK, method="engineered", joint=JointChoices(0.375, 50, 150.0))
    assert warm.cap_in == pytest.approx(0.375 * 0.5 / (0.0005 + 4e-6 * 150))


def test_the_armys_equation_asks_for_less_movement() -> None:
    assert pytest.approx(0.0007) == 0.0003 + 0.000004 * 100
    assert strain(BOOK.row("spacing.calculated")) > 0.0007


def test_the_recommended_spacing_needs_a_wider_joint_than_the_usual_one() -> None:
    """25 ft · 0.0009 / 0.5 = 0.54 in.: the notes say so, and the width is rounded up to 9/16 in."""
    found = joint_width(BOOK, 300.0)
    assert found is not None
    assert found.needed_in == pytest.approx(0.54)
    assert found.width_in == 0.5625
    narrow = joint_width(BOOK, 300.0, JointChoices(0.375))
    assert narrow is not None
    assert not narrow.enough
    assert any("0'-0 9/16\"" in note for note in basis(wall("60 ft")).notes)


def test_a_corner_of_25_ft_is_10_ft_and_15_ft() -> None:
    """Technical Note 18A: within about 10 ft in one wall, no more than the spacing round the corner."""
    near = basis(wall("80 ft", ends="cf"))
    assert near.limits(0.0, 120.0).corner_distance_in == 120.0
    for beyond, allowed in (
        ("10 ft", "15 ft"),
        ("4 ft", "21 ft"),
        ("0", "25 ft"),
        ("15 ft", "10 ft"),
        ("20 ft", "5 ft"),
    ):
        found = basis(wall("80 ft", ends="cf"), f"left_return = '{beyond}'\n")
        assert found.limits(0.0, 96.0).corner_distance_in == parse_length(allowed), beyond
        assert found.limits(96.0, 200.0).corner_distance_in is None


def test_what_stands_round_the_corner_moves_the_first_joint() -> None:
    alone, served = basis(wall("50 ft", ends="cf")), basis(wall("50 ft", ends="cf"), "left_return = '0'\n")
    assert len(stations(alone)) == 2
    assert parse_length(stations(alone)[0]) <= 120.0
    assert stations(served) == ["25'-0\""]
    for found in (alone, served):
        placed = place_joints(found)
        assert placed.cost.violations == 0
        assert check_wall(found, placed.joints).required == ()


def test_the_judge_measures_round_the_corner_too() -> None:
    plan = plan_wall(basis(wall("50 ft", ends="cf"), "left_return = '0'\n"))
    far = basis(wall("50 ft", ends="cf"), "left_return = '5 ft'\n")
    found, *_ = check_wall(far, plan.joints).required
    assert (found.code, found.measured_in, found.limit_in) == ("corner-too-far", 300.0, 240.0)


def test_openings_go_by_the_support_of_their_lintel() -> None:
    window = hole("N1", "12 ft", "5 ft")
    (loose,) = basis(wall("40 ft", window)).openings
    assert (loose.jambs_required, loose.jambs_optional, loose.step_in, loose.clear_in) == (0, True, 4.0, 24.0)
    (hung,) = basis(wall("40 ft", window), "lintel_support = 'anchored'\n").openings
    assert (hung.jambs_required, hung.jambs_optional, hung.step_in, hung.clear_in) == (2, False, 0.0, 0.0)
    assert stations(basis(wall("40 ft", window, ends="ff"), "lintel_support = 'anchored'\n")) == [
        "12'-0\"",
        "17'-0\"",
    ]


def test_a_joint_at_a_jamb_is_taken_where_it_saves_one_and_steps_over_a_slip_plane() -> None:
    """Windows so close that no station is clear of both their angles: only a jamb is left in the middle."""
    holes = tuple(hole(f"N{n}", f"{14 + 56 * n} in", "4 ft") for n in range(7))
    found = basis(wall("34 ft", *holes, ends="ff"))
    placed = place_joints(found)
    assert placed.cost.violations == 0
    jambs = {x for rule in found.openings for x in (rule.opening.box.x0, rule.opening.box.x1)}
    assert {joint.x_in for joint in placed.joints} <= jambs
    planes = [plane for joint in placed.joints for plane in joint.slip_planes]
    assert [plane.x1_in - plane.x0_in for plane in planes] == [4.0] * len(placed.joints)
    assert check_wall(found, placed.joints).required == ()


def test_jamb_bars_are_not_for_clay() -> None:
    with pytest.raises(InputError, match="us-clay has no reinforced openings, which N1 in W1"):
        basis(wall("40 ft", hole("N1", "12 ft", "5 ft", treatment=Treatment.REINFORCED)))
    with pytest.raises(InputError, match="no reinforced openings"):
        basis(wall("40 ft", hole("N1", "12 ft", "5 ft")), "openings = 'reinforced'\n")
    assert basis(wall("40 ft", hole("N1", "12 ft", "5 ft"))).other_treatments == (None,)


def test_no_joint_beside_an_arch() -> None:
    arch = Opening("A1", "", Box(160.0, 0.0, 240.0, 96.0), arched=True)
    (rule,) = basis(wall("40 ft", arch)).openings
    assert (rule.jambs_required, rule.jambs_optional, rule.clear_in) == (0, False, 24.0)


def test_a_parapet_has_joints_within_15_ft_and_the_wall_below_is_told() -> None:
    assert basis(wall("60 ft"), "parapet = true\n").spacing.cap_in == 180.0
    noted = basis(wall("60 ft", height=180.0, supports=(144.0,))).notes
    assert any("parapet" in note and "15 ft" in note for note in noted)
    assert not any("parapet" in note for note in basis(wall("60 ft", supports=(120.0,))).notes)


def test_a_joint_under_each_shelf_angle() -> None:
    found = basis(wall("60 ft", height=360.0), "shelf_angles = ['12 ft', '24 ft']\n")
    assert found.sizes.horizontal is not None
    assert found.sizes.horizontal.levels_in == (144.0, 288.0)
    notes = [note for note in found.notes if "shelf angle" in note]
    assert [("12'-0\"" in note, "24'-0\"" in note) for note in notes] == [(True, False), (False, True)]
    assert all("0'-0 1/4\"" in note and "BIA Technical Note 18A" in note for note in notes)


def test_the_joints_are_expansion_joints_of_a_type_that_the_book_knows() -> None:
    found = basis(wall("60 ft"))
    assert (found.label, BOOK.joint, found.joint_type) == ("EJ", "expansion joint", "sealed")
    with pytest.raises(InputError, match="'formed-paper'"):
        basis(wall("60 ft"), "joint_type = 'formed-paper'\n")


def test_a_wall_of_20_ft_has_a_joint() -> None:
    """Beall p. 167: it follows from the corners."""
    assert len(stations(basis(wall("20 ft")))) >= 1
