"""One drawing to be done, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path

from perpend.jobs.request import Request


class State(StrEnum):
    """What became of one drawing."""

    CLEAN = "clean"
    VIOLATIONS = "violations"
    REFUSED = "refused"
    """The drawing or its settings could not be used; the sentence says why."""
    FAULT = "fault"
    """A fault of perpend: a broken promise, or a worker that died."""
    NOT_DONE = "not done"
    """The run was stopped before its turn."""
    NO_ELEVATION = "no elevation"
    """Nothing in the drawing hints at a wall: a title sheet, details."""


GRAVEST_FIRST = (
    *(State.FAULT, State.REFUSED, State.NOT_DONE),
    *(State.VIOLATIONS, State.CLEAN, State.NO_ELEVATION),
)
"""The states in the order in which somebody has to look at them."""

FINE = (State.CLEAN, State.NO_ELEVATION)
"""The states that by themselves need no look."""
UNDONE = (State.FAULT, State.REFUSED, State.NOT_DONE)
"""The states of drawings that hold walls, for all that is known, and were not done."""

EXIT_CODES = {
    State.CLEAN: 0,
    State.NO_ELEVATION: 0,
    State.VIOLATIONS: 1,
    State.REFUSED: 2,
    State.FAULT: 3,
    State.NOT_DONE: 2,
}


@dataclass(frozen=True, slots=True)
class Order:
    """One drawing to be done.

    Attributes:
        name: its path below the folder, with forward slashes; names it everywhere.
        source: the drawing.
        target: the new drawing.
        results: its results document.
        sheet: its review sheet.
        command: ``annotate`` or ``check``.
        propose: in a check, draw the nearest layout that satisfies the rules.
        settings: a settings file for all drawings, or None.
        known: fingerprint of the earlier outcome, or empty; if it still holds nothing is done.
        written: sha256 of the new drawing as the earlier run wrote it, or empty.
        seconds: time limit for one drawing.
        megabytes: memory limit of a worker process.
        overwrite: replace an output that somebody has worked in.
    """

    name: str
    source: Path
    target: Path
    results: Path
    sheet: Path
    command: str = "annotate"
    propose: bool = False
    settings: Path | None = None
    known: str = ""
    written: str = ""
    seconds: float = 120.0
    megabytes: int = 2048
    overwrite: bool = False

    @property
    def request(self) -> Request:
        """What is asked of the job that does it."""
        return Request(
            drawing=self.source,
            output=self.target,
            settings=self.settings,
            propose=self.propose,
            overwrite=self.overwrite,
            results=self.results,
            sheet=self.sheet,
        )


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one order.

    Attributes:
        name: of the order.
        state: what became of it.
        sentence: why nothing was done; empty where something was.
        fingerprint: of all that decided it; empty when it could not be taken.
        reused: True when an earlier run's files still hold.
        written: sha256 of the new drawing as it was written.
        worked_in: True when somebody has worked in the new drawing of an earlier run, which is kept.
        metric: True when the drawing's lengths are printed in millimetres.
        walls: number of walls.
        joints: joints drawn or judged.
        joint_in: their length.
        slip_planes: number of slip planes.
        lintels: lintels that were drawn; a check draws none.
        lintel_in: their length.
        steel_in: length of the bars that were drawn; a check draws none.
        violations: findings that a rule requires to be mended.
        remarks: advisory findings, and doubts of the reading.
        doubts: how many of the remarks are such doubts: what was not read, or may have been read wrongly.
        worst: message of the worst finding: a violation, or else the worst doubt, or else a remark.
        doubt: the worst doubt.
        grave_doubt: True when a grave doubt is among them: the exit code is 1.
        missed: by what part of its limit it is missed; 0 where it has no measure.
        thumbnail: a small picture as inline SVG.
        schedule: one row (wall, number, station in inches and as printed, kind, type, reason) for each joint.
        findings: one row for each finding, waived ones included, as in the table of findings of one drawing.
    """

    name: str
    state: State
    sentence: str = ""
    fingerprint: str = ""
    reused: bool = False
    written: str = ""
    worked_in: bool = False
    metric: bool = False
    walls: int = 0
    joints: int = 0
    joint_in: float = 0.0
    slip_planes: int = 0
    lintels: int = 0
    lintel_in: float = 0.0
    steel_in: float = 0.0
    violations: int = 0
    remarks: int = 0
    doubts: int = 0
    worst: str = ""
    doubt: str = ""
    grave_doubt: bool = False
    missed: float = 0.0
    thumbnail: str = ""
    schedule: tuple[tuple[str | int | float, ...], ...] = field(default=())
    findings: tuple[tuple[str | int | float | None, ...], ...] = field(default=())

    @property
    def in_doubt(self) -> bool:
        """True when it is clean as it was read, and may have been read wrongly."""
        return self.state is State.CLEAN and self.doubts > 0

    @property
    def needs_look(self) -> bool:
        """True when somebody has to look at it."""
        return self.in_doubt or self.state not in FINE
