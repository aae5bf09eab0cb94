"""Cures as values: what to change so that a finding is gone. Words are made last, in `perpend.cures.words`.

Glossary:
    complies: the judge confirmed that with the changes the finding is gone and no new one is made.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from perpend.model.elevation import Treatment
from perpend.model.geometry import Path

JointChangeKind = Literal["move", "step", "extend", "straighten", "trim", "add", "remove"]
"""What becomes of a joint. Move: to another station. Step: out under a lintel, at its jamb. Extend: from the
wall's bottom to its top, where it is. Straighten: upright. Trim: its line ends at the wall."""


@dataclass(frozen=True, slots=True)
class JointChange:
    """One joint drawn anew, added or removed.

    Attributes:
        kind: what becomes of it.
        path: its whole new line from bottom to top; as it was where it is removed.
        number: of the joint as drawn, from the wall's left end; 0 where it is added.
        handle: DXF handle of its first entity, or empty.
        was: its line as drawn; empty where it is added.
        opening: tag of the opening at whose jamb it then is, or empty.
    """

    kind: JointChangeKind
    path: Path
    number: int = 0
    handle: str = ""
    was: Path = ()
    opening: str = ""

    @property
    def x_in(self) -> float:
        """Station of its foot after the change."""
        return self.path[0][0]

    @property
    def was_x_in(self) -> float:
        """Station of its foot as drawn; after the change where it is added."""
        return self.was[0][0] if self.was else self.path[0][0]

    @property
    def steps(self) -> bool:
        """True when its new line steps aside."""
        return len({x for x, _ in self.path}) > 1


@dataclass(frozen=True, slots=True)
class Treat:
    """An opening treated the other way."""

    opening: str
    handle: str
    treatment: Treatment


@dataclass(frozen=True, slots=True)
class UseMethod:
    """The joints of the wall placed by another method."""

    method: str
    units: str


@dataclass(frozen=True, slots=True)
class BeamChange:
    """A bond beam stopped or debonded where a joint crosses it, or added.

    Attributes:
        kind: what to do.
        x_in: station.
        y_in: height in the wall's axes; of an added one, the lowest that will do.
        handle: of the bond beam; empty where it is added.
        to_y_in: the greatest height for one that is added; less than the lowest where one is not enough.
        floor_in: the wall's bottom at the station, from which people measure.
        apart_in: how far apart bond beams may be.
    """

    kind: Literal["stop", "debond", "add"]
    x_in: float
    y_in: float
    handle: str = ""
    to_y_in: float = 0.0
    floor_in: float = 0.0
    apart_in: float = 0.0


AdviceKey = Literal[
    "confirm",
    "cut-units",
    "lintel-support",
    "move-jamb",
    "move-opening",
    "move-opening-from-end",
    "name-joint-type",
    "one-lintel",
    "other-methods",
    "shear-transfer",
    "show-support",
    "waiver-correct",
    "waiver-renew",
    "wall-length",
    "wall-steel",
]


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do where no change of joints is the answer.

    Attributes:
        key: which advice.
        subject: tag of the opening, or the name of what is concerned.
        length_in: the station or length that it names, or None.
    """

    key: AdviceKey
    subject: str = ""
    length_in: float | None = None


Change: TypeAlias = JointChange | Treat | UseMethod | BeamChange | Advice
Changes: TypeAlias = tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Blocked:
    """A stretch of the wall in which no joint is permitted, and the openings in the way."""

    x0_in: float
    x1_in: float
    openings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cure:
    """What cures a finding.

    Attributes:
        changes: all of them together.
        complies: True when the judge confirmed them; False for advice, and where they are only the closest.
        others: other sets of changes, each as good.
        blocked: why no joint alone is the cure, or None.
    """

    changes: Changes
    complies: bool = False
    others: tuple[Changes, ...] = ()
    blocked: Blocked | None = None
