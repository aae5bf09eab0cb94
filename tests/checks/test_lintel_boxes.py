# ruff: noqa: ANN401 - walls of a few names, made up
"""Lintels below the sills of openings above: the same as asked one by one, and asked once for a wall."""

from __future__ import annotations

import random
from types import SimpleNamespace
from typing import Any

import pytest

from perpend.checks.measure import lintel_boxes
from perpend.checks.measure.lintel_boxes import lintel_box
from perpend.model import Box
from perpend.units import SAME_IN


def wall(chance: random.Random, count: int) -> Any:
    rules = []
    for _ in range(count):
        x, y = chance.randrange(0, 300, 8), chance.randrange(0, 200, 8)
        opening = Box(x, y, x + chance.choice((24, 48)), y + 40)
        lintel = Box(opening.x0 - 8, opening.y1, opening.x1 + 8, opening.y1 + chance.choice((8, 16)))
        held = SimpleNamespace(box=lintel) if chance.random() < 0.8 else None
        rules.append(SimpleNamespace(opening=SimpleNamespace(box=opening), lintel=held))
    return SimpleNamespace(openings=tuple(rules))


def by_hand(basis: Any, rule: Any) -> Box | None:
    if rule.lintel is None:
        return None
    box, top = rule.lintel.box, rule.opening.box.y1
    others = [other.opening.box for other in basis.openings if other is not rule]
    over = [o for o in others if min(o.x1, box.x1) - max(o.x0, box.x0) > SAME_IN]
    return Box(box.x0, box.y0, box.x1, min([box.y1, *(o.y0 for o in over if o.y0 >= top - SAME_IN)]))


@pytest.mark.parametrize("seed", range(12))
def test_every_lintel_ends_below_the_sill_above(seed: int) -> None:
    chance = random.Random(seed)
    walls = [wall(chance, 30) for _ in range(3)]
    found = [[lintel_box(basis, rule) for rule in basis.openings] for basis in walls]
    assert found == [[by_hand(basis, rule) for rule in basis.openings] for basis in walls]
    pairs = [
        pair
        for basis, boxes in zip(walls, found, strict=True)
        for pair in zip(basis.openings, boxes, strict=True)
    ]
    assert any(box != rule.lintel.box for rule, box in pairs if box)


def test_thousands_of_openings_are_sorted_once() -> None:
    basis = wall(random.Random(1), 2000)
    before = lintel_boxes._boxes.cache_info().misses
    for _ in range(5):
        for rule in basis.openings:
            lintel_box(basis, rule)
    assert lintel_boxes._boxes.cache_info().misses == before + 1
