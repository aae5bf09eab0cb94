"""Joints at the ends of a wall: they are where another wall adjoins, and nothing can move them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from perpend.model import EndCondition, OpeningRule
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import falls_short


@dataclass(frozen=True, slots=True)
class NearEnd:
    """A joint at an end of the wall that is too near to openings.

    Attributes:
        x_in: station of the end, inches.
        openings: indices of the openings.
    """

    x_in: float
    openings: tuple[int, ...]


def near_ends(basis: WallBasis) -> Iterator[NearEnd]:
    """Yield the ends with a joint that is nearer to an opening than that opening allows."""
    for x, end in ((0.0, basis.left_end), (basis.wall.length_in, basis.right_end)):
        if end is not EndCondition.JOINT:
            continue
        near = tuple(
            i
            for i, rule in enumerate(basis.openings)
            if rule.bars_jambs and falls_short(distance_in(rule, x), rule.clear_in)
        )
        if near:
            yield NearEnd(x, near)


def distance_in(rule: OpeningRule, x_in: float) -> float:
    """Return the distance from an opening's nearer jamb to an end of the wall, inches."""
    box = rule.opening.box
    return max(box.x0 - x_in, x_in - box.x1)
