"""Rules on the module: joints, jambs and the wall's length are on module lines."""

from __future__ import annotations

import math
from collections.abc import Iterator

from perpend.checks.measure.finding_places import head
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.keep_outs import clashes
from perpend.checks.measure.track_geometry import Track
from perpend.checks.measure.tracks import SIDES, jamb
from perpend.checks.measure.trial_joint import beside_bare_place
from perpend.checks.rules.joints_too_close import close_pairs
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule, Severity
from perpend.model import Source
from perpend.units import ON_MODULE_IN, off_module, same

_JOINT = Rule(
    "joint-off-module", "A joint is off the half-unit module", Severity.ADVISORY, mark=Extent.STATION
)
_OPENING = Rule(
    "opening-off-module", "A jamb is off the half-unit module", Severity.ADVISORY, by_joints=False
)
_WALL = Rule(
    "wall-off-module",
    "The wall's length is off the half-unit module",
    Severity.ADVISORY,
    mark=Extent.STATION,
    by_joints=False,
)
RULES = (_JOINT, _OPENING, _WALL)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge joints, jambs and the wall's length against the module.

    A joint that has to go for another reason, or that steps or leans aside, is reported by that rule only.
    """
    at = wall.at
    basis = wall.basis
    source = wall.basis.first_source("module.half-unit")
    asked = basis.corner_stations_in
    displaced = {clash.track.numbers for clash in clashes(wall)}
    displaced |= {pair.goes.numbers for pair in close_pairs(wall) if pair.goes is not None}
    displaced |= {track.numbers for track in wall.tracks if beside_bare_place(wall, track)}
    plain = [
        t
        for t in wall.tracks
        if wall.idle(t)
        and not any(piece.is_step for piece in t.pieces)
        and t.numbers not in displaced
        and not any(same(t.foot_x, x, ON_MODULE_IN) for x in asked)
    ]
    yield Verdict(_JOINT.code, len(plain), tuple(_joints_off(wall, plain, source)))
    yield Verdict(_OPENING.code, 2 * len(basis.openings), tuple(_jambs_off(wall, source)))
    off = off_module(basis.wall.length_in, basis.module_in)
    found: tuple[Finding, ...] = ()
    if off:
        length = basis.wall.length_in
        found = (
            _WALL.finding(
                f"{wall.tag} is {at(length)} long, {at(off)} off the {at(basis.module_in)} module.",
                wall=wall.tag,
                measured_in=off,
                limit_in=0.0,
                source=source,
                at=(wall.spot(length),),
                handle=basis.wall.handle,
            ),
        )
    yield Verdict(_WALL.code, 1, found)


def _joints_off(wall: JudgedWall, tracks: list[Track], source: Source | None) -> Iterator[Finding]:
    at = wall.at
    module, origin = wall.basis.module_in, wall.basis.bond_origin_in
    for track in tracks:
        off = _off(track, module, origin)
        if off:
            yield _JOINT.finding(
                f"The joint at {at(track.foot_x)} of {wall.tag} is {at(off)} off the {at(module)} module.",
                wall=wall.tag,
                measured_in=off,
                limit_in=0.0,
                source=source,
                at=(track.middle(),),
                handle=track.handle,
                joints=track.numbers,
            )


def _off(track: Track, module: float, origin: float) -> float:
    """Return how far a joint is from the module; 0 where its width or its lean covers a module line."""
    for leg in track.legs:
        between = math.floor((leg.high - origin) / module) > math.floor((leg.low - origin) / module)
        if between or any(off_module(x, module, origin) == 0.0 for x in (leg.low, leg.high)):
            return 0.0
    return off_module(track.foot_x, module, origin)


def _jambs_off(wall: JudgedWall, source: Source | None) -> Iterator[Finding]:
    at = wall.at
    module, origin = wall.basis.module_in, wall.basis.bond_origin_in
    for rule in wall.basis.openings:
        for side in SIDES:
            station = jamb(rule, side)
            off = off_module(station, module, origin)
            if off:
                yield _OPENING.finding(
                    f"The {side} jamb of {rule.opening.tag} in {wall.tag} is at {at(station)}, {at(off)} "
                    f"off the {at(module)} module.",
                    wall=wall.tag,
                    measured_in=off,
                    limit_in=0.0,
                    source=source,
                    at=(head(rule)[side == "right"],),
                    handle=rule.opening.handle,
                    opening=rule.opening.tag,
                )
