"""Check one drawing: read the joints that are drawn, judge them, mark what is wrong, report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from perpend.checks import CheckReport, check_wall, joints_from_drawn, with_joints_between
from perpend.cures.apply import DrawnWall
from perpend.cures.solve import nearest_for, solve
from perpend.cures.waived import is_open
from perpend.decisions.accepted import Accepted, accepted_for
from perpend.decisions.revision import known_joints
from perpend.drawing import Document, DraftingReport
from perpend.drawing.review.draw_review import Review, draw_review
from perpend.drawing.review.existing_plate import StandingPlate, outdated, standing_plate
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.own_plate import read_own_plate
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.findings import Finding, reweighed
from perpend.jobs.annotate import at_scale_of, drafting_style
from perpend.jobs.output_places import places_of
from perpend.jobs.read_revision import read_unchecked, without_old_plate
from perpend.jobs.request import DrawingOutcome, Request
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.side_outputs import picture_maker, write_sides, written_entry
from perpend.jobs.staging import staged
from perpend.jobs.unused_settings import note_unused_settings
from perpend.jobs.walls_round_corners import bases_to_judge, corners_of
from perpend.layout.nearest_layout import NearestLayout
from perpend.model import Elevation, Joint, WallPlan
from perpend.notices import Notices, notes
from perpend.reading import Reading, ReadingOptions
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.report.review_outcome import outcome_sentences
from perpend.rulebook import RuleBook, WallBasis
from perpend.settings import Settings, book_of, load_settings, resolve_wall


def check(request: Request) -> DrawingOutcome:
    """Judge the joints that are drawn in an elevation and write a new drawing with a mark at every finding.

    Joints of an earlier ``annotate`` are judged where they are now, moved by hand or not; marks of an
    earlier check are replaced.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write;
            nothing is written then.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    places = places_of(request, "checked")
    drawing, picture = request.drawing, request.picture
    if picture is not None:
        picture_maker(picture)
    project = load_settings(request.settings, drawing)
    book = book_of(project)
    accepted = accepted_for(drawing, request.waivers, request.today)
    options = reading_options(project, request.units_of_drawing, request.layout)
    reading = read_with_joints(drawing, options, project.layer_prefix, whole=picture is not None)
    outcomes = judge(reading.elevation, project, book, accepted, propose=request.propose)
    target, plate = places["-o"].path, standing_plate(reading.source.doc)
    overlay = _Overlay(reading, outcomes, project, book, accepted, plate, target)
    plans = tuple(outcome.plan for outcome in outcomes)
    with staged({option: place.path for option, place in places.items()}) as where:
        document, image = overlay.write(where["-o"], picture)
        write_sides(where, document, plans, image)
    return DrawingOutcome(document, target, plans)


def read_with_joints(drawing: Path, options: ReadingOptions, prefix: str, *, whole: bool = False) -> Reading:
    """Read a drawing with every joint in it, ours included, but without the marks of an earlier check.

    Args:
        drawing: the DXF file.
        options: what to look for.
        prefix: what the names of our layers begin with.
        whole: load what nobody looks for as well.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing.
    """
    reading = read_unchecked(drawing, options, whole=whole)
    if APPLICATION.encode("ascii") in reading.source.data:
        plate = read_own_plate(reading.source.doc, str(drawing))
        plate, reading = without_old_plate(plate, reading, options, prefix)
        walls = known_joints(plate, reading.elevation.walls)
        reading = Reading(replace(reading.elevation, walls=walls), reading.source)
    return reading


def judge(
    elevation: Elevation,
    settings: Settings,
    book: RuleBook,
    accepted: Accepted,
    *,
    propose: bool = False,
) -> list[WallOutcome]:
    """Judge the drawn joints of every wall.

    Args:
        elevation: what was read.
        settings: the project's settings.
        book: the rule book.
        accepted: the waivers of the drawing.
        propose: find the nearest layout of every wall with findings, unless what is required was waived.

    Raises:
        InputError: a joint is no line that runs up the wall, or a setting asks for what can't be.
    """
    outcomes = []
    walls = with_joints_between(elevation.walls)
    bases = [resolve_wall(settings, book, wall, metric=elevation.metric) for wall in walls]
    every = [joints_from_drawn(basis) for basis in bases]
    for basis, joints in zip(bases_to_judge(settings, walls, bases, every), every, strict=True):
        drawn = DrawnWall.of(basis, joints, check_wall(basis, joints))
        findings = accepted.applied(reweighed(drawn.report.findings, settings.severities))
        solution = solve(drawn, findings)
        asked = propose and is_open(findings)
        nearest = solution.nearest or nearest_for(drawn, findings) if asked else None
        plan = plan_as_drawn(basis, drawn.joints, drawn.report)
        outcomes.append(WallOutcome(basis, plan, solution.findings, drawn.report.runs, nearest))
    return outcomes


def plan_as_drawn(basis: WallBasis, joints: Sequence[Joint], report: CheckReport) -> WallPlan:
    """Return a wall with the joints that stand in it, measured by the judge."""
    return replace(basis.bare_plan(), joints=tuple(joints), panels=report.panels)


@dataclass(frozen=True, slots=True)
class _Overlay:
    """All that a review draws and tells."""

    reading: Reading
    outcomes: Sequence[WallOutcome]
    settings: Settings
    book: RuleBook
    accepted: Accepted
    plate: StandingPlate
    target: Path

    def loose(self) -> tuple[Finding, ...]:
        """Say what is wrong with the waivers."""
        every = [finding for outcome in self.outcomes for finding in outcome.findings]
        return reweighed(self.accepted.faults(every), self.settings.severities)

    def write(self, where: Path, picture: Path | None) -> tuple[Results, bytes]:
        """Draw the overlay and write it; return what to tell of it, and its picture."""
        document = build_results(
            self.reading.elevation,
            self.outcomes,
            self.book,
            command="check",
            findings=self.loose(),
            corners=corners_of(self.settings, self.reading.elevation.walls, self.outcomes),
            settings=SettingsUsed(self.settings.files, self.settings.sha256),
            remarks=self._remarks(),
            numbered_after=self.plate.numbers,
        )
        written, (drafted, image) = write_drawing(
            self.reading.source,
            where,
            lambda doc: self._draw(doc, document, picture),
            app_id=REVIEW_APPLICATION,
        )
        entry = written_entry(self.target, written, drafted, self.settings.layer_prefix)
        return replace(document, written=entry), image

    def _cures(self) -> list[tuple[str, NearestLayout]]:
        return [(o.plan.wall.tag, o.nearest) for o in self.outcomes if o.nearest is not None]

    def _doubts(self) -> list[str]:
        walls = self.reading.elevation.walls
        return [f"{wall.tag}: {doubt.words}" for wall in walls for doubt in wall.doubts]

    def _remarks(self) -> Notices:
        remarks = Notices()
        note_unused_settings(self.settings, self.reading.elevation.walls, remarks)
        remarks.add(notes("waivers-of-another-drawing", filter(None, [self.accepted.remark])))
        remarks.add(notes("no-layout-complies", self._cure_remarks()))
        remarks.add(notes("plate-outdated", self._plate_remarks()))
        return remarks

    def _cure_remarks(self) -> list[str]:
        """Say where even the nearest layout breaks a rule."""
        return [
            f"{tag}: no layout satisfies every rule; the proposed one breaks the least."
            for tag, nearest in self._cures()
            if not nearest.satisfied
        ]

    def _plate_remarks(self) -> list[str]:
        """Say which walls have a plate that was drawn for other joints."""
        return [
            f"{tag}: the plate on the sheet was drawn for other joints: its tags, dimensions and schedule no "
            "longer fit. perpend annotate draws the plate anew and holds joints that were moved by hand."
            for tag in outdated(self.plate, [o.plan for o in self.outcomes])
        ]

    def _draw(self, doc: Document, document: Results, picture: Path | None) -> tuple[DraftingReport, bytes]:
        look = drafting_style(self.settings, self.reading.elevation, self.book)
        style = replace(look, app_id=REVIEW_APPLICATION, content=replace(look.content, plots_findings=True))
        style = at_scale_of(doc, style, self.settings, [o.plan for o in self.outcomes])
        findings = [*(f for o in self.outcomes for f in o.findings), *self.loose()]
        told = [*self._doubts(), *self._plate_remarks(), *outcome_sentences(document)]
        review = Review(findings, self._cures(), told, self.plate.numbers)
        drafted = draw_review(doc, [o.plan for o in self.outcomes], review, style)
        return drafted, b"" if picture is None else picture_maker(picture)(doc, picture, style.layout)
