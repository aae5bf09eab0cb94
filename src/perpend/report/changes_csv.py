"""Two issues compared as comma-separated values: a row for each property that differs, lengths in inches."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from perpend.report.changes_document import ChangeEntry, ChangesResults, DifferenceEntry, FolderChanges
from perpend.report.csv_tables import raw_table

_Cells = dict[str, Callable[[ChangeEntry, DifferenceEntry | None], object]]
_OF_A_CHANGE: Final[_Cells] = {
    "number": lambda c, _: c.number,
    "thing": lambda c, _: c.thing,
    "change": lambda c, _: c.change,
    "wall": lambda c, _: c.wall,
    "name": lambda c, _: c.name,
    "was_name": lambda c, _: c.was_name,
    "property": lambda _, d: d.what if d else "",
    "was": lambda _, d: d.was if d else "",
    "now": lambda _, d: d.now if d else "",
    "was_in": lambda _, d: d.was_in if d else None,
    "now_in": lambda _, d: d.now_in if d else None,
    "x_in": lambda c, _: c.at[0][0] if c.at else None,
    "old_x_in": lambda c, _: c.old_at[0][0] if c.old_at else None,
    "says": lambda c, _: c.says,
}
"""What each column says of a change and of one property that differs."""

HEAD: Final = ("old_drawing", "new_drawing", *_OF_A_CHANGE)


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
            cells = (cell(change, difference) for cell in _OF_A_CHANGE.values())
            yield (results.old.path, results.new.path, *cells)
