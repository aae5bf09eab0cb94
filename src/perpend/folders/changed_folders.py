"""Two folders of drawings compared: by file name, one drawing at a time, one failure at a time."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from perpend.clean_text import quoted
from perpend.errors import InputError, PerpendError
from perpend.folders.find_drawings import HIDDEN, written_by_perpend
from perpend.jobs.changes import SIDES, ChangesRequest, changes
from perpend.jobs.output_places import check_places, side_places
from perpend.jobs.staging import staged, write_text
from perpend.report.changes_csv import folder_changes_csv
from perpend.report.changes_document import ChangesResults, DrawingChangesEntry, FolderChanges, State
from perpend.version import __version__


def folder_changes(
    request: ChangesRequest, *, tell: Callable[[DrawingChangesEntry], None] = lambda _: None
) -> FolderChanges:
    """Compare the drawings of two folders that have one name.

    Args:
        request: the two folders as `old` and `new`; `output` is the folder for marked drawings, or None.
        tell: called with each drawing as it is done.

    Returns:
        What became of each drawing, in the order of their names; a failure of one is in its entry.

    Raises:
        InputError: a folder is not there, neither holds a drawing, or a place can't be written.
    """
    before, after = _drawings(request.old), _drawings(request.new)
    if not before and not after:
        raise InputError(f"No DXF drawing is in {quoted(request.old)} or {quoted(request.new)}.")
    if request.output is not None and request.output.resolve() in (
        request.old.resolve(),
        request.new.resolve(),
    ):
        raise InputError(f"-o {quoted(request.output)} holds drawings that are read: name another folder.")
    places = list(side_places(request, SIDES))
    check_places(places, {}, overwrite=request.overwrite)
    entries = []
    for key in sorted({*before, *after}):
        entries.append(_compared(_Pair(before.get(key), after.get(key)), request))
        tell(entries[-1])
    found = FolderChanges(
        perpend_version=__version__,
        old_folder=str(request.old),
        new_folder=str(request.new),
        drawings=entries,
        remarks=["Drawings are matched by file name; drawings that perpend marked are passed over."],
    )
    with staged({place.option: place.path for place in places}) as where:
        if "--csv" in where:
            write_text(where["--csv"], folder_changes_csv(found), table=True)
        if "--sheet" in where:
            from perpend.report.sheet.changes_page import changes_page

            shown = [entry.results for entry in entries if entry.results is not None and entry.changes]
            write_text(where["--sheet"], changes_page(shown, found))
    return found


@dataclass(frozen=True, slots=True)
class _Pair:
    """A drawing in both folders, or in one of them."""

    old: Path | None
    new: Path | None

    @property
    def name(self) -> str:
        path = self.new or self.old
        assert path is not None, "a pair has at least one drawing"
        return path.name


def _drawings(folder: Path) -> dict[str, Path]:
    """Return the drawings of a folder by their names in lower case, without the marked ones of ours."""
    if not folder.is_dir():
        raise InputError(f"{quoted(folder)} is not a folder: name two drawings, or two folders.")
    found: dict[str, Path] = {}
    for path in sorted(folder.iterdir()):
        fits = path.suffix.lower() == ".dxf" and not path.name.startswith(HIDDEN) and path.is_file()
        if fits and not written_by_perpend(path, ("changes", "checked")):
            found[path.name.lower()] = path
    return found


def _compared(pair: _Pair, request: ChangesRequest) -> DrawingChangesEntry:
    """Compare one drawing, whatever happens."""
    missing = "There is no drawing of that name in"
    if pair.old is None:
        return _entry(pair, "added", f"{missing} {quoted(request.old)}.")
    if pair.new is None:
        return _entry(pair, "removed", f"{missing} {quoted(request.new)}.")
    output = None
    if request.output is not None:
        output = request.output / f"{pair.new.stem}-changes.dxf"
        with contextlib.suppress(OSError):  # what can't be made is reported when it can't be written
            request.output.mkdir(parents=True, exist_ok=True)
    try:
        results = changes(replace(request, old=pair.old, new=pair.new, output=output, csv=None, sheet=None))
    except PerpendError as error:
        return _entry(pair, "refused", str(error))
    except OSError as error:
        return _entry(
            pair, "refused", f"{error.filename or pair.name} can't be read ({error.strerror or error})."
        )
    except Exception as error:
        return _entry(pair, "refused", f"A fault of perpend itself: {type(error).__name__}: {error}")
    return _entry(pair, "changed" if results.changes else "unchanged", results=results)


def _entry(
    pair: _Pair, state: State, why: str = "", results: ChangesResults | None = None
) -> DrawingChangesEntry:
    changed = len(results.changes) if results else 0
    return DrawingChangesEntry(name=pair.name, state=state, changes=changed, why=why, results=results)
