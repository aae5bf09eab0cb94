"""Joints that are too far from what holds the masonry of a panel, such as a bonded wall."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from perpend.checks.measure.track_geometry import Track, over
from perpend.model import EndCondition, Limits, Side
from perpend.rulebook.judgment import Restraint
from perpend.rulebook.strip_pieces import strip_width_between
from perpend.rulebook.wall_basis import WallBasis


@dataclass(frozen=True, slots=True)
class FarRestraint:
    """A restraint with too much masonry on one side of it.

    Attributes:
        restraint: what holds the masonry.
        side: the side of it.
        distance_in: from its face to the joint on that side, or to the end of the wall.
        limit_in: what is allowed.
    """

    restraint: Restraint
    side: Side
    distance_in: float
    limit_in: float

    @property
    def face_in(self) -> float:
        """Station of its face on that side."""
        return self.restraint.x0_in if self.side == "left" else self.restraint.x1_in


def far_restraints(
    basis: WallBasis, left: Track | None, right: Track | None, limits: Limits
) -> Iterator[FarRestraint]:
    """Yield the restraints of the panel between two joints from which one of them is too far.

    Towards a corner nothing is measured: the corner requires its own joint.

    Args:
        basis: the wall's basis.
        left: the joint on the panel's left, or None at the wall's left end.
        right: the joint on its right, or None at the right end.
        limits: what holds at the panel's height.
    """
    length = basis.wall.length_in
    x0, x1 = left.foot_x if left else 0.0, right.foot_x if right else length
    low, high = left.lo if left else 0.0, right.hi if right else length
    beside = basis.spacing.beside_restraint_in(limits)
    for held in basis.restraints_between(x0, x1):
        limit = beside if held.within_in is None else held.within_in
        if limit is None:
            continue
        on_left = held.x0_in - low - strip_width_between(basis.strip_spans, x0, held.x0_in)
        on_right = high - held.x1_in - strip_width_between(basis.strip_spans, held.x1_in, x1)
        if (left or basis.left_end is not EndCondition.CORNER) and over(on_left, limit):
            yield FarRestraint(held, "left", on_left, limit)
        if (right or basis.right_end is not EndCondition.CORNER) and over(on_right, limit):
            yield FarRestraint(held, "right", on_right, limit)
