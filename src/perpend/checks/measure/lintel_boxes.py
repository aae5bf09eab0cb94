"""Where lintels lie: below the sill of an opening above, known of all openings of a wall at once."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from perpend.model import Box, OpeningRule
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN

_WALLS_AT_A_TIME: Final = 8


def lintel_box(basis: WallBasis, rule: OpeningRule) -> Box | None:
    """Return the place of an opening's lintel, below the sill of an opening above it; None without one.

    Args:
        basis: what binds the wall.
        rule: one of its openings.
    """
    if rule.lintel is None:
        return None
    return _boxes(_Openings(basis.openings))[id(rule)]


class _Openings:
    """The openings of a wall, the same only as themselves: thousands of them are not compared one by one."""

    def __init__(self, rules: Sequence[OpeningRule]) -> None:
        self.rules = rules

    def __hash__(self) -> int:
        return id(self.rules)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Openings) and other.rules is self.rules


@lru_cache(maxsize=_WALLS_AT_A_TIME)
def _boxes(openings: _Openings) -> dict[int, Box]:
    """Return the place of every lintel, by the identity of its rule, which lives as long as this is kept."""
    by_sill = sorted((rule.opening.box for rule in openings.rules), key=lambda box: box.y0)
    sills = [box.y0 for box in by_sill]
    found = {}
    for rule in openings.rules:
        if rule.lintel is not None:
            box = rule.lintel.box
            first = bisect_left(sills, rule.opening.box.y1 - SAME_IN)
            above = (by_sill[i] for i in range(first, len(by_sill)))
            over_it = (o.y0 for o in above if min(o.x1, box.x1) - max(o.x0, box.x0) > SAME_IN)
            found[id(rule)] = Box(box.x0, box.y0, box.x1, min(box.y1, next(over_it, math.inf)))
    return found
