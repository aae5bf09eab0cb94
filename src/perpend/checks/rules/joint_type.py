"""The rule on the joints' type: the drawings must show it."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Rule, Severity

_MISSING = Rule("joint-type-missing", "No joint type is named", mark=Extent.STATION, by_joints=False)
RULES = (_MISSING,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge whether every joint's type is named."""
    yield _typed(wall)


def _typed(wall: JudgedWall) -> Verdict:
    """The drawings must show the type of every joint: once named, it counts for all."""
    if not wall.every:
        return Verdict(_MISSING.code, 0)
    untyped = [t for t in wall.every if t.joint_type is None]
    none_at_all = wall.basis.joint_type is None
    source = wall.basis.first_source("joint.shown")
    assumed = source is not None and not none_at_all and not wall.basis.joint_type_named
    bare = [t for t in untyped if none_at_all or (assumed and t.existing)]
    if not bare:
        return Verdict(_MISSING.code, len(wall.every))
    used = "" if none_at_all else f"; the usual one ({wall.basis.joint_type_name}) was assumed"
    found = _MISSING.finding(
        f"No joint type is named for {len(bare)} of the {len(wall.every)} joints of {wall.tag}{used}.",
        wall=wall.tag,
        source=source or wall.basis.first_source("joint.named"),
        at=(bare[0].middle(),),
        handle=bare[0].handle,
        severity=None if none_at_all else Severity.ADVISORY,
    )
    return Verdict(_MISSING.code, len(wall.every), (found,))
