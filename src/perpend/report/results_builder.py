"""From what was read and decided to the results document."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from perpend.checks import RuleRun
from perpend.cures.words import sentence_of
from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import Issue
from perpend.findings import Finding
from perpend.model import (
    Elevation,
    Joint,
    Lintel,
    MeasuredCorner,
    OpeningRule,
    Panel,
    Path,
    Source,
    Wall,
    WallPlan,
)
from perpend.notices import Notice
from perpend.report.change_entries import change_entries, proposed_entries
from perpend.report.corner_entries import corner_entries
from perpend.report.decision_entries import decision_entries, issue_entries
from perpend.report.document_parts import Spot
from perpend.report.notice_entries import ignored_entries, notice_entries
from perpend.report.results_document import (
    ChecksEntry,
    DrawingEntry,
    FindingEntry,
    FoundEntry,
    JointEntry,
    LintelEntry,
    NotTestedEntry,
    OpeningEntry,
    PanelEntry,
    Results,
    RuleRunEntry,
    SlipPlaneEntry,
    WaivedEntry,
    WallEntry,
    WrittenEntry,
)
from perpend.report.rulebook_entries import limits_entry, reinforcement_entry, rulebook_entry, source_entry
from perpend.report.search_entries import CostEntry, SearchEntry
from perpend.rulebook.rule_book import RuleBook
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import system_of
from perpend.version import __version__

if TYPE_CHECKING:
    from perpend.layout.nearest_layout import NearestLayout


@dataclass(frozen=True, slots=True)
class WallOutcome:
    """One wall as it came out.

    Attributes:
        basis: what bound it.
        plan: what was decided.
        findings: what is wrong.
        runs: how much every rule tested.
        nearest: the nearest layout that satisfies the rules, where one was asked for.
    """

    basis: WallBasis
    plan: WallPlan
    findings: tuple[Finding, ...]
    runs: tuple[RuleRun, ...] = ()
    nearest: NearestLayout | None = None


@dataclass(frozen=True, slots=True)
class SettingsUsed:
    """The settings in force.

    Attributes:
        files: where they came from, the file that counts most last.
        sha256: of what is in force, defaults included.
    """

    files: tuple[str, ...] = ()
    sha256: str = ""


_NO_SETTINGS: Final = SettingsUsed()


def build_results(
    elevation: Elevation,
    outcomes: Sequence[WallOutcome],
    book: RuleBook,
    *,
    command: Literal["annotate", "check"] = "annotate",
    findings: Sequence[Finding] = (),
    corners: Sequence[MeasuredCorner] = (),
    settings: SettingsUsed = _NO_SETTINGS,
    remarks: Iterable[Notice] = (),
    decisions: Iterable[Decision] = (),
    issues: Iterable[Issue] = (),
    numbered_after: tuple[int, int] = (0, 0),
    written: WrittenEntry | None = None,
) -> Results:
    """Gather everything one run found and decided.

    Args:
        elevation: what was read.
        outcomes: the walls, in the order of the elevation.
        book: the rule book used.
        command: what was run.
        findings: findings that belong to no single wall.
        corners: corners at which two drawn walls meet.
        settings: the settings in force.
        remarks: what is worth knowing about the run.
        decisions: what people decided about the joints.
        issues: of the drawing.
        numbered_after: V and A numbers of the drawing's plate.
        written: how the new drawing was written, or None when none was.
    """
    remarks = list(remarks)
    return Results(
        perpend_version=__version__,
        command=command,
        drawing=drawing_entry(elevation, feet_beside=not book.metric),
        settings_files=list(settings.files),
        settings_sha256=settings.sha256,
        rulebook=rulebook_entry(book),
        walls=[_wall(outcome, book) for outcome in outcomes],
        corners=corner_entries(corners),
        findings=[
            finding_entry(f, metric=elevation.metric, label=book.label, feet=not book.metric)
            for f in findings
        ],
        found=_found(elevation.walls),
        ignored=ignored_entries(elevation),
        repaired=list(elevation.repaired),
        remarks=[notice.words for notice in remarks],
        notices=notice_entries(elevation, remarks),
        decisions=decision_entries(decisions, book.label, system_of(metric=elevation.metric)),
        issues=issue_entries(issues),
        numbered_after=numbered_after,
        checks=_checks(outcomes),
        unverified=[source_entry(s) for s in _unverified(outcomes)],
        cautions=list(book.cautions),
        written=written,
    )


def drawing_entry(elevation: Elevation, *, feet_beside: bool = True) -> DrawingEntry:
    """Name the drawing that was read."""
    return DrawingEntry(
        path=elevation.path,
        sha256=elevation.sha256,
        dxf_version=elevation.dxf_version,
        units=elevation.units,
        units_why=elevation.units_why,
        inches_per_unit=elevation.inches_per_unit,
        metric=elevation.metric,
        feet_beside=feet_beside,
    )


def _wall(outcome: WallOutcome, book: RuleBook) -> WallEntry:
    plan, basis = outcome.plan, outcome.basis
    wall, cost = plan.wall, plan.cost
    scale = wall.frame.inches_per_unit
    return WallEntry(
        tag=wall.tag,
        handle=wall.handle,
        x0_in=wall.frame.origin[0] * scale,
        y0_in=wall.frame.origin[1] * scale,
        angle_deg=math.degrees(wall.frame.angle_rad),
        length_in=wall.length_in,
        height_in=wall.height_in,
        greatest_height_in=wall.greatest_height_in,
        top=_path(wall.top.points),
        bottom=_path(wall.bottom.points),
        left_end=plan.left_end.value,
        right_end=plan.right_end.value,
        method=plan.limits.method,
        units=plan.limits.units,
        basis=book.basis_called(plan.limits.method, plan.limits.units, plan.limits.material),
        module_in=plan.module_in,
        joint_type=plan.joint_type,
        joint_type_name=plan.joint_type_name,
        limits=limits_entry(plan.limits),
        joints=[_joint(j) for j in plan.joints],
        panels=[_panel(p) for p in plan.panels],
        openings=[_opening(rule, plan.joints) for rule in plan.openings],
        horizontal_reinforcement=reinforcement_entry(plan.reinforcement),
        notes=list(plan.notes),
        findings=[
            finding_entry(f, metric=basis.metric, label=basis.label, feet=basis.feet_beside)
            for f in outcome.findings
        ],
        proposed=proposed_entries(outcome.nearest) if outcome.nearest else [],
        cost=None
        if cost is None
        else CostEntry(
            violations=cost.violations,
            excess_in=cost.excess_in,
            joints=cost.joints,
            slip_planes=cost.slip_planes,
            longest_in=cost.longest_in,
            unevenness_in2=cost.unevenness,
        ),
        search=SearchEntry(candidates=plan.counts.candidates, pairs_examined=plan.counts.pairs_examined),
    )


def _path(path: Path) -> list[Spot]:
    return [(x, y) for x, y in path]


def _joint(joint: Joint) -> JointEntry:
    return JointEntry(
        number=joint.number,
        x_in=joint.x_in,
        path=_path(joint.path),
        kind=joint.kind.value,
        type=joint.joint_type,
        reason=joint.reason,
        state="existing" if joint.existing else "new",
        serves=list(joint.serves),
        slip_planes=[
            SlipPlaneEntry(x0_in=s.x0_in, x1_in=s.x1_in, y_in=s.y_in, opening=s.opening)
            for s in joint.slip_planes
        ],
        handle=joint.handle,
        sources=[source_entry(s) for s in joint.sources],
        mark=joint.mark,
        held=joint.held,
        detail=joint.detail,
    )


def _panel(panel: Panel) -> PanelEntry:
    return PanelEntry(
        x0_in=panel.x0_in,
        x1_in=panel.x1_in,
        length_in=panel.length_in,
        limit_in=panel.limit_in,
        height_in=panel.height_in,
        utilisation=panel.utilisation,
        at_corner=panel.at_corner,
        corner_limit_in=panel.corner_limit_in,
    )


def _opening(rule: OpeningRule, joints: Iterable[Joint]) -> OpeningEntry:
    opening, box = rule.opening, rule.opening.box
    return OpeningEntry(
        tag=opening.tag,
        handle=opening.handle,
        x0_in=box.x0,
        x1_in=box.x1,
        y0_in=box.y0,
        y1_in=box.y1,
        treatment=rule.treatment.value,
        boundary_case=rule.boundary_case,
        joints=[joint.number for joint in joints if opening.tag in joint.serves],
        lintel=_lintel(rule.lintel) if rule.lintel else None,
        sources=[source_entry(s) for s in rule.sources],
    )


def _lintel(lintel: Lintel) -> LintelEntry:
    box = lintel.box
    return LintelEntry(
        x0_in=box.x0,
        x1_in=box.x1,
        y0_in=box.y0,
        y1_in=box.y1,
        bearing_left_in=lintel.bearing_left_in,
        bearing_right_in=lintel.bearing_right_in,
        note=lintel.note,
    )


def finding_entry(
    finding: Finding, *, metric: bool = False, label: str = "CJ", feet: bool = True
) -> FindingEntry:
    """Carry a finding over, its cure as data and in words."""
    waived, cure = finding.waived, finding.cure
    return FindingEntry(
        code=finding.code,
        fingerprint=finding.fingerprint,
        severity=finding.severity.value,
        message=finding.message,
        measured_in=finding.measured_in,
        limit_in=finding.limit_in,
        source=source_entry(finding.source) if finding.source else None,
        at=_path(finding.at),
        cure=sentence_of(cure, metric=metric, label=label, feet=feet),
        handle=finding.handle,
        opening=finding.opening,
        waived=WaivedEntry(reason=waived.reason, who=waived.who, until=waived.until) if waived else None,
        changes=change_entries(cure.changes) if cure else [],
        complies=cure is not None and cure.complies,
        other_changes=[change_entries(changes) for changes in cure.others] if cure else [],
    )


def _found(walls: Sequence[Wall]) -> list[FoundEntry]:
    """Count what was read, by what it is; that there are no openings is told too."""
    kinds: list[tuple[str, list[str]]] = [
        ("walls", [wall.layer for wall in walls]),
        ("openings", [opening.layer for wall in walls for opening in wall.openings]),
        ("drawn joints", [joint.layer for wall in walls for joint in wall.drawn_joints]),
        ("bond beams", [beam.layer for wall in walls for beam in wall.bond_beams]),
        ("lateral supports", ["" for wall in walls for _ in wall.supports]),
        ("places that need a joint", ["" for wall in walls for _ in wall.places]),
        ("texts in walls", ["" for wall in walls for _ in wall.texts]),
    ]
    return [
        FoundEntry(what=what, count=len(layers), layers=sorted({layer for layer in layers if layer}))
        for what, layers in kinds
        if layers or what == "openings"
    ]


def _checks(outcomes: Sequence[WallOutcome]) -> ChecksEntry:
    runs = [(outcome.plan.wall.tag, run) for outcome in outcomes for run in outcome.runs]
    return ChecksEntry(
        ran=sum(run.places_tested for _, run in runs),
        passed=sum(run.passed for _, run in runs),
        could_not_run=[
            NotTestedEntry(check=run.rule, wall=tag, why=run.untested_reason)
            for tag, run in runs
            if run.untested_reason
        ],
        rules=[
            RuleRunEntry(
                rule=run.rule,
                wall=tag,
                tested=run.places_tested,
                failed=run.failures,
                untested=run.untested_reason,
            )
            for tag, run in runs
        ],
    )


def _unverified(outcomes: Sequence[WallOutcome]) -> list[Source]:
    """Return every source from memory that was used, in order, each once."""
    used: list[Source] = []
    for outcome in outcomes:
        plan = outcome.plan
        used += plan.limits.sources
        used += [s for joint in plan.joints for s in joint.sources]
        used += [s for rule in plan.openings for s in rule.sources]
        used += [c.source for c in plan.reinforcement.choices]
        used += [plan.reinforcement.source] if plan.reinforcement.source else []
        used += [f.source for f in outcome.findings if f.source]
    return list(dict.fromkeys(s for s in used if s.unverified))
