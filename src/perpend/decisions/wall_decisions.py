"""What is decided of each wall: joints that are held, stations without one, numbers that are gone."""

from __future__ import annotations

from dataclasses import dataclass, field

from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import (
    NoJoint,
    RecordedJoint,
    Superseded,
    WallRecord,
)
from perpend.model import DrawnJoint, Wall


@dataclass(slots=True)
class WallDecisions:
    """What is decided of one wall.

    Attributes:
        held: joints that stay where they are.
        no_joint: stations where none is placed.
        gone: numbers that are not used again.
        superseded: the drafter's joints that count no more.
        known: joints on record, by which those that are placed keep their numbers.
        issued: joints that were there when the drawing was issued and that nobody touched since.
        basis: digest of what bound the joints when they were drawn, empty where that is not known; of what
            binds them now once the wall is laid out.
        kept: numbers of the joints that stay only because the drawing was issued, once the wall is laid out.
    """

    held: list[DrawnJoint] = field(default_factory=list)
    no_joint: list[NoJoint] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    superseded: list[Superseded] = field(default_factory=list)
    known: tuple[RecordedJoint, ...] = ()
    issued: list[DrawnJoint] = field(default_factory=list)
    basis: str = ""
    kept: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reviewed:
    """The walls with what was decided, and every decision by itself.

    Attributes:
        walls: with their held joints, and the stations where none is placed.
        of_walls: what is decided of each, in the same order.
        decisions: one each, in the order in which they were found.
        lost: records of walls that are not in the drawing.
    """

    walls: tuple[Wall, ...]
    of_walls: tuple[WallDecisions, ...]
    decisions: tuple[Decision, ...] = ()
    lost: tuple[WallRecord, ...] = ()
