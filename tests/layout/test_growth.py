"""The work grows with the length of the wall: counted in pairs examined, not in seconds."""

from __future__ import annotations

from layout.builders import CORNER, Hole, basis
from layout.referee import judge
from perpend.layout import place_joints
from perpend.rulebook.wall_basis import WallBasis

KINDS: tuple[tuple[float, float, str], ...] = (
    (0.0, 40.0, "u"),
    (32.0, 64.0, "u"),
    (0.0, 48.0, "r"),
    (32.0, 64.0, "u"),
)
"""Sill, width and treatment of four openings in turn, one every 10 ft."""


def long_wall(feet: int, openings: int) -> WallBasis:
    """Return a wall with an opening every 10 ft; what is left over is plain, half of it at either end."""
    plain = (feet - openings * 10) * 6
    holes: list[Hole] = []
    for number in range(openings):
        sill, width, kind = KINDS[number % len(KINDS)]
        x = plain + 120.0 * number + 40.0
        holes.append((x, sill, x + width, 84.0, kind))
    return basis(feet * 12.0, 192.0, holes, ends=(CORNER, CORNER))


def test_twice_the_wall_is_at_most_twice_the_work() -> None:
    """Openings in whole fours, 20 plain feet at either end: the walls are alike but for their length."""
    pairs = [
        place_joints(long_wall(feet, feet // 10 - 4)).counts.pairs_examined for feet in (1000, 2000, 4000)
    ]
    assert pairs[1] <= 2 * pairs[0]
    assert pairs[2] <= 2 * pairs[1]
    assert pairs[2] - pairs[1] == 2 * (pairs[1] - pairs[0]), "not even a little more per foot"


def test_ten_thousand_feet_with_a_thousand_openings() -> None:
    wall = long_wall(10_000, 1000)
    placement = place_joints(wall)
    assert len(wall.openings) == 1000
    report = judge(wall, placement)
    assert report.complaints == []
    assert report.cost[0] == 0
    # 750 of the openings are unreinforced and up to 6 ft wide: one jamb joint each. They are at most
    # 20 ft apart, under the 24 ft (1.5 x 16 ft) allowed, and serve the corners too: nothing else is needed.
    assert placement.cost.joints == 750
    assert placement.cost.slip_planes == 750


def test_plain_walls_of_any_length_take_as_many_pairs_for_each_foot() -> None:
    """At 1.5 x 16 ft = 24 ft and a module of 8 in., a joint looks back over 36 stations and a few more."""
    counts = [place_joints(basis(feet * 12.0, 192.0)).counts for feet in (500, 1000, 2000)]
    assert counts[2].pairs_examined - counts[1].pairs_examined == 2 * (
        counts[1].pairs_examined - counts[0].pairs_examined
    )
    assert counts[2].pairs_examined <= 40 * counts[2].candidates
