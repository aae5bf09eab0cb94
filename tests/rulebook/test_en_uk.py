"""EN 1996-2 and practice in the United Kingdom.

Sources: the table of lm as a guide of the clay industry copies it (clay 12 m, calcium silicate 8 m, aggregate
concrete and manufactured stone 6 m, natural stone 12 m; first joint within lm / 2); the Concrete Society and
LABC (3 : 1); NHBC (half the spacing in parapets, 1.5 m from corners; 16 mm at 12 m); the brick industry
(round a corner 12 m, 6 m each side; width in mm about 1.3 × spacing in m).
"""

from __future__ import annotations

import pytest

from perpend.errors import InputError
from perpend.model import Box, Opening, Profile, Wall
from perpend.rulebook import WallBasis, bond, joint_width, limits, load_rulebook, reinforcement
from perpend.settings import parse_settings, resolve_wall

BOOK = load_rulebook("en-uk")
MM = 1 / 25.4
LM_M = {
    "clay": 12,
    "calcium-silicate": 8,
    "aggregate-concrete": 6,
    "manufactured-stone": 6,
    "aircrete": 6,
    "natural-stone": 12,
}


def basis(text: str = "", *holes: Opening, length: float = 20_000, height: float = 5_000) -> WallBasis:
    x1 = length * MM
    wall = Wall("W1", "", x1, Profile.level(height * MM, 0, x1), Profile.level(0, 0, x1), openings=holes)
    settings = parse_settings(f"rulebook = 'en-uk'\n[defaults]\n{text}")
    return resolve_wall(settings, BOOK, wall, metric=True)


@pytest.mark.parametrize(("material", "metres"), LM_M.items())
def test_the_spacing_is_that_of_the_material(material: str, metres: float) -> None:
    found = limits(BOOK, 5_000 * MM, material=material)
    assert found.max_spacing_in == pytest.approx(metres * 1000 * MM)
    assert found.corner_distance_in == pytest.approx(metres * 500 * MM)
    assert not any(source.unverified for source in found.sources)


@pytest.mark.parametrize(
    ("height", "concrete", "clay"), [(1500, 4500, 12000), (2000, 6000, 12000), (3000, 6000, 12000)]
)
def test_length_to_height_counts_for_concrete(height: float, concrete: float, clay: float) -> None:
    assert limits(BOOK, height * MM).max_spacing_in == pytest.approx(concrete * MM)
    assert limits(BOOK, height * MM, material="clay").max_spacing_in == pytest.approx(clay * MM)


def test_without_a_material_the_closest_spacing_counts_and_an_unknown_one_is_refused() -> None:
    assert basis().spacing.material == "aggregate-concrete"
    with pytest.raises(InputError, match="no material 'brick'; known are"):
        basis("material = 'brick'\n")
    with pytest.raises(InputError, match="us-cmu has no material 'clay'; it is about one material alone"):
        limits(load_rulebook("us-cmu"), 120.0, material="clay")


@pytest.mark.parametrize(
    ("text", "spacing", "corner"),
    [
        ("material = 'clay'\n", 12_000, 6_000),
        ("material = 'clay'\nparapet = true\n", 6_000, 1_500),
        ("material = 'calcium-silicate'\nparapet = true\n", 4_000, 1_500),
        ("material = 'clay'\nleft_return = '6 m'\n", 12_000, 6_000),
        ("material = 'clay'\nleft_return = '2 m'\n", 12_000, 6_000),
        ("material = 'clay'\nleft_return = '9 m'\n", 12_000, 3_000),
    ],
)
def test_corners_and_parapets(text: str, spacing: float, corner: float) -> None:
    found = basis(text).limits(0.0, 2_000 * MM)
    assert found.max_spacing_in == pytest.approx(spacing * MM)
    assert found.corner_distance_in == pytest.approx(corner * MM)


def test_the_width_of_a_clay_joint_is_16_mm_at_12_m() -> None:
    found = joint_width(BOOK, 12_000 * MM, material="clay")
    assert found is not None
    assert found.needed_in == pytest.approx(15.6 * MM)
    assert found.width_in == pytest.approx(16 * MM)
    concrete = joint_width(BOOK, 6_000 * MM, material="aircrete")
    assert concrete is not None
    assert concrete.width_in == pytest.approx(10 * MM)


@pytest.mark.parametrize(
    ("material", "module", "course"),
    [("clay", 112.5, 75), ("aggregate-concrete", 225, 225), ("aircrete", 225, 225)],
)
def test_the_module_is_that_of_the_units(material: str, module: float, course: float) -> None:
    found = bond(BOOK, "full-height", metric=True, material=material)
    assert (found.module_in, found.course_in) == pytest.approx((module * MM, course * MM))
    assert basis(f"material = '{material}'\n").module_in == pytest.approx(module * MM)


def test_long_panels_name_their_bed_reinforcement_and_every_wall_its_ties() -> None:
    """6 m over 2.2 m is 2.7: 600 to 675 mm apart by one maker; over 5 m it is 1.2."""
    long, short = basis(height=2_200).notes, basis(height=5_000).notes
    assert any("600 to 675 mm" in note for note in long)
    assert not any("675 mm" in note for note in short)
    assert any("300 mm of height" in note for note in short)


def test_bed_reinforcement_is_drawn_at_openings_in_concrete_and_not_in_clay() -> None:
    hole = Opening("W", "", Box(4_500 * MM, 900 * MM, 6_300 * MM, 2_100 * MM))
    concrete, clay = basis("", hole), basis("material = 'clay'\n", hole)
    assert concrete.corner_reinforcement_past_in == pytest.approx(600 * MM)
    assert concrete.corner_reinforcement_beds == 2
    assert clay.corner_reinforcement_past_in == 0.0
    (rule,) = clay.openings
    assert (rule.jambs_required, rule.jambs_optional) == (0, True)


def test_the_book_asks_for_no_steel_between_joints_and_calls_its_joints_mj() -> None:
    found = basis()
    assert reinforcement(BOOK, "full-height", "empirical").choices == ()
    assert (found.label, BOOK.joint) == ("MJ", "movement joint")
