"""Which drawn joints a layout of fewest changes keeps, and how many go and come between them.

Glossary:
    kept: a drawn joint that stays at its own node.
    anchor: a drawn joint that may be kept, or an end of the wall.
    segment: the stretch from one anchor to another with nothing kept between.
    dropped: the drawn joints of a segment; they are moved or removed.
    new: the nodes of a segment that are taken; joints are moved there or added.
    tight: on some layout of fewest changes and, among those, fewest joints.

In a segment with q dropped joints and p new nodes min(p, q) are moved, in order, and the others removed
or added: that is max(p, q) changes. So the fewest new nodes are best for both the changes and the
joints, and what is best between two anchors does not depend on what lies beyond them: the wall falls
apart at every joint that is kept.

Long segments are seldom needed. Those with up to so many dropped joints are measured. What a longer one
costs at least is known without measuring it: its dropped joints, and the new nodes that it cannot do
without, which are as many as its right end is farther from the wall's left end than its left end is, in
steps. While a longer one might still be as good as the best known, the reach is doubled. A layout that
keeps nothing is one segment from end to end, so the search always ends.

Many anchors are measured at once: a row for every node, a column for every anchor, in each the fewest steps
from the anchor to the node.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from perpend.layout.panel_graph import Edge

_CHANGE: Final = 1 << 40
"""One change weighs more than all joints together."""

_NEVER: Final = 1 << 60
_FAR: Final = 1 << 30
_AT_ONCE: Final = 64
"""Anchors that are measured at once."""

Steps: TypeAlias = NDArray[np.int32]
Weights: TypeAlias = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Segment:
    """What lies between two anchors, by their numbers, with the fewest new nodes."""

    left: int
    right: int
    dropped: int
    new: int


class Segments:
    """The tight segments of a wall, and the states that they leave.

    Attributes:
        changes: the fewest changes.
        measured: steps looked at, each for many anchors at once.
    """

    def __init__(self, edges: Mapping[int, Sequence[Edge]], own: Sequence[int | None], last: int) -> None:
        """Find the tight segments.

        Args:
            edges: the panels that may be used, by their right node.
            own: for each drawn joint, left to right, the node that it is, or None where it can't stay.
            last: the node at the wall's right end.
        """
        self._count, self._last = len(own), last
        self._back = _Walk([(b, [edge.a for edge in into]) for b, into in edges.items()])
        ends: dict[int, list[int]] = {}
        for into in edges.values():
            for edge in into:
                ends.setdefault(last - edge.a, []).append(last - edge.b)
        self._ahead = _Walk(sorted(ends.items()))
        kept = [(k, node) for k, node in enumerate(own) if node in edges]
        dealt, self._nodes = zip(*[(-1, 0), *kept, (len(own), last)], strict=True)
        self._dealt: Weights = np.array(dealt)
        depth = self._back.steps([0], 0, last)[list(self._nodes), 0].astype(np.int64)
        reach = 1
        while True:
            known = self._within(reach)
            before, longer = self._forward(known, depth)
            if reach >= self._count or longer > before[-1]:
                break
            reach *= 2
        self.changes = int(before[-1]) // _CHANGE
        self._tight = list(self._on_the_way(known, before))

    @property
    def measured(self) -> int:
        """Steps looked at, each for many anchors at once."""
        return self._back.measured + self._ahead.measured

    def ranges(self) -> tuple[list[int], list[int]]:
        """Return by node the least and the greatest number of drawn joints dealt with there.

        Where no layout of fewest changes and joints has a node, the least is the greater of the two.
        """
        fewest, greatest = (np.full(self._last + 1, n) for n in (self._count + 1, -1))
        for segment, nodes, taken, to_go in self._paths():
            dealt, spare = self._dealt[segment.left] + 1, segment.new - segment.dropped
            least = np.minimum(np.maximum(taken - max(spare, 0), 0), segment.dropped)
            most = np.minimum(taken + max(-spare, 0), segment.dropped)
            whole = min(self._dealt[segment.right] + 1, self._count)
            least, most = (np.where(to_go == 0, whole, dealt + moved) for moved in (least, most))
            fewest[nodes] = np.minimum(fewest[nodes], least)
            greatest[nodes] = np.maximum(greatest[nodes], most)
        return fewest.tolist(), greatest.tolist()

    def _paths(self) -> Iterator[tuple[Segment, Steps, Steps, Steps]]:
        """Yield every tight segment, the nodes on its paths of fewest steps, and the steps to and from them.

        A node on such a path has one place in it; after i new nodes i joints are moved, less those that are
        added, or more by those that are removed.
        """

        def share(segment: Segment) -> tuple[int, int]:
            return (segment.left // _AT_ONCE, segment.right // _AT_ONCE)

        for _, group in groupby(sorted(self._tight, key=share), share):
            segments = list(group)
            lefts, rights = sorted({s.left for s in segments}), sorted({s.right for s in segments})
            firsts, lasts = [self._nodes[n] for n in lefts], [self._nodes[n] for n in rights]
            low, high = min(firsts), max(lasts)
            taken = self._back.steps(firsts, low, high)
            to_go = self._ahead.steps([self._last - n for n in lasts], self._last - high, self._last - low)
            for s in segments:
                before, after = taken[:, lefts.index(s.left)], to_go[::-1, rights.index(s.right)]
                rows = np.flatnonzero(before + after == s.new + 1)
                yield s, rows + low, before[rows], after[rows]

    def _within(self, reach: int) -> list[Weights]:
        """Return for every anchor the weights of the segments with no more than so many dropped joints.

        They end at the anchors that follow it, one after the other.
        """
        ends = np.searchsorted(self._dealt, self._dealt + reach + 1, side="right")
        found = []
        for first in range(0, len(self._nodes), _AT_ONCE):
            lefts = range(first, min(first + _AT_ONCE, len(self._nodes)))
            nodes = self._nodes[first : ends[lefts[-1]]]
            low = min(nodes)
            steps = self._back.steps(nodes[: len(lefts)], low, max(nodes))
            for left in lefts:
                rights = np.arange(left + 1, ends[left])
                to_each = steps[np.array(self._nodes)[rights] - low, left - first].astype(np.int64)
                weights = self._weights(left, rights, to_each - 1)
                found.append(np.where((to_each > 0) & (to_each < _FAR), weights, _NEVER))
        return found

    def _weights(self, left: int, rights: Weights, new: Weights) -> Weights:
        """Return changes and joints of segments, those at their right ends included, as one number each."""
        dropped: Weights = self._dealt[rights] - self._dealt[left] - 1
        weights: Weights = np.maximum(new, dropped) * _CHANGE + new + 1
        return weights

    def _forward(self, known: Sequence[Weights], depth: Weights) -> tuple[Weights, int]:
        """Return by anchor the least weight of what is left of it, and what a longer segment costs at least.

        Args:
            known: by anchor, the weights of the segments from it to those that follow.
            depth: by anchor, the fewest steps to it from the wall's left end.
        """
        before, longer = (np.full(len(self._dealt), _NEVER) for _ in range(2))
        before[0] = 0
        for left, weights in enumerate(known):
            near = slice(left + 1, left + 1 + len(weights))
            far = np.arange(near.stop, len(before))
            before[near] = np.minimum(before[near], before[left] + weights)
            longer[near] = np.minimum(longer[near], longer[left] + weights)
            beyond = self._weights(left, far, np.maximum(depth[far] - depth[left] - 1, 0))
            longer[far] = np.minimum(longer[far], min(before[left], longer[left]) + beyond)
        return before, int(longer[-1])

    def _on_the_way(self, known: Sequence[Weights], before: Weights) -> Iterator[Segment]:
        """Yield the segments of layouts of least weight, from right to left."""
        after = np.full(len(before), _NEVER)
        after[-1] = 0
        for left in range(len(known) - 2, -1, -1):
            weights = known[left] + after[left + 1 : left + 1 + len(known[left])]
            after[left] = min(after[left], weights.min(initial=_NEVER))
            hits = np.flatnonzero(before[left] + weights == before[-1])
            rights, news = hits + left + 1, known[left][hits] % _CHANGE - 1
            dropped = self._dealt[rights] - self._dealt[left] - 1
            found = zip(rights.tolist(), dropped.tolist(), news.tolist(), strict=True)
            yield from (Segment(left, *each) for each in found)


class _Walk:
    """How nodes follow one another, and the fewest steps from some of them to others.

    Attributes:
        measured: steps looked at, each for many nodes at once.
    """

    def __init__(self, into: Sequence[tuple[int, Sequence[int]]]) -> None:
        """Take the nodes that steps lead to, ascending, each with those that they come from."""
        self._nodes = [b for b, _ in into]
        self._starts = [np.array(starts) for _, starts in into]
        self._longest = max((b - min(starts) for b, starts in into), default=0)
        self.measured = 0

    def steps(self, firsts: Sequence[int], low: int, high: int) -> Steps:
        """Return the fewest steps from some nodes (columns) to all from one node to another (rows)."""
        base = low - self._longest
        found = np.full((high - base + 1, len(firsts)), _FAR, np.int32)
        found[np.array(firsts) - base, range(len(firsts))] = 0
        for n in range(bisect_right(self._nodes, low), bisect_right(self._nodes, high)):
            starts, here = self._starts[n] - base, found[self._nodes[n] - base]
            self.measured += len(starts)
            np.minimum(here, found[starts].min(axis=0) + 1, out=here)
        return found[self._longest :]
