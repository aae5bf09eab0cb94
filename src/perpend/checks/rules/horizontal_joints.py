"""Advice on masonry that rises higher from support to support than a rule book permits.

Glossary:
    lift: the masonry from one support, or the foot of the wall, to the next, or to its top.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity
from perpend.model import HorizontalJoints, Profile
from perpend.units import exceeds, same

RULE = Rule(
    "no-horizontal-joint",
    "Masonry rises too high without a support and a horizontal joint",
    Severity.ADVISORY,
    by_joints=False,
)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every lift of a wall that is high enough to need supports."""
    joints = wall.basis.sizes.horizontal
    if joints is None or joints.at_most_in is None:
        yield Verdict(RULE.code, 0)
        return
    drawn = wall.basis.wall
    top = max(y for _, y in drawn.top.points)
    whole = max(drawn.whole_height_in, top)
    lifts = list(itertools.pairwise((0.0, *(y for y in joints.levels_in if not same(y, top)), top)))
    found = [
        _found(wall, joints, low, high)
        for low, high in lifts
        if exceeds(whole, joints.free_to_in) and exceeds(high - low, _limit(joints, drawn.top, high))
    ]
    yield Verdict(RULE.code, len(lifts), tuple(found))


def _limit(joints: HorizontalJoints, top: Profile, high: float) -> float:
    """Return how high a lift may be: up to a peak, which a wall has at one station alone, often more."""
    at_peak = sum(same(y, high) for _, y in top.points) == 1
    most = joints.at_most_in or 0.0
    return joints.at_gable_in if at_peak and joints.at_gable_in is not None else most


def _found(wall: JudgedWall, joints: HorizontalJoints, low: float, high: float) -> Finding:
    limit = _limit(joints, wall.basis.wall.top, high)
    return RULE.finding(
        f"The masonry of {wall.tag} rises {wall.at(high - low)} without a {joints.under} and a horizontal "
        f"joint below it; at most {wall.at(limit)} is permitted.",
        wall=wall.tag,
        measured_in=high - low,
        limit_in=limit,
        source=joints.source,
        at=((wall.basis.wall.length_in / 2, (low + high) / 2),),
    )
