"""What it costs to put two joints next to each other: the edges of the search graph.

Nodes are numbered 0 (the wall's left end), 1..n (the candidates by foot), n + 1 (the right end). An
edge (a, b) is a panel: no joint between a and b. All lengths are in ticks.

Glossary:
    panel length: greatest level distance between two lines on any course.
    excess: by how much a limit is exceeded.
    restraint: what holds the masonry between two joints, which have to be near it: a bonded wall.
    separator: a straight candidate that fits between two lines, whatever the two are: none at a narrow pier,
        because it can't be next to the joint at the pier's other jamb.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import NamedTuple

from perpend.layout.candidates import Field
from perpend.layout.joint_lines import Line, level_gap, straight_line
from perpend.layout.joint_requirements import Requirement
from perpend.layout.kept_out_stations import SAME
from perpend.layout.restraints import Restraints
from perpend.layout.step_strips import StepStrips
from perpend.model import EndCondition, HeightBasis
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import from_ticks, to_ticks


class Edge(NamedTuple):
    """A panel between two nodes, and what is wrong with it; a tuple, because a long wall has very many.

    Attributes:
        a: left node.
        b: right node.
        length: panel length.
        violations: joints it lacks, corners too far, requirements it leaves unserved.
        excess: sum of what exceeds a limit.
        narrow: 1 when it is narrower than the least panel on some course.
        shortfall: by how much.
    """

    a: int
    b: int
    length: int
    violations: int
    excess: int
    narrow: int = 0
    shortfall: int = 0


@dataclass(frozen=True, slots=True)
class PanelLimit:
    """Spacing and distances from a corner and a restraint between two feet, ticks; None: no limit."""

    spacing: int | None
    corner: int | None
    beside: int | None = None


@dataclass(frozen=True, slots=True)
class AgreedPanel:
    """A panel of which somebody accepted that it breaks a limit.

    Attributes:
        x0_in: foot of the joint on its left, or 0.
        x1_in: foot of the joint on its right, or the wall's length.
        spacing: True when the spacing does not count for it.
        corner: True when the distance from the corner does not.
        beside: True when the distance from what holds the masonry in it does not.
    """

    x0_in: float
    x1_in: float
    spacing: bool
    corner: bool
    beside: bool = False


class PanelGraph:
    """Enumerates the panels that can be part of a best layout."""

    def __init__(self, basis: WallBasis, field: Field, agreed: Sequence[AgreedPanel] = ()) -> None:
        """Prepare the nodes: ends and candidates, with what each opening asks of them, and agreed panels."""
        self._agreed = {(to_ticks(p.x0_in), to_ticks(p.x1_in)): p for p in agreed}
        self._agreed_ends = {x1 for _, x1 in self._agreed}
        end = to_ticks(basis.wall.length_in)
        self.basis = basis
        self.lines: list[Line] = [
            straight_line(0, -1, -1),
            *(c.line for c in field.candidates),
            straight_line(end, -1, -1),
        ]
        pack = _packing(basis)
        self.packed = [_packed(line, pack) for line in self.lines] if basis.strip_spans else self.lines
        self._restraints = Restraints(basis, self.lines, self.packed, pack)
        self._lo, self._hi = [line.lo for line in self.lines], [line.hi for line in self.lines]
        self._straight = [line.straight for line in self.lines]
        self.forced = [True, *(c.forced for c in field.candidates), True]
        self.at_step = [False, *_at_steps(basis, field), False]
        self.pairs_examined = 0
        self._least = to_ticks(basis.judgment.least_panel_in)
        self._strips = StepStrips(basis, self.lines)
        self._apart = field.apart
        self._at_piers = {n for pair in field.apart for n in pair}
        self._asked_from: dict[int, list[int]] = {}
        self._tangled: dict[int, list[Requirement]] = {}
        for requirement in field.requirements:
            first, last = requirement.first + 1, requirement.last + 1
            if requirement.beside:
                for node in range(first, last + 1):
                    self._tangled.setdefault(node, []).append(requirement)
            else:
                self._asked_from.setdefault(first, []).append(last)
        self._lean = max((line.hi - line.lo for line in self.lines), default=0)
        self._sections: dict[int, PanelLimit | None] = {}
        self._limits: dict[tuple[int, int], PanelLimit] = {}
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

        A panel over its limit is left out when cutting it at straight candidates makes the excess
        smaller and the count of missing joints no greater.
        """
        cleared = 0
        tangled = [r for r in self._tangled.get(b, ()) if r.beside.get(b - 1)]
        separators: list[int] = []
        section = None if self._agreed else self._section(b)
        inner, wide = b != self.last, self._least - SAME
        held = self._restraints.between if self._restraints else None
        strip = self._strips.least if self._strips else None
        for a in range(b - 1, -1, -1):
            self.pairs_examined += 1
            if a + 1 in self._asked_from:
                cleared += sum(last < b for last in self._asked_from[a + 1])
            if a in self._tangled:
                tangled += [r for r in self._tangled[a] if r.last + 1 == a]
            unserved = cleared + sum(r.is_skipped(a - 1, b - 1) for r in tangled)
            least, length = self._gap(a, b)
            meet = least <= SAME or (a, b) in self._apart
            if not meet or (self.forced[a] and self.forced[b]):
                limit = section or self.limit(a, b)
                too_long = limit.spacing is not None and length > limit.spacing + SAME
                plain = inner and a and not meet and least >= wide
                if not too_long and plain and not (held and held(a, b)) and not (strip and strip(a, b)):
                    yield Edge(a, b, length, unserved, 0)
                elif not (too_long and self._cut_pays(a, b, length, limit, separators)):
                    yield self._edge(a, b, length, unserved + meet, limit, least)
                elif self._hopeless(a, b, length, limit, separators):
                    return
            if self.forced[a]:
                return
            if not meet and self._straight[a] and a not in self._at_piers:
                separators.append(a)

    def _gap(self, a: int, b: int) -> tuple[int, int]:
        if a == 0 and b == self.last:
            return (self.lines[b].lo, self.packed[b].lo)
        if self._straight[a] or self._straight[b]:
            least, length = self._lo[b] - self._hi[a], self._hi[b] - self._lo[a]
        else:
            least, length = level_gap(self.lines[a], self.lines[b])
        if self.packed is not self.lines:
            length = level_gap(self.packed[a], self.packed[b])[1]
        return least, length

    def _cut_pays(self, a: int, b: int, length: int, limit: PanelLimit, separators: Sequence[int]) -> bool:
        """Say whether cutting a panel that is too long makes it break less.

        The first separator found is the one nearest to b; if it does not clear a, none does. A cut there
        never makes the count of missing joints greater where the two parts are together as long as the
        whole. Where a and b lean on different courses they are longer, and the count may rise by one,
        unless the part at b is within its limit, or two separators cut out a piece that makes up for it.
        """
        if not separators or self.lines[separators[0]].lo - self.lines[a].hi <= SAME:
            return False
        if not self._shorter_is_no_lower(b):
            return self._cut_breaks_less(a, separators[0], b)
        if length == self.packed[b].hi - self.packed[a].lo or self._part_fits(b, limit, separators):
            return True
        pair = self._pair(limit, separators)
        return pair is not None and self.lines[pair].lo - self.lines[a].hi > SAME

    def _part_fits(self, b: int, limit: PanelLimit, separators: Sequence[int]) -> bool:
        """Say whether the panel from the nearest separator to b is within the limit."""
        return limit.spacing is not None and (
            self.lines[b].straight or self.packed[b].hi - self.packed[separators[0]].lo <= limit.spacing
        )

    def _pair(self, limit: PanelLimit, separators: Sequence[int]) -> int | None:
        """Return the left one of two separators within the limit, and farther apart than joints lean."""
        for i, left in enumerate(separators):
            for right in reversed(separators[:i]):
                gap = self.packed[right].lo - self.packed[left].lo
                if limit.spacing is None or gap > limit.spacing:
                    break
                if gap >= 2 * self._lean:
                    return left
        return None

    def _cut_breaks_less(self, a: int, s: int, b: int) -> bool:
        whole, left, right = (self._plain_edge(x, y) for x, y in ((a, b), (a, s), (s, b)))
        parts = (left.violations + right.violations, left.excess + right.excess)
        return parts < (whole.violations, whole.excess)

    def _plain_edge(self, a: int, b: int) -> Edge:
        least, length = self._gap(a, b)
        return self._edge(a, b, length, 0, self.limit(a, b), least)

    def _shorter_is_no_lower(self, b: int) -> bool:
        """Say whether a part of a panel that ends at b is never lower than the whole.

        Between lines of support it can be: a part under a higher top may reach over one more support.
        """
        return self.basis.height_basis is HeightBasis.WALL or self._section(b) is not None

    def _hopeless(self, a: int, b: int, length: int, limit: PanelLimit, separators: Sequence[int]) -> bool:
        """Say whether every node left of a too makes a panel that is too long and better cut."""
        slack = 2 * self._lean + SAME
        if self.lines[b].foot in self._agreed_ends:
            return False
        if limit.spacing is None or length <= limit.spacing + slack or not self._shorter_is_no_lower(b):
            return False
        nearest: int | None = separators[0]
        if not self._part_fits(b, limit, separators):
            nearest = self._pair(limit, separators)
        return nearest is not None and self.packed[nearest].lo - self.packed[a].foot > slack

    def limit(self, a: int, b: int) -> PanelLimit:
        """Return the limits of the panel between two nodes; constant where the edges are level."""
        known = self._section(b)
        limit = known or self._limit_between(self.lines[a].foot, self.lines[b].foot)
        agreed = self._agreed.get((self.lines[a].foot, self.lines[b].foot)) if self._agreed else None
        if agreed is None:
            return limit
        return PanelLimit(
            None if agreed.spacing else limit.spacing,
            None if agreed.corner else limit.corner,
            None if agreed.beside else limit.beside,
        )

    def _section(self, b: int) -> PanelLimit | None:
        """Return the one limit of the stretch between forced joints that b is in, or None."""
        start = self._behind[b]
        if start not in self._sections:
            self._sections[start] = self._level_limit(self.lines[start].foot, self.lines[self._ahead[b]].foot)
        return self._sections[start]

    def _level_limit(self, x0: int, x1: int) -> PanelLimit | None:
        """Return the one limit of a stretch whose top, bottom and supports are level and whole, or None."""
        wall = self.basis.wall
        if self.basis.measures_round_corners:
            return None
        if self.basis.height_basis is HeightBasis.STOREY:
            inside = [s for s in wall.supports if to_ticks(s.x0_in) < x1 and to_ticks(s.x1_in) > x0]
            if any(to_ticks(s.x0_in) > x0 or to_ticks(s.x1_in) < x1 for s in inside):
                return None
        for edge in (wall.top, wall.bottom):
            heights = [to_ticks(y) for _, y in edge.between(from_ticks(x0), from_ticks(x1))]
            if max(heights) != min(heights):
                return None
        return self._limit_between(x0, x1)

    def _limit_between(self, x0: int, x1: int) -> PanelLimit:
        """Return the limits between two feet; asked again for every cut that is weighed."""
        if (x0, x1) not in self._limits:
            self._limits[x0, x1] = self._limit_afresh(x0, x1)
        return self._limits[x0, x1]

    def _limit_afresh(self, x0: int, x1: int) -> PanelLimit:
        limits = self.basis.limits(from_ticks(x0), from_ticks(x1))
        beside = self.basis.spacing.beside_restraint_in(limits)
        distances = (limits.max_spacing_in, limits.corner_distance_in, beside)
        return PanelLimit(*(None if d is None else to_ticks(d) for d in distances))

    def corners(self, a: int, b: int) -> int:
        """Count the ends of a panel that are corners."""
        return (a == 0 and self.basis.left_end is EndCondition.CORNER) + (
            b == self.last and self.basis.right_end is EndCondition.CORNER
        )

    def meets(self, a: int, b: int) -> bool:
        """Say whether two neighbouring joints meet; only forced ones are ever taken together then."""
        return self._gap(a, b)[0] <= SAME or (a, b) in self._apart

    def _shortfall(self, a: int, b: int, least: int) -> int:
        """Return by how much a panel is too narrow, or a strip of it between a joint and a step."""
        strip = self._strips.least(a, b) if self._strips else None
        if strip is None and least >= self._least - SAME:
            return 0
        least = least if self._is_bounded(a, b) else self._least
        least = least if strip is None else min(least, strip)
        return self._least - least if least < self._least - SAME else 0

    def _is_bounded(self, a: int, b: int) -> bool:
        """Say whether the width of a panel counts: not from end to end, nor at a corner."""
        ends = (EndCondition.FREE, EndCondition.JOINT)
        left, right = a > 0 or self.basis.left_end in ends, b < self.last or self.basis.right_end in ends
        alone = self.basis.stands_alone(from_ticks(self.lines[a].foot), from_ticks(self.lines[b].foot))
        return left and right and not (a == 0 and b == self.last) and not alone

    def jointless(self, a: int, b: int) -> bool:
        """Say whether the panel is the whole wall and no joint stands at either end of it."""
        ends = (self.basis.left_end, self.basis.right_end)
        return a == 0 and b == self.last and EndCondition.JOINT not in ends

    def _edge(self, a: int, b: int, length: int, violations: int, limit: PanelLimit, least: int) -> Edge:
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
                violations += corners - sum(self.basis.served_corners)
        if self._restraints:
            far, by = self._restraints.faults(a, b, limit.beside)
            violations, excess = violations + far, excess + by
        short = self._shortfall(a, b, least)
        return Edge(a, b, length, violations, excess, int(short > 0), short)


def _packing(basis: WallBasis) -> Callable[[int], int]:
    """Return where a station would be if long, low openings took up no length.

    The masonry below and above such an opening is laid out by itself: it is no part of a panel.
    """
    starts = [start for start, _ in basis.strip_spans]
    before = [0.0, *accumulate(end - start for start, end in basis.strip_spans)]

    def packed(x: int) -> int:
        at = from_ticks(x)
        n = bisect_left(starts, at)
        part = min(at, basis.strip_spans[n - 1][1]) - starts[n - 1] if n else 0.0
        return x - to_ticks(before[max(n - 1, 0)] + part)

    return packed


def _packed(line: Line, pack: Callable[[int], int]) -> Line:
    runs = tuple((pack(x), y0, y1) for x, y0, y1 in line.runs)
    xs = [x for x, _, _ in runs]
    return Line(runs, min(xs), max(xs))


def _at_steps(basis: WallBasis, field: Field) -> list[bool]:
    """Say of each candidate whether its foot is at a step of the wall's outline."""
    steps = [to_ticks(x) for edge in (basis.wall.top, basis.wall.bottom) for x, _, _ in edge.steps()]
    return [any(abs(c.line.foot - x) <= SAME for x in steps) for c in field.candidates]


def joints_lacking(length: int, spacing: int) -> int:
    """Return how many joints a panel lacks: ceil(length / spacing) - 1, at least 1."""
    if spacing <= 0:
        return 1
    return max(1, -(-length // spacing) - 1)
