"""What changed from one issue of a drawing to the next, as values; the words are made by the report.

Places are in the axes of the new wall, inches; of a wall that is gone in its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from perpend.model import DrawnJoint, Path, Point, Wall
from perpend.rulebook import WallBasis

Thing = Literal["wall", "opening", "joint", "limits", "settings"]
Kind = Literal["added", "removed", "moved", "retyped", "changed"]
Value = float | str | None
"""A length in inches, a word, or nothing."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One property that is no longer what it was."""

    what: str
    was: Value
    now: Value


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is no longer what it was.

    Attributes:
        thing: what it is.
        kind: what became of it.
        wall: tag of its wall in the new drawing; of a wall that is gone, its old tag; empty for settings.
        name: its tag or number in the new drawing, or the old one where it is gone.
        was_name: its name in the old drawing, where that is another.
        differences: which properties differ.
        at: where it is now; a line or a ring.
        old_at: where it was.
        handles: of a joint: its entities in the new drawing, of one that is gone those in the old.
    """

    thing: Thing
    kind: Kind
    wall: str
    name: str
    was_name: str = ""
    differences: tuple[Difference, ...] = ()
    at: Path = ()
    old_at: Path = ()
    handles: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Issue:
    """One wall as one issue of a drawing has it.

    Attributes:
        wall: the wall as read, with the joints that are drawn in it.
        basis: what the settings and the rule book of that issue ask of it.
        numbers: numbers in our records, by the handle of a joint.
    """

    wall: Wall
    basis: WallBasis
    numbers: Mapping[str, str] = field(default_factory=dict)

    def number(self, joint: DrawnJoint) -> str:
        """Return the number in our record of a joint; empty for one of another hand."""
        return next((self.numbers[h] for h in joint.handles or (joint.handle,) if h in self.numbers), "")

    def name(self, joint: DrawnJoint) -> str:
        """Return what a joint is called: its number of ours, or its place in the row of joints."""
        return self.number(joint) or f"joint {self.wall.drawn_joints.index(joint) + 1}"

    def joint_type(self, joint: DrawnJoint) -> str:
        """Return the type of a joint; the drawing's word counts before that of the settings."""
        return joint.joint_type or self.basis.joint_type or ""


@dataclass(frozen=True, slots=True)
class WallPair:
    """A wall in both issues, or in one of them.

    Attributes:
        tag: what it is called: its tag in the new drawing; the old one, made distinct, where it is gone.
        old: as it was, or None where it was added.
        new: as it is, or None where it is gone.
        shift: from the axes of the old wall to those of the new one.
        changes: what differs in it.
    """

    tag: str
    old: Issue | None
    new: Issue | None
    shift: Point = (0.0, 0.0)
    changes: tuple[Change, ...] = ()
