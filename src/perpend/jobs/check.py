"""Check one drawing: read the joints that are drawn, judge them, mark what is wrong, report."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from perpend.checks import CheckReport, check_wall, joints_from_drawn, with_joints_between
from perpend.cures.apply import DrawnWall
from perpend.cures.solve import nearest_for, solve
from perpend.cures.waived import is_open
from perpend.decisions.accepted import Accepted, accepted_for
from perpend.drawing import Document, DraftingReport
from perpend.drawing.review.draw_review import Review, draw_review
from perpend.drawing.review.existing_plate import StandingPlate, outdated, standing_plate
from perpend.dxf.insert.drawing_writer import open_without_ours, write_drawing
from perpend.dxf.xdata import REVIEW_APPLICATION
from perpend.findings import Finding, reweighed
from perpend.jobs.annotate import drafting_style
from perpend.jobs.output_places import check_places, output_path, refuse_twins
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.side_outputs import picture_maker, side_files, written_entry
from perpend.jobs.unused_settings import unheeded
from perpend.layout.nearest_layout import NearestLayout
from perpend.model import Elevation, Joint, WallPlan
from perpend.reading import Reading, ReadingOptions, read_loaded
from perpend.report import Results, SettingsUsed, WallOutcome, build_results
from perpend.report.csv_tables import CSV_ENCODING, findings_csv
from perpend.report.review_outcome import outcome_sentences
from perpend.report.sarif import sarif_text
from perpend.report.sheet import write_sheet
from perpend.rulebook import RuleBook, WallBasis, load_rulebook
from perpend.settings import Settings, load_settings, resolve_wall
from perpend.slotted import dataclass


@dataclass(frozen=True, slots=True)
class CheckOutcome:
    """What `check` did.

    Attributes:
        results: the results document.
        output: the new drawing.
        plans: the walls with the joints that were read, in the order of ``results.walls``.
    """

    results: Results
    output: Path
    plans: tuple[WallPlan, ...]


def check(
    drawing: Path,
    *,
    output: Path | None = None,
    settings: Path | None = None,
    results: Path | None = None,
    sheet: Path | None = None,
    picture: Path | None = None,
    sarif: Path | None = None,
    csv: Path | None = None,
    propose: bool = False,
    waivers: Path | None = None,
    today: date | None = None,
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> CheckOutcome:
    """Judge the joints that stand in a drawing and write a new drawing with a mark at every finding.

    Joints of an earlier ``annotate`` are judged as they stand, moved by hand or not; marks of an
    earlier check are replaced.

    Args:
        drawing: the DXF file; it is never changed.
        output: the new drawing; None puts ``NAME-checked.dxf`` beside the old one.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        results: where the results document goes, or None.
        sheet: where the review sheet goes (HTML), or None.
        picture: where a picture of the new drawing goes (``.svg`` or ``.png``), or None.
        sarif: where the findings go as SARIF 2.1.0, or None.
        csv: where the table of findings goes as comma-separated values, or None.
        propose: find for every wall with findings the nearest layout that satisfies the rules, and draw it.
        waivers: a file of waivers; None looks for ``NAME.waivers.toml`` beside the drawing.
        today: the day on which waivers must count; None is the day of the run.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        overwrite: replace whatever stands where the new drawing goes; without it only what perpend wrote
            and nobody has touched since is replaced.

    Raises:
        InputError: anything wrong with the drawing, the settings, the waivers or the places to write;
            nothing is written then.
        InternalError: the new drawing did not read back whole; nothing is written then.
    """
    target = output_path(drawing, output, "checked", overwrite=overwrite)
    extras = {
        "--results": results,
        "--sheet": sheet,
        "--picture": picture,
        "--sarif": sarif,
        "--csv": csv,
    }
    check_places(drawing, extras)
    refuse_twins(drawing=target, results=results, sheet=sheet, picture=picture, sarif=sarif, table=csv)
    if picture is not None:
        picture_maker(picture)
    project = load_settings(settings, drawing)
    book = load_rulebook(project.rulebook)
    accepted = accepted_for(drawing, waivers, today)
    reading = read_with_joints(drawing, reading_options(project, units_of_drawing, layout))
    outcomes = judge(reading.elevation, project, book, accepted, propose=propose)
    overlay = _Overlay(reading, outcomes, project, book, accepted, standing_plate(reading.source.doc))
    plans = tuple(outcome.plan for outcome in outcomes)
    with side_files(target, extras) as files:
        document, image = overlay.write(target, picture)
        texts = {"--results": Results.to_json, "--sarif": sarif_text, "--csv": findings_csv}
        for option, text_of in texts.items():
            if option in files:
                encoding = CSV_ENCODING if option == "--csv" else "utf-8"
                files[option].write_text(text_of(document), encoding=encoding, newline="")
        if sheet is not None:
            write_sheet(files["--sheet"], document, plans)
        if picture is not None:
            files["--picture"].write_bytes(image)
    return CheckOutcome(document, target, plans)


def read_with_joints(drawing: Path, options: ReadingOptions) -> Reading:
    """Read a drawing with every joint in it, ours included, but without the marks of an earlier check.

    Raises:
        InputError: the file can't be read, or the drawing can't be understood without guessing.
    """
    opened = open_without_ours(drawing, REVIEW_APPLICATION)
    reading = read_loaded(opened.loaded, options)
    if not opened.removed:
        return reading
    replaced = f"The marks of an earlier check ({opened.removed} records) were taken out and made anew."
    elevation = replace(
        reading.elevation,
        sha256=hashlib.sha256(drawing.read_bytes()).hexdigest(),
        repaired=(*reading.elevation.repaired, *opened.notes, replaced),
    )
    return Reading(elevation, reading.source)


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
    for wall in with_joints_between(elevation.walls):
        basis = resolve_wall(settings, book, wall, metric=elevation.metric)
        joints = joints_from_drawn(basis)
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
    return WallPlan(
        wall=basis.wall,
        limits=basis.limits(0.0, basis.wall.length_in),
        left_end=basis.left_end,
        right_end=basis.right_end,
        openings=basis.openings,
        joints=tuple(joints),
        panels=report.panels,
        bars=(),
        reinforcement=basis.reinforcement,
        joint_type=basis.joint_type,
        joint_type_name=basis.joint_type_name,
        joint_type_source=basis.joint_type_source,
        module_in=basis.module_in,
        notes=basis.notes,
    )


@dataclass(frozen=True, slots=True)
class _Overlay:
    """All that a review draws and tells."""

    reading: Reading
    outcomes: Sequence[WallOutcome]
    settings: Settings
    book: RuleBook
    accepted: Accepted
    plate: StandingPlate

    def loose(self) -> tuple[Finding, ...]:
        """Say what is wrong with the waivers."""
        every = [finding for outcome in self.outcomes for finding in outcome.findings]
        return reweighed(self.accepted.faults(every), self.settings.severities)

    def write(self, target: Path, picture: Path | None) -> tuple[Results, bytes]:
        """Draw the overlay and write it; return what to tell of it, and its picture."""
        document = build_results(
            self.reading.elevation,
            self.outcomes,
            self.book,
            command="check",
            findings=self.loose(),
            settings=SettingsUsed(self.settings.files, self.settings.sha256),
            remarks=[
                *unheeded(self.settings, self.reading.elevation.walls),
                *filter(None, [self.accepted.remark]),
                *self._cure_remarks(),
                *self._plate_remarks(),
            ],
            numbered_after=self.plate.numbers,
        )
        written, (drafted, image) = write_drawing(
            self.reading.source,
            target,
            lambda doc: self._draw(doc, document, picture),
            app_id=REVIEW_APPLICATION,
        )
        entry = written_entry(target, written, drafted, self.settings.layer_prefix)
        return replace(document, written=entry), image

    def _cures(self) -> list[tuple[str, NearestLayout]]:
        return [(o.plan.wall.tag, o.nearest) for o in self.outcomes if o.nearest is not None]

    def _doubts(self) -> list[str]:
        walls = self.reading.elevation.walls
        return [f"{wall.tag}: {doubt}" for wall in walls for doubt in wall.doubts]

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
            "longer fit. perpend annotate draws joints and plate anew; to keep the joints as they stand, "
            "correct the plate by hand."
            for tag in outdated(self.plate, [o.plan for o in self.outcomes])
        ]

    def _draw(self, doc: Document, document: Results, picture: Path | None) -> tuple[DraftingReport, bytes]:
        look = drafting_style(self.settings, self.reading.elevation, self.book)
        style = replace(look, app_id=REVIEW_APPLICATION)
        findings = [*(f for o in self.outcomes for f in o.findings), *self.loose()]
        told = [*self._doubts(), *self._plate_remarks(), *outcome_sentences(document)]
        review = Review(findings, self._cures(), told, self.plate.numbers)
        drafted = draw_review(doc, [o.plan for o in self.outcomes], review, style)
        return drafted, b"" if picture is None else picture_maker(picture)(doc, picture)
