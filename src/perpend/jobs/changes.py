"""Compare two issues of one drawing: read both, match what is in them, report, and mark the new one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.xdata import REVIEW_APPLICATION, own_number
from perpend.errors import InputError
from perpend.jobs.annotate import drafting_style
from perpend.jobs.check import read_with_joints
from perpend.jobs.output_kinds import CHANGES, SHEET
from perpend.jobs.output_places import Place, check_places, drawing_place, read_files, side_places
from perpend.jobs.request import request_of
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.staging import staged, write_text
from perpend.reading import Reading
from perpend.report.changes_document import ChangesResults, build_changes
from perpend.revisions.change_model import Change, Issue, WallPair
from perpend.revisions.drawing_changes import compare_issues
from perpend.revisions.setting_changes import setting_changes
from perpend.rulebook import RuleBook
from perpend.settings import Settings, book_of, load_settings, resolve_wall

SIDES: Final = {"csv": CHANGES, "sheet": SHEET}
"""What is written beside a marked drawing, by the field of a request that says where."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangesRequest:
    """Two issues of a drawing to be compared.

    Attributes:
        old: the older drawing; it is never changed.
        new: the newer one; it is never changed either.
        output: the new drawing with a mark at every change; None: none is written.
        settings: a settings file for both; None looks for each drawing's own.
        old_settings: a settings file for the old drawing, where that had another.
        csv: where the table goes, or None.
        sheet: where the page with both elevations goes, or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings of both.
        layout: name of the layout to read in both; overrules the settings.
        overwrite: replace files that perpend did not write, or that were edited since.
    """

    old: Path
    new: Path
    output: Path | None = None
    settings: Path | None = None
    old_settings: Path | None = None
    csv: Path | None = None
    sheet: Path | None = None
    units_of_drawing: str | None = None
    layout: str | None = None
    overwrite: bool = False


def changes_request(given: Mapping[str, Any]) -> ChangesRequest:
    """Return the request that the arguments of `perpend.changes`, or of `perpend.folder_changes`, make.

    Raises:
        InputError: old and new lead to one file or folder.
    """
    request = request_of(ChangesRequest, given)
    old, new = request.old, request.new
    if old.exists() and new.exists() and old.samefile(new):
        raise InputError(f"{old} and {new} are one: name the older issue first, then the newer one.")
    return request


def changes(request: ChangesRequest) -> ChangesResults:
    """Compare two issues of a drawing; see `perpend.changes`.

    Raises:
        InputError: anything wrong with a drawing, the settings or the places to write; nothing is written.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    places = _places(request)
    old = _read(request, request.old, request.old_settings or request.settings)
    new = _read(request, request.new, request.settings)
    pairs = compare_issues(old.issues(), new.issues())
    settings = setting_changes(_dumped(old.settings), _dumped(new.settings))
    target = places.get("-o")
    document = build_changes(
        old.reading.elevation,
        new.reading.elevation,
        pairs,
        settings,
        remarks=_remarks(old, new),
        cautions=new.book.cautions,
        written=str(target.path) if target else "",
        feet_beside=not new.book.metric,
    )
    with staged({option: place.path for option, place in places.items()}) as where:
        if "-o" in where:
            document = _mark(new, pairs, document, where["-o"], old.reading.elevation.path)
        if "--csv" in where:
            from perpend.report.changes_csv import changes_csv

            write_text(where["--csv"], changes_csv(document), table=True)
        if "--sheet" in where:
            from perpend.report.sheet.changes_page import changes_page

            write_text(where["--sheet"], changes_page([document]))
    return document


@dataclass(frozen=True, slots=True)
class _Side:
    """One of the two issues, with the settings that count for it."""

    reading: Reading
    settings: Settings
    book: RuleBook

    def issues(self) -> list[Issue]:
        """Return the walls, each with its requirements and the numbers of our joints."""
        elevation, entities = self.reading.elevation, self.reading.source.doc.entitydb
        found = []
        for wall in elevation.walls:
            basis = resolve_wall(self.settings, self.book, wall, metric=elevation.metric)
            handles = [h for joint in wall.drawn_joints if joint.ours for h in joint.handles]
            numbers = {h: number for h in handles if (number := own_number(entities.get(h)))}
            found.append(Issue(wall, basis, numbers))
        return found


def _read(request: ChangesRequest, drawing: Path, named: Path | None) -> _Side:
    settings = load_settings(named, drawing)
    options = reading_options(settings, request.units_of_drawing, request.layout)
    reading = read_with_joints(drawing, options, settings.layer_prefix)
    return _Side(reading, settings, book_of(settings))


def _places(request: ChangesRequest) -> dict[str, Place]:
    """Return by option where the outputs go, after a look at what is there."""
    places = [drawing_place(request.new, request.output, "changes")] if request.output is not None else []
    places += side_places(request, SIDES)
    read = read_files(request.old, request.old_settings or request.settings)
    read |= read_files(request.new, request.settings)
    check_places(places, read, overwrite=request.overwrite)
    return {place.option: place for place in places}


def _dumped(settings: Settings) -> dict[str, object]:
    return settings.model_dump(mode="json")


def _remarks(old: _Side, new: _Side) -> list[str]:
    """Say what makes a comparison doubtful: no joints, other units, doubts of the reading."""
    said = []
    for name, side in (("old", old), ("new", new)):
        if not any(wall.drawn_joints for wall in side.reading.elevation.walls):
            said.append(f"No joint is drawn in the {name} drawing, {side.reading.elevation.path}.")
        doubts = [f"{w.tag}: {doubt}" for w in side.reading.elevation.walls for doubt in w.doubts]
        said += [f"Reading of the {name} drawing: {text}" for text in doubts]
    if old.reading.elevation.units != new.reading.elevation.units:
        before, after = old.reading.elevation, new.reading.elevation
        said.append(f"The unit of the drawing changed from {before.units} to {after.units}.")
    return said


def _mark(
    new: _Side, pairs: list[WallPair], document: ChangesResults, where: Path, old_path: str
) -> ChangesResults:
    """Write the new drawing with a mark at every change; say what could not be drawn as meant."""
    from perpend.drawing.review.change_marks import MarkedChange, draw_change_marks

    elevation = new.reading.elevation
    style = replace(drafting_style(new.settings, elevation, new.book), app_id=REVIEW_APPLICATION)
    every: list[Change] = [change for pair in pairs for change in pair.changes]
    marked = [
        MarkedChange(f"C{n}", change, document.changes[n - 1].says) for n, change in enumerate(every, 1)
    ]
    rest = [(f"C{c.number}", c.says) for c in document.changes[len(every) :]]
    bases = [pair.new.basis for pair in pairs if pair.new is not None]
    written, drafted = write_drawing(
        new.reading.source,
        where,
        lambda doc: draw_change_marks(doc, bases, marked, rest, Path(old_path).name, style),
        app_id=REVIEW_APPLICATION,
    )
    remarks = [*document.remarks, *written.changes, *written.notes, *drafted.remarks]
    return replace(document, remarks=remarks)
