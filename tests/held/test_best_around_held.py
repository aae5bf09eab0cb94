"""Held and placed joints together are the best layout that there is with the held ones where they are."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout import brute
from layout.stations import SAME, Candidate, ticks
from layout.strategies import small_walls
from perpend.layout import place_joints
from perpend.model import EndCondition, JointKind
from perpend.rulebook.wall_basis import WallBasis

MOST_CANDIDATES = 13


def as_held(basis: WallBasis) -> WallBasis:
    drawn = tuple(replace(j, ours=True, held=True, label="1") for j in basis.wall.drawn_joints)
    return replace(basis, wall=replace(basis.wall, drawn_joints=drawn))


@settings(max_examples=200, deadline=None)
@given(small_walls().filter(lambda basis: bool(basis.wall.drawn_joints)))
def test_around_held_joints(basis: WallBasis) -> None:
    """To brute force a held joint is one that stands: there is no other way to have it."""
    field = brute.field_of(basis)
    assume(len(field.candidates) <= MOST_CANDIDATES)
    best = min(brute.score(field, nodes) for nodes in brute.layouts(field))
    found = place_joints(as_held(basis))
    held = {ticks(joint.x_in) for joint in found.joints if joint.held}
    assert {ticks(j.path[0][0]) for j in basis.wall.drawn_joints} <= held, "every held joint is there"
    best_feet = [foot for foot, _ in best[-1]]
    beside = held - set(best_feet)
    feet = {ticks(j.x_in) for j in found.joints if j.kind is not JointKind.END}
    assert sorted(feet - beside) == sorted(set(best_feet)), "the leftmost of equal ones"
    assert (found.cost.violations, found.cost.joints) == (best[0], best[4])
    assert ticks(found.cost.longest_in) == best[6]


def is_of(candidate: Candidate, foot: int, faces: list[int]) -> bool:
    """Say whether a candidate is the joint that was deleted: for its spacing alone.

    Four feet off it still is.
    """
    at_face = len(candidate.line.xs) == 1 and any(abs(candidate.line.foot - x) <= SAME for x in faces)
    bound = candidate.forced or candidate.serves or at_face
    off = abs(candidate.line.foot - foot)
    return off <= ticks(1 / 8) if bound else off < ticks(48) - ticks(1 / 64) + 1


@settings(max_examples=150, deadline=None)
@given(small_walls(), st.data())
def test_around_stations_without_a_joint(basis: WallBasis, data: st.DataObject) -> None:
    """Deleted joints: brute force does without the candidates that stood there."""
    assume(basis.right_end is not EndCondition.JOINT)
    basis = replace(basis, wall=replace(basis.wall, drawn_joints=()))
    placed = [joint.x_in for joint in place_joints(basis).joints]
    assume(placed)
    gone = data.draw(st.sets(st.sampled_from(placed), min_size=1, max_size=2))
    field = brute.field_of(basis)
    faces = [ticks(x) for r in basis.asked_places if len(r.stations_in) > 1 for x in r.stations_in]
    field.candidates = [c for c in field.candidates if not any(is_of(c, ticks(x), faces) for x in gone)]
    assume(len(field.candidates) <= MOST_CANDIDATES)
    best = min(brute.score(field, nodes) for nodes in brute.layouts(field))
    wall = replace(basis.wall, no_joint_at_in=tuple(gone), no_joint_within_in=48.0)
    barred = replace(basis, wall=wall)
    found = place_joints(barred)
    assert [ticks(j.x_in) for j in found.joints] == [foot for foot, _ in best[-1]]
    assert (found.cost.joints, ticks(found.cost.longest_in)) == (best[4], best[6])
