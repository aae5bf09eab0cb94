"""Why each joint stands where it stands, in the words of the trade."""

from __future__ import annotations

from collections.abc import Sequence

from perpend.layout.candidates import Candidate
from perpend.model import EndCondition, JointKind, OpeningRule, PlaceKind, Source
from perpend.rulebook.basis import WallBasis

_PLACES: dict[PlaceKind, str] = {
    PlaceKind.HEIGHT_CHANGE: "the wall changes height here",
    PlaceKind.THICKNESS_CHANGE: "the wall changes thickness here",
    PlaceKind.PILASTER: "a pilaster stands here",
    PlaceKind.INTERSECTION: "another wall meets this one here",
    PlaceKind.FOUNDATION_JOINT: "the foundation or floor has a movement joint here",
    PlaceKind.ADJOINING_WALL: "another wall adjoins here",
    PlaceKind.EXISTING: "drawn already",
}


def reason_for(
    basis: WallBasis, candidate: Candidate, taken: Sequence[Candidate], spacing_in: float | None
) -> str:
    """Say why a candidate was taken.

    Args:
        basis: the wall's basis.
        candidate: the candidate.
        taken: every candidate taken, left to right.
        spacing_in: the spacing allowed next to it.

    Returns:
        One clause without a full stop.
    """
    clauses = []
    if candidate.place is not None:
        clauses.append(_PLACES[candidate.place.kind])
    clauses += [_jamb_clause(basis.openings[i], i, side, taken) for i, side in sorted(candidate.serves)]
    if not clauses:
        clauses.append(_spacing_clause(basis, candidate, taken, spacing_in))
    return "; ".join(clauses)


def _jamb_clause(rule: OpeningRule, index: int, side: str, taken: Sequence[Candidate]) -> str:
    what = f"{side} jamb of {rule.opening.tag}, unreinforced"
    if rule.jambs_required == 2:
        return f"{what} and wide: a joint at both jambs"
    other = "left" if side == "right" else "right"
    if any(key == (index, other) for c in taken for key in c.serves):
        return f"{what}: stands at the jamb to keep the spacing"
    return f"{what}: a joint at one jamb"


def _spacing_clause(
    basis: WallBasis, candidate: Candidate, taken: Sequence[Candidate], spacing_in: float | None
) -> str:
    ends = []
    limits = basis.limits(0.0, basis.wall.length_in)
    if limits.corner_distance_in is not None:
        if candidate is taken[0] and basis.left_end is EndCondition.CORNER:
            ends.append("left")
        if candidate is taken[-1] and basis.right_end is EndCondition.CORNER:
            ends.append("right")
    spacing = "" if spacing_in is None else f"panels up to {basis.show(spacing_in)}"
    if not ends or limits.corner_distance_in is None:
        return f"spacing: {spacing}" if spacing else "spacing"
    corner = f"within {basis.show(limits.corner_distance_in)} of the {' and the '.join(ends)} corner"
    return f"{corner}; {spacing}" if spacing else corner


def sources_for(basis: WallBasis, candidate: Candidate) -> tuple[Source, ...]:
    """Return the rows that asked for a joint, without repeats."""
    rows: list[Source] = []
    if candidate.place is not None:
        rows += basis.source_of(candidate.place.kind.value)
    for i, _ in sorted(candidate.serves):
        rows += basis.openings[i].sources
    if candidate.kind is JointKind.STRAIGHT:
        rows += basis.spacing.sources
    return tuple(dict.fromkeys(rows))
