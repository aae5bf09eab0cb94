"""Annotate one drawing: read, lay out, draw, write, report."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from perpend import __version__
from perpend.drawing import Document, DraftingReport, DraftingStyle, draw_plans
from perpend.drawing.writing import WriteReport, open_without_ours, write_drawing
from perpend.drawing.writing.files import whole_file
from perpend.errors import InputError
from perpend.jobs.files import check_place, output_path, refuse_twins
from perpend.jobs.judged import judgement_of
from perpend.jobs.options import reading_options
from perpend.layout import plan_wall
from perpend.model import Elevation, WallPlan
from perpend.reading import Reading, ReadingOptions, read_loaded
from perpend.report import Results, SettingsUsed, WallOutcome, WrittenEntry, build_results
from perpend.report.sheet import write_sheet
from perpend.rulebook import RuleBook, load_rulebook
from perpend.settings import Settings, load_settings, resolve_wall, unmatched_tags


@dataclass(frozen=True, slots=True)
class AnnotateOutcome:
    """What `annotate` did.

    Attributes:
        results: the results document.
        output: the new drawing.
        plans: the walls laid out, in the order of ``results.walls``.
    """

    results: Results
    output: Path
    plans: tuple[WallPlan, ...]


def annotate(
    drawing: Path,
    *,
    output: Path | None = None,
    settings: Path | None = None,
    results: Path | None = None,
    sheet: Path | None = None,
    picture: Path | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
) -> AnnotateOutcome:
    """Read an elevation and write a new drawing that carries its control joints.

    Args:
        drawing: the DXF file; it is never changed.
        output: the new drawing; None puts ``NAME-annotated.dxf`` beside the old one.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        results: where the results document goes, or None.
        sheet: where the review sheet goes (HTML), or None.
        picture: where a picture of the new drawing goes (``.svg`` or ``.png``), or None.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.

    Raises:
        InputError: anything wrong with the drawing, the settings or the places to write; nothing is
            written then.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    target = output_path(drawing, output, "annotated")
    extras = {"--results": results, "--sheet": sheet, "--picture": picture}
    for option, place in extras.items():
        if place is not None:
            check_place(place, drawing, option)
    refuse_twins(drawing=target, results=results, sheet=sheet, picture=picture)
    if picture is not None:
        _picture_maker(picture)
    project = load_settings(settings, drawing)
    book = load_rulebook(project.rulebook)
    reading = read_afresh(drawing, reading_options(project, units_of_drawing, layout))
    outcomes = lay_out(reading.elevation, project, book)
    plate, plans = _Plate(reading, outcomes, project, book), tuple(outcome.plan for outcome in outcomes)
    was_there = target.exists()
    try:
        with contextlib.ExitStack() as stack:
            # The temporary files come first: a place that can't be written is found before anything is drawn.
            files = {o: stack.enter_context(whole_file(p)) for o, p in extras.items() if p is not None}
            document, image = plate.write(target, picture)
            if results is not None:
                files["--results"].write_text(document.to_json(), encoding="utf-8", newline="\n")
            if sheet is not None:
                write_sheet(files["--sheet"], document, plans)
            if picture is not None:
                files["--picture"].write_bytes(image)
    except InputError:
        if not was_there:
            target.unlink(missing_ok=True)
        raise
    return AnnotateOutcome(document, target, plans)


def _picture_maker(picture: Path) -> Callable[[Document, Path], bytes]:
    """Return what draws pictures; its packages come with the extra ``picture`` alone.

    Raises:
        InputError: the packages are not installed, or there is no such kind of picture.
    """
    try:
        from perpend.drawing.picture import KINDS, picture_of
    except ImportError as error:
        raise InputError(
            f"A picture needs a package that is not installed ({error.name}): install perpend[picture]."
        ) from None
    if picture.suffix.lower() not in KINDS:
        raise InputError(f"{picture.name} is no picture that can be drawn: name it .svg or .png.")
    return picture_of


def read_afresh(drawing: Path, options: ReadingOptions) -> Reading:
    """Read a drawing as it was before an earlier run of ours drew in it.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing.
    """
    opened = open_without_ours(drawing)
    reading = read_loaded(opened.loaded, options)
    if not opened.removed:
        return reading
    replaced = f"What an earlier run drew ({opened.removed} records) was taken out and drawn anew."
    elevation = replace(
        reading.elevation,
        sha256=hashlib.sha256(drawing.read_bytes()).hexdigest(),
        repaired=(*reading.elevation.repaired, *opened.notes, replaced),
    )
    return Reading(elevation, reading.source)


def lay_out(elevation: Elevation, settings: Settings, book: RuleBook) -> list[WallOutcome]:
    """Place the joints of every wall.

    Raises:
        InputError: a setting is looser than the rule book, or asks for something it does not have.
    """
    outcomes = []
    for wall in elevation.walls:
        basis = resolve_wall(settings, book, wall, metric=elevation.metric)
        plan, placed = plan_wall(basis)
        judgement = judgement_of(basis, plan, placed, settings.severities)
        outcomes.append(WallOutcome(basis, plan, judgement.findings, judgement.runs))
    return outcomes


def drafting_style(settings: Settings, elevation: Elevation, book: RuleBook) -> DraftingStyle:
    """Turn settings and drawing into what the plate looks like."""
    return DraftingStyle(
        layer_prefix=settings.layer_prefix,
        plot_scale=settings.text.plot_scale,
        text_height_plotted_in=settings.text.height,
        dimensions=settings.dimensions,
        metric=elevation.metric,
        inches_per_unit=elevation.inches_per_unit,
        cautions=book.cautions,
        rulebook_title=book.title,
        rulebook_version=book.version,
        generation=f"perpend {__version__}",
    )


@dataclass(frozen=True, slots=True)
class _Plate:
    """All that goes on one plate."""

    reading: Reading
    outcomes: Sequence[WallOutcome]
    settings: Settings
    book: RuleBook

    def write(self, target: Path, picture: Path | None) -> tuple[Results, bytes]:
        """Draw the plate and write it; return what to tell of it, and its picture."""
        elevation, settings = self.reading.elevation, self.settings
        written, (drafted, image) = write_drawing(
            self.reading.source, target, lambda doc: self._draw(doc, picture)
        )
        document = build_results(
            elevation,
            self.outcomes,
            self.book,
            settings=SettingsUsed(settings.files, settings.sha256),
            remarks=_remarks(settings, elevation),
            written=_written(target, written, drafted),
        )
        return document, image

    def _draw(self, doc: Document, picture: Path | None) -> tuple[DraftingReport, bytes]:
        style = drafting_style(self.settings, self.reading.elevation, self.book)
        plans = [outcome.plan for outcome in self.outcomes]
        findings = [finding for outcome in self.outcomes for finding in outcome.findings]
        drafted = draw_plans(doc, plans, findings, style)
        return drafted, b"" if picture is None else _picture_maker(picture)(doc, picture)


def _remarks(settings: Settings, elevation: Elevation) -> list[str]:
    """Say which tags of the settings fit nothing; a project's settings may serve several drawings."""
    tags = unmatched_tags(settings, elevation.walls)
    if not tags:
        return []
    return [f"Not in this drawing, but named by the settings: {', '.join(tags)}."]


def _written(target: Path, written: WriteReport, drafted: DraftingReport) -> WrittenEntry:
    return WrittenEntry(
        path=str(target),
        method=written.method,
        reason=written.reason,
        changes=list(written.changes),
        notes=list(written.notes),
        entities=written.added_entities,
        pieces=dict(sorted(drafted.entities.items())),
        remarks=list(drafted.remarks),
    )
