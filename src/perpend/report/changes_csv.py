"""Two issues compared as comma-separated values: a row for each property that differs, lengths in inches."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from perpend.report.changes_document import ChangeEntry, ChangesResults, DifferenceEntry, FolderChanges
from perpend.report.csv_tables import raw_table

HEAD: Final = (
    "old_drawing",
    "new_drawing",
    "number",
    "thing",
    "change",
    "wall",
    "name",
    "was_name",
    "property",
    "was",
    "now",
    "was_in",
    "now_in",
    "x_in",
    "old_x_in",
    "says",
)


def changes_csv(results: ChangesResults) -> str:
    """Return the table of one comparison, with a head line; a thing added or removed has no property."""
    return raw_table(HEAD, _rows(results))


def folder_changes_csv(results: FolderChanges) -> str:
    """Return the table of two folders; a drawing that has no counterpart, or was refused, has one row."""
    return raw_table(HEAD, _folder_rows(results))


def _folder_rows(results: FolderChanges) -> Iterator[tuple[object, ...]]:
    for drawing in results.drawings:
        if drawing.results is not None:
            yield from _rows(drawing.results)
        else:
            old = "" if drawing.state == "added" else drawing.name
            new = "" if drawing.state == "removed" else drawing.name
            yield (old, new, "", "drawing", drawing.state, *[""] * 10, drawing.why)


def _rows(results: ChangesResults) -> Iterator[tuple[object, ...]]:
    for change in results.changes:
        for difference in change.differences or (None,):
            yield (results.old.path, results.new.path, *_row(change, difference))


def _row(change: ChangeEntry, difference: DifferenceEntry | None) -> tuple[object, ...]:
    return (
        change.number,
        change.thing,
        change.change,
        change.wall,
        change.name,
        change.was_name,
        difference.what if difference else "",
        difference.was if difference else "",
        difference.now if difference else "",
        difference.was_in if difference else None,
        difference.now_in if difference else None,
        change.at[0][0] if change.at else None,
        change.old_at[0][0] if change.old_at else None,
        change.says,
    )
