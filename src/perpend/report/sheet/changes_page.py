"""The page of a comparison: both issues of every wall over each other, and the list of changes.

One file without a script; of two folders it has every drawing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.report.changes_document import (
    ChangeEntry,
    ChangesResults,
    DrawingChangesEntry,
    FolderChanges,
    title_of,
)
from perpend.report.changes_text import totals
from perpend.report.sheet.overlay_picture import overlay_of
from perpend.report.sheet.render import asset, digest, template
from perpend.report.sheet.sheet_view import wall_named
from perpend.version import __version__


@dataclass(frozen=True, slots=True)
class _WallRow:
    key: str
    name: str
    svg: str
    changes: tuple[ChangeEntry, ...]


@dataclass(frozen=True, slots=True)
class _DrawingRow:
    key: str
    title: str
    totals: str
    walls: tuple[_WallRow, ...]
    others: tuple[ChangeEntry, ...]
    remarks: tuple[str, ...]


def changes_page(
    drawings: Sequence[ChangesResults],
    folders: FolderChanges | None = None,
) -> str:
    """Return the page as HTML.

    Args:
        drawings: the comparisons that it shows.
        folders: the index of two folders, where that is what was compared.
    """
    from markupsafe import Markup

    style = asset("sheet.css") + asset("changes.css")
    rows = tuple(_drawing(f"d{n}", drawing) for n, drawing in enumerate(drawings, 1))
    return template("changes.html.j2").render(
        title=f"{folders.old_folder} and {folders.new_folder}" if folders else rows[0].title,
        verdict=_verdict(folders) if folders else rows[0].totals,
        drawings=rows,
        index=list(_index(folders, drawings)) if folders else [],
        remarks=folders.remarks if folders else [],
        cautions=list(dict.fromkeys(c for drawing in drawings for c in drawing.cautions)),
        generator=f"perpend {__version__}",
        style=Markup(style),  # our own file
        style_hash=digest(style),
        markup=Markup,
    )


def _verdict(folders: FolderChanges) -> str:
    states = ("unchanged", "changed", "added", "removed", "refused")
    return ", ".join(f"{n} {state}" for state in states if (n := folders.count(state)))


def _index(
    folders: FolderChanges, drawings: Sequence[ChangesResults]
) -> Iterator[tuple[DrawingChangesEntry, str]]:
    """Yield every drawing of two folders with the key of its part of the page, or nothing."""
    keys = {id(drawing): f"d{n}" for n, drawing in enumerate(drawings, 1)}
    for entry in folders.drawings:
        yield entry, keys.get(id(entry.results), "")


def _drawing(key: str, results: ChangesResults) -> _DrawingRow:
    walls = []
    for number, pair in enumerate(results.walls, 1):
        own = tuple(c for c in results.changes if c.wall == pair.tag)
        wall_key = f"{key}-wall{number}"
        name = wall_named(pair.tag)
        walls.append(_WallRow(wall_key, name[:1].upper() + name[1:], overlay_of(pair, wall_key, own), own))
    others = tuple(c for c in results.changes if not c.wall)
    return _DrawingRow(key, title_of(results), totals(results), tuple(walls), others, tuple(results.remarks))
