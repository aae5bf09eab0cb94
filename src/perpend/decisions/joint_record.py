"""The record of a plate's joints: every number ever given, where each joint stands, what was decided of it.

It is text, line by line, and travels in the drawing (`perpend.dxf.own_plate`). Places are in the wall's own
axes, in ticks, so that a drawing that is moved as a whole changes nothing.

    perpend joints 1
    layer A-ELEV-JNTC
    issue 2026-12-01 14 Bid set
    wall 2F W1
    joint 4 held bt 975360,0;975360,1560576
    gone 5
    none 5 1300480
    superseded 3A 12.0,0.0;12.0,96.0

Glossary:
    placed: where the designer put it; held: where a person decided; drawn: the drafter's own, numbered by us.
    gone: a number that was given and is not used again.
    none: a station where no joint is placed, with the number of the joint that was taken out there.
    superseded: a joint of the drafter's for which a proposed one was accepted; drawing axes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from perpend.dxf.own_plate import Points, points_of
from perpend.model import Path
from perpend.units import from_ticks, to_ticks

_HEAD: Final = "perpend joints 1"
_STATES: Final = ("placed", "held", "drawn")


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
        state: ``placed``, ``held`` or ``drawn``.
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
class WallRecord:
    """What is on record of one wall."""

    tag: str
    handle: str
    joints: tuple[RecordedJoint, ...] = ()
    gone: tuple[str, ...] = ()
    no_joint: tuple[NoJoint, ...] = ()

    @property
    def labels(self) -> set[str]:
        """Every number ever given."""
        return {*(joint.label for joint in self.joints), *self.gone}


@dataclass(frozen=True, slots=True)
class Superseded:
    """A joint of the drafter's that another one takes the place of: its handle, and where it is drawn."""

    handle: str
    points: Points


@dataclass(frozen=True, slots=True)
class JointRecord:
    """The whole record of a drawing.

    Attributes:
        layer: on which our joints were drawn.
        issues: in order.
        walls: in the order of the drawing.
        superseded: the drafter's joints that count no more.
        waived: fingerprints of the findings that were waived, each with what it was.
    """

    layer: str = ""
    issues: tuple[Issue, ...] = ()
    walls: tuple[WallRecord, ...] = ()
    superseded: tuple[Superseded, ...] = ()
    waived: tuple[tuple[str, str], ...] = ()

    def of_wall(self, tag: str, handle: str, tags: Iterable[str]) -> WallRecord | None:
        """Return what is on record of a wall: by its tag, else by its outline if that has another tag now.

        Args:
            tag: of the wall.
            handle: of its outline.
            tags: of all walls of the drawing.
        """
        same = [wall for wall in self.walls if wall.tag == tag]
        if same:
            return next((wall for wall in same if wall.handle == handle), same[0])
        known = set(tags)
        renamed = (wall for wall in self.walls if wall.handle == handle and wall.tag not in known)
        return next(renamed, None)


def lines_of(record: JointRecord) -> list[str]:
    """Return a record as lines of text."""
    return list(_lines(record))


def _lines(record: JointRecord) -> Iterator[str]:
    yield _HEAD
    yield f"layer {record.layer}"
    for issue in record.issues:
        yield f"issue {issue.day} {issue.joints} {issue.name}"
    for old in record.superseded:
        yield f"superseded {old.handle} {';'.join(f'{x!r},{y!r}' for x, y in old.points)}"
    for fingerprint, what in record.waived:
        yield f"waived {fingerprint} {what}"
    for wall in record.walls:
        yield f"wall {wall.handle or '-'} {wall.tag}"
        for joint in wall.joints:
            flags = f"{'b' * joint.at_bottom}{'t' * joint.at_top}{'x' * joint.clashes}" or "-"
            path = ";".join(f"{to_ticks(x)},{to_ticks(y)}" for x, y in joint.path)
            yield f"joint {joint.label} {joint.state} {flags} {path}"
        for label in wall.gone:
            yield f"gone {label}"
        for none in wall.no_joint:
            yield f"none {none.label or '-'} {to_ticks(none.x_in)}"


def record_of(lines: Sequence[str]) -> JointRecord | None:
    """Read a record back; None where the lines are none, or of a later kind."""
    if not lines or lines[0] != _HEAD:
        return None
    reader = _Reader()
    for line in lines[1:]:
        reader.take(line)
    return reader.record()


class _Reader:
    """Takes the lines of a record; a line that can't be read is passed over."""

    def __init__(self) -> None:
        self.layer = ""
        self.issues: list[Issue] = []
        self.superseded: list[Superseded] = []
        self.waived: list[tuple[str, str]] = []
        self.walls: list[tuple[str, str, list[RecordedJoint], list[str], list[NoJoint]]] = []

    def record(self) -> JointRecord:
        walls = (
            WallRecord(tag, handle, tuple(joints), tuple(gone), tuple(no_joint))
            for tag, handle, joints, gone, no_joint in self.walls
        )
        return JointRecord(
            self.layer, tuple(self.issues), tuple(walls), tuple(self.superseded), tuple(self.waived)
        )

    def take(self, line: str) -> None:
        what, _, rest = line.partition(" ")
        try:
            self._take(what, rest)
        except ValueError:
            return

    def _take(self, what: str, rest: str) -> None:
        first, _, more = rest.partition(" ")
        if what == "layer":
            self.layer = rest
        elif what == "issue":
            count, _, name = more.partition(" ")
            self.issues.append(Issue(name, first, int(count)))
        elif what == "superseded":
            self.superseded.append(Superseded(first, points_of([more])))
        elif what == "waived":
            self.waived.append((first, more))
        elif what == "wall":
            self.walls.append((more, "" if first == "-" else first, [], [], []))
        elif self.walls and what == "joint":
            self.walls[-1][2].append(_joint(first, more))
        elif self.walls and what == "gone":
            self.walls[-1][3].append(rest)
        elif self.walls and what == "none":
            self.walls[-1][4].append(NoJoint(from_ticks(int(more)), "" if first == "-" else first))


def _joint(label: str, rest: str) -> RecordedJoint:
    state, flags, path = rest.split(" ")
    if state not in _STATES:
        raise ValueError(f"{state} is no state")
    pairs = (pair.split(",") for pair in path.split(";"))
    points = tuple((from_ticks(int(x)), from_ticks(int(y))) for x, y in pairs)
    return RecordedJoint(label, state, points, "b" in flags, "t" in flags, "x" in flags)
