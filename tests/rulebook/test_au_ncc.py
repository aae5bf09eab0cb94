"""A rule book that differs in kind: NCC Housing Provisions 5.6.8 (secondary copy).

At most 6 m without large openings; with openings over 900 × 900 mm at most 5 m and within 1.2 m of
the opening; 470 mm to 4.5 m from corners; at height changes over 20 %; never beside an arched opening.
"""

from __future__ import annotations

import pytest

from perpend.errors import InputError
from perpend.model import Box, Opening, Profile, Wall
from perpend.rulebook import WallBasis, is_large, limits, load_rulebook, spacing_rule
from perpend.settings import parse_settings, resolve_wall

BOOK = load_rulebook("au-ncc")
MM = 1 / 25.4


def hole(width: float, height: float, *, x0: float = 4000.0, arched: bool = False) -> Opening:
    box = Box(x0 * MM, 0.0, (x0 + width) * MM, height * MM)
    return Opening("D1", "", box, arched=arched)


def basis(*holes: Opening, settings: str = "") -> WallBasis:
    length = 12_000 * MM
    wall = Wall(
        "W1", "", length, Profile.level(2700 * MM, 0, length), Profile.level(0, 0, length), openings=holes
    )
    return resolve_wall(parse_settings(f"rulebook = 'au-ncc'\n{settings}"), BOOK, wall, metric=True)


@pytest.mark.parametrize(
    ("width", "height", "cap"),
    [(900, 2100, 6000), (2100, 900, 6000), (901, 901, 5000), (1800, 2100, 5000), (600, 600, 6000)],
)
def test_the_cap_depends_on_openings_over_900_by_900(width: float, height: float, cap: float) -> None:
    assert basis(hole(width, height)).spacing.cap_in == pytest.approx(cap * MM)


def test_one_large_opening_among_small_ones_is_enough() -> None:
    found = basis(hole(600, 600, x0=1000), hole(1800, 2100))
    assert found.spacing.cap_in == pytest.approx(5000 * MM)
    assert [rule.near_within_in for rule in found.openings] == [None, pytest.approx(1200 * MM)]


@pytest.mark.parametrize("height_mm", [1200.0, 2700.0, 6000.0])
def test_the_spacing_does_not_depend_on_the_height(height_mm: float) -> None:
    found = limits(BOOK, height_mm * MM)
    assert found.max_spacing_in == pytest.approx(6000 * MM)
    assert (found.governing, found.ratio) == ("cap", None)


def test_a_joint_stands_470_mm_to_4_5_m_from_a_corner() -> None:
    found = limits(BOOK, 2700 * MM)
    assert found.corner_min_in == pytest.approx(470 * MM)
    assert found.corner_distance_in == pytest.approx(4500 * MM)


def test_a_height_change_counts_above_20_percent() -> None:
    assert basis().height_change_over == 0.20
    assert basis().source_of("height-change")[0].cite() == "NCC Housing Provisions, 5.6.8(2)(c) (published)"


def test_no_joint_beside_an_arched_opening() -> None:
    (rule,) = basis(hole(1800, 2100, arched=True)).openings
    assert rule.clear_in == pytest.approx(1200 * MM)
    assert (rule.near_within_in, rule.lintel, rule.jambs_required) == (None, None, 0)
    assert {"opening.arched", "opening.arched#clear"} <= {source.row for source in rule.sources}


def test_the_book_knows_no_reinforced_openings() -> None:
    with pytest.raises(InputError, match="au-ncc has no reinforced openings"):
        basis(hole(1800, 2100), settings="[defaults]\nopenings = 'reinforced'\n")


@pytest.mark.parametrize("said", ["", "[defaults]\nopenings = 'unreinforced'\n"])
def test_no_opening_asks_for_a_joint_at_a_jamb(said: str) -> None:
    (rule,) = basis(hole(1800, 2100), settings=said).openings
    assert (rule.jambs_required, rule.step_in) == (0, 0.0)
    assert rule.clear_in == pytest.approx(200 * MM)


def test_settings_may_tighten_the_cap_and_add_a_ratio_but_not_loosen() -> None:
    tight = limits(BOOK, 2000 * MM, cap_in=4000 * MM, ratio=1.5)
    assert tight.max_spacing_in == pytest.approx(3000 * MM)
    assert "ratio 1.5 instead of none" in tight.tightened
    with pytest.raises(InputError, match=r"looser than the limit of .* by NCC Housing Provisions, 5\.6\.8"):
        spacing_rule(BOOK, cap_in=5500 * MM, large_openings=True)


@pytest.mark.parametrize("method", ["engineered", "veneer", "no-joints"])
def test_methods_that_the_book_does_not_have_are_refused(method: str) -> None:
    with pytest.raises(InputError, match="au-ncc has no method"):
        basis(settings=f"[defaults]\nmethod = '{method}'\n")


def test_the_book_says_what_it_does_not_say() -> None:
    found = basis()
    assert (found.reinforcement.required_in2_per_ft, found.reinforcement.choices) == (None, ())
    assert found.transfers_shear is None
    assert found.module_in == pytest.approx(200 * MM)
    assert found.other_spacings == ()
    assert not is_large(load_rulebook("us-cmu"), hole(3000, 3000))
