"""Rules on horizontal reinforcement, as far as an elevation shows it: its bond beams.

Joint reinforcement lies in the bed joints and is not drawn on elevations, so it can't be judged here.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from typing import Final

from perpend.checks.measure.finding_places import above_bottom
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan
from perpend.checks.measure.track_geometry import Track, over
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity
from perpend.model import BondBeam, ReinforcementChoice, Source
from perpend.rulebook.no_joint_steel import NoJointSteel, StripSteel
from perpend.units import ON_MODULE_IN

_DEBONDED: Final = re.compile(r"\bde-?bond|\bunbonded\b|\bbond[ -]?breaker", re.IGNORECASE)
"""Words by which a drawing says that a bond beam is debonded at a joint."""

_WIRES: Final = "wire"
"""A choice whose name has this word is joint reinforcement, which bond beams do not stand for."""


_SPARSE = Rule(
    "reinforcement-too-sparse", "Bond beams are farther apart than their steel allows", by_joints=False
)
_LITTLE = Rule(
    "too-little-horizontal-steel",
    "A wall without joints lacks the horizontal steel it needs",
    by_joints=False,
)
_THROUGH = Rule(
    "reinforcement-through-joint", "Horizontal reinforcement runs through a joint", by_joints=False
)
_BONDED = Rule(
    "bond-beam-not-debonded",
    "A structural bond beam crosses a joint, debonding not shown",
    Severity.ADVISORY,
    by_joints=False,
)
_CUTS = Rule(
    "joint-in-wall-without-joints", "A wall that is built to go without joints has one", Severity.ADVISORY
)
RULES = (_SPARSE, _LITTLE, _THROUGH, _BONDED, _CUTS)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the bond beams that the drawing shows, and the steel of a wall without joints."""
    yield _sparse(wall)
    yield _too_little(wall)
    beams = wall.basis.wall.bond_beams
    yield _cut(wall)
    plain = [b for b in beams if not b.structural and not _goes_without(wall)]
    crossed = list(_crossings(wall, plain))
    bare = _NO_BEAMS if not beams else _WITHOUT if _goes_without(wall) else ""
    yield Verdict(
        _THROUGH.code,
        len(plain) * len(wall.tracks),
        tuple(_through(wall, b, t) for b, t in crossed),
        bare,
    )
    structural = [b for b in beams if b.structural]
    said = any(_DEBONDED.search(text) for text in wall.basis.wall.texts)
    crossings = list(_crossings(wall, structural))
    yield Verdict(
        _BONDED.code,
        len(crossings),
        () if said else tuple(_through(wall, b, t) for b, t in crossings),
    )


_WITHOUT = "steel of a wall without joints is continuous: its joints are reported instead"
_NO_BEAMS = "the drawing shows no bond beams, and joint reinforcement is not drawn on elevations"


def _crossings(wall: JudgedWall, beams: Sequence[BondBeam]) -> Iterator[tuple[BondBeam, Track]]:
    """Yield every beam with every joint that it runs past on both sides."""
    for beam in beams:
        y = beam.box.center[1]
        for track in wall.tracks:
            x = track.at_height(y, y)
            if beam.box.x0 < x - ON_MODULE_IN and x + ON_MODULE_IN < beam.box.x1:
                yield beam, track


def _row(wall: JudgedWall, row: str) -> Source | None:
    return next(iter(wall.basis.source_of(row)), wall.basis.reinforcement.source)


def _through(wall: JudgedWall, beam: BondBeam, track: Track) -> Finding:
    y = beam.box.center[1]
    x = track.at_height(y, y)
    if beam.structural:
        rule, kind, row = _BONDED, "structural bond beam", "reinforcement.structural"
        why = ", and no text of the wall says that it is debonded there"
    else:
        rule, kind, row, why = _THROUGH, "bond beam", "reinforcement.at-joint", "; it stops at a joint"
    return rule.finding(
        f"The {kind} {above_bottom(wall, x, y)} of {wall.tag} runs through the joint at {wall.at(x)}{why}.",
        wall=wall.tag,
        source=_row(wall, row),
        at=((x, y),),
        handle=beam.handle,
    )


def _sparse(wall: JudgedWall) -> Verdict:
    rule = _SPARSE.code
    need = wall.basis.reinforcement
    if need.required_in2_per_ft is None:
        return Verdict(rule, 0)
    beams = wall.basis.wall.bond_beams
    if not beams:
        return Verdict(rule, 0, untested_reason=_NO_BEAMS)
    choice = next((c for c in need.choices if c.name == need.chosen), None)
    if choice is None:
        why = "the settings name no horizontal reinforcement, so the steel in the bond beams is not known"
        return Verdict(rule, 0, untested_reason=why)
    if _WIRES in choice.name:
        why = f"the settings choose {choice.name}, which is not drawn on elevations"
        return Verdict(rule, 0, untested_reason=why)
    found = [f for panel in wall.panels for f in _gaps(wall, panel, beams, choice)]
    return Verdict(rule, len(wall.panels), tuple(found))


def _goes_without(wall: JudgedWall) -> bool:
    """Say whether a wall is built by a method that needs no joints."""
    return wall.basis.spacing.method == "no-joints"


def _cut(wall: JudgedWall) -> Verdict:
    """A joint cuts the continuous steel that a wall without joints rests on, unless a place asks for it."""
    rule = _CUTS.code
    if not _goes_without(wall):
        return Verdict(rule, 0)
    cutting = [track for track in wall.tracks if not wall.at_place(track)]
    return Verdict(rule, len(wall.tracks), tuple(_cuts(wall, track) for track in cutting))


def _cuts(wall: JudgedWall, track: Track) -> Finding:
    at = wall.at
    return _CUTS.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} is not needed, and it cuts the continuous steel and "
        "the bond beams by which the wall goes without joints.",
        wall=wall.tag,
        source=next(iter(wall.basis.spacing.sources), None),
        at=(track.middle(),),
        handle=track.handle,
        joints=track.numbers,
    )


def _too_little(wall: JudgedWall) -> Verdict:
    """A wall without joints needs its steel over every strip between jambs and changes of height."""
    rule, steel = _LITTLE.code, wall.basis.no_joint_steel
    if steel is None:
        return Verdict(rule, 0)
    lacking = tuple(_lacks(wall, steel, strip) for strip in steel.strips if not strip.enough)
    return Verdict(rule, len(steel.strips), lacking)


def _lacks(wall: JudgedWall, steel: NoJointSteel, strip: StripSteel) -> Finding:
    at = wall.at
    return _LITTLE.finding(
        f"{wall.tag} has {strip.provided_in2:.2f} in² of horizontal steel between {at(strip.x0_in)} and "
        f"{at(strip.x1_in)} where {strip.required_in2:.2f} in² is needed to go without joints.",
        wall=wall.tag,
        source=next(iter(steel.sources), None),
        at=(wall.spot((strip.x0_in + strip.x1_in) / 2),),
    )


def _gaps(
    wall: JudgedWall, panel: PanelSpan, beams: Sequence[BondBeam], choice: ReinforcementChoice
) -> Iterator[Finding]:
    """Report the greatest distance between bond beams half way along a panel, if it is too great."""
    at = wall.at
    x = (panel.x0_in + panel.x1_in) / 2
    low, high = max(wall.basis.wall.bottom.at(x)), min(wall.basis.wall.top.at(x))
    courses = sorted(b.box.center[1] for b in beams if b.box.x0 <= x <= b.box.x1)
    y0, y1 = max(itertools.pairwise([low, *courses, high]), key=lambda pair: pair[1] - pair[0])
    if over(y1 - y0, choice.max_spacing_in):
        yield _SPARSE.finding(
            f"The panel from {at(panel.x0_in)} to {at(panel.x1_in)} of {wall.tag} has no bond beam over a "
            f"height of {at(y1 - y0)}; {choice.name} may be {at(choice.max_spacing_in)} apart.",
            wall=wall.tag,
            measured_in=y1 - y0,
            limit_in=choice.max_spacing_in,
            source=choice.source,
            at=((x, (y0 + y1) / 2),),
        )
