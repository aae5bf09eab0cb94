"""Why each joint is where it is, in the words of the trade."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.layout.candidates import Candidate
from perpend.model import JointKind, OpeningRule, Panel, PlaceKind, Side, Source
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import exceeds

_PLACES: dict[PlaceKind, str] = {
    PlaceKind.HEIGHT_CHANGE: "at change in height",
    PlaceKind.THICKNESS_CHANGE: "at change in thickness",
    PlaceKind.PILASTER: "at pilaster",
    PlaceKind.INTERSECTION: "at intersecting wall",
    PlaceKind.FOUNDATION_JOINT: "at movement joint of foundation or floor",
    PlaceKind.ADJOINING_WALL: "at adjoining wall",
    PlaceKind.EXPANSION_JOINT: "at building expansion joint",
    PlaceKind.EXISTING: "drawn already",
    PlaceKind.HELD: "held here by a person's decision",
}


def reason_for(
    basis: WallBasis, candidate: Candidate, taken: Sequence[Candidate], beside: tuple[Panel, Panel]
) -> str:
    """Say why a candidate was taken.

    Args:
        basis: the wall's basis.
        candidate: the candidate.
        taken: every candidate taken, left to right.
        beside: the panels on its left and on its right.

    Returns:
        One clause without a full stop.
    """
    clauses = []
    if candidate.place is not None:
        clauses.append(_PLACES[candidate.place.kind])
    clauses += [_jamb_clause(basis.openings[i], i, side, taken) for i, side in sorted(candidate.serves)]
    if not clauses:
        clauses.append(_spacing_clause(basis, candidate, taken, beside))
    return "; ".join(clauses)


def _jamb_clause(rule: OpeningRule, index: int, side: str, taken: Sequence[Candidate]) -> str:
    what = f"{side} jamb of {rule.opening.tag}, unreinforced"
    if rule.jambs_optional:
        return f"{side} jamb of {rule.opening.tag}: on a slip plane under its lintel"
    if rule.jambs_required == 2:
        return f"{what} and wide: a joint at both jambs"
    other = "left" if side == "right" else "right"
    if any(key == (index, other) for c in taken for key in c.serves):
        return f"{what}: at the jamb to keep the spacing"
    return f"{what}: a joint at one jamb"


def _spacing_clause(
    basis: WallBasis, candidate: Candidate, taken: Sequence[Candidate], beside: tuple[Panel, Panel]
) -> str:
    left, right = beside
    near: list[str] = []
    if candidate is taken[0]:
        near += _corner_clause(basis, left, "left")
    if candidate is taken[-1]:
        near += _corner_clause(basis, right, "right")
    spacing = "" if left.limit_in is None else f"panels up to {basis.show(left.limit_in)}"
    if not near:
        return f"spacing: {spacing}" if spacing else "spacing"
    return "; ".join(part for part in (" and ".join(near), spacing) if part)


def _corner_clause(basis: WallBasis, panel: Panel, side: Side) -> Iterator[str]:
    """Name a corner if the joint is within its reach; a wall that lacks joints may keep it from that."""
    limit = panel.corner_limit_in
    if limit is not None and not exceeds(panel.length_in, limit):
        yield f"within {basis.show(limit)} of the {side} corner"


def sources_for(basis: WallBasis, candidate: Candidate) -> tuple[Source, ...]:
    """Return the rows that require a joint, without repeats."""
    rows: list[Source] = []
    if candidate.place is not None:
        rows += basis.source_of(candidate.place.kind.value)
    for i, _ in sorted(candidate.serves):
        rows += basis.openings[i].sources
    if candidate.kind is JointKind.STRAIGHT:
        rows += basis.spacing.sources
    return tuple(dict.fromkeys(rows))
