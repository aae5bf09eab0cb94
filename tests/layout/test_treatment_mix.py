"""The fewest openings whose treatment changes, against every set of openings tried by brute force."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

from layout import brute
from layout.builders import CORNER, FREE, basis, rule
from perpend.layout.treatment_mix import with_fewest_changes
from perpend.model import Treatment
from perpend.rulebook.wall_basis import WallBasis

OTHER = {Treatment.REINFORCED: Treatment.UNREINFORCED, Treatment.UNREINFORCED: Treatment.REINFORCED}


def small_wall(seed: int) -> WallBasis:
    """Return a wall of 20 to 30 ft on a module of 24 in. with two to four openings, reinforced as set."""
    dice = random.Random(seed)
    length, at, holes = 24.0 * dice.randint(10, 15), 24.0 * dice.randint(0, 2) + 8.0, []
    for _ in range(dice.randint(2, 4)):
        width = 24.0 * dice.randint(1, 4)
        if at + width < length - 8:
            holes.append((at, 0.0, at + width, 84.0, "r"))
        at += width + 24.0 * dice.randint(1, 3)
    wall = basis(
        length,
        120,
        holes,
        ends=(dice.choice((CORNER, FREE)), FREE),
        cap=dice.choice((96.0, 120.0, 144.0)),
        module=24.0,
        least=24.0,
        pier=48.0,
    )
    others = tuple(rule(wall.wall, n, OTHER[r.treatment]) for n, r in enumerate(wall.openings))
    return replace(wall, other_treatments=others)


def complies(wall: WallBasis) -> bool:
    best = brute.best(wall)
    return best[0] == 0 and best[2] == 0


def fewest(wall: WallBasis) -> int | None:
    """Return how many openings have to change at least, or None where no set will do."""
    every = range(len(wall.openings))
    for size in range(len(wall.openings) + 1):
        for chosen in itertools.combinations(every, size):
            mixed = wall
            for n in chosen:
                other = wall.other_treatments[n]
                assert other is not None
                mixed = mixed.with_opening(n, other)
            if complies(mixed):
                return size
    return None


def test_no_smaller_set_of_openings_complies() -> None:
    sizes = []
    for seed in range(60):
        wall = small_wall(seed)
        least, mixed = fewest(wall), with_fewest_changes(wall)
        changed = sum(
            a.treatment is not b.treatment for a, b in zip(wall.openings, mixed.openings, strict=True)
        )
        assert changed == (least or 0), f"wall {seed}"
        assert complies(mixed) is (least is not None), f"wall {seed}"
        sizes.append(least)
    assert {0, 1, 2} <= set(sizes), sizes
