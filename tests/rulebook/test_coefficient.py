"""The crack control coefficient from its parts (Masonry Magazine, March 2003, p. 50)."""

from __future__ import annotations

import pytest

from perpend.errors import InputError
from perpend.rulebook import load_rulebook, spacing_rule
from perpend.rulebook.coefficient import crack_control_coefficient

BOOK = load_rulebook("us-cmu")


def test_shrinkage_carbonation_and_temperature_add_up() -> None:
    """0.00045 + 0.00025 + 4.0e-6 · 70 °F = 0.00098."""
    found = crack_control_coefficient(BOOK, shrinkage=0.00045, temperature_change_f=70.0)
    assert found.total == pytest.approx(0.00098, abs=1e-12)
    assert "4e-06 per °F (Masonry Magazine (March 2003), p. 50 (published))" in found.says


def test_the_choice_of_the_thermal_coefficient_is_named_and_marked() -> None:
    """0.00045 + 0.00025 + 4.5e-6 · 70 °F = 0.001015: within the range of the engineered method."""
    found = crack_control_coefficient(BOOK, shrinkage=0.00045, temperature_change_f=70.0, thermal="code")
    assert found.total == pytest.approx(0.001015, abs=1e-12)
    assert "not verified against the source" in found.says
    assert [s.unverified for s in found.sources] == [False, True]
    rule = spacing_rule(BOOK, method="engineered", ccc=found.total)
    assert rule.ratio == pytest.approx(2.5 - 0.5 * 0.03, abs=1e-9)


def test_a_negative_part_is_refused() -> None:
    with pytest.raises(InputError, match="shrinkage"):
        crack_control_coefficient(BOOK, shrinkage=-0.001, temperature_change_f=70.0)
    with pytest.raises(InputError, match="temperature change of nan"):
        crack_control_coefficient(BOOK, shrinkage=0.0, temperature_change_f=float("nan"))
