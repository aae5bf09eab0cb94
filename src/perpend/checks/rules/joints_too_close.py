"""Advice on joints that stand nearer to each other than a masonry unit is long.

No document that was read gives a least panel; what is left between two such joints is cut units only. A joint
that has to go for another reason is not told here again.

Glossary:
    close: two neighbouring joints whose greatest level distance is less than a unit.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.keep_outs import clashes
from perpend.checks.measure.track_geometry import Track, under
from perpend.checks.measure.trial_joint import needless
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity
from perpend.model import EndCondition, Side
from perpend.units import off_module

RULE = Rule("joints-too-close", "Two joints are nearer to each other than a unit is long", Severity.ADVISORY)
RULES = (RULE,)


@dataclass(frozen=True, slots=True)
class ClosePair:
    """Two joints that stand too close.

    Attributes:
        panel: what is between them.
        goes: the one that should go, or None where both are required.
    """

    panel: PanelSpan
    goes: Track | None


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the distance between every two neighbouring joints."""
    tested = sum(_bounded(wall, panel) for panel in wall.panels) if wall.basis.unit_in > 0 else 0
    told_as_narrow = wall.basis.judgment.least_panel_in > wall.basis.unit_in
    found = () if told_as_narrow else tuple(_too_close(wall, pair) for pair in close_pairs(wall))
    yield Verdict(RULE.code, tested, found)


def close_pairs(wall: JudgedWall) -> Iterator[ClosePair]:
    """Yield the joints that stand too close, from left to right."""
    close = [p for p in wall.panels if under(p.length_in, wall.basis.unit_in) and _bounded(wall, p)]
    if not close:
        return
    told = {clash.track.numbers for clash in clashes(wall)}
    told |= {track.numbers for repeat in wall.repeats for track in (repeat.kept, repeat.extra)}
    for panel in close:
        tracks = [track for track in (panel.right, panel.left) if track is not None]
        if not any(track.numbers in told for track in tracks):
            yield _pair(wall, panel, tracks)


def _bounded(wall: JudgedWall, panel: PanelSpan) -> bool:
    """Say whether a joint stands on both sides of a panel, those at the wall's ends included."""
    if wall.basis.stands_alone(panel.x0_in, panel.x1_in):
        return False
    ends: tuple[tuple[Side, Track | None, EndCondition], ...] = (
        ("left", panel.left, wall.basis.left_end),
        ("right", panel.right, wall.basis.right_end),
    )
    return all(t is not None or side in wall.ends or end is EndCondition.JOINT for side, t, end in ends)


def _pair(wall: JudgedWall, panel: PanelSpan, tracks: list[Track]) -> ClosePair:
    """Say which of two joints should go: the one that may go at all, and rather one off the module."""
    module, origin = wall.basis.module_in, wall.basis.bond_origin_in
    idle = sorted((t for t in tracks if wall.idle(t)), key=lambda t: not off_module(t.foot_x, module, origin))
    goes = next((t for t in idle if needless(wall, t)), next(iter(idle), None))
    return ClosePair(panel, goes)


def _too_close(wall: JudgedWall, pair: ClosePair) -> Finding:
    at, panel = wall.at, pair.panel
    apart = max(panel.length_in, 0.0)
    other = panel.right or panel.left
    named = pair.goes or other
    return RULE.finding(
        f"The joints at {at(panel.x0_in)} and {at(panel.x1_in)} of {wall.tag} are {at(apart)} apart, less "
        f"than a unit of {at(wall.basis.unit_in)}.",
        wall=wall.tag,
        measured_in=apart,
        limit_in=wall.basis.unit_in,
        source=next(iter(wall.basis.source_of("module.one-unit")), None),
        at=(wall.spot((panel.x0_in + panel.x1_in) / 2),),
        handle=named.handle if named else "",
        joints=named.numbers if named else (),
    )
