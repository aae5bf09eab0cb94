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

Long segments are seldom needed. Those with up to so many dropped joints are measured, a longer one costs
at least its dropped joints; while a longer one might still be as good as the best known, the reach is
doubled. A layout that keeps nothing is one segment from end to end, so the search always ends.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from perpend.layout.panel_graph import Edge

_CHANGE: Final = 1 << 40
"""One change weighs more than all joints together."""

_NEVER: Final = 1 << 100


@dataclass(frozen=True, slots=True)
class Segment:
    """What lies between two anchors, by their numbers, with the fewest new nodes."""

    left: int
    right: int
    dropped: int
    new: int

    @property
    def weight(self) -> int:
        """Changes and joints, that at its right end included, in one number that sorts like the pair."""
        return max(self.new, self.dropped) * _CHANGE + self.new + 1


class Segments:
    """The tight segments of a wall, and the states that they leave.

    Attributes:
        changes: the fewest changes.
        measured: steps looked at.
    """

    def __init__(self, edges: Mapping[int, Sequence[Edge]], own: Sequence[int | None], last: int) -> None:
        """Find the tight segments.

        Args:
            edges: the panels that may be used, by their right node.
            own: for each drawn joint, left to right, the node that it is, or None where it can't stay.
            last: the node at the wall's right end.
        """
        self._edges, self._count, self._last = edges, len(own), last
        self._starts = {b: [edge.a for edge in into] for b, into in edges.items()}
        kept = [(k, node) for k, node in enumerate(own) if node is not None]
        self._dealt, self._nodes = zip(*[(-1, 0), *kept, (len(own), last)], strict=True)
        self.measured = 0
        self._depths: list[dict[int, int]] = []
        reach = 1
        while True:
            known = self._within(reach)
            before, after = self._forward(known), self._backward(known)
            self._best = before[-1]
            if reach >= self._count or (self._best < _NEVER and self._longer(known, reach) > self._best):
                break
            reach *= 2
        self.changes = self._best // _CHANGE
        self._tight = [s for s in known if before[s.left] + s.weight + after[s.right] == self._best]

    def ranges(self) -> tuple[list[int], list[int]]:
        """Return by node the least and the greatest number of drawn joints dealt with there.

        Where no layout of fewest changes and joints has a node, the least is the greater of the two.
        """
        low, high = [self._count + 1] * (self._last + 1), [-1] * (self._last + 1)
        for segment in self._tight:
            for node, least, most in self._states(segment):
                low[node], high[node] = min(low[node], least), max(high[node], most)
        return low, high

    def _states(self, segment: Segment) -> Iterator[tuple[int, int, int]]:
        """Yield the nodes of a segment with the numbers of drawn joints that can be dealt with there.

        A node on a path of fewest new nodes has one place in it; after i new nodes i joints are moved,
        less those that are added, or more by those that are removed.
        """
        depths, onward = self._depths[segment.left], self._onward(segment)
        dealt, spare = self._dealt[segment.left] + 1, segment.new - segment.dropped
        for node, to_go in onward.items():
            i = depths.get(node, _NEVER)
            if i + to_go == segment.new + 1:
                if to_go == 0:
                    whole = min(self._dealt[segment.right] + 1, self._count)
                    yield node, whole, whole
                else:
                    least, most = max(i - max(spare, 0), 0), min(i + max(-spare, 0), segment.dropped)
                    yield node, dealt + min(least, segment.dropped), dealt + most

    def _onward(self, segment: Segment) -> dict[int, int]:
        """Return by node how many steps lead from it to the end of a segment."""
        first, last = self._nodes[segment.left], self._nodes[segment.right]
        found = {last: 0}
        for b in range(last, first, -1):
            steps = found.get(b)
            if steps is not None:
                for edge in self._edges.get(b, ()):
                    if edge.a >= first and found.get(edge.a, _NEVER) > steps + 1:
                        found[edge.a] = steps + 1
        return found

    def _within(self, reach: int) -> list[Segment]:
        """Measure the segments with no more than so many dropped joints."""
        self._depths = []
        found = []
        for left, (dealt, node) in enumerate(zip(self._dealt, self._nodes, strict=True)):
            right = left
            while right + 1 < len(self._dealt) and self._dealt[right + 1] - dealt - 1 <= reach:
                right += 1
            depths = self._depths_from(node, max(self._nodes[left : right + 1]))
            self._depths.append(depths)
            for other in range(left + 1, right + 1):
                steps = depths.get(self._nodes[other], 0)
                if steps:
                    found.append(Segment(left, other, self._dealt[other] - dealt - 1, steps - 1))
        return found

    def _depths_from(self, first: int, last: int) -> dict[int, int]:
        """Return by node how many steps lead to it at least from one node."""
        found = {first: 0}
        depths = [_NEVER] * (last + 1)
        depths[first] = 0
        for b in range(first + 1, last + 1):
            starts = self._starts.get(b, ())
            self.measured += len(starts)
            steps = min(map(depths.__getitem__, starts), default=_NEVER)
            if steps < _NEVER:
                depths[b] = found[b] = steps + 1
        return found

    def _forward(self, known: Sequence[Segment]) -> list[int]:
        """Return by anchor the least weight of what lies left of it; `known` runs from left to right."""
        best = [0, *[_NEVER] * (len(self._dealt) - 1)]
        for s in known:
            best[s.right] = min(best[s.right], best[s.left] + s.weight)
        return best

    def _backward(self, known: Sequence[Segment]) -> list[int]:
        best = [*[_NEVER] * (len(self._dealt) - 1), 0]
        for s in reversed(known):
            best[s.left] = min(best[s.left], best[s.right] + s.weight)
        return best

    def _longer(self, known: Sequence[Segment], reach: int) -> int:
        """Return a weight that no layout with a segment beyond the reach can do without."""
        into: dict[int, list[Segment]] = {}
        for s in known:
            into.setdefault(s.right, []).append(s)
        plain, long = [0], [_NEVER]
        waiting, nearest = 0, _NEVER
        for right in range(1, len(self._dealt)):
            while self._dealt[right] - self._dealt[waiting] - 1 > reach:
                start = min(plain[waiting], long[waiting]) - self._dealt[waiting] * _CHANGE
                nearest, waiting = min(nearest, start), waiting + 1
            jump = nearest + (self._dealt[right] - 1) * _CHANGE
            steps = into.get(right, ())
            plain.append(min((plain[s.left] + s.weight for s in steps), default=_NEVER))
            long.append(min([jump, *(long[s.left] + s.weight for s in steps)]))
        return long[-1]
