"""What is wrong with a wall that was laid out: what the placement could not meet, and what the judge says.

The two share no code, so both are asked. Where both report one kind of fault the placement's findings
stand, because their cures were tried; what only the judge sees is added, its advice too. Of a joint that was
drawn before and stands where it must not the judge tells, so that `check` says the same of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.checks import RuleRun, check_wall, joints_from_drawn
from perpend.findings import Finding, Severity, reweighed
from perpend.model import WallPlan
from perpend.rulebook import WallBasis
from perpend.units import same

_DRAWN_BEFORE: Final = ("reinforcement-through-joint", "bond-beam-not-debonded")
"""Of bond beams that were drawn before there were joints: the notes say what they do at the new ones. Where
the plan adds bond beams of its own, those that the drawing shows need not be enough by themselves."""

_MISPLACED: Final = ("joint-in-keep-out", "joint-through-opening", "joint-through-lintel")
"""Of a joint that stands where an opening lets none stand."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """What is wrong with a wall, and how much every rule tested."""

    findings: tuple[Finding, ...]
    runs: tuple[RuleRun, ...]


def judgement_of(
    basis: WallBasis, plan: WallPlan, placed: Sequence[Finding], severities: Mapping[str, str]
) -> Judgement:
    """Return the findings of a wall that was laid out, each once, and the runs of the rules.

    Args:
        basis: the wall's basis.
        plan: the wall laid out.
        placed: the findings of its placement.
        severities: by code, as the settings give them.
    """
    drawn = reweighed(_of_drawn_joints(basis, plan), severities)
    told = {f.handle for f in drawn}
    placed = [f for f in reweighed(placed, severities) if f.code not in _MISPLACED or f.handle not in told]
    report = check_wall(basis, plan.joints)
    weighed = reweighed(report.findings, severities)
    passed_over = {*_DRAWN_BEFORE}
    if any(bar.kind == "bond-beam" for bar in plan.bars):
        passed_over.add("reinforcement-too-sparse")
    judged = [
        f for f in weighed if f.code not in passed_over and not (f.code in _MISPLACED and f.handle in told)
    ]
    by_placement, by_judge = Counter(f.code for f in placed), Counter(f.code for f in judged)
    kept = [f for f in placed if by_placement[f.code] >= by_judge[f.code]]
    added = [f for f in judged if by_judge[f.code] > by_placement[f.code] and not _told(f, kept)]
    findings = sorted((*kept, *added, *drawn), key=lambda f: (f.at[:1], f.severity is Severity.ADVISORY))
    failed = Counter(f.code for f in findings)
    runs = tuple(replace(run, failures=failed[run.rule]) for run in report.runs)
    return Judgement(tuple(findings), runs)


def _of_drawn_joints(basis: WallBasis, plan: WallPlan) -> list[Finding]:
    """Say which of the joints that were drawn before stand where they must not.

    They are judged as they will stand in the new drawing: among the joints of the plan, and with those that
    the placement had to do without.
    """
    if not basis.wall.drawn_joints:
        return []
    planned = {joint.handle for joint in plan.joints if joint.existing}
    left = [joint for joint in joints_from_drawn(basis) if joint.handle not in planned]
    first = len(plan.joints) + 1
    standing = (*plan.joints, *(replace(joint, number=n) for n, joint in enumerate(left, first)))
    handles = {joint.handle for joint in standing if joint.existing and joint.handle}
    without = {joint.handle for joint in left}
    found = check_wall(basis, standing).findings
    return [
        replace(f, message=f"{f.message} The layout does without it.") if f.handle in without else f
        for f in found
        if f.code in _MISPLACED and f.handle in handles
    ]


def _told(judged: Finding, placed: Sequence[Finding]) -> bool:
    """Say whether the placement tells of the same joint: one through a lintel stands too near its opening."""
    if judged.code != "joint-through-lintel":
        return False
    near = (f.at[0][0] for f in placed if f.code == "joint-in-keep-out")
    return any(same(x, judged.at[0][0]) for x in near)
