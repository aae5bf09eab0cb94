"""Place the joints of a wall: candidates, search, and the result in inches with reasons."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from perpend.layout.candidates import Candidate, Field, field_of
from perpend.layout.decided import held_beside, is_barred
from perpend.layout.facts import Fact, facts_of
from perpend.layout.joint_lines import Line
from perpend.layout.joint_reasons import reason_for, sources_for
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.partial_joints import partial_joints
from perpend.layout.search import Found, best_layout
from perpend.layout.steel.horizontal_bars import bond_beam_notes, debonded, stopped
from perpend.layout.steel.jamb_bars import jamb_bar_notes
from perpend.layout.steel.opening_bars import bars_of
from perpend.model import (
    Bar,
    Cost,
    EndCondition,
    Joint,
    JointKind,
    Panel,
    Path,
    PlaceKind,
    SearchCounts,
    SlipPlane,
    Wall,
    WallPlan,
)
from perpend.rulebook.strip_pieces import partial_piece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN, TICKS_PER_INCH, from_ticks, same, to_ticks


@dataclass(frozen=True, slots=True)
class Placement:
    """The joints of one wall.

    Attributes:
        joints: left to right, with the joint at the right end where another wall adjoins.
        panels: left to right.
        cost: what the layout costs, in the order of preferences.
        counts: work done by the search.
        facts: what could not be satisfied, with what is in the way.
    """

    joints: tuple[Joint, ...]
    panels: tuple[Panel, ...]
    cost: Cost
    counts: SearchCounts
    facts: tuple[Fact, ...]


def place_joints(basis: WallBasis, staying: Sequence[Path] = ()) -> Placement:
    """Find where the joints of a wall go (docs/placement.md).

    Args:
        basis: everything that binds the joints of the wall.
        staying: joints of which as many are kept as can be, wall axes: more joints or slip planes are no
            reason to move one, a limit is.

    Returns:
        The best layout; if the wall can't be satisfied, the one that breaks the least, with facts.
    """
    field = field_of(basis, stations_in=[path[0][0] for path in staying if path[0][0] == path[-1][0]])
    graph = PanelGraph(basis, field)
    found = best_layout(field, graph, _nodes_of(field, staying))
    panels = panels_of(basis, graph, found)
    return Placement(
        joints=_with_partial(basis, _joints(basis, field, found, panels)),
        panels=panels,
        cost=cost_of(field, found),
        counts=SearchCounts(len(field.candidates), graph.pairs_examined),
        facts=facts_of(basis, field, graph, found),
    )


def _nodes_of(field: Field, paths: Sequence[Path]) -> list[int]:
    """Return the nodes at which joints are already, one for each."""
    ends = [(c.line.foot, c.line.runs[-1][0]) for c in field.candidates]
    near, found = to_ticks(ON_MODULE_IN), []
    for foot, head in ((to_ticks(path[0][0]), to_ticks(path[-1][0])) for path in paths):
        there = (n for n, (x, top) in enumerate(ends, 1) if abs(x - foot) <= near and abs(top - head) <= near)
        found += [n for n in there if n not in found][:1]
    return found


def _with_partial(basis: WallBasis, joints: tuple[Joint, ...]) -> tuple[Joint, ...]:
    """Add the joints of partial height, and number all of them from the left."""
    partial = tuple(partial_joints(basis, joints)) if basis.strip_pieces else ()
    if not partial:
        return joints
    ordered = sorted((*joints, *partial), key=lambda j: (j.x_in, j.path[0][1]))
    return tuple(replace(joint, number=n) for n, joint in enumerate(ordered, start=1))


def plan_wall(basis: WallBasis, staying: Sequence[Path] = ()) -> WallPlan:
    """Place the joints of a wall, see `place_joints`, and gather all that is drawn and reported of it."""
    placement = place_joints(basis, staying)
    whole = [j for j in placement.joints if partial_piece(basis.strip_pieces, j.path) is None]
    partial = [j for j in placement.joints if j not in whole]
    bars = tuple(bar for b in bars_of(basis, whole) for bar in _parted(b, partial))
    return replace(
        basis.bare_plan(),
        joints=placement.joints,
        panels=placement.panels,
        bars=bars,
        cost=placement.cost,
        counts=placement.counts,
        notes=(*basis.notes, *bond_beam_notes(basis, whole), *jamb_bar_notes(basis, bars)),
        debonded=debonded(basis, whole),
    )


def _parted(bar: Bar, partial: Sequence[Joint]) -> Iterator[Bar]:
    """Yield a bar in the pieces that joints of partial height leave of it."""
    y = bar.path[0][1]
    met = [j for j in partial if j.path[0][1] <= y <= j.path[-1][1]]
    if not met or bar.path[0][1] != bar.path[-1][1]:
        yield bar
        return
    for piece in stopped(bar.path, met):
        yield replace(bar, path=piece)


def cost_of(field: Field, found: Found) -> Cost:
    """Return what a layout costs, in inches."""
    candidates = [field.candidates[n - 1] for n in found.nodes[1:-1]]
    return Cost(
        violations=found.violations
        + len(field.lost)
        + len(field.near_ends)
        + sum(bool(c.too_near or c.kept_out) for c in candidates),
        excess_in=from_ticks(found.excess),
        narrow=found.narrow,
        shortfall_in=from_ticks(found.shortfall),
        joints=found.joints,
        slip_planes=found.slips,
        longest_in=from_ticks(found.longest),
        unevenness=found.unevenness / TICKS_PER_INCH**2,
    )


def panels_of(basis: WallBasis, graph: PanelGraph, found: Found) -> tuple[Panel, ...]:
    """Return the panels of a layout, left to right."""
    panels = []
    for edge in found.edges:
        x0, x1 = from_ticks(graph.lines[edge.a].foot), from_ticks(graph.lines[edge.b].foot)
        limits = basis.limits(x0, x1)
        length = from_ticks(edge.length)
        at_corner = bool(graph.corners(edge.a, edge.b))
        corner = limits.corner_distance_in if at_corner else None
        panels.append(Panel(x0, x1, length, limits.max_spacing_in, limits.height_in, at_corner, corner))
    return tuple(panels)


def _joints(basis: WallBasis, field: Field, found: Found, panels: Sequence[Panel]) -> tuple[Joint, ...]:
    taken = [field.candidates[n - 1] for n in found.nodes[1:-1]]
    joints = [
        joint_of(basis, candidate, number, reason_for(basis, candidate, taken, beside))
        for number, (candidate, beside) in enumerate(zip(taken, pairwise(panels), strict=True), start=1)
    ]
    kept = [c.drawn for c in taken if c.drawn is not None]
    joints += held_beside(basis.wall, kept, basis.joint_type)
    end_in = basis.wall.length_in
    at_end = is_barred(basis.wall, end_in) or any(same(j.x_in, end_in, ON_MODULE_IN) for j in joints)
    if basis.right_end is EndCondition.JOINT and not at_end:
        joints.append(end_joint(basis, 0))
    joints.sort(key=lambda j: (j.x_in, j.head_x_in))
    return tuple(replace(joint, number=n) for n, joint in enumerate(joints, start=1))


def joint_of(basis: WallBasis, candidate: Candidate, number: int, reason: str) -> Joint:
    """Return the joint on a candidate's line."""
    drawn = candidate.drawn
    path = candidate.line.path() if drawn is None or not _leans(drawn.path) else drawn.path
    return Joint(
        number=number,
        x_in=path[0][0],
        path=path,
        kind=candidate.kind,
        reason=reason,
        serves=tuple(basis.openings[i].opening.tag for i, _ in sorted(candidate.serves)),
        slip_planes=_slip_planes(basis, candidate),
        place=None if candidate.place is None else candidate.place.kind,
        joint_type=drawn.joint_type if drawn and drawn.joint_type else basis.joint_type,
        existing=drawn is not None and not drawn.held,
        handle=drawn.handle if drawn and not drawn.held else "",
        width_in=candidate.width_in,
        sources=sources_for(basis, candidate),
        held=drawn is not None and drawn.held,
        label=drawn.label if drawn else "",
        detail=drawn.detail if drawn else "",
    )


def _leans(path: Path) -> bool:
    """Say whether a drawn line has a part that is neither upright nor level; it stays as it was drawn."""
    return any(x0 != x1 and y0 != y1 for (x0, y0), (x1, y1) in pairwise(path))


def _slip_planes(basis: WallBasis, candidate: Candidate) -> tuple[SlipPlane, ...]:
    heads = {to_ticks(basis.openings[i].opening.box.y1): i for i, _ in candidate.serves}
    return tuple(
        SlipPlane(from_ticks(x0), from_ticks(x1), from_ticks(y), basis.openings[heads[y]].opening.tag)
        for x0, x1, y in candidate.line.slips
    )


def end_joint(basis: WallBasis, number: int) -> Joint:
    """Return the joint at the wall's right end, drawn once for the two walls that meet there."""
    wall: Wall = basis.wall
    x = to_ticks(wall.length_in)
    meeting = [p for p in wall.places if p.kind is PlaceKind.ADJOINING_WALL]
    low, high = wall.joint_levels(wall.length_in)
    line = Line(((x, to_ticks(low), to_ticks(high)),), x, x)
    note = f" ({meeting[0].note})" if meeting and meeting[0].note else ""
    return Joint(
        number=number,
        x_in=from_ticks(x),
        path=line.path(),
        kind=JointKind.END,
        reason=f"another wall adjoins here{note}",
        place=PlaceKind.ADJOINING_WALL,
        joint_type=basis.joint_type,
        sources=basis.source_of(PlaceKind.ADJOINING_WALL.value),
    )
