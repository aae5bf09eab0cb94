"""The rule on the least width of masonry between two joints, on any course."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import spread, under
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule
from perpend.model import EndCondition

RULE = Rule("panel-too-short", "A piece of masonry between two joints is too narrow", mark=Extent.STRETCH)
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the least width of every panel that a joint and a joint, or a free edge, bound."""
    least = wall.basis.judgment.least_panel_in
    bounded = (
        [(p, width) for p in wall.panels if (width := least_width(wall, p)) is not None] if least else []
    )
    yield Verdict(RULE.code, len(bounded), tuple(_narrow(wall, p, w) for p, w in bounded if under(w, least)))


def least_width(wall: JudgedWall, panel: PanelSpan) -> float | None:
    """Return the least width of a panel on any course; None where it goes on past a corner or the sheet."""
    basis = wall.basis
    if panel.left is None and panel.right is None:
        return None
    if panel.left is not None and panel.right is not None:
        if basis.stands_alone(panel.x0_in, panel.x1_in):
            return None
        return max(spread(panel.left, panel.right)[0], 0.0)
    if panel.left is None:
        counted = "left" in wall.ends or basis.left_end in (EndCondition.FREE, EndCondition.JOINT)
        return panel.right.lo if counted and panel.right is not None else None
    counted = "right" in wall.ends or basis.right_end in (EndCondition.FREE, EndCondition.JOINT)
    return basis.wall.length_in - panel.left.hi if counted else None


def _narrow(wall: JudgedWall, panel: PanelSpan, width: float) -> Finding:
    at, least = wall.at, wall.basis.judgment.least_panel_in
    tracks = [track for track in (panel.left, panel.right) if track is not None]
    between = (
        f"between the joints at {at(panel.x0_in)} and {at(panel.x1_in)} of {wall.tag}"
        if len(tracks) > 1
        else f"between the joint at {at(tracks[0].foot_x)} and the end of {wall.tag}"
    )
    return RULE.finding(
        f"The masonry {between} is {at(width)} wide at its narrowest; {at(least)} is required.",
        wall=wall.tag,
        measured_in=width,
        limit_in=least,
        source=next(iter(wall.basis.source_of("judgment.least-panel")), None),
        at=(wall.spot(panel.x0_in), wall.spot(panel.x1_in)),
        handle=tracks[-1].handle,
        joints=tuple(number for track in tracks for number in track.numbers),
    )
