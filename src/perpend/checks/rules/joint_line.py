"""Rules on how joints are drawn: whole, once, on the module, with their type named."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from perpend.checks.candidate_stations import straightened, upright_station
from perpend.checks.joint_cures import draw_whole, move_to_module, part
from perpend.checks.measure.joint_assignment import place_for_joint
from perpend.checks.measure.judged_wall import JudgedWall, Repeat
from perpend.checks.measure.keep_outs import clashes
from perpend.checks.measure.slip_planes import planes_in
from perpend.checks.measure.track_geometry import Leg, Piece, Track
from perpend.checks.measure.tracks import SIDES, away, jamb
from perpend.checks.measure.wording import above_bottom, head
from perpend.checks.rules.joints_too_close import close_pairs
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Severity, finding
from perpend.model import Point, Source
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN, off_module, same

_MOST_GAPS: Final = 3
"""Gaps in one joint that a sentence lists, the longest first; the others are counted."""


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the drafting of a wall's joints.

    A joint that an opening does not let stand, that another one crowds, or that steps or leans aside, is told
    to go by that rule; the module says nothing of it.
    """
    yield _whole(wall)
    yield _not_past(wall)
    yield _plumb(wall)
    yield _once(wall)
    yield from _on_module(wall)
    yield _typed(wall)


def _whole(wall: JudgedWall) -> Verdict:
    """Joints at the ends are let be: they need only be as high as the lower of the two walls there."""
    found, misplaced = [], set()
    inner = [track for track in wall.counted if not wall.at_end(track)]
    for track in inner:
        fault = _stops_short(wall, track)
        if fault is not None:
            found.append(fault)
            misplaced |= set(track.numbers)
    return Verdict("joint-stops-short", len(inner), tuple(found), misplaced=frozenset(misplaced))


def _stops_short(wall: JudgedWall, track: Track) -> Finding | None:
    """Report the pieces of a joint that are missing, if one is more than a drafting gap."""
    at, meant = wall.at, straightened(wall, track) or track
    pieces: list[tuple[float, str, Point]] = [
        (track.foot[1] - meant.floor_in, "above the bottom of the wall", track.foot),
        (meant.crown_in - track.head[1], "below the top of the wall", track.head),
    ]
    pieces += [
        (_masonry_in(wall, p), "before it goes on", (p.x0, p.y0))
        for p in track.pieces
        if not p.drawn and not p.is_step
    ]
    missing = sorted((piece for piece in pieces if piece[0] > GAP_IN), key=lambda m: -m[0])
    if not missing:
        return None
    stops = " and ".join(f"{at(length)} {where}" for length, where, _ in missing[:_MOST_GAPS])
    more = len(missing) - _MOST_GAPS
    stops += f", and at {more} more place{'s' if more > 1 else ''}" if more > 0 else ""
    return finding(
        "joint-stops-short",
        f"The joint at {at(track.foot_x)} of {wall.tag} stops {stops}.",
        wall=wall.tag,
        measured_in=missing[0][0],
        limit_in=0.0,
        source=_row(wall, "opening.slip-plane", "place.vertical-only"),
        at=(missing[0][2],),
        cure=next((pair.cure for pair in close_pairs(wall) if pair.goes is track), "")
        or draw_whole(wall, track),
        handle=track.handle,
    )


def _not_past(wall: JudgedWall) -> Verdict:
    """The line of a joint may go on a drafting gap past the wall, no more."""
    found = [_runs_past(wall, track) for track in wall.counted if max(track.past_in) > GAP_IN]
    return Verdict("joint-runs-past", len(wall.every), tuple(found))


def _runs_past(wall: JudgedWall, track: Track) -> Finding:
    at = wall.at
    below, above = track.past_in
    farther, where = (above, "above the top") if above >= below else (below, "below the bottom")
    lesser = min(below, above)
    also = f", and {at(lesser)} {'below the bottom' if above >= below else 'above the top'}"
    return finding(
        "joint-runs-past",
        f"The joint at {at(track.foot_x)} of {wall.tag} is drawn on {at(farther)} {where} of the wall"
        f"{also if lesser > GAP_IN else ''}.",
        wall=wall.tag,
        measured_in=farther,
        limit_in=0.0,
        source=_row(wall, "joint.whole"),
        at=(track.head if above >= below else track.foot,),
        cure="End its line at the wall's bottom and top, or show there which wall it goes on into.",
        handle=track.handle,
    )


def _plumb(wall: JudgedWall) -> Verdict:
    """A leg that leans a little was measured as upright: that is said of it, and no more."""
    found = tuple(_leaning(wall, track, leg) for track in wall.counted for leg in track.legs if leg.lean_in)
    return Verdict("joint-out-of-plumb", len(wall.every), found)


def _leaning(wall: JudgedWall, track: Track, leg: Leg) -> Finding:
    at = wall.at
    y = (leg.y0 + leg.y1) / 2
    x = track.at_height(y, y)
    measured = f"it is measured as upright at {at(x)}" if leg.at is not None else "it is measured as drawn"
    station = leg.at if leg.at is not None else _station_of(wall, track, leg)
    over, what = "over its height", "it"
    if any(piece.is_step for piece in track.pieces):
        over = f"from {at(leg.y0 - track.floor_in)} to {above_bottom(wall, x, leg.y1)}"
        what = "that part"
    return finding(
        "joint-out-of-plumb",
        f"The joint at {at(track.foot_x)} of {wall.tag} leans by {at(leg.lean_in)} {over}; {measured}.",
        wall=wall.tag,
        measured_in=leg.lean_in,
        limit_in=0.0,
        source=_row(wall, "place.vertical-only", "joint.whole"),
        at=((x, y),),
        cure=f"Draw {what} upright at {at(station)}.",
        handle=track.handle,
    )


def _station_of(wall: JudgedWall, track: Track, leg: Leg) -> float:
    """Return where a leg that covers no line is drawn upright: one on a slip plane at the lintel's end."""
    if leg.y0 <= track.foot[1] + SAME_IN:
        return upright_station(wall, track)
    ends = (
        jamb(plane.rule, plane.side) + away(plane.side) * plane.wanted_in
        for plane in planes_in(wall, track)
        if same(plane.piece.y1, leg.y0, ON_MODULE_IN)
    )
    return next(ends, track.at_height(leg.y0 + SAME_IN, leg.y0))


def _masonry_in(wall: JudgedWall, gap: Piece) -> float:
    """Return how much of a gap in a joint is masonry and not an opening."""
    hollow = 0.0
    for rule in wall.basis.openings:
        box = rule.opening.box
        if box.x0 - SAME_IN <= gap.x0 <= box.x1 + SAME_IN:
            hollow += max(0.0, min(gap.y1, box.y1) - max(gap.y0, box.y0))
    return gap.rise - hollow


def _row(wall: JudgedWall, *rows: str) -> Source | None:
    return next((source for row in rows for source in wall.basis.source_of(row)), None)


def _once(wall: JudgedWall) -> Verdict:
    return Verdict(
        "joint-doubled",
        len(wall.every),
        tuple(_doubled(wall, repeat) for repeat in wall.repeats),
        misplaced=frozenset(n for r in wall.repeats for n in r.extra.numbers),
    )


def _doubled(wall: JudgedWall, repeat: Repeat) -> Finding:
    at = wall.at
    here, other = at(repeat.extra.foot_x), at(repeat.kept.foot_x)
    if here == other:
        here, other = (f"{here}{_by_handle(track)}" for track in (repeat.extra, repeat.kept))
    what = "meets" if repeat.crossing else "repeats"
    apart = "" if repeat.crossing else f", {at(repeat.apart_in)} apart"
    return finding(
        "joint-doubled",
        f"The joint at {here} of {wall.tag} {what} the joint at {other}{apart}.",
        wall=wall.tag,
        measured_in=repeat.apart_in,
        limit_in=None,
        source=_row(wall, "place.vertical-only"),
        at=(repeat.extra.middle(),),
        cure=part(wall, repeat) if repeat.both_stay else f"Leave out the joint at {here}{_which(repeat)}.",
        handle=repeat.extra.handle,
    )


def _by_handle(track: Track) -> str:
    return f" (handle {track.handle})" if track.handle else ""


def _which(repeat: Repeat) -> str:
    """Say which of two joints goes, where a station does not tell."""
    kept, extra = repeat.kept, repeat.extra
    if not same(kept.foot_x, extra.foot_x) or (kept.lo < kept.hi) == (extra.lo < extra.hi):
        return ""
    return " that steps aside" if extra.lo < extra.hi else " that runs straight up"


def _on_module(wall: JudgedWall) -> Iterator[Verdict]:
    at = wall.at
    basis = wall.basis
    source = _row(wall, "module.half-unit")
    asked = basis.corner_stations_in
    displaced = {clash.track.numbers for clash in clashes(wall)}
    displaced |= {pair.goes.numbers for pair in close_pairs(wall) if pair.goes is not None}
    displaced |= {track.numbers for track in wall.tracks if place_for_joint(wall, track) is not None}
    plain = [
        t
        for t in wall.tracks
        if wall.idle(t)
        and not any(piece.is_step for piece in t.pieces)
        and t.numbers not in displaced
        and not any(same(t.foot_x, x, ON_MODULE_IN) for x in asked)
    ]
    yield Verdict("joint-off-module", len(plain), tuple(_joints_off(wall, plain, source)))
    yield Verdict("opening-off-module", 2 * len(basis.openings), tuple(_jambs_off(wall, source)))
    off = off_module(basis.wall.length_in, basis.module_in)
    found: tuple[Finding, ...] = ()
    if off:
        length = basis.wall.length_in
        found = (
            finding(
                "wall-off-module",
                f"{wall.tag} is {at(length)} long, {at(off)} off the {at(basis.module_in)} module.",
                wall=wall.tag,
                measured_in=off,
                limit_in=0.0,
                source=source,
                at=(wall.spot(length),),
                cure=f"Make it {at(_nearest_line(length, basis.module_in, 0.0))} long, or show the cut unit.",
                handle=basis.wall.handle,
            ),
        )
    yield Verdict("wall-off-module", 1, found)


def _nearest_line(station: float, module: float, origin: float) -> float:
    return origin + round((station - origin) / module) * module


def _joints_off(wall: JudgedWall, tracks: list[Track], source: Source | None) -> Iterator[Finding]:
    at = wall.at
    module, origin = wall.basis.module_in, wall.basis.bond_origin_in
    for track in tracks:
        off = _off(track, module, origin)
        if off:
            yield finding(
                "joint-off-module",
                f"The joint at {at(track.foot_x)} of {wall.tag} is {at(off)} off the {at(module)} module.",
                wall=wall.tag,
                measured_in=off,
                limit_in=0.0,
                source=source,
                at=(track.middle(),),
                cure=move_to_module(wall, track)
                or "Show the cut units beside it: no module line near is free.",
                handle=track.handle,
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
                line = _nearest_line(station, module, origin)
                yield finding(
                    "opening-off-module",
                    f"The {side} jamb of {rule.opening.tag} in {wall.tag} stands at {at(station)}, {at(off)} "
                    f"off the {at(module)} module.",
                    wall=wall.tag,
                    measured_in=off,
                    limit_in=0.0,
                    source=source,
                    at=(head(rule)[side == "right"],),
                    cure=f"Move the jamb to {at(line)}, or show the cut units.",
                    handle=rule.opening.handle,
                    opening=rule.opening.tag,
                )


def _typed(wall: JudgedWall) -> Verdict:
    """The drawings must show the type of every joint: once named, it counts for all."""
    if not wall.every:
        return Verdict("joint-type-missing", 0)
    untyped = [t for t in wall.every if t.joint_type is None]
    none_at_all = wall.basis.joint_type is None
    source = _row(wall, "joint.shown")
    assumed = source is not None and not none_at_all and not wall.basis.joint_type_named
    bare = [t for t in untyped if none_at_all or (assumed and t.existing)]
    if not bare:
        return Verdict("joint-type-missing", len(wall.every))
    used = "" if none_at_all else f"; the usual one ({wall.basis.joint_type_name}) was assumed"
    found = finding(
        "joint-type-missing",
        f"No joint type is named for {len(bare)} of the {len(wall.every)} joints of {wall.tag}{used}.",
        wall=wall.tag,
        source=source or _row(wall, "joint.named"),
        at=(bare[0].middle(),),
        cure="Name the joint type in the settings (joint_type) and on the drawing.",
        handle=bare[0].handle,
        severity=None if none_at_all else Severity.ADVISORY,
    )
    return Verdict("joint-type-missing", len(wall.every), (found,))
