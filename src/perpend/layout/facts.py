"""What a layout could not give, as facts: where no joint is permitted, and what is in the way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from perpend.layout.candidates import Field
from perpend.layout.kept_out_stations import SAME, keep_outs
from perpend.layout.panel_graph import Edge, PanelGraph
from perpend.layout.search import Found
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import from_ticks


@dataclass(frozen=True, slots=True)
class PanelBlocked:
    """A panel that breaks a limit, and the openings whose keep-outs lie in it."""

    x0_in: float
    x1_in: float
    openings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Unserved:
    """An opening that lacks a joint it requires.

    Attributes:
        opening: its tag.
        in_the_way: tags of openings, or parts of the wall, that leave its jambs no room; empty where there
            is room and the layout breaks less without.
    """

    opening: str
    in_the_way: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PlaceBlocked:
    """A place that requires a joint, which would run through an opening or its lintel."""

    x_in: float
    opening: str


Fact: TypeAlias = PanelBlocked | Unserved | PlaceBlocked


def facts_of(basis: WallBasis, field: Field, graph: PanelGraph, found: Found) -> tuple[Fact, ...]:
    """Return what the best layout still breaks; empty where it satisfies the wall.

    Args:
        basis: the wall's basis.
        field: its candidates, with what nothing can give.
        graph: the panels.
        found: the best layout.
    """
    of_edges = (fact for edge in found.edges for fact in _of_edge(basis, field, graph, edge))
    return (*of_edges, *_of_lost(basis, field))


def _of_edge(basis: WallBasis, field: Field, graph: PanelGraph, edge: Edge) -> Iterator[Fact]:
    if not edge.violations and not edge.narrow:
        return
    x0, x1 = graph.lines[edge.a].foot, graph.lines[edge.b].foot
    hit = sorted(set(keep_outs(basis.openings).hit_by(x0 + 2 * SAME, x1 - 2 * SAME)))
    yield PanelBlocked(from_ticks(x0), from_ticks(x1), tuple(basis.openings[i].opening.tag for i in hit))
    for requirement in field.requirements:
        if requirement.opening is not None and requirement.is_skipped(edge.a - 1, edge.b - 1):
            yield Unserved(basis.openings[requirement.opening].opening.tag)


def _of_lost(basis: WallBasis, field: Field) -> Iterator[Fact]:
    for lost in field.lost:
        if lost.opening is not None:
            yield Unserved(basis.openings[lost.opening].opening.tag, lost.in_the_way)
        elif lost.place is not None and lost.in_the_way:
            yield PlaceBlocked(lost.place.x_in, lost.in_the_way[0])
