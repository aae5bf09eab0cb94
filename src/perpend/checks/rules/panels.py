"""The rule on the length of panels."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.verdicts import NO_SPACING, Verdict
from perpend.findings import Extent, Finding, Rule, WaiverMeaning
from perpend.model import HeightBasis
from perpend.units import same

_NO_SUPPORTS = "no lateral supports are drawn, so the whole height was used instead of the storey's"
_LONG = Rule(
    "panel-too-long",
    "A panel is longer than the joint spacing allows",
    mark=Extent.STRETCH,
    waiver=WaiverMeaning.PANEL,
)
RULES = (_LONG,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the length of every panel."""
    yield _panels(wall)


def _panels(wall: JudgedWall) -> Verdict:
    limited = [p for p in wall.panels if p.limits.max_spacing_in is not None]
    storey = wall.basis.height_basis is HeightBasis.STOREY and not wall.basis.wall.supports
    untested = "" if limited else NO_SPACING
    return Verdict(
        _LONG.code,
        len(limited),
        tuple(_too_long(wall, p) for p in limited if p.too_long),
        untested or (_NO_SUPPORTS if storey else ""),
    )


def _too_long(wall: JudgedWall, panel: PanelSpan) -> Finding:
    at = wall.at
    limit = panel.limits.max_spacing_in
    assert limit is not None, "only a panel with a limit can be too long"
    governing = (
        f"{panel.limits.ratio:g} × height {at(panel.limits.height_in)}"
        if panel.limits.governing == "ratio" and panel.limits.ratio is not None
        else "the cap governs"
    )
    return _LONG.finding(
        f"The panel from {at(panel.x0_in)} to {at(panel.x1_in)} of {wall.tag} is {at(panel.length_in)} long"
        f"{_widest(wall, panel)}; {at(limit)} is allowed ({governing}).",
        wall=wall.tag,
        measured_in=panel.length_in,
        limit_in=limit,
        source=next(iter(wall.basis.spacing.sources), None),
        at=(wall.spot(panel.x0_in), wall.spot(panel.x1_in)),
        handle=panel.right.handle if panel.right else panel.left.handle if panel.left else "",
    )


def _widest(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say why a panel is longer than from foot to foot: a joint beside it leans or steps aside."""
    if same(panel.length_in, panel.x1_in - panel.x0_in):
        return ""
    aside = [track for track in (panel.left, panel.right) if track is not None and track.lo < track.hi]
    words = (
        f"the joint at {wall.at(t.foot_x)} {'leans' if any(p.shift for p in t.uprights) else 'steps'} aside"
        for t in aside
    )
    return f" where {' and '.join(words)}"
