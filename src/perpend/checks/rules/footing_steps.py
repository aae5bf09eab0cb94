"""Advice on great steps of a footing."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Rule, Severity
from perpend.units import SAME_IN

RULE = Rule(
    "footing-step-large",
    "A footing steps by a great part of the wall's height",
    Severity.ADVISORY,
    mark=Extent.STATION,
    by_joints=False,
)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every step of the bottom edge at which the top goes on level."""
    part, profile = wall.basis.judgment.footing_step_over, wall.basis.wall
    steps = profile.bottom.steps() if part is not None else ()
    found = []
    for x, left, right in steps:
        top_left, top_right = profile.top.at(x)
        lower = min(top_left - left, top_right - right)
        step = abs(left - right)
        if part is None or abs(top_left - top_right) > SAME_IN or step <= part * lower + SAME_IN:
            continue
        found.append(
            RULE.finding(
                f"The footing of {wall.tag} steps {wall.at(step)} at {wall.at(x)}, more than {part:.0%} of "
                f"the height of {wall.at(lower)} beside it: confirm that no joint is needed there.",
                wall=wall.tag,
                measured_in=step,
                limit_in=part * lower,
                source=next(iter(wall.basis.source_of("judgment.footing-step")), None),
                at=(wall.spot(x),),
            )
        )
    yield Verdict(RULE.code, len(steps), tuple(found))
