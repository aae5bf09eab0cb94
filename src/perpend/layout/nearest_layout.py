"""The cure: the layout that satisfies the rules with the fewest changes to what is drawn.

Wanted, in this order: fewest violations and least excess, as in placement; fewest changes; fewest
joints, so that a joint is rather moved than left beside a new one; least distance moved; then the
rest of placement's preferences. docs/checking.md says what counts as a change.

Glossary:
    drawn: a joint that stands in the drawing.
    may stay: a drawn joint with which nothing is wrong by itself; it becomes a candidate.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

from perpend.layout.candidates import Candidate, field_of, forced_candidates
from perpend.layout.facts import Fact, facts_of
from perpend.layout.fewest_changes import Alignment, ChangeCounts, ChangeSearch
from perpend.layout.joint_lines import Line, alike, drawn_line, with_slips
from perpend.layout.joint_reasons import reason_for
from perpend.layout.panel_graph import AgreedPanel
from perpend.layout.place import cost_of, end_joint, joint_of, panels_of
from perpend.layout.search import Found
from perpend.model import Cost, EndCondition, Joint, JointKind, OpeningRule, Panel, Side, Treatment
from perpend.rulebook.strip_pieces import partial_piece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import GAP_IN, ON_MODULE_IN, from_ticks, same, to_ticks

_NEAR: Final = to_ticks(ON_MODULE_IN)

Change = Literal["kept", "moved", "redrawn", "added", "removed"]


@dataclass(frozen=True, slots=True)
class Proposed:
    """What becomes of one joint.

    Attributes:
        change: kept, moved, redrawn where its foot stood, added or removed.
        joint: as it shall stand; as it stood when it is removed.
        was: the drawn joint that it was, or None when it is added.
        move_in: how far its foot moves.
    """

    change: Change
    joint: Joint
    was: Joint | None = None
    move_in: float = 0.0


@dataclass(frozen=True, slots=True)
class NearestLayout:
    """The layout nearest to the drawn one.

    Attributes:
        proposed: what becomes of every joint, from left to right.
        joints: the joints of the layout, numbered from left to right.
        panels: left to right.
        changes: joints moved, redrawn, added and removed; moving one is one change.
        moved_in: distance that feet move, summed.
        cost: what the layout costs, as in placement.
        counts: work done by the search.
        facts: what it could not satisfy, with what is in the way.
    """

    proposed: tuple[Proposed, ...]
    joints: tuple[Joint, ...]
    panels: tuple[Panel, ...]
    changes: int
    moved_in: float
    cost: Cost
    counts: ChangeCounts
    facts: tuple[Fact, ...] = ()

    @property
    def satisfied(self) -> bool:
        """True when the layout breaks no rule."""
        return self.cost.violations == 0 and self.cost.narrow == 0


def nearest_layout(
    basis: WallBasis,
    joints: Sequence[Joint],
    misplaced: Collection[int] = (),
    accepted: Collection[int] = (),
    agreed: Sequence[AgreedPanel] = (),
    twins: Collection[int] = (),
    apart_in: float = 0.0,
) -> NearestLayout:
    """Find the layout that satisfies a wall's rules with the fewest changes to its joints.

    Args:
        basis: the wall's basis.
        joints: the joints as drawn, each with a number of its own and its path from bottom to top.
        misplaced: numbers of those that cannot stay as they are, whatever else is changed.
        accepted: numbers of those that somebody agreed to: they stay, and count as no fault.
        agreed: panels between such joints, or the wall's ends, that may break a limit.
        twins: numbers of those that repeat another joint and may: they stay, and are no part of the search.
        apart_in: what a joint that changes keeps from the joints beside it, where no limit suffers.

    Returns:
        The nearest layout; if the wall can't be satisfied, the nearest of those that break the least.
    """
    bare = replace(basis, wall=replace(basis.wall, drawn_joints=()))
    twins = {*twins, *(j.number for j in joints if partial_piece(basis.strip_pieces, j.path))}
    beside = [Proposed("kept", j, j) for j in joints if j.number in twins]
    joints = [j for j in joints if j.number not in twins]
    at_ends = [_whole_end(bare, j, misplaced) for j in joints if _at_end(basis, j, misplaced)]
    inner = (j for j in joints if not _at_end(basis, j, misplaced))
    drawn = sorted(inner, key=lambda j: (j.path[0][0], j.path[-1][0]))
    forced = forced_candidates(bare)
    candidates = (
        None if j.number in misplaced else _candidate(bare, j, forced, agreed=j.number in accepted)
        for j in drawn
    )
    stay = _without_twins(list(candidates))
    field = field_of(bare, [c for c in stay if c is not None])
    search = ChangeSearch(bare, field, drawn, stay, agreed, apart_in)
    return _told(bare, search, search.solve(), at_ends, beside)


def _at_end(basis: WallBasis, joint: Joint, misplaced: Collection[int]) -> bool:
    """Say whether a joint stands at an end of the wall, or slipped off one where another wall adjoins."""
    stations = [x for x, _ in joint.path]
    left, right = (
        GAP_IN if joint.number in misplaced and end is EndCondition.JOINT else ON_MODULE_IN
        for end in (basis.left_end, basis.right_end)
    )
    return max(stations) <= left or min(stations) >= basis.wall.length_in - right


def _whole_end(basis: WallBasis, joint: Joint, misplaced: Collection[int]) -> Proposed:
    """Keep a joint at an end of the wall, drawn from bottom to top; one that slipped off goes back to it."""
    if joint.number not in misplaced:
        return Proposed("kept", joint, joint)
    foot, wall = joint.path[0][0], basis.wall
    x = 0.0 if foot < wall.length_in / 2 else wall.length_in
    whole = replace(joint, x_in=x, path=((x, max(wall.bottom.at(x))), (x, min(wall.top.at(x)))))
    if abs(x - foot) <= ON_MODULE_IN:
        return Proposed("redrawn", whole, joint)
    return Proposed("moved", whole, joint, abs(x - foot))


def _without_twins(stay: Sequence[Candidate | None]) -> list[Candidate | None]:
    """Forget all but one of the drawn joints on one line: the others can only be moved or removed."""
    seen: set[Line] = set()
    single: list[Candidate | None] = []
    for candidate in stay:
        twin = candidate is None or candidate.line in seen
        single.append(None if twin else candidate)
        if candidate is not None:
            seen.add(candidate.line)
    return single


def _candidate(basis: WallBasis, joint: Joint, forced: Sequence[Candidate], *, agreed: bool) -> Candidate:
    """Return a drawn joint as a line that may be taken; forced where one has to stand, or was agreed to."""
    line = _line(basis, joint)
    serves = frozenset(_served(basis.openings, line))
    heads = {to_ticks(basis.openings[i].opening.box.y1) for i, _ in serves}
    line = with_slips(line, heads)
    place = next((c.place for c in forced if alike(c.line, line, _NEAR)), None)
    return Candidate(line, JointKind.EXISTING, serves, agreed or place is not None, place)


def _line(basis: WallBasis, joint: Joint) -> Line:
    """Return the line of a drawn joint, carried on over drafting gaps to the wall's bottom and top."""
    plain, wall = drawn_line(joint.path), basis.wall
    x0, x1 = from_ticks(plain.runs[0][0]), from_ticks(plain.runs[-1][0])
    floor, crown = to_ticks(max(wall.bottom.at(x0))), to_ticks(min(wall.top.at(x1)))
    levels = [floor, *(y0 for _, y0, _ in plain.runs[1:]), crown]
    runs = tuple((x, y0, y1) for (x, _, _), (y0, y1) in zip(plain.runs, pairwise(levels), strict=True))
    return replace(plain, runs=runs)


def _served(rules: Sequence[OpeningRule], line: Line) -> Iterator[tuple[int, Side]]:
    """Yield the jambs of unreinforced openings at which a line stands over half their height."""
    for i, rule in enumerate(rules):
        if rule.treatment is not Treatment.UNREINFORCED:
            continue
        box = rule.opening.box
        low, high = to_ticks(box.y0), to_ticks(box.y1)
        jambs: tuple[tuple[Side, float], ...] = (("left", box.x0), ("right", box.x1))
        for side, x in jambs:
            near = [(a, b) for at, a, b in line.runs if abs(at - to_ticks(x)) <= _NEAR]
            if 2 * sum(max(0, min(b, high) - max(a, low)) for a, b in near) >= high - low:
                yield (i, side)


def _told(
    basis: WallBasis,
    search: ChangeSearch,
    alignment: Alignment,
    at_ends: Sequence[Proposed],
    beside: Sequence[Proposed],
) -> NearestLayout:
    """Put the layout into joints, those at the ends and beside others too, and say what becomes of each."""
    found = search.found(alignment)
    panels = panels_of(basis, search.graph, found)
    proposed = [*at_ends, *beside, *_standing(basis, search, alignment, found, panels)]
    gone = set(range(len(search.drawn))) - set(alignment.partner.values())
    proposed += [
        Proposed("removed", replace(search.drawn[k], reason="not needed"), search.drawn[k]) for k in gone
    ]
    at_right = any(p.joint.path[0][0] > basis.wall.length_in / 2 for p in at_ends)
    if basis.right_end is EndCondition.JOINT and not at_right:
        proposed.append(Proposed("added", end_joint(basis, 0)))
    proposed.sort(key=lambda p: (p.joint.path[0][0], p.joint.path[-1][0], p.change))
    numbered = _numbered(proposed)
    return NearestLayout(
        proposed=numbered,
        joints=tuple(p.joint for p in numbered if p.change != "removed"),
        panels=panels,
        changes=sum(p.change != "kept" for p in numbered),
        moved_in=sum(p.move_in for p in numbered),
        cost=cost_of(search.field, found),
        counts=alignment.counts,
        facts=facts_of(basis, search.field, search.graph, found),
    )


def _standing(
    basis: WallBasis, search: ChangeSearch, alignment: Alignment, found: Found, panels: Sequence[Panel]
) -> Iterator[Proposed]:
    """Yield the joints of the layout within the wall, left to right."""
    taken = [search.field.candidates[n - 1] for n in found.nodes[1:-1]]
    for node, candidate, beside in zip(found.nodes[1:-1], taken, pairwise(panels), strict=True):
        partner = alignment.partner.get(node)
        was = None if partner is None else search.drawn[partner]
        if was is not None and partner is not None and search.own[partner] == node:
            yield Proposed("kept", was, was)
            continue
        joint = joint_of(basis, candidate, 0, reason_for(basis, candidate, taken, beside))
        if was is None:
            yield Proposed("added", joint)
        else:
            moved = replace(joint, joint_type=was.joint_type or basis.joint_type)
            move_in = abs(moved.x_in - was.x_in)
            if same(move_in, 0.0):
                yield Proposed("redrawn", moved, was)
            else:
                yield Proposed("moved", moved, was, move_in)


def _numbered(proposed: Sequence[Proposed]) -> tuple[Proposed, ...]:
    """Number the joints that stay or come from left to right; one that goes keeps its number."""
    numbered, number = [], 0
    for p in proposed:
        if p.change != "removed":
            number += 1
            p = replace(p, joint=replace(p.joint, number=number))
        numbered.append(p)
    return tuple(numbered)
