"""The rule on lintels: enough masonry for their bearing. Their design is not ours."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.finding_places import opening_source
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import under
from perpend.checks.measure.tracks import SIDES, away, bearing, jamb
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity
from perpend.model import OpeningRule, Side

_BEARING = Rule(
    "lintel-without-bearing", "There is not enough masonry for a lintel's bearing", by_joints=False
)
RULES = (_BEARING,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the bearing of every lintel at both ends."""
    yield _bearings(wall)


def _bearings(wall: JudgedWall) -> Verdict:
    tested, found = 0, []
    for rule in wall.basis.openings:
        if rule.lintel is None or rule.bearing_in <= 0:
            continue
        for side in SIDES:
            tested += 1
            there = bearing(rule, side)
            if under(there, rule.bearing_in):
                found.append(_too_little(wall, rule, side, there))
    arched = [r.opening.tag for r in wall.basis.openings if r.opening.arched]
    untested = f"an arched head has no lintel: {', '.join(arched)}" if arched else ""
    return Verdict(_BEARING.code, tested, tuple(found), untested)


_LEAST_BEARING = ("lintel.bearing",)
_USUAL_BEARING = ("lintel.bearing-by-span", "lintel.bearing#usual", "lintel.bearing")


def _too_little(wall: JudgedWall, rule: OpeningRule, side: Side, there: float) -> Finding:
    """Less than what is required is a violation, less than what is usual a remark."""
    at = wall.at
    station = jamb(rule, side)
    required = under(there, rule.bearing_least_in)
    limit = rule.bearing_least_in if required else rule.bearing_in
    return _BEARING.finding(
        f"The lintel of {rule.opening.tag} in {wall.tag} bears {at(there)} at its {side} jamb; "
        f"{at(limit)} is {'required' if required else 'usual'}.",
        wall=wall.tag,
        measured_in=there,
        limit_in=limit,
        severity=None if required else Severity.ADVISORY,
        source=opening_source(rule, *(_LEAST_BEARING if required else _USUAL_BEARING)),
        at=((station + away(side) * there, rule.opening.box.y1),),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )
