"""Which joint of an old wall is which joint of the new one.

Joints keep their order along a wall, so this is an alignment of two sequences: every joint is paired with one
of the other issue or with none, and no two pairs cross. Of all alignments the best one is found, by dynamic
programming over both sequences; brute force finds the same one in the tests. Better is, in this order:

1. fewer changes to report (a joint that moved is one, a joint removed or added is one);
2. more joints that are exactly where they were;
3. fewer pairs of ours whose numbers differ;
4. less movement in all.

Glossary:
    lie: how a joint runs: the stations of its foot and head, and their heights where they are not the wall's
        own edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from perpend.model import DrawnJoint, Path, Wall
from perpend.units import MOVED_WITHIN_IN, ON_MODULE_IN, SAME_IN, same, to_ticks

Pair = tuple[int | None, int | None]
"""Index of a joint in the old wall and in the new one; None where there is none."""

Cost = tuple[int, int, int, int]
"""Changes, exact pairs (negative), pairs with two numbers of ours, ticks of movement."""

_UNPAIRED: Cost = (1, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Lie:
    """How a joint runs, in the axes that both issues share.

    Attributes:
        foot_in: station of its foot.
        head_in: station of its head.
        low_in: height of its foot; None at the wall's bottom.
        high_in: height of its head; None at the wall's top.
        bends: the points between, where it steps aside.
        number: the number in our record; empty for a joint of another hand.
    """

    foot_in: float
    head_in: float
    low_in: float | None = None
    high_in: float | None = None
    bends: Path = ()
    number: str = ""

    def moved_in(self, other: Lie) -> float:
        """Return how far foot or head is from that of another joint, along the wall."""
        return max(abs(self.foot_in - other.foot_in), abs(self.head_in - other.head_in))

    def reaches_like(self, other: Lie) -> bool:
        """Say whether both start and end at the same heights, or both at the wall's edges."""
        return _same_height(self.low_in, other.low_in) and _same_height(self.high_in, other.high_in)

    def is_same(self, other: Lie) -> bool:
        """Say whether both run along one line."""
        return self.moved_in(other) <= SAME_IN and self.reaches_like(other) and self.bends_like(other)

    def bends_like(self, other: Lie) -> bool:
        """Say whether both step aside at the same points."""
        pairs = zip(self.bends, other.bends, strict=False)
        return len(self.bends) == len(other.bends) and all(
            same(x, u) and same(y, v) for (x, y), (u, v) in pairs
        )


def _same_height(a: float | None, b: float | None) -> bool:
    return (a is None) == (b is None) and abs((a or 0.0) - (b or 0.0)) <= SAME_IN


def lie_of(joint: DrawnJoint, wall: Wall, number: str = "", shift: tuple[float, float] = (0.0, 0.0)) -> Lie:
    """Return how a drawn joint runs.

    Args:
        joint: the joint, in the axes of its wall.
        wall: the wall that it is drawn in.
        number: the number in our record, or empty.
        shift: from the axes of the wall to those that both issues share, inches.
    """
    (x, y), (u, v) = joint.path[0], joint.path[-1]
    right, up = shift
    on_bottom = any(abs(y - edge) <= ON_MODULE_IN for edge in wall.bottom.at(x))
    on_top = any(abs(v - edge) <= ON_MODULE_IN for edge in wall.top.at(u))
    low, high = None if on_bottom else y + up, None if on_top else v + up
    return Lie(x + right, u + right, low, high, _bends(joint.path, shift), number)


def _bends(path: Path, shift: tuple[float, float]) -> Path:
    """Return the points of a line where it turns; points that lie on its straight pieces are none."""
    if len(path) <= 2:
        return ()
    from shapely import LineString

    turns = LineString(path).simplify(SAME_IN).coords[1:-1]
    return tuple((x + shift[0], y + shift[1]) for x, y in turns)


def align(old: Sequence[Lie], new: Sequence[Lie], within_in: float = MOVED_WITHIN_IN) -> list[Pair]:
    """Pair the joints of two issues of a wall.

    Args:
        old: joints of the old issue, from left to right.
        new: joints of the new issue, likewise.
        within_in: a joint that moved farther than this is one removed and one added.

    Returns:
        The pairs from left to right; every joint is in exactly one.
    """
    best: list[list[Cost]] = [[(0, 0, 0, 0)] * (len(new) + 1) for _ in range(len(old) + 1)]
    step: list[list[Pair]] = [[(None, None)] * (len(new) + 1) for _ in range(len(old) + 1)]
    for i in range(len(old) + 1):
        for j in range(len(new) + 1):
            ways: list[tuple[Cost, Pair]] = []
            if i and j and (cost := pair_cost(old[i - 1], new[j - 1], within_in)) is not None:
                ways.append((_sum(best[i - 1][j - 1], cost), (i - 1, j - 1)))
            if i:
                ways.append((_sum(best[i - 1][j], _UNPAIRED), (i - 1, None)))
            if j:
                ways.append((_sum(best[i][j - 1], _UNPAIRED), (None, j - 1)))
            if ways:
                best[i][j], step[i][j] = min(ways, key=lambda way: way[0])
    pairs: list[Pair] = []
    i, j = len(old), len(new)
    while i or j:
        a, b = step[i][j]
        pairs.append((a, b))
        i, j = i - (a is not None), j - (b is not None)
    return pairs[::-1]


def pair_cost(a: Lie, b: Lie, within_in: float) -> Cost | None:
    """Return what it costs to call two joints one; None where they are too far apart."""
    if a.is_same(b):
        return (0, -1, int(_renumbered(a, b)), 0)
    moved = a.moved_in(b)
    if moved > within_in + SAME_IN:
        return None
    return (1, 0, int(_renumbered(a, b)), to_ticks(moved))


def _renumbered(a: Lie, b: Lie) -> bool:
    return bool(a.number and b.number) and a.number != b.number


def _sum(a: Cost, b: Cost) -> Cost:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3])
