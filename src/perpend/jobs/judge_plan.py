"""What is wrong with a wall that was laid out: the judge says so, the cures are solved as for any wall."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final

from perpend.checks import RuleRun, check_wall, joints_from_drawn
from perpend.decisions.accepted import Accepted
from perpend.findings import Finding, Severity, reweighed
from perpend.model import Cure, JointChange, WallPlan
from perpend.rulebook import WallBasis

_DRAWN_BEFORE: Final = ("reinforcement-through-joint", "bond-beam-not-debonded")
"""Of bond beams that were drawn before there were joints: the notes say what they do at the new ones. Where
the plan adds bond beams of its own, those that the drawing shows need not be enough by themselves."""

_MISPLACED: Final = ("joint-in-keep-out", "joint-through-opening", "joint-through-lintel")
"""Of a joint where an opening permits none."""

_NOTHING_ACCEPTED: Final = Accepted()


@dataclass(frozen=True, slots=True)
class JudgedPlan:
    """What is wrong with a wall, and how much every rule tested."""

    findings: tuple[Finding, ...]
    runs: tuple[RuleRun, ...]


def judged_plan(
    basis: WallBasis,
    plan: WallPlan,
    severities: Mapping[str, str],
    accepted: Accepted = _NOTHING_ACCEPTED,
) -> JudgedPlan:
    """Return the findings of a wall that was laid out, with their cures, and the runs of the rules.

    Args:
        basis: the wall's basis.
        plan: the wall laid out.
        severities: by code, as the settings give them.
        accepted: the waivers of the drawing.
    """
    report = check_wall(basis, plan.joints)
    passed_over = {*_DRAWN_BEFORE}
    if any(bar.kind == "bond-beam" and not bar.openings for bar in plan.bars):
        passed_over.add("reinforcement-too-sparse")
    judged = [f for f in report.findings if f.code not in passed_over and not _is_of_our_steel(f)]
    found = accepted.applied(reweighed([*judged, *_of_joints_left_out(basis, plan)], severities))
    if found:
        from perpend.cures.apply import DrawnWall
        from perpend.cures.solve import solve

        found = solve(DrawnWall.of(basis, plan.joints, report), found).findings
    findings = sorted(found, key=lambda f: (f.at[:1], f.severity is Severity.ADVISORY))
    failed = Counter(f.code for f in findings)
    runs = tuple(replace(run, failures=failed[run.rule]) for run in report.runs)
    return JudgedPlan(tuple(findings), runs)


def _is_of_our_steel(finding: Finding) -> bool:
    """Say whether a finding is advice on steel at a strip window, which the plan draws."""
    return finding.code == "panel-at-opening-too-long" and finding.severity is Severity.ADVISORY


def _of_joints_left_out(basis: WallBasis, plan: WallPlan) -> list[Finding]:
    """Say why the layout had to do without joints that were drawn before: an opening permits none there."""
    planned = {joint.handle for joint in plan.joints if joint.existing}
    drawn = tuple(joint for joint in basis.wall.drawn_joints if not joint.held)
    every = joints_from_drawn(replace(basis, wall=replace(basis.wall, drawn_joints=drawn))) if drawn else ()
    left = [joint for joint in every if joint.handle not in planned]
    if not left:
        return []
    first = len(plan.joints) + 1
    numbered = [replace(joint, number=n) for n, joint in enumerate(left, first)]
    removed = {j.handle: JointChange("remove", j.path, 0, j.handle, j.path) for j in numbered}
    return [
        replace(
            f,
            message=f"{f.message} The layout does without it.",
            cure=Cure((removed[f.handle],), complies=True),
        )
        for f in check_wall(basis, (*plan.joints, *numbered)).findings
        if f.code in _MISPLACED and f.handle in removed
    ]
