"""The exact search: which candidates to take, for the whole order of preferences.

Glossary:
    bulk: (violations, excess, narrow pieces, shortfall, staying joints moved, joints, slip planes) packed
        into one whole number that sorts like the list; these add up along a path.
    tight edge: an edge that lies on some path of least bulk.
    bottleneck: the longest panel of a path; the search makes it as short as possible.

A smallest maximum and a sum do not go into one recursion: a prefix with the worse maximum may still
win the sum when another panel is the longest anyway. So the maximum is found first, over the tight
edges, and the sum is minimized among the paths that keep to it. docs/placement.md lists the passes.
"""

from __future__ import annotations

from array import array
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from perpend.layout.candidates import Field
from perpend.layout.panel_graph import Edge, PanelGraph

_EXCESS = 1 << 62
_STAYING = 1 << 24
_JOINTS = 1 << 24
_SLIPS = 1 << 24
_SHORT = 1 << 62
_NARROW = 1 << 24


@dataclass(frozen=True, slots=True)
class Found:
    """The best layout: nodes taken, and its cost in ticks.

    Attributes:
        nodes: node numbers from the left end to the right end.
        edges: the panels between them.
        violations: on the panels taken (what was lost from the start is not counted here).
        excess: in ticks.
        joints: candidates taken.
        slips: slip planes of the candidates taken.
        longest: longest panel, ticks.
        unevenness: sum of squared panel lengths, ticks².
        narrow: pieces narrower than the least panel.
        shortfall: by how much in all, ticks.
    """

    nodes: tuple[int, ...]
    edges: tuple[Edge, ...]
    violations: int
    excess: int
    joints: int
    slips: int
    longest: int
    unevenness: int
    narrow: int = 0
    shortfall: int = 0


class Edges:
    """Edges sorted by their right node, in flat arrays; the few with faults beside them."""

    def __init__(self) -> None:
        self.left, self.right, self.length = array("l"), array("l"), array("q")
        self.faults: dict[int, tuple[int, int, int, int]] = {}

    def add(self, edge: Edge) -> None:
        """Append an edge; its right node is that of the edge before, or a later one."""
        a, b, length, violations, excess, narrow, shortfall = edge
        if violations or excess or narrow:
            self.faults[len(self.left)] = (violations, excess, narrow, shortfall)
        self.left.append(a)
        self.right.append(b)
        self.length.append(length)

    def __len__(self) -> int:
        return len(self.left)

    def edge(self, e: int) -> Edge:
        """Return an edge by its number."""
        return Edge(self.left[e], self.right[e], self.length[e], *self.faults.get(e, (0, 0, 0, 0)))


def best_layout(field: Field, graph: PanelGraph, staying: Collection[int] = ()) -> Found:
    """Find the best layout of a wall.

    Args:
        field: the candidates.
        graph: the panels between them.
        staying: nodes that are kept rather than that any other joint is saved.

    Returns:
        The one layout that is best by every preference in turn.
    """
    edges = Edges()
    for b in range(1, graph.last + 1):
        for edge in graph.edges_into(b):
            edges.add(edge)
    slips = [0, *(len(c.line.slips) for c in field.candidates), 0]
    tight = tight_by_sum(edges, list(range(len(edges))), _bulks(edges, slips, staying), graph.last)
    longest = bottleneck(edges, tight, graph.last)
    short = [e for e in tight if edges.length[e] <= longest]
    uneven = {e: unevenness(edges.length[e], at_step=graph.at_step[edges.right[e]]) for e in short}
    even = tight_by_sum(edges, short, uneven, graph.last)
    path = _leftmost(edges, even, graph)
    return found_with(tuple(edges.edge(e) for e in path), slips)


def unevenness(length: int, *, at_step: bool) -> int:
    """Weigh a panel by its square, and with it, as the least of weights, the joint right of it.

    Args:
        length: of the panel, ticks.
        at_step: True when that joint is at a step of the wall's outline.
    """
    return length**2 * _JOINTS + (not at_step)


def _bulks(edges: Edges, slips: list[int], staying: Collection[int]) -> list[int]:
    """Weigh every edge with what it lacks and with the joint at its right end."""
    last = len(slips) - 1
    joint = [((b != last) * _SLIPS + slips[b]) for b in range(last + 1)]
    for b in staying:
        joint[b] -= _JOINTS * _SLIPS
    bulks = [joint[b] for b in edges.right]
    for e, (violations, excess, narrow, short) in edges.faults.items():
        faults = ((violations * _EXCESS + excess) * _NARROW + narrow) * _SHORT + short
        bulks[e] += faults * _STAYING * _JOINTS * _SLIPS
    return bulks


def tight_by_sum(
    edges: Edges, chosen: list[int], weights: list[int] | dict[int, int], last: int
) -> list[int]:
    """Return the chosen edges that lie on a path of least total weight, in their order.

    Args:
        edges: sorted by their right node, every node after those it can be reached from.
        chosen: numbers of the edges that count, ascending.
        weights: of every chosen edge.
        last: the node where every path ends; every path begins at node 0.

    Returns:
        Numbers of edges; empty when no path reaches the last node.
    """
    before: list[int | None] = [None] * (last + 1)
    before[0] = 0
    for e in chosen:
        so_far = before[edges.left[e]]
        if so_far is not None:
            total = so_far + weights[e]
            known = before[edges.right[e]]
            if known is None or total < known:
                before[edges.right[e]] = total
    after: list[int | None] = [None] * (last + 1)
    after[last] = 0
    for e in reversed(chosen):
        to_go = after[edges.right[e]]
        if to_go is not None:
            total = to_go + weights[e]
            known = after[edges.left[e]]
            if known is None or total < known:
                after[edges.left[e]] = total
    best = before[last]
    return [e for e in chosen if _joins(before[edges.left[e]], weights[e], after[edges.right[e]], best)]


def _joins(before: int | None, weight: int, after: int | None, best: int | None) -> bool:
    return before is not None and after is not None and before + weight + after == best


def bottleneck(edges: Edges, chosen: list[int], last: int) -> int:
    """Return the least possible longest edge over all paths of the chosen edges."""
    worst: list[int | None] = [None] * (last + 1)
    worst[0] = 0
    for e in chosen:
        so_far = worst[edges.left[e]]
        if so_far is not None:
            longest = max(so_far, edges.length[e])
            known = worst[edges.right[e]]
            if known is None or longest < known:
                worst[edges.right[e]] = longest
    longest_of_all = worst[last]
    assert longest_of_all is not None, "the graph always joins the wall's two ends"
    return longest_of_all


def _leftmost(edges: Edges, even: list[int], graph: PanelGraph) -> list[int]:
    """Walk from the left end, always to the leftmost node that a best path still reaches."""
    onward: dict[int, int] = {}
    for e in even:
        a, b = edges.left[e], edges.right[e]
        if a not in onward or b < edges.right[onward[a]]:
            onward[a] = e
    path, node = [], 0
    while node != graph.last:
        path.append(onward[node])
        node = edges.right[onward[node]]
    return path


def found_with(taken: tuple[Edge, ...], slips: Sequence[int]) -> Found:
    """Return the layout with these panels, from left to right.

    Args:
        taken: the panels.
        slips: the slip planes of every node.
    """
    nodes = (0, *(edge.b for edge in taken))
    return Found(
        nodes=nodes,
        edges=taken,
        violations=sum(edge.violations for edge in taken),
        excess=sum(edge.excess for edge in taken),
        joints=len(nodes) - 2,
        slips=sum(slips[n] for n in nodes),
        longest=max(edge.length for edge in taken),
        unevenness=sum(edge.length**2 for edge in taken),
        narrow=sum(edge.narrow for edge in taken),
        shortfall=sum(edge.shortfall for edge in taken),
    )
