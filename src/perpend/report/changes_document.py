"""Two issues of a drawing compared, as a document another program can read; docs/changes.md explains it.

Places are in the axes of the new wall, inches; those of a wall that is gone in its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Annotated, Literal

from perpend.model import Elevation
from perpend.report.document_parts import SCHEMA_VERSION, Document, Number, Part, Spot, described
from perpend.report.results_document import DrawingEntry
from perpend.revisions.change_model import Change, Difference, Issue, Value, WallPair
from perpend.units import format_both, format_length
from perpend.version import __version__

State = Literal["unchanged", "changed", "added", "removed", "refused"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceEntry(Part):
    """One property that is no longer what it was."""

    what: Annotated[
        str, described("Such as width, station, greatest joint spacing, or the key of a setting.")
    ]
    was: Annotated[str, described("As printed.")]
    now: Annotated[str, described("As printed.")]
    was_in: Annotated[Number | None, described("Where it is a length.")] = None
    now_in: Annotated[Number | None, described("Where it is a length.")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry(Part):
    """One thing that is no longer what it was."""

    number: Annotated[int, described("1, 2, ... through the drawing; the flag on the marked drawing.")]
    thing: Literal["wall", "opening", "joint", "limits", "settings"]
    change: Literal["added", "removed", "moved", "retyped", "changed"]
    wall: Annotated[str, described("Tag in the new drawing; of a wall that is gone the old one.")]
    name: Annotated[str, described("Tag or number in the new drawing; of what is gone the old one.")]
    was_name: Annotated[str, described("Its old tag or number, where that is another.")]
    differences: list[DifferenceEntry]
    at: Annotated[list[Spot], described("Where it is now: a line or a ring.")]
    old_at: Annotated[list[Spot], described("Where it was.")]
    says: Annotated[str, described("The change in one sentence.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineEntry(Part):
    """An opening or a joint as one issue has it."""

    name: str
    path: Annotated[list[Spot], described("The ring of an opening, the line of a joint.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallIssueEntry(Part):
    """A wall as one issue has it."""

    tag: str
    handle: str
    length_in: Number
    height_in: Annotated[Number, described("The least height.")]
    method: str
    max_spacing_in: Number | None
    corner_distance_in: Number | None
    top: list[Spot]
    bottom: list[Spot]
    openings: list[OutlineEntry]
    joints: list[OutlineEntry]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPairEntry(Part):
    """A wall in both issues; null where one of them does not have it."""

    tag: str
    old: Annotated[WallIssueEntry | None, described("In its own axes.")]
    new: Annotated[WallIssueEntry | None, described("In its own axes.")]
    shift_in: Annotated[Spot, described("From the axes of the old wall to those of the new one.")]
    changes: Annotated[int, described("How many changes are in it.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangesResults(Document):
    """What changed from one issue of a drawing to the next."""

    schema_version: str = SCHEMA_VERSION
    perpend_version: str
    command: Literal["changes"] = "changes"
    old: DrawingEntry
    new: DrawingEntry
    walls: list[WallPairEntry]
    changes: list[ChangeEntry]
    written: Annotated[str, described("The new drawing with marks; empty where none was written.")] = ""
    remarks: list[str]
    cautions: list[str]

    @property
    def violated(self) -> bool:
        """True when something changed: the exit code is 1 then."""
        return bool(self.changes)

    def count(self, thing: str, change: str = "") -> int:
        """Return how many changes there are of a thing, or of a thing and a kind."""
        return sum(c.thing == thing and change in ("", c.change) for c in self.changes)


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingChangesEntry(Part):
    """One drawing of two folders."""

    name: Annotated[str, described("Its name in the folder.")]
    state: State
    changes: int
    why: Annotated[str, described("Why it could not be compared, or empty.")]
    results: Annotated[ChangesResults | None, described("null where there is nothing to compare.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderChanges(Document):
    """What changed from one folder of drawings to the next."""

    schema_version: str = SCHEMA_VERSION
    perpend_version: str
    command: Literal["changes"] = "changes"
    old_folder: str
    new_folder: str
    drawings: list[DrawingChangesEntry]
    remarks: list[str]

    def count(self, state: str) -> int:
        """Return how many drawings are in a state."""
        return sum(drawing.state == state for drawing in self.drawings)

    @property
    def refused(self) -> bool:
        """True when a drawing could not be compared: the exit code is 2 then."""
        return self.count("refused") > 0

    @property
    def violated(self) -> bool:
        """True when something changed."""
        return any(drawing.state != "unchanged" for drawing in self.drawings)


def build_changes(
    old: Elevation,
    new: Elevation,
    pairs: Sequence[WallPair],
    settings: Sequence[Change],
    *,
    remarks: Sequence[str] = (),
    cautions: Sequence[str] = (),
    written: str = "",
    feet_beside: bool = True,
) -> ChangesResults:
    """Gather what a comparison found.

    Args:
        old: the old drawing.
        new: the new drawing.
        pairs: the walls with their changes.
        settings: what changed in the settings.
        remarks: what else a user should know.
        cautions: of the rule book.
        written: the marked drawing, or empty.
        feet_beside: print feet and inches beside millimeters.
    """
    changes = [change for pair in pairs for change in pair.changes]
    return ChangesResults(
        perpend_version=__version__,
        old=DrawingEntry.of(old, feet_beside=feet_beside),
        new=DrawingEntry.of(new, feet_beside=feet_beside),
        walls=[_pair(pair) for pair in pairs],
        changes=[
            _change(n, c, new.metric, feet_beside) for n, c in enumerate([*changes, *settings], start=1)
        ],
        written=written,
        remarks=list(remarks),
        cautions=list(cautions),
    )


def title_of(results: ChangesResults) -> str:
    """Return what is compared: the names of the two drawings."""
    old, new = PurePath(results.old.path), PurePath(results.new.path)
    if old.name == new.name:
        return f"{old.parent.name}/{old.name} and {new.parent.name}/{new.name}"
    return f"{old.name} and {new.name}"


def _pair(pair: WallPair) -> WallPairEntry:
    return WallPairEntry.of(
        pair,
        old=_issue(pair.old) if pair.old else None,
        new=_issue(pair.new) if pair.new else None,
        shift_in=pair.shift,
        changes=len(pair.changes),
    )


def _issue(issue: Issue) -> WallIssueEntry:
    wall, limits = issue.wall, issue.basis.limits(0.0, issue.wall.length_in)
    return WallIssueEntry.of(
        wall,
        limits,
        top=list(wall.top.points),
        bottom=list(wall.bottom.points),
        openings=[OutlineEntry(name=o.tag, path=list(o.outline or o.box.corners)) for o in wall.openings],
        joints=[OutlineEntry(name=issue.name(j), path=list(j.path)) for j in wall.drawn_joints],
    )


def _change(number: int, change: Change, metric: bool, feet: bool) -> ChangeEntry:
    differences = [_difference(d, metric, feet) for d in change.differences]
    return ChangeEntry.of(
        change,
        number=number,
        change=change.kind,
        differences=differences,
        says=_sentence(change, differences, metric, feet),
    )


def sentence_of(change: Change, *, metric: bool, feet: bool = True) -> str:
    """Say a change in one sentence; lengths in millimetres, with or without feet, or in feet and inches."""
    return _sentence(change, [_difference(d, metric, feet) for d in change.differences], metric, feet)


def _difference(difference: Difference, metric: bool, feet: bool) -> DifferenceEntry:
    was, now = difference.was, difference.now
    return DifferenceEntry(
        what=difference.what,
        was=_printed(was, metric, feet),
        now=_printed(now, metric, feet),
        was_in=was if isinstance(was, float) else None,
        now_in=now if isinstance(now, float) else None,
    )


def _printed(value: Value, metric: bool, feet: bool) -> str:
    if value is None:
        return "none"
    if isinstance(value, str):
        return value or "none"
    return format_both(value, "metric", feet=feet) if metric else format_length(value)


def _sentence(change: Change, differences: Sequence[DifferenceEntry], metric: bool, feet: bool) -> str:
    """Say what became of a thing in one sentence."""
    if change.thing == "joint" and change.kind in ("added", "removed"):
        path = change.at or change.old_at
        return f"{_called(change)} {change.kind} at {_printed(path[0][0], metric, feet)}."
    if change.thing == "opening" and change.kind in ("added", "removed"):
        path = change.at or change.old_at
        xs, ys = [x for x, _ in path], [y for _, y in path]
        size = f"{_printed(max(xs) - min(xs), metric, feet)} x {_printed(max(ys) - min(ys), metric, feet)}"
        return f"{_called(change)} {change.kind}, {size}, left jamb at {_printed(min(xs), metric, feet)}."
    if change.thing == "wall" and change.kind in ("added", "removed"):
        xs = [x for x, _ in change.at or change.old_at]
        return f"{_called(change)} {change.kind}, {_printed(max(xs) - min(xs), metric, feet)} long."
    what = "; ".join(f"{d.what} {d.was} -> {d.now}" for d in differences)
    was = f" (was {change.was_name})" if change.was_name else ""
    return f"{_called(change)}{was} {change.kind}: {what}."


def _called(change: Change) -> str:
    name = change.name
    if change.thing in ("limits", "settings"):
        return change.thing.capitalize()
    if name.lower().startswith(f"{change.thing} "):
        return name[:1].upper() + name[1:]
    return f"{change.thing.capitalize()} {name}"
