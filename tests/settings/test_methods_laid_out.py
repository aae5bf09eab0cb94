"""Every method from settings to placed joints: the rule book's limits seen in what the layout does."""

from __future__ import annotations

import itertools

import pytest

from perpend.checks import check_wall
from perpend.layout.place import plan_wall
from perpend.model import Box, Opening, Profile, Wall, WallPlan
from perpend.rulebook import load_rulebook
from perpend.settings import compare_arching, parse_settings, resolve_wall

MM = 1 / 25.4


def wall(length: float, height: float, *holes: Opening) -> Wall:
    top, bottom = Profile.level(height, 0.0, length), Profile.level(0.0, 0.0, length)
    return Wall("W1", "", length, top, bottom, openings=holes)


def planned(text: str, drawn: Wall, *, metric: bool = False) -> WallPlan:
    settings = parse_settings(text)
    basis = resolve_wall(settings, load_rulebook(settings.rulebook), drawn, metric=metric)
    plan = plan_wall(basis)
    assert plan.cost is not None
    assert plan.cost.violations == 0
    return plan


def stations(plan: WallPlan) -> list[float]:
    return [joint.x_in for joint in plan.joints]


def test_veneer_has_a_joint_a_wythe_from_each_corner_and_panels_up_to_20_ft() -> None:
    found = stations(planned("[defaults]\nmethod = 'veneer'\n", wall(960.0, 200.0)))
    assert (found[0], found[-1]) == (4.0, 956.0)
    assert all(x % 8.0 == 0.0 for x in found[1:-1])
    assert max(b - a for a, b in itertools.pairwise((0.0, *found, 960.0))) <= 240.0


def test_veneer_that_continues_has_no_corner_joint_and_a_bond_that_reaches_needs_no_extra_station() -> None:
    text = "[defaults]\nmethod = 'veneer'\nleft_end = 'continues'\n"
    assert stations(planned(text, wall(960.0, 200.0)))[0] > 100.0
    basis = resolve_wall(
        parse_settings("[defaults]\nmethod = 'veneer'\nbond_origin = 4\n"),
        load_rulebook("us-cmu"),
        wall(960.0, 200.0),
    )
    assert basis.corner_stations_in == ()


def test_a_low_engineered_wall_is_laid_out_at_11_4_where_11_8_is_allowed() -> None:
    plan = planned("[defaults]\nmethod = 'engineered'\nccc = 0.001\n", wall(56.0 * 12, 56.0))
    assert plan.limits.max_spacing_in == pytest.approx(140.0)
    assert max(panel.length_in for panel in plan.panels) == 136.0


def test_a_wall_without_joints_gets_its_bond_beams_instead() -> None:
    plan = planned("[defaults]\nmethod = 'no-joints'\nbond_beam_bar = 'No. 4'\n", wall(480.0, 56.0))
    assert plan.joints == ()
    assert [bar.path for bar in plan.bars] == [((0.0, y), (480.0, y)) for y in (12.0, 28.0, 44.0)]
    assert {bar.kind for bar in plan.bars} == {"bond-beam"}
    assert plan.notes == (
        "No control joints: 8 in. hollow masonry with one No. 4 in each of 3 bond beams "
        "[Masonry Magazine (March 2003), p. 50, on TEK 10-3 (published)].",
    )


def test_a_wall_without_joints_that_lacks_steel_says_where_and_how_much() -> None:
    text = "[defaults]\nmethod = 'no-joints'\ncore = 'solid'\nwall_thickness = 12\nbond_beam_bar = 'No. 3'\n"
    basis = resolve_wall(parse_settings(text), load_rulebook("us-cmu"), wall(480.0, 56.0))
    (lack,) = check_wall(basis, plan_wall(basis).joints).required
    assert lack.code == "too-little-horizontal-steel"
    assert "0.77 in² of horizontal steel between 0'-0\" and 40'-0\" where 1.30 in²" in lack.message


def test_the_australian_book_keeps_its_distances_from_corner_and_opening() -> None:
    """470 mm to 4.5 m from each corner, within 1.2 m of the large opening, panels up to 5 m."""
    door = Opening("D1", "", Box(4000 * MM, 0.0, 5800 * MM, 2100 * MM))
    plan = planned("rulebook = 'au-ncc'\n", wall(12_000 * MM, 2700 * MM, door), metric=True)
    found = [x / MM for x in stations(plan)]
    assert 470 <= found[0] <= 4500
    assert 470 <= 12_000 - found[-1] <= 4500
    assert any(0 < 4000 - x <= 1200 or 0 < x - 5800 <= 1200 for x in found)
    assert max(b - a for a, b in itertools.pairwise((0.0, *found, 12_000.0))) <= 5000 + 0.4


def test_arching_goes_with_the_treatment_of_the_opening() -> None:
    door = Opening("D1", "", Box(200.0, 0.0, 240.0, 88.0))
    for treatment, possible in (("reinforced", True), ("unreinforced", False)):
        settings = parse_settings(f"[defaults]\nopenings = '{treatment}'\nmasonry_weight = 100\n")
        book = load_rulebook("us-cmu")
        basis = resolve_wall(settings, book, wall(480.0, 192.0, door))
        plan = plan_wall(basis)
        (found,) = compare_arching(settings, book, basis, plan.joints)
        assert found.possible is possible
        span = 56.0 if treatment == "reinforced" else 48.0
        assert found.full_lb == pytest.approx(span * 104.0 * 7.625 * 100 / 1728)
    metric = load_rulebook("au-ncc")
    bare = resolve_wall(parse_settings("rulebook = 'au-ncc'"), metric, wall(480.0, 192.0, door))
    assert compare_arching(parse_settings(""), metric, bare, ()) == ()
