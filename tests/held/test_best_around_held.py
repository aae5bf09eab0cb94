"""Held and placed joints together are the best layout that there is with the held ones where they are."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layout import brute
from layout.stations import SAME, Candidate, Line, in_the_way, straight_fits, ticks
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


@settings(max_examples=60, deadline=None)
@given(small_walls(), st.lists(st.integers(8, 400), min_size=1, max_size=4, unique=True))
def test_the_fewest_issued_joints_move(basis: WallBasis, stations: list[int]) -> None:
    """Of every layout there is, one that breaks the least and, of these, keeps the most issued joints."""
    basis = replace(basis, wall=replace(basis.wall, drawn_joints=()))
    assume(basis.right_end is not EndCondition.JOINT)
    field = brute.field_of(basis)
    standing = {c.line.foot for c in field.candidates if len(c.line.xs) == 1}
    off_module = {ticks(x) for x in stations if 0 < x < basis.wall.length_in} - standing
    more = [Candidate(Line((x,))) for x in off_module if straight_fits(basis, x)]
    more = [c for c in more if not in_the_way(basis, c)]
    field.candidates = sorted([*field.candidates, *more], key=lambda c: (c.line.foot, c.line.head))
    assume(len(field.candidates) <= MOST_CANDIDATES)
    issued = {ticks(x) for x in stations}

    def rank(nodes: tuple[int, ...]) -> tuple[object, ...]:
        score = brute.score(field, nodes)
        kept = sum(
            len(c.line.xs) == 1 and c.line.foot in issued for c in map(field.candidates.__getitem__, nodes)
        )
        return (*score[:4], -kept, *score[4:])

    best = min(map(rank, brute.layouts(field)))
    found = place_joints(basis, [((float(x), 0.0), (float(x), 96.0)) for x in stations])
    assert [ticks(j.x_in) for j in found.joints] == [foot for foot, _ in best[-1]]
    assert (found.cost.violations, found.cost.joints) == (best[0], best[5])
