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
from perpend.model import Box, Elevation, Joint, MeasuredCorner, OpeningRule, Source, Wall, WallPlan
from perpend.notices import Notice
from perpend.report.change_entries import change_entries, proposed_entries
from perpend.report.corner_entries import CornerEntry
from perpend.report.decision_entries import DecisionEntry, IssueEntry
from perpend.report.notice_entries import ignored_entries, notice_entries
from perpend.report.results_document import (
    ChecksEntry,
    DrawingEntry,
    FindingEntry,
    FoundEntry,
    HorizontalReinforcementEntry,
    JointEntry,
    LintelEntry,
    NotTestedEntry,
    OpeningEntry,
    Results,
    RuleBookEntry,
    RuleRunEntry,
    SourceEntry,
    WallEntry,
    WrittenEntry,
)
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
    remarks, system = list(remarks), system_of(metric=elevation.metric)
    return Results(
        perpend_version=__version__,
        command=command,
        drawing=DrawingEntry.of(elevation, feet_beside=not book.metric),
        settings_files=list(settings.files),
        settings_sha256=settings.sha256,
        rulebook=RuleBookEntry.of(book),
        walls=[_wall(outcome) for outcome in outcomes],
        corners=[_corner(corner) for corner in corners],
        findings=[
            finding_entry(f, metric=elevation.metric, label=book.label, feet=not book.metric)
            for f in findings
        ],
        found=_found(elevation.walls),
        ignored=ignored_entries(elevation),
        repaired=list(elevation.repaired),
        remarks=[notice.words for notice in remarks],
        notices=notice_entries(elevation, remarks),
        decisions=[DecisionEntry.of(d, words=d.words(book.label, system)) for d in decisions],
        issues=[IssueEntry.of(issue) for issue in issues],
        numbered_after=numbered_after,
        checks=_checks(outcomes),
        unverified=[SourceEntry.of(s) for s in _unverified(outcomes)],
        cautions=list(book.cautions),
        written=written,
    )


def _wall(outcome: WallOutcome) -> WallEntry:
    plan, basis = outcome.plan, outcome.basis
    wall, cost = plan.wall, plan.cost
    scale = wall.frame.inches_per_unit
    return WallEntry.of(
        plan,
        wall,
        plan.limits,
        x0_in=wall.frame.origin[0] * scale,
        y0_in=wall.frame.origin[1] * scale,
        angle_deg=math.degrees(wall.frame.angle_rad),
        top=list(wall.top.points),
        bottom=list(wall.bottom.points),
        joints=[_joint(j) for j in plan.joints],
        openings=[_opening(rule, plan.joints) for rule in plan.openings],
        horizontal_reinforcement=HorizontalReinforcementEntry.of(plan.reinforcement),
        findings=[
            finding_entry(f, metric=basis.metric, label=basis.label, feet=basis.feet_beside)
            for f in outcome.findings
        ],
        proposed=proposed_entries(outcome.nearest) if outcome.nearest else [],
        cost=CostEntry.of(cost, unevenness_in2=cost.unevenness) if cost else None,
        search=SearchEntry.of(plan.counts),
    )


def _corner(corner: MeasuredCorner) -> CornerEntry:
    first, limits = list(corner.first_joints_in), list(corner.limits_in)
    return CornerEntry.of(corner, first_joints_in=first, limits_in=limits)


def _joint(joint: Joint) -> JointEntry:
    return JointEntry.of(joint, type=joint.joint_type, state="existing" if joint.existing else "new")


def _opening(rule: OpeningRule, joints: Iterable[Joint]) -> OpeningEntry:
    opening = rule.opening
    return OpeningEntry.of(
        opening,
        rule,
        **_sides(opening.box),
        treatment=rule.treatment.value,
        joints=[joint.number for joint in joints if opening.tag in joint.serves],
        lintel=LintelEntry.of(rule.lintel, **_sides(rule.lintel.box)) if rule.lintel else None,
    )


def _sides(box: Box) -> dict[str, float]:
    return {"x0_in": box.x0, "x1_in": box.x1, "y0_in": box.y0, "y1_in": box.y1}


def finding_entry(
    finding: Finding, *, metric: bool = False, label: str = "CJ", feet: bool = True
) -> FindingEntry:
    """Carry a finding over, its cure as data and in words."""
    cure = finding.cure
    return FindingEntry.of(
        finding,
        cure=sentence_of(cure, metric=metric, label=label, feet=feet),
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
