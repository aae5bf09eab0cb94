"""Lengths at the border: what a drafter types comes in exactly and goes out as it stands on paper."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.errors import InputError
from perpend.units import (
    TICKS_PER_INCH,
    exceeds,
    falls_short,
    format_both,
    format_length,
    from_ticks,
    off_module,
    parse_exact,
    parse_length,
    same,
    to_ticks,
)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("16'-8\"", 200),
        ("16' 8\"", 200),
        ("16'8", 200),
        ("16'-8 1/2\"", 200.5),
        ("16' - 8 1/2\"", 200.5),
        ("16ft 8in", 200),
        ("16 FT. 8 IN.", 200),
        ("16.5'", 198),
        ("16.5 ft", 198),
        ("200", 200),
        ('200"', 200),
        ("200 in.", 200),
        ("8 1/2", 8.5),
        ('3/8"', 0.375),
        ("1'-0 3/8\"", 12.375),
        ("-2'-0\"", -24),
        ("16’–8”", 200),
        ("16′-8″", 200),
        ("4''", 4),
        ("5.08 m", 200),
        ("508cm", 200),
        ("5080mm", 200),
        (96, 96),
        (7.625, 7.625),
    ],
)
def test_lengths_are_read_as_drafters_write_them(text: str | float, inches: float) -> None:
    assert parse_length(text) == inches


@pytest.mark.parametrize(
    "text",
    [
        "",
        "  ",
        "abc",
        "1/0",
        "5 km",
        "16'-8'",
        "--4",
        "'",
        '"',
        "1e3",
        "16.5 1/2",
        "5,08 m",
        float("nan"),
        float("inf"),
    ],
)
def test_what_is_no_length_is_refused_with_a_sentence(text: str | float) -> None:
    with pytest.raises(InputError, match="is not a length"):
        parse_length(text)


def test_a_millimetre_and_a_sixty_fourth_are_whole_ticks() -> None:
    assert Fraction(TICKS_PER_INCH) * 10 / 254 == 320
    assert Fraction(TICKS_PER_INCH, 64) == 127


@given(st.integers(0, 10**7))
@settings(derandomize=True, deadline=None)
def test_every_sixty_fourth_comes_back_from_its_own_text(parts: int) -> None:
    inches = parts / 64
    assert parse_length(format_length(inches, denominator=64)) == inches


@given(st.integers(0, 10**6))
@settings(derandomize=True, deadline=None)
def test_every_millimetre_comes_back_from_its_own_text(millimetres: int) -> None:
    inches = parse_length(f"{millimetres} mm")
    assert parse_exact(f"{millimetres} mm") == Fraction(millimetres * 10, 254)
    assert format_length(inches, "metric") == str(millimetres)
    assert to_ticks(inches) == 320 * millimetres
    assert same(from_ticks(to_ticks(inches)), inches, 1e-9)


@pytest.mark.parametrize(
    ("inches", "printed"),
    [(200, "16'-8\""), (0.375, "0'-0 3/8\""), (12, "1'-0\""), (11.99, "1'-0\""), (-24, "-2'-0\"")],
)
def test_lengths_are_printed_as_on_a_drawing(inches: float, printed: str) -> None:
    assert format_length(inches) == printed


def test_metric_prose_carries_the_imperial_length_beside_it() -> None:
    assert format_both(300, "metric") == "7620 mm (25'-0\")"
    assert format_both(300) == "25'-0\""


def test_a_metric_rule_book_prints_millimeters_alone() -> None:
    assert format_both(300, "metric", feet=False) == "7620 mm"
    assert format_both(300, feet=False) == "25'-0\""


def test_a_limit_is_broken_only_by_more_than_a_sixty_fourth() -> None:
    assert not exceeds(300 + 1 / 64, 300)
    assert exceeds(300 + 1 / 32, 300)
    assert not falls_short(24 - 1 / 64, 24)
    assert falls_short(24 - 1 / 32, 24)


@pytest.mark.parametrize("length", ["21'-4\"", "20'-8\"", "22'-0\""])
def test_modular_lengths_of_the_ncarb_study_post(length: str) -> None:
    """facts.md section 9 (published: NCARB study post): these are modular with 8 in. units."""
    assert off_module(parse_length(length), 8) == 0


def test_19_8_is_off_the_module_in_the_ncarb_study_post() -> None:
    """facts.md section 9 (published: NCARB study post): 19'-8" is not modular; it is 4 in. off."""
    assert off_module(parse_length("19'-8\""), 8) == 4


@pytest.mark.parametrize("kept", [5962.5 / 25.4, round(5962.5 / 25.4, 6)])
def test_half_a_millimeter_is_the_same_on_the_sheet_and_in_results_that_keep_a_millionth(kept: float) -> None:
    """Fifty-three half bricks of 112.5 mm."""
    assert format_length(kept, "metric") == "5963"
    assert format_length(-kept, "metric") == "-5963"
    assert format_length(5962.4 / 25.4, "metric") == "5962"
