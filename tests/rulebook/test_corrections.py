"""Numbers that were looked up again: local experience, weights, thicknesses, what is computed from others.

Sources: TEK 10-2B Table 1 note 3; ASTM C90 as a producer quotes it; the International Residential Code, Table
R606.12.3.2 (a seismic table, used here as an outside check of the thicknesses only).
"""

from __future__ import annotations

import math

import pytest

from perpend.errors import InputError
from perpend.model import Profile, Wall
from perpend.rulebook import SteelChoices, limits, load_rulebook, section_of
from perpend.rulebook import reinforcement as reinforcement_of
from perpend.settings import parse_settings, resolve_wall

BOOK = load_rulebook("us-cmu")
WORDS = "forty years of block schools in this county"
IRC_TABLE_R606_12_3_2 = {6: (0.135, 0.047), 8: (0.183, 0.064), 10: (0.231, 0.081), 12: (0.279, 0.098)}
"""Nominal thickness: least sum of both directions, least of each, in² per foot (0.002 and 0.0007 gross)."""


def wall(length: float = 960.0, height: float = 120.0) -> Wall:
    return Wall("W1", "", length, Profile.level(height, 0, length), Profile.level(0.0, 0, length))


def test_local_experience_loosens_the_ratio_in_the_projects_words() -> None:
    text = f"[defaults]\nspacing_ratio = 1.8\nlocal_experience = '{WORDS}'\n"
    found = resolve_wall(parse_settings(text), BOOK, wall())
    assert found.spacing.ratio == 1.8
    assert found.limits(0.0, 960.0).max_spacing_in == 216.0
    assert found.spacing.tightened == ""
    (note,) = [n for n in found.notes if WORDS in n]
    assert "1.8 instead of 1.5" in note
    assert "TEK 10-2B, Table 1 note 3 (published)" in note


def test_without_words_a_looser_ratio_is_refused_and_a_looser_cap_always_is() -> None:
    with pytest.raises(InputError, match="looser"):
        limits(BOOK, 120.0, ratio=1.8)
    with pytest.raises(InputError, match="looser"):
        limits(BOOK, 120.0, cap_in=301.0, local_experience=WORDS)
    assert limits(BOOK, 300.0, ratio=2.0, local_experience=WORDS).max_spacing_in == 300.0


def test_local_experience_of_concrete_masonry_does_not_loosen_veneer() -> None:
    with pytest.raises(InputError, match="looser"):
        limits(BOOK, 120.0, method="veneer", ratio=1.8, local_experience=WORDS)


def test_tightening_needs_no_words() -> None:
    assert limits(BOOK, 120.0, ratio=1.3).max_spacing_in == pytest.approx(156.0)


@pytest.mark.parametrize(("nominal", "areas"), IRC_TABLE_R606_12_3_2.items())
def test_the_thicknesses_give_the_areas_of_the_residential_code(
    nominal: int, areas: tuple[float, float]
) -> None:
    thickness = section_of(BOOK, SteelChoices(nominal, "solid")).thickness_in
    assert tuple(round(ratio * thickness * 12 + 1e-9, 3) for ratio in (0.002, 0.0007)) == areas


@pytest.mark.parametrize(
    ("key", "area", "printed"),
    [
        ("2 wires W1.7", 0.034, 16),
        ("2 wires W2.8", 0.055, 24),
        ("one No. 3", 0.11, 48),
        ("one No. 4", 0.20, 96),
        ("one No. 5", 0.31, 144),
    ],
)
def test_choices_are_computed_and_are_those_of_the_table_as_remembered(
    key: str, area: float, printed: int
) -> None:
    (choice,) = [
        c for c in reinforcement_of(BOOK, "full-height", "empirical").choices if c.name.startswith(key)
    ]
    assert choice.area_in2 == pytest.approx(area)
    assert choice.max_spacing_in == 8 * math.floor(12 * area / 0.025 / 8 + 1e-9) == printed
    assert choice.source.standing == "derived"


@pytest.mark.parametrize(
    ("given", "weight"), [("lightweight", 105), ("medium-weight", 125), ("normal-weight", 135)]
)
def test_a_class_of_unit_is_weighed_at_its_heaviest(given: str, weight: float) -> None:
    numbers = BOOK.row("data.weight").numbers
    assert numbers[given].value == weight < numbers["masonry"].value
    assert parse_settings(f"[defaults]\nmasonry_weight = '{given}'\n").defaults.masonry_weight == given


@pytest.mark.parametrize("given", ["'light'", "0", "-3", "true"])
def test_a_weight_that_is_none_is_refused(given: str) -> None:
    with pytest.raises(InputError, match="masonry_weight"):
        parse_settings(f"[defaults]\nmasonry_weight = {given}\n")


def test_the_australian_book_asks_for_the_class_of_the_site_and_refuses_the_wrong_one() -> None:
    book = load_rulebook("au-ncc")

    def notes(text: str) -> list[str]:
        found = resolve_wall(parse_settings(f"rulebook = 'au-ncc'\n[site]\n{text}"), book, wall())
        return [note for note in found.notes if "site" in note]

    assert len(notes("")) == 1
    assert notes("class = 'm'\n") == []
    with pytest.raises(InputError, match="'H1' is outside the rule book au-ncc, which holds for A, S, M"):
        notes("class = 'H1'\n")
