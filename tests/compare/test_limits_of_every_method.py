"""``perpend limits`` knows every method of every rule book, the steel of a wall without joints included."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.harness import perpend
from perpend.rulebook import book_keys, load_rulebook


def limits(*arguments: str) -> dict[str, Any]:
    ending = perpend("limits", "--json", *arguments)
    assert ending.code == 0, ending.err
    found: dict[str, Any] = json.loads(ending.out)
    return found


@pytest.mark.parametrize("key", book_keys())
def test_every_method_of_every_book_is_answered_and_stands_among_the_others(key: str) -> None:
    for method in load_rulebook(key).methods:
        found = limits("--height", "10ft", "--rulebook", key, "--method", method)
        assert found["method"] == method
        assert found["limits"]["sources"]
        assert {o["method"] for o in found["others"]} | {method} == set(load_rulebook(key).methods)
        text = perpend("limits", "--height", "10ft", "--rulebook", key, "--method", method).out
        assert max(map(len, text.splitlines())) <= 100
        assert ("not verified against the source" in text) == bool(
            found["unverified"] or any(o["unverified"] for o in found["others"])
        )


@pytest.mark.parametrize(
    ("method", "units", "spacing_in", "corner_in"),
    [
        # At 12'-0": 1.5 × H; veneer's corner is a wythe, 4 in. (facts of the trade, sections 1 and 3).
        ("empirical", "full-height", 216, 108),
        ("empirical", "half-high", 216, 108),
        ("engineered", "full-height", 240, 120),
        ("engineered", "half-high", 240, 120),
        ("veneer", "full-height", 216, 4),
        ("veneer", "half-high", 216, 4),
        ("no-joints", "full-height", None, None),
    ],
)
def test_spacing_and_corner_at_12_ft(
    method: str, units: str, spacing_in: float | None, corner_in: float | None
) -> None:
    found = limits("--height", "12'-0\"", "--method", method, "--units", units)["limits"]
    assert (found["max_spacing_in"], found["corner_distance_in"]) == (spacing_in, corner_in)


def test_veneer_s_joint_reinforcement_is_stricter_with_half_high_units() -> None:
    """16 in. with full-height units, 12 in. with half-high ones (practice of the trade)."""
    for units, spacing in (("full-height", 16), ("half-high", 12)):
        found = limits("--height", "12ft", "--method", "veneer", "--units", units)
        (only,) = found["horizontal_reinforcement"]["choices"]
        assert (only["area_in2"], only["max_spacing_in"]) == (0.034, spacing)


def test_a_wall_of_4_8_goes_without_joints_with_three_bond_beams() -> None:
    """One No. 4 in each gives 0.60 in² where 0.51 in² is needed (TEK 10-3, derived)."""
    found = limits("--height", "4'-8\"", "--method", "no-joints")
    steel = found["without_joints"]
    assert (steel["bond_beams"], steel["bar"], steel["enough"]) == (3, "No. 4", True)
    assert steel["provided_in2"] == pytest.approx(0.60)
    assert steel["required_in2"] == pytest.approx(0.514, abs=0.001)
    assert steel["max_bar_spacing_in"] == 24
    assert found["unverified"] == []
    text = perpend("limits", "--height", "4'-8\"", "--method", "no-joints").out
    said = " ".join(text.split())
    assert "one No. 4 in each of 3 bond beams: 0.60 in², where 0.51 in² is needed. By the formula:" in said
    assert "By the formula: one No. 4 every 2'-0\" at most." in said
    assert "Masonry Magazine (March 2003), p. 50, on TEK 10-3 (published)" in text


def test_the_section_of_the_settings_counts_and_too_little_steel_is_said(tmp_path: Path) -> None:
    """12 in. solid: 0.002 · 11.625 · 56 = 1.30 in²; seven courses of one No. 3 have 0.77 in²."""
    settings = tmp_path / "office.toml"
    text = "[defaults]\nwall_thickness = 12\ncore = 'solid'\nbond_beam_bar = 'No. 3'\n"
    settings.write_text(text, encoding="utf-8")
    arguments = ("--height", "4'-8\"", "--method", "no-joints", "--settings", str(settings))
    steel = limits(*arguments)["without_joints"]
    assert (steel["bond_beams"], steel["enough"], steel["max_bar_spacing_in"]) == (7, False, None)
    said = " ".join(perpend("limits", *arguments).out.split())
    assert "0.77 in², where 1.30 in² is needed, which is not enough" in said
