"""A corner of the building at which two drawn walls meet."""

from __future__ import annotations

from dataclasses import dataclass

from perpend.model.plan import Side


@dataclass(frozen=True, slots=True)
class MeasuredCorner:
    """A corner at which two drawn walls meet, measured over both.

    Attributes:
        walls: tags of the two.
        ends: which end of each meets the other.
        first_joints_in: distance of the first joint of each from the corner; None for a wall without one.
        around_in: masonry from joint to joint round the corner; a wall without a joint counts whole.
        limits_in: how far the first joint of each may be from the corner; None where none is required.
    """

    walls: tuple[str, str]
    ends: tuple[Side, Side]
    first_joints_in: tuple[float | None, float | None]
    around_in: float
    limits_in: tuple[float | None, float | None]
