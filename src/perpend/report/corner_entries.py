"""Corners at which two drawn walls meet, in the results document."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Literal

from perpend.report.document_parts import Number, Part, described


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerEntry(Part):
    """A corner at which two drawn walls meet, measured over both."""

    walls: Annotated[list[str], described("Tags of the two walls.")]
    ends: Annotated[list[Literal["left", "right"]], described("Which end of each meets the other.")]
    first_joints_in: Annotated[
        list[Number | None],
        described("Distance of the first joint of each from the corner; null for a wall without one."),
    ]
    around_in: Annotated[
        Number,
        described("Masonry from joint to joint round the corner; a wall without a joint counts whole."),
    ]
    limits_in: Annotated[
        list[Number | None],
        described("How far the first joint of each may be from the corner; null where none is required."),
    ]


def corner_sentence(corner: CornerEntry, show: Callable[[float], str]) -> str:
    """Say of a corner where the first joints are and how much masonry runs round it.

    Args:
        corner: the corner.
        show: prints a length, inches.
    """
    ends = " and ".join(f"{tag} ({end} end)" for tag, end in zip(corner.walls, corner.ends, strict=True))
    legs = "; ".join(
        f"{tag}: {'no joint' if leg is None else f'first joint {show(leg)} from it'}"
        f"{'' if limit is None else f', {show(limit)} allowed'}"
        for tag, leg, limit in zip(corner.walls, corner.first_joints_in, corner.limits_in, strict=True)
    )
    return f"{ends}: {legs}; {show(corner.around_in)} of masonry round the corner, joint to joint."
