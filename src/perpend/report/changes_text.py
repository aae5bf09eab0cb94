"""Two issues compared, for a person on a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from perpend.report.changes_document import (
    ChangeEntry,
    ChangesResults,
    DrawingChangesEntry,
    FolderChanges,
    title_of,
)
from perpend.report.summary import wrapped
from perpend.report.text_lines import Line, Tone
from perpend.wording import counted

_THINGS: Final = {"wall": "walls", "opening": "openings", "joint": "joints"}
_KINDS: Final = ("added", "removed", "moved", "retyped", "changed")
_TONES: Final[dict[str, Tone]] = {"added": "required", "removed": "required"}
_STATES: Final[dict[str, Tone]] = {
    "unchanged": "good",
    "changed": "required",
    "added": "required",
    "removed": "required",
    "refused": "advisory",
}


def changes_text(results: ChangesResults) -> list[Line]:
    """Print what changed from one issue of a drawing to the next."""
    lines = [Line(f"Changes: {title_of(results)}", "title"), Line(totals(results))]
    for wall in dict.fromkeys(pair.tag for pair in results.walls):
        own = [c for c in results.changes if c.wall == wall]
        lines += [Line(""), Line(_head(wall, own), "title")]
        lines += [line for change in own for line in _lines(change)]
    others = [c for c in results.changes if not c.wall]
    if others:
        lines += [Line(""), *(line for change in others for line in _lines(change))]
    lines.append(Line(""))
    for remark in results.remarks:
        lines += wrapped(remark, first="- ", then="  ")
    for caution in results.cautions:
        lines += wrapped(caution, tone="quiet")
    if results.written:
        lines.append(Line(f"Written: {results.written}"))
    return lines


def totals(results: ChangesResults) -> str:
    """Say in one line how many joints, openings and walls changed."""
    if not results.changes:
        return "Nothing changed."
    parts = []
    for thing, plural in _THINGS.items():
        kinds = [f"{n} {kind}" for kind in _KINDS if (n := results.count(thing, kind))]
        if kinds:
            parts.append(f"{plural}: {', '.join(kinds)}")
    if results.count("limits"):
        parts.append(f"limits changed in {counted(results.count('limits'), 'wall')}")
    if results.count("settings"):
        parts.append("settings changed")
    text = "; ".join(parts)
    return text[:1].upper() + text[1:] + "."


def _head(wall: str, own: Sequence[ChangeEntry]) -> str:
    name = wall if wall.lower().startswith("wall") else f"Wall {wall}"
    return f"{name[:1].upper()}{name[1:]}: {counted(len(own), 'change') if own else 'unchanged'}"


def _lines(change: ChangeEntry) -> Iterator[Line]:
    number = f"  C{change.number}"
    yield from wrapped(
        change.says, first=f"{number:<7}", then=" " * 9, tone=_TONES.get(change.change, "advisory")
    )


def folder_changes_text(results: FolderChanges) -> list[Line]:
    """Print what changed from one folder to the next: one line for each drawing, and its changes."""
    lines = [Line(f"Changes: {results.old_folder} and {results.new_folder}", "title")]
    for drawing in results.drawings:
        lines += [Line(""), *drawing_lines(drawing)]
    lines.append(Line(""))
    for remark in results.remarks:
        lines += wrapped(remark, first="- ", then="  ")
    counts = [f"{n} {state}" for state in _STATES if (n := results.count(state))]
    lines.append(Line(f"{counted(len(results.drawings), 'drawing')}: {', '.join(counts)}."))
    return lines


def drawing_lines(drawing: DrawingChangesEntry) -> Iterator[Line]:
    """Print one drawing of two folders."""
    yield Line(f"{drawing.name}: {drawing.state}", _STATES[drawing.state])
    if drawing.why:
        yield from wrapped(drawing.why, first="  ", then="  ")
    if drawing.results is not None and drawing.results.changes:
        yield Line(f"  {totals(drawing.results)}")
        for change in drawing.results.changes:
            place = f"{change.wall}: " if change.wall else ""
            yield from wrapped(f"{place}{change.says}", first=f"  C{change.number:<5}", then=" " * 9)
