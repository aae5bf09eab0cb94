"""The search for the fewest changes: which drawn joints are kept, moved and removed, and what is added.

Glossary:
    state: (node, number of drawn joints dealt with); a drawn joint is dealt with by keeping it, by
        moving it to the node, or by removing it. Nodes and drawn joints both run from left to right.
    step: from one state to the next: on to another node across a panel, or past a drawn joint that
        is removed.

Only the states that a layout of fewest changes and joints can have are built: `layout.segments` finds
them first. Mostly that is one state a node, so the work grows with the length of the wall, however many
joints are wrong.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from perpend.layout.candidates import Candidate, Field
from perpend.layout.kept_segments import Segments
from perpend.layout.panel_graph import AgreedPanel, Edge, PanelGraph
from perpend.layout.search import Edges, Found, bottleneck, found_with, tight_by_sum, unevenness
from perpend.model import Joint
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN, to_ticks

_SLIPS: Final = 1
_MOVES: Final = 1 << 24
_JOINTS: Final = 1 << 72
_CHANGES: Final = 1 << 96
_EXCESS: Final = 1 << 62
_CLOSE: Final = 1 << 20
_NARROW: Final = 1 << 24
_SHORT: Final = 1 << 62
_ADDED: Final = -1
_REMOVED: Final = -2


@dataclass(frozen=True, slots=True)
class ChangeCounts:
    """Work done by the search: steps looked at for the fewest changes, states built, steps between them."""

    measured: int
    states: int
    steps: int


@dataclass(frozen=True, slots=True)
class Alignment:
    """The layout found, and which drawn joint each of its nodes stands for.

    Attributes:
        edges: its panels, left to right.
        partner: by node, the drawn joint (by index) that is kept at it or moved to it.
        changes: joints moved, added and removed.
        counts: work done by the search.
    """

    edges: tuple[Edge, ...]
    partner: dict[int, int]
    changes: int
    counts: ChangeCounts


class ChangeSearch:
    """The search for the layout of one wall that changes least."""

    def __init__(
        self,
        basis: WallBasis,
        field: Field,
        drawn: Sequence[Joint],
        stay: Sequence[Candidate | None],
        agreed: Sequence[AgreedPanel] = (),
        apart_in: float = 0.0,
    ) -> None:
        """Prepare the search.

        Args:
            basis: the wall's basis, without its drawn joints.
            field: its candidates, those in `stay` included.
            drawn: the drawn joints, left to right.
            stay: for each of them the candidate that it is, or None where it can't stay.
            agreed: panels that may break a limit.
            apart_in: what a joint that changes keeps from others, where no limit suffers.
        """
        self.field, self.graph, self.drawn = field, PanelGraph(basis, field, agreed), drawn
        self.last = self.graph.last
        by_identity = {id(c): n for n, c in enumerate(field.candidates, start=1)}
        self.own = [by_identity.get(id(c)) if c is not None else None for c in stay]
        self._as_drawn = {0, self.last, *(n for n in self.own if n is not None)}
        self.feet = [to_ticks(j.path[0][0]) for j in drawn]
        self._apart = to_ticks(apart_in - SAME_IN)
        self.edges = self._least_broken()

    def found(self, alignment: Alignment) -> Found:
        """Return a layout in the form in which placement weighs its own."""
        return found_with(alignment.edges, [len(line.slips) for line in self.graph.lines])

    def _least_broken(self) -> dict[int, list[Edge]]:
        """Return by right node the panels of layouts with the fewest faults, least excess, fewest narrow."""
        edges = Edges()
        for b in range(1, self.last + 1):
            for edge in self.graph.edges_into(b):
                edges.add(edge)
        weights = [0] * len(edges)
        for e, (violations, excess, narrow, short) in edges.faults.items():
            weights[e] = (((violations * _EXCESS + excess) * _NARROW + narrow) * _SHORT + short) * _CLOSE
        for e in range(len(edges)) if self._apart > 0 else ():
            weights[e] += self._crowds(edges.left[e], edges.right[e], edges.length[e])
        found: dict[int, list[Edge]] = {}
        for e in tight_by_sum(edges, list(range(len(edges))), weights, self.last):
            edge = edges.edge(e)
            found.setdefault(edge.b, []).append(edge)
        return found

    def _crowds(self, a: int, b: int, length: int) -> bool:
        """Say whether a panel is narrower than joints are kept apart, and not so as drawn."""
        return length < self._apart and not {a, b} <= self._as_drawn

    def solve(self) -> Alignment:
        """Return the best layout."""
        return _States(self, Segments(self.edges, self.own, self.last)).best()


class _States:
    """The states that a layout of fewest changes can have, and the steps between them."""

    def __init__(self, problem: ChangeSearch, segments: Segments) -> None:
        self.problem, self.measured = problem, segments.measured
        self.low, self.high = segments.ranges()
        self.first = [0]
        for low, high in zip(self.low, self.high, strict=True):
            self.first.append(self.first[-1] + max(high - low + 1, 0))
        self.edges = Edges()
        self.weights: list[int] = []
        self.what: list[int] = []
        for b in range(problem.last + 1):
            for j in range(self.low[b], self.high[b] + 1):
                self._steps_into(b, j)

    def _state(self, node: int, dealt: int) -> int | None:
        inside = self.low[node] <= dealt <= self.high[node]
        return self.first[node] + dealt - self.low[node] if inside else None

    def _steps_into(self, b: int, j: int) -> None:
        """Add every step that ends at node b with j drawn joints dealt with."""
        problem, here = self.problem, self._state(b, j)
        assert here is not None, "only states that were built are entered"
        at_end = b == problem.last
        slips = 0 if at_end else len(problem.graph.lines[b].slips)
        for edge in problem.edges.get(b, ()):
            before = self._state(edge.a, j)
            if before is not None:
                cost = 0 if at_end else _CHANGES + _JOINTS + slips * _SLIPS
                self._add(before, here, edge.length, cost, _ADDED)
            before = self._state(edge.a, j - 1)
            if before is not None and not at_end:
                cost = self._matching(b, j - 1) + _JOINTS + slips * _SLIPS
                self._add(before, here, edge.length, cost, j - 1)
        before = self._state(b, j - 1)
        if before is not None:
            self._add(before, here, 0, _CHANGES, _REMOVED)

    def _matching(self, node: int, k: int) -> int:
        """Return what it costs to have drawn joint k stand at a node."""
        if self.problem.own[k] == node:
            return 0
        return _CHANGES + abs(self.problem.graph.lines[node].foot - self.problem.feet[k]) * _MOVES

    def _add(self, left: int, right: int, length: int, weight: int, what: int) -> None:
        self.edges.add(Edge(left, right, length, 0, 0))
        self.weights.append(weight)
        self.what.append(what)

    def best(self) -> Alignment:
        """Return the best layout."""
        last = self.first[-1] - 1
        tight = tight_by_sum(self.edges, list(range(len(self.edges))), self.weights, last)
        assert tight, "a layout of fewest changes was found before its states were built"
        longest = bottleneck(self.edges, tight, last)
        short = [e for e in tight if self.edges.length[e] <= longest]
        uneven = {e: self._unevenness(e) for e in short}
        return self._path(self._leftmost(tight_by_sum(self.edges, short, uneven, last), last))

    def _unevenness(self, e: int) -> int:
        if not self._is_panel(e):
            return 0
        at_step = self.problem.graph.at_step[self._node(self.edges.right[e])]
        return unevenness(self.edges.length[e], at_step=at_step)

    def _leftmost(self, even: list[int], last: int) -> list[int]:
        """Return the steps of the layout whose list of feet comes first, among the best ones."""
        onward: dict[int, list[int]] = {}
        for e in even:
            onward.setdefault(self.edges.left[e], []).append(e)
        reached: dict[int, list[int]] = {0: []}
        while True:
            reached = self._with_removals(reached, onward)
            if last in reached:
                return reached[last]
            ahead = [(self._order(e), s, e) for s in reached for e in onward.get(s, ()) if self._is_panel(e)]
            nearest = min(order for order, _, _ in ahead)
            after: dict[int, list[int]] = {}
            for order, state, e in ahead:
                if order == nearest:
                    after.setdefault(self.edges.right[e], [*reached[state], e])
            reached = after

    def _with_removals(
        self, reached: dict[int, list[int]], onward: dict[int, list[int]]
    ) -> dict[int, list[int]]:
        """Add the states that removing drawn joints leads to, without going on to another node."""
        waiting = sorted(reached)
        while waiting:
            state = waiting.pop(0)
            for e in onward.get(state, ()):
                right = self.edges.right[e]
                if not self._is_panel(e) and right not in reached:
                    reached[right] = [*reached[state], e]
                    waiting.append(right)
        return reached

    def _is_panel(self, e: int) -> bool:
        return self.what[e] != _REMOVED

    def _node(self, state: int) -> int:
        return bisect_right(self.first, state) - 1

    def _order(self, e: int) -> tuple[int, int]:
        node = self._node(self.edges.right[e])
        return (self.problem.graph.lines[node].foot, node)

    def _path(self, steps: list[int]) -> Alignment:
        partner, taken = {}, []
        for e in steps:
            if self._is_panel(e):
                a, b = self._node(self.edges.left[e]), self._node(self.edges.right[e])
                taken.append(next(edge for edge in self.problem.edges[b] if edge.a == a))
                if self.what[e] >= 0:
                    partner[b] = self.what[e]
        changes = sum(self.weights[e] for e in steps) // _CHANGES
        counts = ChangeCounts(self.measured, self.first[-1], len(self.edges))
        return Alignment(tuple(taken), partner, changes, counts)
