"""The fewest openings whose treatment changes, against brute force and against an integer program."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest

from layout import brute
from layout.builders import CORNER, FREE, basis, rule
from layout.mix_solver import fewest_changes
from perpend.layout import place_joints, treatment_mix
from perpend.model import Treatment
from perpend.rulebook.wall_basis import WallBasis

OTHER = {Treatment.REINFORCED: Treatment.UNREINFORCED, Treatment.UNREINFORCED: Treatment.REINFORCED}


def _of_two_treatments(
    length: float,
    holes: list[tuple[float, float, float, float, str]],
    dice: random.Random,
    caps: tuple[float, ...],
) -> WallBasis:
    """Return a wall 10 ft high on a module of 24 in., each opening of which may be treated the other way."""
    wall = basis(
        length,
        120,
        holes,
        ends=(dice.choice((CORNER, FREE)), FREE),
        cap=dice.choice(caps),
        module=24.0,
        least=24.0,
        pier=48.0,
    )
    others = tuple(rule(wall.wall, n, OTHER[r.treatment]) for n, r in enumerate(wall.openings))
    return replace(wall, other_treatments=others)


def small_wall(seed: int) -> WallBasis:
    """Return a wall of 20 to 30 ft on a module of 24 in. with two to four openings, reinforced as set."""
    dice = random.Random(seed)
    length, at, holes = 24.0 * dice.randint(10, 15), 24.0 * dice.randint(0, 2) + 8.0, []
    for _ in range(dice.randint(2, 4)):
        width = 24.0 * dice.randint(1, 4)
        if at + width < length - 8:
            holes.append((at, 0.0, at + width, 84.0, "r"))
        at += width + 24.0 * dice.randint(1, 3)
    return _of_two_treatments(length, holes, dice, (96.0, 120.0, 144.0))


def row_of_doors(count: int, seed: int) -> WallBasis:
    """Return a wall with so many doors, reinforced as set, on a module of 24 in."""
    dice = random.Random(f"{seed} {count}")
    at, holes = 24.0 * dice.randint(0, 2) + 8.0, []
    for _ in range(count):
        width = 24.0 * dice.randint(1, 4)
        holes.append((at, 0.0, at + width, 84.0, "r"))
        at += width + 24.0 * dice.randint(1, 3)
    return _of_two_treatments(at + 24.0 * dice.randint(1, 3), holes, dice, (120.0, 144.0, 192.0))


def changed_in(wall: WallBasis, mixed: WallBasis) -> int:
    pairs = zip(wall.openings, mixed.openings, strict=True)
    return sum(a.treatment is not b.treatment for a, b in pairs)


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
    for seed in range(45):
        wall = small_wall(seed)
        least, mixed = fewest(wall), treatment_mix.with_fewest_changes(wall)
        assert changed_in(wall, mixed) == (least or 0), f"wall {seed}"
        assert seed % 3 or fewest_changes(wall) == least, f"wall {seed}: the program"
        assert complies(mixed) is (least is not None), f"wall {seed}"
        sizes.append(least)
    assert {0, 1, 2} <= set(sizes), sizes


@pytest.mark.parametrize(("count", "seed", "least"), [(7, 0, 5), (8, 3, 6)])
def test_an_integer_program_finds_as_few_changes(count: int, seed: int, least: int | None) -> None:
    wall = row_of_doors(count, seed)
    assert fewest_changes(wall) == least
    assert changed_in(wall, treatment_mix.with_fewest_changes(wall)) == (least or 0)


@pytest.mark.parametrize(("count", "seed", "least"), [(12, 1, 7), (12, 2, 6), (14, 0, 9)])
def test_walls_of_up_to_14_openings_change_as_few_as_the_program_found(
    count: int, seed: int, least: int
) -> None:
    """The program takes 7 to 10 s for each of these: its answers are kept here."""
    wall = row_of_doors(count, seed)
    assert changed_in(wall, treatment_mix.with_fewest_changes(wall)) == least


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_of_all_sets_of_seven_openings_the_best_of_the_smallest_is_taken(seed: int) -> None:
    wall = row_of_doors(7, seed)
    ranked = []
    for flips in itertools.product((0, 1), repeat=7):
        mixed = wall
        for n, other in enumerate(wall.other_treatments):
            assert other is not None
            mixed = mixed.with_opening(n, other) if flips[n] else mixed
        cost = place_joints(mixed).cost
        if not cost.violations and not cost.narrow:
            rank = (cost.joints, cost.slip_planes, cost.longest_in, cost.unevenness)
            ranked.append((sum(flips), rank, [1 - flip for flip in flips], mixed.openings))
    best = min(ranked)[-1] if ranked else wall.openings
    assert treatment_mix.with_fewest_changes(wall).openings == best


def test_where_too_many_layouts_would_be_tried_a_note_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    wall = row_of_doors(8, 3)
    monkeypatch.setattr(treatment_mix, "MOST_LAYOUTS", 20)
    mixed = treatment_mix.with_fewest_changes(wall)
    assert changed_in(wall, mixed) == 0
    assert "among 20 layouts" in mixed.notes[-1]
    monkeypatch.undo()
    assert changed_in(wall, treatment_mix.with_fewest_changes(wall)) == 6
