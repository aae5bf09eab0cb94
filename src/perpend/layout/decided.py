"""What a person decided, as the designer takes it: joints that are held, stations without a joint."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from perpend.layout.joint_lines import Line, drawn_line, straight_line
from perpend.model import DrawnJoint, Joint, JointKind, Wall
from perpend.units import ON_MODULE_IN, SAME_IN, from_ticks, to_ticks

if TYPE_CHECKING:
    from perpend.layout.candidates import Candidate


def without_barred(wall: Wall, candidates: list[Candidate]) -> list[Candidate]:
    """Leave out what would stand where a person decided that no joint is placed; what is drawn stays."""
    if not wall.no_joint_at_in:
        return candidates
    return [
        c
        for c in candidates
        if c.drawn is not None
        or not is_barred(wall, from_ticks(c.line.foot), spacing=not (c.forced or c.serves or c.place))
    ]


def is_barred(wall: Wall, x_in: float, *, spacing: bool = False) -> bool:
    """Say whether a person decided that no joint is placed at a station.

    Args:
        wall: the wall.
        x_in: the station.
        spacing: True for a joint that would stand there for its spacing alone, and could stand elsewhere.
    """
    reach_in = max(wall.no_joint_within_in - SAME_IN, ON_MODULE_IN) if spacing else ON_MODULE_IN
    return any(abs(x_in - x) <= reach_in for x in wall.no_joint_at_in)


def held_line(joint: DrawnJoint, jambs: Callable[[], Sequence[Candidate]], wall: Wall) -> Line:
    """Return the line of a held joint; of a mere station the jamb joint there, or else a straight one.

    Args:
        joint: the joint.
        jambs: the jamb joints that the wall could have.
        wall: the wall.
    """
    if len(joint.path) > 1:
        return drawn_line(joint.path)
    x_in = joint.path[0][0]
    x = to_ticks(x_in)
    at_jamb = (c.line for c in jambs() if abs(c.line.foot - x) <= to_ticks(ON_MODULE_IN))
    floor, crown = to_ticks(max(wall.bottom.at(x_in))), to_ticks(min(wall.top.at(x_in)))
    return next(at_jamb, straight_line(x, floor, crown))


def held_beside(wall: Wall, taken: Sequence[DrawnJoint], joint_type: str | None) -> list[Joint]:
    """Return the held joints that are no part of a layout, as where an opening permits none: they stay.

    Args:
        wall: the wall.
        taken: the drawn joints that are part of the layout.
        joint_type: key of the wall's joint type.
    """
    left = [j for j in wall.drawn_joints if j.held and not any(j is other for other in taken)]
    return [
        Joint(
            number=0,
            x_in=path[0][0],
            path=path,
            kind=JointKind.STRAIGHT,
            reason="held here by a person's decision",
            joint_type=joint.joint_type or joint_type,
            held=True,
            label=joint.label,
            detail=joint.detail,
        )
        for joint in left
        for path in [held_line(joint, list, wall).path() if len(joint.path) == 1 else joint.path]
    ]
