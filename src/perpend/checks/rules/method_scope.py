"""Advice on what a method assumes and a wall may not have."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity

RULE = Rule(
    "engineered-solid-grouted",
    "The engineered method is used on a wall that is grouted solid",
    Severity.ADVISORY,
    by_joints=False,
)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge whether the engineered method fits the wall's section."""
    method = wall.basis.spacing.method
    found: tuple[Finding, ...] = ()
    if wall.basis.solid_grouted:
        found = (
            RULE.finding(
                f"{wall.tag} is grouted solid, and its joints go by the engineered method, which assumes "
                "more horizontal steel there than 0.025 in² per foot of height: confirm the steel.",
                wall=wall.tag,
                source=next(iter(wall.basis.source_of("judgment.solid-grouted")), None),
                at=(wall.spot(wall.basis.wall.length_in / 2),),
            ),
        )
    yield Verdict(RULE.code, int(method == "engineered"), found)
