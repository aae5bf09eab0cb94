"""A cure carried out as data, without the code that solves cures: joints by their number, openings by tag."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace

from perpend.checks import CheckReport, check_wall, whole_joints
from perpend.checks.registry import CODES
from perpend.findings import Finding, Severity
from perpend.model import Change, Joint, JointChange, JointKind, Treat, UseMethod
from perpend.rulebook import WallBasis

Key = tuple[str, str, tuple[float, ...]]


def carried_out(
    basis: WallBasis, joints: Sequence[Joint], report: CheckReport, changes: Iterable[Change]
) -> tuple[WallBasis, list[Joint]]:
    """Return the wall after the changes; a joint of several lines goes with all of them."""
    first_parts = [joint.number for joint in whole_joints(basis, joints)]
    together = {numbers[0]: numbers for numbers in report.parts}
    gone: set[int] = set()
    drawn: list[Joint] = []
    for change in changes:
        if isinstance(change, JointChange):
            was = None
            if change.number:
                numbers = together[first_parts[change.number - 1]]
                gone |= set(numbers)
                was = next(joint for joint in joints if joint.number == numbers[0])
            if change.kind != "remove":
                named = was.joint_type if was else basis.joint_type
                handle = was.handle if was else ""
                drawn.append(
                    Joint(
                        was.number if was else 0,
                        change.path[0][0],
                        change.path,
                        JointKind.STRAIGHT,
                        "",
                        joint_type=named,
                        handle=handle,
                        existing=was is not None and was.existing,
                    )
                )
        elif isinstance(change, Treat):
            (index,) = (n for n, r in enumerate(basis.openings) if r.opening.tag == change.opening)
            other = basis.other_treatments[index]
            assert other is not None
            assert other.treatment is change.treatment
            basis = basis.with_opening(index, other)
        elif isinstance(change, UseMethod):
            (spacing,) = (
                s for s in basis.other_spacings if (s.method, s.units) == (change.method, change.units)
            )
            basis = replace(basis, spacing=spacing)
    every = sorted(
        [*(joint for joint in joints if joint.number not in gone), *drawn],
        key=lambda joint: (joint.path[0][0], joint.number or len(joints)),
    )
    return basis, [replace(joint, number=n) for n, joint in enumerate(every, start=1)]


def key_of(found: Finding) -> Key:
    return (found.code, found.opening, tuple(round(x, 2) for x, _ in found.at))


def left_and_new(
    basis: WallBasis, joints: Sequence[Joint], found: Finding, changes: Iterable[Change]
) -> tuple[bool, list[Finding]]:
    """Say whether a finding is still there after some changes, and which findings are new.

    Not new is what joints neither cause nor cure, a finding of the same rule on the same entity that only
    moved along with a joint, and advice on a joint as drawn that a graver finding on it hid before.
    """
    report = check_wall(basis, joints)
    before = {key_of(f) for f in report.findings}
    after = check_wall(*carried_out(basis, joints, report, changes)).findings
    feet = [joint.path[0][0] for joint in whole_joints(basis, joints)]
    counts = [Counter((f.code, f.handle) for f in each) for each in (report.findings, after)]
    new = [
        f
        for f in after
        if CODES[f.code].by_joints
        and key_of(f) not in before
        and (not f.handle or counts[1][f.code, f.handle] > counts[0][f.code, f.handle])
        and not (f.severity is Severity.ADVISORY and any(abs(f.at[0][0] - x) <= 1 / 8 for x in feet))
    ]
    assert weight(after) <= weight(report.findings), f"{found.message}: more is required than before"
    return key_of(found) in {key_of(f) for f in after}, new


def weight(findings: Iterable[Finding]) -> int:
    """Count what is required of joints; a panel that is too long counts for every joint that it lacks."""
    total = 0
    for f in findings:
        if f.severity is Severity.REQUIRED and CODES[f.code].by_joints:
            long = f.code == "panel-too-long" and f.measured_in and f.limit_in
            total += max(1, math.ceil((f.measured_in - 1 / 64) / f.limit_in) - 1) if long else 1
    return total
