"""What it costs to put two joints next to each other: the edges of the search graph.

Nodes are numbered 0 (the wall's left end), 1..n (the candidates by foot), n + 1 (the right end). An
edge (a, b) is a panel: no joint between a and b. All lengths are in ticks.

Glossary:
    panel length: greatest level distance between two lines on any course.
    excess: by how much a limit is exceeded.
    separator: a straight candidate that fits between two lines.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.layout.candidates import SAME, Field
from perpend.layout.paths import Line, level_gap, straight_line
from perpend.model import EndCondition
from perpend.rulebook.basis import WallBasis
from perpend.units import from_ticks, to_ticks


@dataclass(frozen=True, slots=True)
class Edge:
    """A panel between two nodes, and what is wrong with it.

    Attributes:
        a: left node.
        b: right node.
        length: panel length.
        violations: joints it lacks, corners too far, requirements it leaves unserved.
        excess: sum of what exceeds a limit.
    """

    a: int
    b: int
    length: int
    violations: int
    excess: int


@dataclass(frozen=True, slots=True)
class PanelLimit:
    """Spacing and corner distance that hold between two feet, ticks; None: no limit."""

    spacing: int | None
    corner: int | None


class PanelGraph:
    """Enumerates the panels that can be part of a best layout."""

    def __init__(self, basis: WallBasis, field: Field) -> None:
        """Prepare the nodes: ends and candidates, with what each opening asks of them."""
        end = to_ticks(basis.wall.length_in)
        self.basis = basis
        self.lines: list[Line] = [
            straight_line(0, -1, -1),
            *(c.line for c in field.candidates),
            straight_line(end, -1, -1),
        ]
        self.forced = [True, *(c.forced for c in field.candidates), True]
        self.pairs_examined = 0
        self._asked_from: dict[int, list[int]] = {}
        for requirement in field.requirements:
            first, last = requirement.candidates[0] + 1, requirement.candidates[-1] + 1
            self._asked_from.setdefault(first, []).append(last)
        self._lean = max((line.hi - line.lo for line in self.lines), default=0)
        self._sections: dict[int, PanelLimit | None] = {}
        self._behind, self._ahead = self._stretches()

    def _stretches(self) -> tuple[list[int], list[int]]:
        """Return for every node the forced node left of it, and the one at or right of it."""
        count = len(self.lines)
        behind, ahead = [0] * count, [count - 1] * count
        for i in range(1, count):
            behind[i] = i - 1 if self.forced[i - 1] else behind[i - 1]
        for i in range(count - 2, -1, -1):
            ahead[i] = i if self.forced[i] else ahead[i + 1]
        return behind, ahead

    @property
    def last(self) -> int:
        """Number of the node at the wall's right end."""
        return len(self.lines) - 1

    def edges_into(self, b: int) -> Iterator[Edge]:
        """Yield every panel that ends at node b and may be part of a best layout.

        A panel over its limit is left out when a straight candidate fits inside it: cutting the
        panel there makes the excess smaller and the count of missing joints no greater.
        """
        unserved = 0
        separators: list[int] = []
        for a in range(b - 1, -1, -1):
            self.pairs_examined += 1
            unserved += sum(last < b for last in self._asked_from.get(a + 1, ()))
            least, length = self._gap(a, b)
            meet = least <= SAME
            if not meet or (self.forced[a] and self.forced[b]):
                limit = self.limit(a, b)
                too_long = limit.spacing is not None and length > limit.spacing + SAME
                if not (too_long and self._separated(a, separators)):
                    yield self._edge(a, b, length, unserved + meet, limit)
                elif self._hopeless(a, length, limit, separators):
                    return
            if self.forced[a]:
                return
            if not meet and self.lines[a].straight:
                separators.append(a)

    def _gap(self, a: int, b: int) -> tuple[int, int]:
        if a == 0 and b == self.last:
            return (self.lines[b].lo, self.lines[b].lo)
        return level_gap(self.lines[a], self.lines[b])

    def _separated(self, a: int, separators: Sequence[int]) -> bool:
        """Say whether a straight candidate that clears b fits to the right of node a.

        The first separator found is the one nearest to b; if it does not clear a, none does.
        """
        return bool(separators) and self.lines[separators[0]].lo - self.lines[a].hi > SAME

    def _hopeless(self, a: int, length: int, limit: PanelLimit, separators: Sequence[int]) -> bool:
        """Say whether every node left of a too makes a panel that is too long and separated."""
        slack = 2 * self._lean + SAME
        return (
            limit.spacing is not None
            and length > limit.spacing + slack
            and self.lines[separators[0]].lo - self.lines[a].foot > slack
        )

    def limit(self, a: int, b: int) -> PanelLimit:
        """Return the limits of the panel between two nodes; constant where the edges are level."""
        start = self._behind[b]
        if start not in self._sections:
            self._sections[start] = self._level_limit(self.lines[start].foot, self.lines[self._ahead[b]].foot)
        known = self._sections[start]
        return known if known is not None else self._limit_between(self.lines[a].foot, self.lines[b].foot)

    def _level_limit(self, x0: int, x1: int) -> PanelLimit | None:
        """Return the one limit of a stretch whose top and bottom are level, or None."""
        wall = self.basis.wall
        for edge in (wall.top, wall.bottom):
            heights = [to_ticks(y) for _, y in edge.between(from_ticks(x0), from_ticks(x1))]
            if max(heights) != min(heights):
                return None
        return self._limit_between(x0, x1)

    def _limit_between(self, x0: int, x1: int) -> PanelLimit:
        limits = self.basis.limits(from_ticks(x0), from_ticks(x1))
        spacing, corner = limits.max_spacing_in, limits.corner_distance_in
        return PanelLimit(
            None if spacing is None else to_ticks(spacing), None if corner is None else to_ticks(corner)
        )

    def corners(self, a: int, b: int) -> int:
        """Count the ends of a panel that are corners."""
        return (a == 0 and self.basis.left_end is EndCondition.CORNER) + (
            b == self.last and self.basis.right_end is EndCondition.CORNER
        )

    def jointless(self, a: int, b: int) -> bool:
        """Say whether the panel is the whole wall and no joint stands at either end of it."""
        ends = (self.basis.left_end, self.basis.right_end)
        return a == 0 and b == self.last and EndCondition.JOINT not in ends

    def _edge(self, a: int, b: int, length: int, violations: int, limit: PanelLimit) -> Edge:
        excess = 0
        if limit.spacing is not None and length > limit.spacing + SAME:
            violations += joints_lacking(length, limit.spacing)
            excess += length - limit.spacing
        corners = self.corners(a, b)
        if corners and limit.corner is not None:
            if length > limit.corner + SAME:
                violations += corners
                excess += corners * (length - limit.corner)
            elif self.jointless(a, b):
                violations += corners
        return Edge(a, b, length, violations, excess)


def joints_lacking(length: int, spacing: int) -> int:
    """Return how many joints a panel lacks: ceil(length / spacing) - 1, at least 1."""
    if spacing <= 0:
        return 1
    return max(1, -(-length // spacing) - 1)
