"""Every dimension in a detail is what the rule book, or the settings, say."""

from __future__ import annotations

import pytest

from details.sheets import SHEETS, Measured, measured, sheet
from perpend.rulebook import load_rulebook
from perpend.rulebook.rule_book import value
from perpend.units import parse_length

PUBLISHED = {
    "joint_width": 3 / 8,
    "thickness": 7.625,
    "shell": 1.25,
    "rake_exterior": 3 / 4,
    "bar_offset": 4.0,
    "lintel_past_bar": 12.0,
    "bearing": 8.0,
    "lintel_depth": 8.0,
    "veneer": 3.625,
    "course": 8.0,
    "unit": 16.0,
    "sealant_depth": 3 / 16,
}
"""8 in. units of ASTM C90-06, as facts of the trade have them; typed here, not read from the project."""

METRIC_MM = {
    "joint_width": 10,
    "thickness": 190,
    "bearing": 200,
    "lintel_depth": 200,
    "bar_offset": 100,
    "course": 200,
    "unit": 400,
    "sealant_depth": 5,
}

ROWS = {
    "joint_width": ("joint-width", "width"),
    "rake_exterior": ("joint-rake", "exterior"),
    "bar_offset": ("opening-bars", "bar_offset"),
    "lintel_past_bar": ("opening-bars", "lintel_past_bar"),
    "bearing": ("lintel-bearing", "usual"),
    "lintel_depth": ("lintel-depth", "depth"),
}


def by_name(found: list[Measured]) -> dict[str, set[float]]:
    names: dict[str, set[float]] = {}
    for m in found:
        names.setdefault(m.name, set()).add(round(m.inches, 6))
    return names


def test_sizes_of_concrete_masonry_are_the_published_ones() -> None:
    assert by_name(measured(sheet("us-cmu", False))) == {k: {round(v, 6)} for k, v in PUBLISHED.items()}


@pytest.mark.parametrize("book", ["us-cmu", "au-ncc"])
def test_metric_sizes(book: str) -> None:
    found = by_name(measured(sheet(book, True)))
    assert ("bar_offset" in found) == (book == "us-cmu"), "the Australian provision has no bars at openings"
    for name, mm in METRIC_MM.items():
        if name == "bar_offset" and book != "us-cmu":
            continue
        assert list(found[name]) == [pytest.approx(mm / 25.4, abs=1e-4)], name


@pytest.mark.parametrize("book", ["us-cmu", "au-ncc"])
def test_sizes_are_those_of_the_rule_book_s_rows(book: str) -> None:
    rules = load_rulebook(book)
    found = by_name(measured(sheet(book, book != "us-cmu")))
    held = {name: rules.first(kind) for name, (kind, _) in ROWS.items()}
    assert sum(row is not None for row in held.values()) >= 2
    for name, row in held.items():
        if row is not None:
            assert list(found[name]) == [pytest.approx(value(row, ROWS[name][1]), abs=1e-4)], name


SETTINGS = """[defaults]
wall_thickness = 12
lintel_bearing = "10 in"
lintel_depth = "16 in"
units = "half-high"
"""


def test_settings_change_what_is_drawn() -> None:
    found = by_name(measured(sheet("us-cmu", False, SETTINGS)))
    assert found["thickness"] == {11.625}
    assert found["bearing"] == {10.0}
    assert found["lintel_depth"] == {16.0}
    assert found["course"] == {4.0}


@pytest.mark.parametrize(("book", "metric"), SHEETS)
def test_the_text_of_a_dimension_is_what_it_measures(book: str, metric: bool) -> None:
    for m in measured(sheet(book, metric)):
        number = m.text.removesuffix(" BRG.").removesuffix(" NOM.")
        told = float(number) / 25.4 if metric else parse_length(number)
        assert told == pytest.approx(m.inches, abs=0.5 / 25.4 if metric else 1 / 32), m


COUNT = {"us-cmu": 16, "au-ncc": 10}
"""The Australian provision has no bars at openings, and says nothing of pilasters, crossing walls, veneer."""


@pytest.mark.parametrize(("book", "metric"), SHEETS)
def test_every_detail_is_dimensioned(book: str, metric: bool) -> None:
    assert len({m.detail for m in measured(sheet(book, metric))}) == COUNT[book]
