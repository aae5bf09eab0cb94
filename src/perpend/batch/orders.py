"""Which drawings of a folder are to be done, and where their files go."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from fnmatch import fnmatch
from pathlib import Path

from perpend.errors import InputError

ENDINGS = {"annotate": "annotated", "check": "checked"}
"""What each command adds to a drawing's name."""


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
        remarks: advisory findings.
        worst: message of the gravest finding.
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
    thumbnail: str = ""
    schedule: tuple[tuple[str, int, float, str, str, str], ...] = field(default=())


def find_orders(
    folder: Path, out: Path, *, pattern: str = "*.dxf", recursive: bool = False, check: bool = False
) -> list[Order]:
    """List the drawings of a folder in the order of their names.

    Drawings that perpend wrote are passed over (annotate: ``*-annotated.dxf`` and ``*-checked.dxf``;
    check: ``*-checked.dxf``), and so is everything in the output folder.

    Args:
        folder: where the drawings are.
        out: where the outputs go; folders below ``folder`` are repeated below it.
        pattern: which names count; upper and lower case are alike.
        recursive: whether folders below count.
        check: whether the drawings are checked instead of annotated.

    Raises:
        InputError: the folder does not exist, is the output folder, or holds no drawing that counts.
    """
    if not folder.is_dir():
        raise InputError(f"{folder} is not a folder: name the folder that holds the drawings.")
    if out.resolve() == folder.resolve():
        raise InputError(f"--out {out} is the folder of the drawings itself: name another folder.")
    command = "check" if check else "annotate"
    sources = sorted(_drawings(folder, out, pattern, recursive, check), key=lambda path: path.as_posix())
    if not sources:
        raise InputError(f"No drawing in {folder} matches {pattern!r}: look at --pattern and --recursive.")
    orders = [_order(source, folder, out, command) for source in sources]
    _refuse_twins(orders)
    return orders


def _drawings(folder: Path, out: Path, pattern: str, recursive: bool, check: bool) -> Iterator[Path]:
    ours = re.compile(rf"-({'checked' if check else 'annotated|checked'})(-[0-9]+)?\.dxf$")
    inside = out.resolve()
    for path in folder.rglob("*") if recursive else folder.iterdir():
        name = path.name.lower()
        if not fnmatch(name, pattern.lower()) or ours.search(name) is not None or path.is_dir():
            continue
        if inside not in path.resolve().parents:
            yield path


def _order(source: Path, folder: Path, out: Path, command: str) -> Order:
    relative = source.relative_to(folder)
    stem = out / relative.with_name(f"{relative.stem}-{ENDINGS[command]}")
    return Order(
        name=relative.as_posix(),
        source=source,
        target=stem.with_name(stem.name + ".dxf"),
        results=stem.with_name(stem.name + ".json"),
        sheet=stem.with_name(stem.name + ".html"),
        command=command,
    )


def _refuse_twins(orders: list[Order]) -> None:
    """Refuse two drawings whose outputs would be one file where upper and lower case are alike."""
    seen: dict[str, str] = {}
    for order in orders:
        key = order.target.as_posix().lower()
        if key in seen:
            raise InputError(
                f"{seen[key]} and {order.name} would both be written to {order.target.name}: rename one."
            )
        seen[key] = order.name
