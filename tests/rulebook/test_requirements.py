"""Horizontal reinforcement, joint types, places and the module, against their published sources."""

from __future__ import annotations

import math

import pytest

from perpend.errors import InputError
from perpend.model import PlaceKind
from perpend.rulebook import bond, height_change_over, joint_type, joint_types, load_rulebook, place_sources
from perpend.rulebook import reinforcement as reinforcement_of

BOOK = load_rulebook("us-cmu")


def test_reinforcement_between_joints_tek_10_2b_table_1_note() -> None:
    """0.025 in²/ft is 52.9 mm²/m."""
    found = reinforcement_of(BOOK, "full-height", "empirical")
    assert found.required_in2_per_ft == 0.025
    assert pytest.approx(52.9, abs=0.05) == 0.025 * 25.4**2 / 0.3048
    assert found.source is not None
    assert found.source.document == "TEK 10-2B"


@pytest.mark.parametrize(
    ("units", "method", "expected"),
    [
        ("full-height", "empirical", {0.034: 16, 0.055: 24, 0.11: 48, 0.20: 96, 0.31: 144}),
        ("half-high", "empirical", {0.034: 12, 0.055: 24, 0.11: 48, 0.20: 96, 0.31: 144}),
        ("full-height", "engineered", {0.034: 16, 0.055: 24, 0.11: 48, 0.20: 96, 0.31: 144}),
        ("full-height", "veneer", {0.034: 16}),
        ("half-high", "veneer", {0.034: 12}),
    ],
)
def test_the_choices_of_tek_10_2c_table_2(units: str, method: str, expected: dict[float, float]) -> None:
    found = reinforcement_of(BOOK, units, method)
    assert {choice.area_in2: choice.max_spacing_in for choice in found.choices} == expected


@pytest.mark.parametrize("units", ["full-height", "half-high"])
def test_every_choice_meets_the_required_area_and_lands_on_a_course(units: str) -> None:
    """Derived: 12·A/0.025 is 16.3, 26.5, 52.8, 96.0 and 148.8 in."""
    found = reinforcement_of(BOOK, units, "empirical")
    course = bond(BOOK, units).course_in
    assert found.required_in2_per_ft is not None
    for choice in found.choices:
        assert choice.max_spacing_in <= 12 * choice.area_in2 / found.required_in2_per_ft + 1e-9
        assert math.fmod(choice.max_spacing_in, course) == 0.0


def test_a_wall_without_joints_has_another_requirement() -> None:
    found = reinforcement_of(BOOK, "full-height", "no-joints")
    assert (found.required_in2_per_ft, found.choices) == (None, ())


def test_a_chosen_reinforcement_is_named_and_an_unknown_one_refused() -> None:
    assert reinforcement_of(BOOK, "full-height", "empirical", chosen="No. 4").chosen == "one No. 4"
    with pytest.raises(InputError, match=r"'No\. 4'"):
        reinforcement_of(BOOK, "full-height", "empirical", chosen="No 4")


@pytest.mark.parametrize(
    ("key", "shear", "fire"),
    [
        ("formed-paper", True, "4 h"),
        ("preformed-gasket", None, "verify"),
        ("tongue-and-groove", True, "verify"),
        ("raked", False, "none"),
    ],
)
def test_joint_types_say_only_what_is_known(key: str, shear: bool | None, fire: str) -> None:
    found = joint_type(BOOK, key)
    assert (found.transfers_shear, found.fire_rating) == (shear, fire)
    assert "fire" not in found.printed(), "printed only where the project states one"
    assert "fire rating: 2 h" in found.printed("2 h")
    assert ("verify" in found.printed()) == (shear is None)


def test_a_fire_rating_in_figures_is_known_for_one_type_only() -> None:
    with_figures = [t.key for t in joint_types(BOOK) if any(c.isdigit() for c in t.fire_rating)]
    assert with_figures == ["formed-paper"]


def test_an_unknown_joint_type_names_the_nearest() -> None:
    with pytest.raises(InputError, match="'formed-paper'"):
        joint_type(BOOK, "formed paper")


def test_every_kind_of_place_has_its_row_tek_10_2c_figure_1() -> None:
    by_place = dict(place_sources(BOOK))
    assert set(by_place) == {kind.value for kind in PlaceKind} - {"held"}, "a person asks for those"
    assert by_place["height-change"].cite() == "TEK 10-2C (2010), Figure 1 (published)"
    assert by_place["foundation-joint"].cite().startswith("UFC 3-310-05A (TM 5-809-3) (2005), chapter 4")
    assert height_change_over(BOOK) == 0.0


@pytest.mark.parametrize(
    ("units", "metric", "module", "course"),
    [
        ("full-height", False, 8.0, 8.0),
        ("half-high", False, 8.0, 4.0),
        ("full-height", True, 200 / 25.4, 200 / 25.4),
        ("half-high", True, 200 / 25.4, 100 / 25.4),
    ],
)
def test_module_and_course(units: str, metric: bool, module: float, course: float) -> None:
    found = bond(BOOK, units, metric=metric)
    assert found.module_in == pytest.approx(module)
    assert found.course_in == pytest.approx(course)
