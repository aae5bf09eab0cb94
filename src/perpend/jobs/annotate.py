"""Annotate one drawing: read, lay out, draw, write, report."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from perpend.decisions.accepted import Accepted, accepted_for, loose_waivers, waived_words
from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import Issue, lines_of, one_line
from perpend.decisions.moved_labels import as_numbered, label_decisions
from perpend.decisions.record_note import note_lines
from perpend.decisions.revision import Revision
from perpend.drawing import (
    Content,
    Document,
    DraftingReport,
    DraftingStyle,
    Revised,
    at_sheet_scale,
    draw_plans,
)
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.own_plate import RecordCarriers
from perpend.findings import Finding, Severity, reweighed
from perpend.jobs.judge_plan import judged_plan
from perpend.jobs.output_places import places_of
from perpend.jobs.read_revision import ReadRevision, read_revision
from perpend.jobs.request import DrawingOutcome, Request
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.side_outputs import picture_maker, write_sides, written_entry
from perpend.jobs.staging import staged, write_text
from perpend.jobs.unused_settings import note_unused_settings
from perpend.jobs.walls_round_corners import bases_to_judge, corners_of, plan_walls
from perpend.model import Elevation, WallPlan
from perpend.notices import Notices, notes
from perpend.reading import Reading
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.rulebook import RuleBook
from perpend.settings import Settings, book_of, load_settings
from perpend.settings.detail_references import detail_numbers, joint_label
from perpend.units import system_of
from perpend.version import __version__


def annotate(request: Request) -> DrawingOutcome:
    """Read an elevation and write a new drawing that carries its control joints.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write;
            nothing is written then.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    places = places_of(request, "annotated")
    drawing, picture = request.drawing, request.picture
    if picture is not None:
        picture_maker(picture)
    project = load_settings(request.settings, drawing)
    book = book_of(project)
    accepted = accepted_for(drawing, request.waivers, request.today)
    options = reading_options(project, request.units_of_drawing, request.layout)
    read = read_revision(drawing, options, project, request, whole=picture is not None)
    outcomes = lay_out(read.reading.elevation, project, book, accepted, read.revision)
    target = places["-o"].path
    plate = _Plate(read, outcomes, project, book, accepted, target, request)
    plans = tuple(outcome.plan for outcome in outcomes)
    with staged({option: place.path for option, place in places.items()}) as where:
        document, drafted, image = plate.write(where["-o"], picture)
        write_sides(where, document, plans, image)
        if "--schedule" in where:
            write_text(where["--schedule"], drafted.schedule, table=True)
    return DrawingOutcome(document, target, plans)


def lay_out(
    elevation: Elevation,
    settings: Settings,
    book: RuleBook,
    accepted: Accepted | None = None,
    revision: Revision | None = None,
) -> list[WallOutcome]:
    """Place the joints of every wall.

    Args:
        elevation: what was read, with what was decided.
        settings: the project's settings.
        book: the rule book.
        accepted: the waivers of the drawing.
        revision: gives the joints their numbers; None numbers them from left to right.

    Raises:
        InputError: a setting is looser than the rule book, or asks for something it does not have.
    """
    bases, plans = plan_walls(elevation, settings, book, revision.laid_out if revision else None)
    bases = bases_to_judge(settings, elevation.walls, bases, [plan.joints for plan in plans])
    outcomes = []
    for basis, plan in zip(bases, plans, strict=True):
        judged = judged_plan(basis, plan, settings.severities, accepted or Accepted())
        outcomes.append(WallOutcome(basis, plan, judged.findings, judged.runs))
    return outcomes


def drafting_style(
    settings: Settings, elevation: Elevation, book: RuleBook, *, details: bool = False
) -> DraftingStyle:
    """Turn settings and drawing into what the plate looks like.

    Args:
        settings: the project's settings.
        elevation: what was read.
        book: the rule book.
        details: our typical details are on the drawing, so that it may refer to them by our numbers.
    """
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
        content=_content(settings, book, details=details),
        layout=elevation.layout,
    )


def at_scale_of(
    doc: Document, style: DraftingStyle, settings: Settings, plans: Sequence[WallPlan]
) -> DraftingStyle:
    """Take the plot scale of the drawing where the settings name none."""
    if "plot_scale" in settings.text.model_fields_set:
        return style
    return at_sheet_scale(doc, [plan.wall for plan in plans], style)


_SHOWN = (
    *("steel", "lintels", "dimensions", "schedule", "notes", "legend", "sources"),
    *("more_notes", "lists_at", "lists_in"),
)
"""What the settings of the text and the content of a sheet have under one name."""


def _content(settings: Settings, book: RuleBook, *, details: bool) -> Content:
    """Turn settings into what goes on the sheet; it refers to details that the project or this sheet has."""
    text, own = settings.text, settings.details
    numbers = detail_numbers(book, own)
    if not details and not own.sheet:
        numbers = {key: number for key, number in numbers.items() if number in own.model_dump().values()}
    return Content(
        label=joint_label(settings, book),
        joint_name=book.joint,
        material=book.masonry,
        engineer=book.engineer,
        engineer_short=book.engineer_short,
        feet_beside=not book.metric,
        methods_called=book.methods_called,
        cap_called=book.cap_called,
        several_methods=len(book.methods) > 1,
        several_units=book.tells_units_apart,
        **{name: getattr(text, name) for name in _SHOWN},
        plots_findings=text.plot_findings,
        own_notes={key: said for key, said in text.note.model_dump().items() if said is not None},
        details=numbers,
        from_grid=text.dimensions_from_grid,
    )


@dataclass(frozen=True, slots=True)
class _Plate:
    """All that goes on one plate."""

    read: ReadRevision
    outcomes: Sequence[WallOutcome]
    settings: Settings
    book: RuleBook
    accepted: Accepted
    target: Path
    request: Request

    @property
    def reading(self) -> Reading:
        """What was read."""
        return self.read.reading

    def write(self, where: Path, picture: Path | None) -> tuple[Results, DraftingReport, bytes]:
        """Draw the plate and write it; return the results, what was drawn, and its picture."""
        elevation, settings = self.reading.elevation, self.settings
        written, (drafted, image) = write_drawing(
            self.reading.source, where, lambda doc: self._draw(doc, picture)
        )
        remarks = Notices()
        decisions = [*self._decisions(), *label_decisions(drafted.by_hand)]
        remarks.add(d.notice(self.book.label, system_of(metric=elevation.metric)) for d in decisions)
        note_unused_settings(settings, elevation.walls, remarks)
        remarks.add(notes("waivers-of-another-drawing", filter(None, [self.accepted.remark])))
        document = build_results(
            elevation,
            self.outcomes,
            self.book,
            settings=SettingsUsed(settings.files, settings.sha256),
            findings=self._expired(),
            corners=corners_of(settings, elevation.walls, self.outcomes),
            remarks=remarks,
            decisions=decisions,
            issues=self.read.revision.issues_after(self._issue()),
            written=written_entry(self.target, written, drafted, settings.layer_prefix),
        )
        return document, drafted, image

    def _expired(self) -> tuple[Finding, ...]:
        """Report the waivers that have run out; those that fit nothing here may fit what `check` finds."""
        faults = self.accepted.faults(f for outcome in self.outcomes for f in outcome.findings)
        return reweighed((f for f in faults if f.code == "waiver-expired"), self.settings.severities)

    def _draw(self, doc: Document, picture: Path | None) -> tuple[DraftingReport, bytes]:
        style = drafting_style(self.settings, self.reading.elevation, self.book, details=self.request.details)
        plans = [outcome.plan for outcome in self.outcomes]
        doubts = (f"{wall.tag}: {d.words}" for wall in self.reading.elevation.walls for d in wall.doubts)
        style = replace(at_scale_of(doc, style, self.settings, plans), doubts=tuple(doubts))
        every = (f for outcome in self.outcomes for f in outcome.findings)
        findings = [f for f in every if f.severity is Severity.REQUIRED]
        carriers = RecordCarriers(doc)
        revision = self.read.revision
        noted = self.settings.text.record_note
        note = note_lines(revision.record_after(plans, self._issue())) if noted else ()
        revised = Revised(as_numbered(revision.labels, plans), note)
        drafted = draw_plans(doc, plans, findings, style, revised)
        lines, layers = self._record(drafted)
        carriers.write(lines, layers)
        if self.request.details:
            from perpend.drawing.details.detail_sheet import draw_details_below

            draw_details_below(doc, self.book, self.settings, style)
        return drafted, b"" if picture is None else picture_maker(picture)(doc, picture, style.layout)

    def _record(self, drafted: DraftingReport) -> tuple[list[str], list[str]]:
        """Return the record, and our layers, the one for joints first."""
        prefix = re.escape(self.settings.layer_prefix)
        layers = sorted(drafted.layers, key=lambda name: re.fullmatch(rf"{prefix}(-\d+)?", name) is None)
        home = next((name for name in layers if re.fullmatch(rf"{prefix}(-\d+)?", name)), "")
        plans = [outcome.plan for outcome in self.outcomes]
        now = {f.fingerprint: waived_words(f) for o in self.outcomes for f in o.findings if f.waived}
        asked = {waiver.fingerprint for waiver in self.accepted.waivers}
        before = {name: what for name, what in self.read.revision.record.waived if name in asked}
        waived = sorted((before | now).items())
        record = self.read.revision.record_after(plans, self._issue(), home, waived)
        return lines_of(record), layers

    def _issue(self) -> Issue | None:
        name = one_line(self.request.issue)
        day = self.request.today or date.today()
        count = sum(len(outcome.plan.joints) for outcome in self.outcomes)
        return Issue(name, day.isoformat(), count) if name else None

    def _decisions(self) -> list[Decision]:
        plans = [outcome.plan for outcome in self.outcomes]
        findings = [f for outcome in self.outcomes for f in outcome.findings]
        loose = loose_waivers(self.read.revision.record.waived, self.accepted, findings)
        return [*self.read.revision.told(plans), *loose]
