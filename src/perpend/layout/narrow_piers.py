"""Narrow piers between openings: too narrow for a joint at both jambs, so one joint serves both openings.

Positions are in ticks. docs/placement.md is the specification.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from perpend.model import Box, Side
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN, to_ticks

if TYPE_CHECKING:
    from perpend.layout.candidates import Candidate

SAME = to_ticks(SAME_IN)


@dataclass(frozen=True, slots=True)
class Pier:
    """Masonry between two unreinforced openings that is too narrow for a joint at both its jambs.

    Attributes:
        left: index of the opening on its left.
        right: index of the opening on its right.
        x0: its left face, ticks.
        x1: its right face, ticks.
    """

    left: int
    right: int
    x0: int
    x1: int

    @property
    def jambs(self) -> frozenset[tuple[int, Side]]:
        """The two jambs at it."""
        return frozenset(((self.left, "right"), (self.right, "left")))


def narrow_piers(basis: WallBasis) -> Iterator[Pier]:
    """Yield the narrow piers between openings that ask for jamb joints, from left to right."""
    narrow = basis.judgment.narrow_pier_in
    if not narrow:
        return
    asking = [i for i, r in enumerate(basis.openings) if r.jambs_required]
    asking.sort(key=lambda i: basis.openings[i].opening.box.x0)
    lefts = [basis.openings[i].opening.box.x0 for i in asking]
    for i in asking:
        box = basis.openings[i].opening.box
        first = bisect_left(lefts, box.x1 + SAME_IN)
        last = bisect_left(lefts, box.x1 + narrow - SAME_IN)
        for j in asking[first:last]:
            other = basis.openings[j].opening.box
            low, high = max(box.y0, other.y0), min(box.y1, other.y1)
            if high - low > SAME_IN and not _parted(basis, Box(box.x1, low, other.x0, high)):
                yield Pier(i, j, to_ticks(box.x1), to_ticks(other.x0))


def _parted(basis: WallBasis, pier: Box) -> bool:
    """Say whether another opening stands between the two that a pier would lie between."""
    rules = basis.openings
    first = bisect_left(rules, pier.x0 - SAME_IN, key=lambda r: r.opening.box.x0)
    last = bisect_left(rules, pier.x1, key=lambda r: r.opening.box.x0)
    boxes = (rule.opening.box for rule in rules[first:last])
    return any(
        b.x1 <= pier.x1 + SAME_IN and b.y0 < pier.y1 - SAME_IN and b.y1 > pier.y0 + SAME_IN for b in boxes
    )


def apart(candidates: Sequence[Candidate], piers: Sequence[Pier]) -> frozenset[tuple[int, int]]:
    """Return the nodes of candidates at both jambs of a narrow pier."""
    at: dict[tuple[int, Side], list[int]] = {}
    if piers:
        for n, candidate in enumerate(candidates, start=1):
            for key in candidate.serves:
                at.setdefault(key, []).append(n)
    return frozenset(
        (a, b)
        for pier in piers
        for a in at.get((pier.left, "right"), ())
        for b in at.get((pier.right, "left"), ())
    )


def sharing(
    serving: dict[tuple[int, Side], list[int]], candidates: Sequence[Candidate], piers: Sequence[Pier]
) -> dict[tuple[int, Side], list[int]]:
    """Return for each jamb at a narrow pier the candidates at the other jamb of it, which serve it too.

    A joint that must stand between the two takes that away.
    """
    found: dict[tuple[int, Side], list[int]] = {}
    for pier in piers:
        left, right = serving.get((pier.left, "right"), []), serving.get((pier.right, "left"), [])
        both = sorted({*left, *right})
        if both and any(candidates[n].forced for n in range(both[0] + 1, both[-1]) if n not in both):
            continue
        found.setdefault((pier.left, "right"), []).extend(right)
        found.setdefault((pier.right, "left"), []).extend(left)
    return found
