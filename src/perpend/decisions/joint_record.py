"""The record of a plate's joints: every number ever given, where each joint stands, what was decided of it.

It is text, line by line, and travels in the drawing (`perpend.dxf.own_plate`). Places are in the wall's own
axes, in ticks, so that a drawing that is moved as a whole changes nothing.

    perpend joints 1
    layer A-ELEV-JNTC
    found on the sheet
    drawn tag 4
    issue 2026-12-01 14 Bid set
    wall 2F W1
    basis 5A02C1F7
    joint 4 held bt 975360,0;975360,1560576
    gone 5
    none 5 1300480
    superseded 3A 195072,0;195072,1560576

Glossary:
    placed: where the designer put it; issued: likewise, and it was there when an issue was recorded.
    held: where a person decided; drawn: the drafter's own, numbered by us.
    found: drawn by us, and found by its tag after another program lost our marks: it counts as the drafter's.
    gone: a number that was given and is not used again.
    none: a station where no joint is placed, with the number of the joint that was taken out there.
    basis: digest of what bound the wall's joints (`perpend.decisions.issued_joints`).
    superseded: a joint of the drafter's, by its handle, for which a proposed one was accepted.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from perpend.model import Path
from perpend.units import from_ticks, to_ticks

_HEAD: Final = "perpend joints 1"
_STATES: Final = ("placed", "issued", "held", "drawn", "found")


@dataclass(frozen=True, slots=True)
class Issue:
    """One issue of the drawing: its name, the day, and how many joints it had."""

    name: str
    day: str
    joints: int


@dataclass(frozen=True, slots=True)
class RecordedJoint:
    """One joint as it was drawn last.

    Attributes:
        label: its number, such as ``4A``.
        state: ``placed``, ``issued``, ``held``, ``drawn`` or ``found``.
        path: wall axes, inches.
        at_bottom: True when it began at the wall's bottom.
        at_top: True when it ended at the wall's top.
        clashes: True when it was held although an opening permits no joint there.
    """

    label: str
    state: str
    path: Path
    at_bottom: bool = True
    at_top: bool = True
    clashes: bool = False


@dataclass(frozen=True, slots=True)
class NoJoint:
    """A station where no joint is placed, and the number of the joint that was there; empty for none."""

    x_in: float
    label: str = ""


@dataclass(frozen=True, slots=True)
class Superseded:
    """A joint of the drafter's that another one takes the place of: its handle, and where it is drawn."""

    handle: str
    path: Path


@dataclass(frozen=True, slots=True)
class WallRecord:
    """What is on record of one wall."""

    tag: str
    handle: str
    joints: tuple[RecordedJoint, ...] = ()
    gone: tuple[str, ...] = ()
    no_joint: tuple[NoJoint, ...] = ()
    superseded: tuple[Superseded, ...] = ()
    basis: str = ""

    @property
    def labels(self) -> set[str]:
        """Every number ever given."""
        return {*(joint.label for joint in self.joints), *self.gone}


@dataclass(frozen=True, slots=True)
class JointRecord:
    """The whole record of a drawing.

    Attributes:
        layer: on which our joints were drawn.
        issues: in order.
        walls: in the order of the drawing.
        waived: fingerprints of the findings that were waived, each with what it was.
        found: True when another program lost the record once, and what is here was found on the sheet.
        drawn: how much was drawn of each kind.
    """

    layer: str = ""
    issues: tuple[Issue, ...] = ()
    walls: tuple[WallRecord, ...] = ()
    waived: tuple[tuple[str, str], ...] = ()
    found: bool = False
    drawn: tuple[tuple[str, int], ...] = ()

    def of_wall(self, tag: str, handle: str, tags: Iterable[str]) -> WallRecord | None:
        """Return what is on record of a wall: by its tag, else by its outline if that has another tag now.

        Args:
            tag: of the wall.
            handle: of its outline.
            tags: of all walls of the drawing.
        """
        tag = one_line(tag)
        same = [wall for wall in self.walls if wall.tag == tag]
        if same:
            return next((wall for wall in same if wall.handle == handle), same[0])
        known = {one_line(name) for name in tags}
        renamed = (wall for wall in self.walls if wall.handle == handle and wall.tag not in known)
        return next(renamed, None)


def one_line(text: str) -> str:
    """Return a text as it goes into a record: in one line, with single spaces."""
    return " ".join(text.split())


def lines_of(record: JointRecord) -> list[str]:
    """Return a record as lines of text."""
    return list(_lines(record))


def _lines(record: JointRecord) -> Iterator[str]:
    yield _HEAD
    yield f"layer {record.layer}"
    if record.found:
        yield "found on the sheet"
    for kind, count in record.drawn:
        yield f"drawn {kind} {count}"
    for issue in record.issues:
        yield f"issue {issue.day} {issue.joints} {issue.name}"
    for fingerprint, what in record.waived:
        yield f"waived {fingerprint} {what}"
    for wall in record.walls:
        yield f"wall {wall.handle or '-'} {wall.tag}"
        if wall.basis:
            yield f"basis {wall.basis}"
        for joint in wall.joints:
            flags = f"{'b' * joint.at_bottom}{'t' * joint.at_top}{'x' * joint.clashes}" or "-"
            yield f"joint {joint.label} {joint.state} {flags} {_ticks(joint.path)}"
        for label in wall.gone:
            yield f"gone {label}"
        for none in wall.no_joint:
            yield f"none {none.label or '-'} {to_ticks(none.x_in)}"
        for old in wall.superseded:
            yield f"superseded {old.handle} {_ticks(old.path)}"


def _ticks(path: Path) -> str:
    return ";".join(f"{to_ticks(x)},{to_ticks(y)}" for x, y in path)


def record_of(lines: Sequence[str]) -> JointRecord | None:
    """Read a record back; None where the lines are none, or of a later kind."""
    if not lines or lines[0] != _HEAD:
        return None
    reader = _Reader()
    for line in lines[1:]:
        reader.take(line)
    return reader.record()


@dataclass(slots=True)
class _OpenWall:
    """One wall while its lines are read."""

    tag: str
    handle: str
    joints: list[RecordedJoint] = field(default_factory=list)
    gone: list[str] = field(default_factory=list)
    no_joint: list[NoJoint] = field(default_factory=list)
    superseded: list[Superseded] = field(default_factory=list)
    basis: str = ""

    def closed(self) -> WallRecord:
        return WallRecord(
            self.tag,
            self.handle,
            tuple(self.joints),
            tuple(self.gone),
            tuple(self.no_joint),
            tuple(self.superseded),
            self.basis,
        )


class _Reader:
    """Takes the lines of a record; a line that can't be read is passed over."""

    def __init__(self) -> None:
        self.layer = ""
        self.issues: list[Issue] = []
        self.waived: list[tuple[str, str]] = []
        self.walls: list[_OpenWall] = []
        self.found = False
        self.drawn: list[tuple[str, int]] = []

    def record(self) -> JointRecord:
        walls = tuple(wall.closed() for wall in self.walls)
        return JointRecord(
            self.layer, tuple(self.issues), walls, tuple(self.waived), self.found, tuple(self.drawn)
        )

    def take(self, line: str) -> None:
        what, _, rest = line.partition(" ")
        first, _, more = rest.partition(" ")
        name = "" if first == "-" else first
        with contextlib.suppress(ValueError):
            if what == "layer":
                self.layer = rest
            elif what == "found":
                self.found = True
            elif what == "drawn":
                self.drawn.append((first, int(more)))
            elif what == "issue":
                count, _, issue = more.partition(" ")
                self.issues.append(Issue(issue, first, int(count)))
            elif what == "waived":
                self.waived.append((first, more))
            elif what == "wall":
                self.walls.append(_OpenWall(more, name))
            elif self.walls:
                self._of_wall(self.walls[-1], what, name, more)

    def _of_wall(self, wall: _OpenWall, what: str, name: str, more: str) -> None:
        if what == "joint":
            wall.joints.append(_joint(name, more))
        elif what == "basis":
            wall.basis = name
        elif what == "gone":
            wall.gone.append(name)
        elif what == "none":
            wall.no_joint.append(NoJoint(from_ticks(int(more)), name))
        elif what == "superseded":
            wall.superseded.append(Superseded(name, _path(more)))


def _joint(label: str, rest: str) -> RecordedJoint:
    state, flags, path = rest.split(" ")
    if state not in _STATES:
        raise ValueError(f"{state} is no state")
    return RecordedJoint(label, state, _path(path), "b" in flags, "t" in flags, "x" in flags)


def _path(text: str) -> Path:
    pairs = (pair.split(",") for pair in text.split(";"))
    return tuple((from_ticks(int(x)), from_ticks(int(y))) for x, y in pairs)
