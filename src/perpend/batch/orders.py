"""One drawing to be done, and what became of it."""

from __future__ import annotations

from dataclasses import field
from enum import StrEnum
from pathlib import Path

from perpend.frozen import dataclass


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


GRAVEST_FIRST = (State.FAULT, State.REFUSED, State.NOT_DONE, State.VIOLATIONS, State.CLEAN)
"""The states in the order in which somebody has to look at them."""

EXIT_CODES = {State.CLEAN: 0, State.VIOLATIONS: 1, State.REFUSED: 2, State.FAULT: 3, State.NOT_DONE: 2}


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
    settings: Path | None = None
    known: str = ""
    written: str = ""
    seconds: float = 120.0
    megabytes: int = 2048
    overwrite: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one order.

    Attributes:
        name: of the order.
        state: clean, violations, refused, fault or not done.
        sentence: why it was refused or failed; empty otherwise.
        fingerprint: of all that decided it; empty when it could not be taken.
        reused: True when an earlier run's files still hold.
        written: sha256 of the new drawing as it was written.
        worked_in: True when somebody has worked in the new drawing of an earlier run, which is kept.
        walls: number of walls.
        joints: joints drawn or judged.
        joint_ft: their length in feet.
        slip_planes: number of slip planes.
        lintels: number of lintels.
        lintel_ft: their length in feet.
        steel_ft: length in feet of the bars that are drawn.
        violations: findings that a rule requires to be mended.
        remarks: advisory findings, and doubts of the reading (what may be openings on layers without a role).
        worst: message of the gravest finding.
        missed: by what part of its limit it is missed; 0 where it has no measure.
        thumbnail: a small picture as inline SVG.
        schedule: one row (wall, number, station in inches, kind, type, reason) for each joint.
    """

    name: str
    state: State
    sentence: str = ""
    fingerprint: str = ""
    reused: bool = False
    written: str = ""
    worked_in: bool = False
    walls: int = 0
    joints: int = 0
    joint_ft: float = 0.0
    slip_planes: int = 0
    lintels: int = 0
    lintel_ft: float = 0.0
    steel_ft: float = 0.0
    violations: int = 0
    remarks: int = 0
    worst: str = ""
    missed: float = 0.0
    thumbnail: str = ""
    schedule: tuple[tuple[str, int, float, str, str, str], ...] = field(default=())
