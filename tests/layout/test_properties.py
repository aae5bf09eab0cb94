"""The search against brute force, an integer program and a referee, on random walls.

None of the three shares code with `perpend.layout`; they were written from docs/placement.md.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout import brute, solver
from layout.builders import mirrored
from layout.referee import judge
from layout.stations import SAME, ticks
from layout.strategies import (
    careless_walls,
    leaning_walls,
    middling_walls,
    plain_walls,
    small_walls,
    stacked_walls,
)
from perpend.layout import Placement, place_joints
from perpend.layout.facts import PanelBlocked, Unserved
from perpend.model import Cost, Frame, JointKind
from perpend.rulebook.wall_basis import WallBasis

MOST_CANDIDATES = 13


def feet(placement: Placement) -> tuple[tuple[int, int], ...]:
    """Return the station of foot and head of every joint within the wall."""
    inner = (j for j in placement.joints if j.kind is not JointKind.END)
    return tuple((ticks(j.x_in), ticks(j.path[-1][0])) for j in inner)


def assert_is(basis: WallBasis, best: brute.Score) -> None:
    """Compare a placement with the best score there is, and let the referee look at it."""
    placement = place_joints(basis)
    report = judge(basis, placement)
    assert report.complaints == []
    assert (*report.cost, report.off_steps, report.feet) == best
    assert feet(placement) == best[-1]


@settings(max_examples=350)
@given(small_walls())
def test_small_walls_are_laid_out_as_brute_force_does(basis: WallBasis) -> None:
    field = brute.field_of(basis)
    assume(len(field.candidates) <= MOST_CANDIDATES)
    assert_is(basis, min(brute.score(field, nodes) for nodes in brute.layouts(field)))


@settings(max_examples=350)
@given(st.one_of(leaning_walls(), stacked_walls()))
def test_joints_that_lean_on_different_courses_are_laid_out_as_brute_force_does(basis: WallBasis) -> None:
    field = brute.field_of(basis)
    assume(len(field.candidates) <= MOST_CANDIDATES)
    assert_is(basis, min(brute.score(field, nodes) for nodes in brute.layouts(field)))


@settings(max_examples=90)
@given(st.one_of(careless_walls(grain=1 / 256), careless_walls(grain=0.1)))
def test_careless_drawings_are_laid_out_as_brute_force_does(basis: WallBasis) -> None:
    """To a few ticks: which of two stations within the tolerance is taken for both is left open."""
    field = brute.field_of(basis)
    assume(len(field.candidates) <= MOST_CANDIDATES)
    best = min(brute.score(field, nodes) for nodes in brute.layouts(field))
    placement = place_joints(basis)
    cost = placement.cost
    assert judge(basis, placement).complaints == []
    assert (cost.violations, cost.joints, cost.slip_planes) == (best[0], best[4], best[5])
    assert ticks(cost.excess_in) == pytest.approx(best[1], abs=SAME)
    assert ticks(cost.longest_in) == pytest.approx(best[6], abs=SAME)


@settings(max_examples=14)
@given(middling_walls())
def test_middling_walls_are_laid_out_as_an_integer_program_does(basis: WallBasis) -> None:
    assert_is(basis, solver.solve(basis))


@settings(max_examples=60)
@given(small_walls())
def test_the_two_judges_of_the_search_agree(basis: WallBasis) -> None:
    """Brute force and the integer program are written apart from each other past the candidates."""
    field = brute.field_of(basis)
    assume(2 <= len(field.candidates) <= 9)
    assert solver.solve(basis) == min(brute.score(field, nodes) for nodes in brute.layouts(field))


@settings(max_examples=60)
@given(middling_walls())
def test_the_referee_finds_nothing_wrong_with_middling_walls(basis: WallBasis) -> None:
    assert judge(basis, place_joints(basis)).complaints == []


@settings(max_examples=150)
@given(st.one_of(small_walls(), middling_walls()))
def test_a_mirrored_wall_costs_the_same(basis: WallBasis) -> None:
    here, there = place_joints(basis).cost, place_joints(mirrored(basis)).cost
    assert listed(there) == listed(here)
    assert there.excess_in == pytest.approx(here.excess_in, abs=0.001)


def listed(cost: Cost) -> tuple[int, int, int, int, float, float]:
    longest, unevenness = round(cost.longest_in, 6), round(cost.unevenness, 3)
    return (cost.violations, cost.narrow, cost.joints, cost.slip_planes, longest, unevenness)


@settings(max_examples=100)
@given(st.one_of(small_walls(), middling_walls()), st.integers(-40, 40))
def test_a_bond_origin_farther_by_whole_modules_changes_nothing(basis: WallBasis, modules: int) -> None:
    moved = replace(basis, bond_origin_in=basis.bond_origin_in + modules * basis.module_in)
    here, there = place_joints(basis), place_joints(moved)
    assert there.joints == here.joints
    assert there.panels == here.panels
    assert there.cost == here.cost


@settings(max_examples=50)
@given(
    small_walls(),
    st.integers(-(10**7), 10**7),
    st.integers(-(10**7), 10**7),
    st.sampled_from([0.0, 0.5, 3.1]),
    st.sampled_from([1.0, 12.0, 5 / 127]),
)
def test_where_a_wall_lies_in_the_drawing_changes_nothing(
    basis: WallBasis, x: int, y: int, turn: float, unit: float
) -> None:
    moved = replace(basis, wall=replace(basis.wall, frame=Frame((x / 16, y / 16), turn, unit)))
    assert place_joints(moved) == place_joints(basis)


@settings(max_examples=150)
@given(
    st.one_of(plain_walls(), middling_walls()),
    st.sampled_from([0.5, 0.75, 0.8, 0.9]),
    st.sampled_from(["ratio", "cap"]),
)
def test_a_tighter_limit_never_needs_fewer_joints(basis: WallBasis, part: float, which: str) -> None:
    rule = basis.spacing
    assume(which == "cap" or rule.ratio is not None)
    tighter = (
        replace(rule, ratio=rule.ratio * part)
        if which == "ratio" and rule.ratio is not None
        else replace(rule, cap_in=(rule.cap_in or 0.0) * part)
    )
    tight, loose = place_joints(replace(basis, spacing=tighter)).cost, place_joints(basis).cost
    assume(tight.violations == 0)
    assert loose.violations == 0
    assert loose.joints <= tight.joints


@settings(max_examples=100)
@given(st.one_of(small_walls(), middling_walls()))
def test_facts_name_openings_of_the_wall_and_only_what_is_broken(basis: WallBasis) -> None:
    placement = place_joints(basis)
    tags = {rule.opening.tag for rule in basis.openings} | {"the wall's end", "the wall's top", "the corner"}
    tags |= {part.what for part in basis.keep_outs}
    assert not placement.facts or placement.cost.violations + placement.cost.narrow > 0
    for fact in placement.facts:
        if isinstance(fact, PanelBlocked):
            assert -0.1 <= fact.x0_in < fact.x1_in <= basis.wall.length_in + 0.1
            assert set(fact.openings) <= tags
        elif isinstance(fact, Unserved):
            assert {fact.opening, *fact.in_the_way} <= tags
        else:
            assert fact.opening in tags
