"""What somebody accepted of a wall: a proposal leaves it as it is.

A waived finding asks for nothing: its joint stays, its panel is not cut, its opening or place gets no joint.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from perpend.checks import CheckReport
from perpend.checks.registry import CODES
from perpend.findings import Finding, Severity, WaiverMeaning
from perpend.layout.panel_graph import AgreedPanel
from perpend.model import Joint, OpeningRule
from perpend.rulebook import WallBasis
from perpend.units import SAME_IN

_OF_PANELS: Final = (WaiverMeaning.PANEL, WaiverMeaning.CORNER, WaiverMeaning.BONDED)
"""Findings that name a joint beside what is wrong: another joint may set that right."""


def _meaning(finding: Finding) -> WaiverMeaning:
    return CODES[finding.code].waiver


def is_open(findings: Sequence[Finding]) -> bool:
    """Say whether a wall's findings ask for another layout: not where all that is required was waived."""
    required = [f for f in findings if f.severity is Severity.REQUIRED]
    return any(f.waived is None for f in required or findings)


def agreed_panels(report: CheckReport, findings: Sequence[Finding]) -> tuple[AgreedPanel, ...]:
    """Return the panels that were waived as too long, or as ending too far from a corner."""
    waived = [f for f in findings if f.waived and _meaning(f) in _OF_PANELS]
    found = (
        AgreedPanel(
            panel.x0_in,
            panel.x1_in,
            spacing=any(
                _meaning(f) is WaiverMeaning.PANEL and _near(f.at[0][0], panel.x0_in) for f in waived
            ),
            corner=any(
                _meaning(f) is WaiverMeaning.CORNER
                and any(_near(f.at[0][0], x) for x in (panel.x0_in, panel.x1_in))
                for f in waived
            ),
            beside=any(
                _meaning(f) is WaiverMeaning.BONDED and panel.x0_in < f.at[0][0] < panel.x1_in for f in waived
            ),
        )
        for panel in report.panels
    )
    return tuple(panel for panel in found if panel.spacing or panel.corner or panel.beside)


def _near(a_in: float, b_in: float) -> bool:
    return abs(a_in - b_in) <= SAME_IN


def agreed_joints(
    joints: Sequence[Joint], panels: Sequence[AgreedPanel], findings: Sequence[Finding]
) -> frozenset[int]:
    """Return the numbers of the joints that were waived, or bound a waived panel, and have no other fault."""
    own = [f for f in findings if f.severity is Severity.REQUIRED and _meaning(f) not in _OF_PANELS]
    faulty = {f.handle for f in own if f.waived is None}
    agreed = {f.handle for f in findings if f.waived}
    feet = [x for panel in panels for x in (panel.x0_in, panel.x1_in)]
    return frozenset(
        joint.number
        for joint in joints
        if joint.handle not in faulty
        and ((joint.handle and joint.handle in agreed) or any(_near(joint.path[0][0], x) for x in feet))
    )


def agreed_twins(joints: Sequence[Joint], findings: Sequence[Finding]) -> frozenset[int]:
    """Return the numbers of the joints that were waived as doubled: another one does what they do."""
    waived = {f.handle for f in findings if f.waived and _meaning(f) is WaiverMeaning.TWIN and f.handle}
    return frozenset(
        joint.number
        for joint in joints
        if joint.handle in waived
        and any(set(joint.serves) <= set(o.serves) for o in joints if o.handle not in waived)
    )


def agreed_basis(basis: WallBasis, findings: Sequence[Finding]) -> WallBasis:
    """Return what binds a wall without the joints that somebody agreed to do without."""
    waived = {(_meaning(f), f.handle) for f in findings if f.waived}
    if not waived:
        return basis
    gone = {(f.code, f.handle) for f in findings if f.waived}
    asked = tuple(
        r for r in basis.asked_places if (f"no-joint-at-{r.place.kind}", r.place.handle) not in gone
    )
    openings = tuple(
        _asking(rule, {meaning for meaning, handle in waived if handle == rule.opening.handle})
        for rule in basis.openings
    )
    return replace(basis, place_rules=asked, openings=openings)


def _asking(rule: OpeningRule, waived: set[WaiverMeaning]) -> OpeningRule:
    """Return an opening that requires no joint that was waived."""
    if WaiverMeaning.JAMBS in waived:
        rule = replace(rule, jambs_required=0)
    elif WaiverMeaning.ONE_JAMB in waived:
        rule = replace(rule, jambs_required=1)
    return replace(rule, near_within_in=None) if WaiverMeaning.NEAR in waived else rule
