"""Annotate one drawing: read, lay out, draw, write, report."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from perpend.decisions.accepted import Accepted, accepted_for
from perpend.drawing import Document, DraftingReport, DraftingStyle, draw_plans
from perpend.dxf.insert.drawing_writer import open_without_ours, write_drawing
from perpend.dxf.xdata import REVIEW_APPLICATION
from perpend.errors import InputError
from perpend.findings import Finding, Severity, reweighed
from perpend.jobs.judge_plan import judged_plan
from perpend.jobs.output_places import places_of
from perpend.jobs.request import DrawingOutcome, Request
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.side_outputs import picture_maker, write_sides, written_entry
from perpend.jobs.staging import staged
from perpend.jobs.unused_settings import note_unused_settings
from perpend.layout import plan_wall
from perpend.model import Elevation, WallPlan
from perpend.notices import Notices, notes
from perpend.reading import Reading, ReadingOptions, load_drawing, read_loaded
from perpend.reading.gather.load_by_role import load_selected
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.rulebook import RuleBook
from perpend.settings import Settings, book_of, load_settings, resolve_wall
from perpend.version import __version__


def annotate(request: Request) -> DrawingOutcome:
    """Read an elevation and write a new drawing that carries its control joints.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write;
            nothing is written then.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    places = places_of(request, "annotated")
    drawing, picture = request.drawing, request.outputs.picture
    if picture is not None:
        picture_maker(picture)
    project = load_settings(request.settings, drawing)
    book = book_of(project)
    accepted = accepted_for(drawing, request.waivers, request.today)
    options = reading_options(project, request.units_of_drawing, request.layout)
    reading = read_afresh(drawing, options, whole=picture is not None)
    outcomes = lay_out(reading.elevation, project, book, accepted)
    target = places["-o"].path
    plate = _Plate(reading, outcomes, project, book, accepted, target, details=request.details)
    plans = tuple(outcome.plan for outcome in outcomes)
    with staged({option: place.path for option, place in places.items()}) as where:
        document, image = plate.write(where["-o"], picture)
        write_sides(where, document, plans, image)
    return DrawingOutcome(document, target, plans)


def read_afresh(drawing: Path, options: ReadingOptions, *, whole: bool = False) -> Reading:
    """Read a drawing as it was before an earlier run of ours drew in it; marks of a check go too.

    Args:
        drawing: the DXF file.
        options: what to look for.
        whole: load what nobody looks for as well; a drawing that is refused is looked at whole in any case.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing.
    """
    most = options.budget.megabytes
    loaded = load_drawing(drawing, most) if whole else load_selected(drawing, options)
    if loaded.selected:
        with contextlib.suppress(InputError):
            return read_loaded(loaded, options)
        loaded = load_drawing(drawing, most)
    checked = open_without_ours(loaded, REVIEW_APPLICATION)
    opened = open_without_ours(checked.loaded)
    reading = read_loaded(opened.loaded, options)
    removed = checked.removed + opened.removed
    if not removed:
        return reading
    replaced = f"What an earlier run drew ({removed} records) was taken out and drawn anew."
    said = [*checked.notes, *opened.notes, replaced]
    elevation = replace(
        reading.elevation,
        sha256=hashlib.sha256(drawing.read_bytes()).hexdigest(),
        notices=(*reading.elevation.notices, *notes("earlier-run-replaced", said)),
    )
    return Reading(elevation, reading.source)


def lay_out(
    elevation: Elevation, settings: Settings, book: RuleBook, accepted: Accepted | None = None
) -> list[WallOutcome]:
    """Place the joints of every wall.

    Raises:
        InputError: a setting is looser than the rule book, or asks for something it does not have.
    """
    outcomes = []
    for wall in elevation.walls:
        basis = resolve_wall(settings, book, wall, metric=elevation.metric)
        plan = plan_wall(basis)
        judged = judged_plan(basis, plan, settings.severities, accepted or Accepted())
        outcomes.append(WallOutcome(basis, plan, judged.findings, judged.runs))
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
        text_style=settings.text.style,
        text_font=settings.text.font,
    )


@dataclass(frozen=True, slots=True)
class _Plate:
    """All that goes on one plate."""

    reading: Reading
    outcomes: Sequence[WallOutcome]
    settings: Settings
    book: RuleBook
    accepted: Accepted
    target: Path
    details: bool = False

    def write(self, where: Path, picture: Path | None) -> tuple[Results, bytes]:
        """Draw the plate and write it; return what to tell of it, and its picture."""
        elevation, settings = self.reading.elevation, self.settings
        written, (drafted, image) = write_drawing(
            self.reading.source, where, lambda doc: self._draw(doc, picture)
        )
        remarks = Notices()
        note_unused_settings(settings, elevation.walls, remarks)
        remarks.add(notes("waivers-of-another-drawing", filter(None, [self.accepted.remark])))
        document = build_results(
            elevation,
            self.outcomes,
            self.book,
            settings=SettingsUsed(settings.files, settings.sha256),
            findings=self._expired(),
            remarks=remarks,
            written=written_entry(self.target, written, drafted, settings.layer_prefix),
        )
        return document, image

    def _expired(self) -> tuple[Finding, ...]:
        """Report the waivers that have run out; those that fit nothing here may fit what `check` finds."""
        faults = self.accepted.faults(f for outcome in self.outcomes for f in outcome.findings)
        return reweighed((f for f in faults if f.code == "waiver-expired"), self.settings.severities)

    def _draw(self, doc: Document, picture: Path | None) -> tuple[DraftingReport, bytes]:
        style = drafting_style(self.settings, self.reading.elevation, self.book)
        plans = [_with_boundary_notes(outcome) for outcome in self.outcomes]
        findings = [f for o in self.outcomes for f in o.findings if f.severity is Severity.REQUIRED]
        drafted = draw_plans(doc, plans, findings, style)
        if self.details:
            from perpend.drawing.details.detail_sheet import draw_details_below

            draw_details_below(doc, self.book, self.settings, style)
        return drafted, b"" if picture is None else picture_maker(picture)(doc, picture)


def _with_boundary_notes(outcome: WallOutcome) -> WallPlan:
    """Put what the designer has to confirm into the notes: on a plate to be plotted advice gets no mark."""
    told = [f for f in outcome.findings if f.code == "width-on-boundary"]
    notes = (f"{f.message}{f' [{f.source.cite()}]' if f.source else ''}" for f in told)
    return replace(outcome.plan, notes=(*outcome.plan.notes, *notes))
