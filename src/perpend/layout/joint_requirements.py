"""What openings and places require of joints: for each the candidates of which at least one must be taken.

docs/placement.md is the specification.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby
from typing import TYPE_CHECKING

from perpend.layout.narrow_piers import SAME, Pier, sharing
from perpend.model import OpeningRule, Place, Side
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import to_ticks

if TYPE_CHECKING:
    from perpend.layout.candidates import Candidate


SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True, slots=True)
class Requirement:
    """At least one of these candidates must be taken, for this opening or this place.

    Attributes:
        opening: index of the opening, or None for a place.
        sides: the jambs of which one needs a joint; empty when a joint near it is asked for.
        candidates: numbers of the candidates that would do, ascending.
        place: the place, or None.
        beside: where others are numbered among them, each of these with True where it passes on the right.
    """

    opening: int | None
    sides: tuple[Side, ...]
    candidates: tuple[int, ...]
    place: Place | None = None
    beside: Mapping[int, bool] = field(default_factory=dict)

    @property
    def first(self) -> int:
        """Number of the first candidate that is not on the left of it all."""
        return min((self.candidates[0], *self.beside))

    @property
    def last(self) -> int:
        """Number of the last candidate that is not on the right of it all."""
        return max((self.candidates[-1], *self.beside))

    def is_skipped(self, a: int, b: int) -> bool:
        """Say whether nothing serves it where two candidates are next to each other."""
        left = a < self.first or self.beside.get(a) is False
        return left and (b > self.last or self.beside.get(b) is True)


@dataclass(frozen=True, slots=True)
class Lost:
    """Something the wall asks for that nothing can give.

    Attributes:
        opening: index of the opening, or None when a forced place is lost.
        sides: as in `Requirement`.
        place: the place.
        in_the_way: tags of openings, or parts of the wall.
    """

    opening: int | None
    sides: tuple[Side, ...] = ()
    place: Place | None = None
    in_the_way: tuple[str, ...] = ()


def place_requirements(
    basis: WallBasis, candidates: Sequence[Candidate]
) -> tuple[list[Requirement], list[Lost]]:
    """Say which candidates serve the places that can do with one of several stations."""
    found: list[Requirement] = []
    lost: list[Lost] = []
    for rule in basis.asked_places:
        if len(rule.stations_in) < 2:
            continue
        stations = [to_ticks(x) for x in rule.stations_in]
        able = [
            n
            for x in stations
            for n in range(
                bisect_left(candidates, x - SAME, key=lambda c: c.line.foot),
                bisect_right(candidates, x + SAME, key=lambda c: c.line.foot),
            )
            if candidates[n].line.straight
        ]
        if _forced_between(candidates, min(stations), max(stations)):
            continue
        if able:
            found.append(Requirement(None, (), tuple(able), rule.place))
        else:
            lost.append(Lost(None, place=rule.place))
    return found, lost


def _forced_between(candidates: Sequence[Candidate], first: int, last: int) -> bool:
    """Say whether a joint that must be taken is between two stations, by its foot, then its head."""
    low = bisect_left(candidates, first, key=lambda c: c.line.foot)
    high = bisect_right(candidates, last, key=lambda c: c.line.foot)
    return any(
        c.forced and (first, first) < (c.line.foot, c.line.runs[-1][0]) < (last, last)
        for c in candidates[low:high]
    )


def opening_requirements(
    rules: Sequence[OpeningRule],
    candidates: Sequence[Candidate],
    blocked: dict[tuple[int, Side], str],
    piers: Sequence[Pier],
) -> tuple[tuple[Requirement, ...], tuple[Lost, ...]]:
    """Say which candidates can serve each opening, and which openings nothing can serve."""
    serving: dict[tuple[int, Side], list[int]] = {}
    pairs = sorted((key, n) for n, c in enumerate(candidates) for key in c.serves)
    for key, group in groupby(pairs, key=lambda pair: pair[0]):
        serving[key] = [n for _, n in group]
    shared = sharing(serving, candidates, piers)
    found: list[Requirement] = []
    lost: list[Lost] = []
    for i, rule in enumerate(rules):
        for sides in _asked(rule):
            able = sorted(n for side in sides for n in serving.get((i, side), ()))
            if rule.jambs_required == 2:
                able = sorted({*able, *(n for side in sides for n in shared.get((i, side), ()))})
            if able:
                own = [n for side in SIDES for n in serving.get((i, side), ())]
                beside = _beside(rule, able, [*own, *able], candidates)
                found.append(Requirement(i, sides, tuple(able), beside=beside))
            else:
                why = dict.fromkeys(blocked[i, side] for side in sides if (i, side) in blocked)
                lost.append(Lost(i, sides, in_the_way=tuple(why)))
        if rule.near_within_in is not None:
            able = sorted(_near(rule, rule.near_within_in, candidates))
            if able:
                found.append(Requirement(i, (), tuple(able)))
            else:
                lost.append(Lost(i))
    return tuple(found), tuple(lost)


def _beside(
    rule: OpeningRule, able: Sequence[int], near: Sequence[int], candidates: Sequence[Candidate]
) -> dict[int, bool]:
    """Say of the candidates numbered among some that would do on which side of the opening each passes.

    Empty where all on the left come before those that would do, and all on the right after them.
    """
    middle = [to_ticks(z) for z in rule.opening.box.center]
    others = (n for n in range(min(near), max(near) + 1) if n not in able)
    passing = {n: candidates[n].line.at(middle[1]) > middle[0] for n in others}
    in_order = all(n > able[-1] if right else n < able[0] for n, right in passing.items())
    return {} if in_order else passing


def _asked(rule: OpeningRule) -> tuple[tuple[Side, ...], ...]:
    """Return the sets of jambs of which each needs at least one joint."""
    if rule.jambs_required == 1:
        return (SIDES,)
    return (("left",), ("right",)) if rule.jambs_required == 2 else ()


def _near(rule: OpeningRule, within_in: float, candidates: Sequence[Candidate]) -> Iterator[int]:
    """Yield the candidates whose foot is within a distance of either jamb."""
    low = to_ticks(rule.opening.box.x0 - within_in) - SAME
    high = to_ticks(rule.opening.box.x1 + within_in) + SAME
    first = bisect_left(candidates, low, key=lambda c: c.line.foot)
    last = bisect_right(candidates, high, key=lambda c: c.line.foot)
    yield from range(first, last)
