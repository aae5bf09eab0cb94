"""Rules on how joints are drawn: whole, within the wall, upright, once."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from perpend.checks.measure.finding_places import above_bottom
from perpend.checks.measure.judged_wall import JudgedWall, Repeat
from perpend.checks.measure.track_geometry import Leg, Piece, Track
from perpend.checks.measure.trial_joint import meant_upright
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule, Severity, WaiverMeaning
from perpend.model import Point
from perpend.units import GAP_IN, SAME_IN

_MOST_GAPS: Final = 3
"""Gaps in one joint that a sentence lists, the longest first; the others are counted."""
_STOPS = Rule("joint-stops-short", "A joint does not run from the bottom of the wall to its top")
_DOUBLED = Rule(
    "joint-doubled", "Two joints are on one line, or meet", mark=Extent.STATION, waiver=WaiverMeaning.TWIN
)
_PAST = Rule("joint-runs-past", "The line of a joint goes on past the wall", Severity.ADVISORY)
_LEANS = Rule("joint-out-of-plumb", "A joint leans no more than drafting allows", Severity.ADVISORY)
RULES = (_STOPS, _DOUBLED, _PAST, _LEANS)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the drafting of a wall's joints."""
    yield _whole(wall)
    yield _not_past(wall)
    yield _plumb(wall)
    yield _once(wall)


def _whole(wall: JudgedWall) -> Verdict:
    """Joints at the ends are let be: they need only be as high as the lower of the two walls there."""
    found, misplaced = [], set()
    inner = [track for track in wall.counted if not wall.at_end(track)]
    for track in inner:
        fault = _stops_short(wall, track)
        if fault is not None:
            found.append(fault)
            misplaced |= set(track.numbers)
    return Verdict(_STOPS.code, len(inner), tuple(found), misplaced=frozenset(misplaced))


def _stops_short(wall: JudgedWall, track: Track) -> Finding | None:
    """Report the pieces of a joint that are missing, if one is more than a drafting gap."""
    at, meant = wall.at, meant_upright(wall, track)
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
    return _STOPS.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} stops {stops}.",
        wall=wall.tag,
        measured_in=missing[0][0],
        limit_in=0.0,
        source=wall.basis.first_source("opening.slip-plane", "place.vertical-only"),
        at=(missing[0][2],),
        handle=track.handle,
        joints=track.numbers,
    )


def _not_past(wall: JudgedWall) -> Verdict:
    """The line of a joint may go on a drafting gap past the wall, no more."""
    found = [_runs_past(wall, track) for track in wall.counted if max(track.past_in) > GAP_IN]
    return Verdict(_PAST.code, len(wall.every), tuple(found))


def _runs_past(wall: JudgedWall, track: Track) -> Finding:
    at = wall.at
    below, above = track.past_in
    farther, where = (above, "above the top") if above >= below else (below, "below the bottom")
    lesser = min(below, above)
    also = f", and {at(lesser)} {'below the bottom' if above >= below else 'above the top'}"
    return _PAST.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} is drawn on {at(farther)} {where} of the wall"
        f"{also if lesser > GAP_IN else ''}.",
        wall=wall.tag,
        measured_in=farther,
        limit_in=0.0,
        source=wall.basis.first_source("joint.whole"),
        at=(track.head if above >= below else track.foot,),
        handle=track.handle,
        joints=track.numbers,
    )


def _plumb(wall: JudgedWall) -> Verdict:
    """A leg that leans a little was measured as upright: that is said of it, and no more."""
    found = tuple(_leaning(wall, track, leg) for track in wall.counted for leg in track.legs if leg.lean_in)
    return Verdict(_LEANS.code, len(wall.every), found)


def _leaning(wall: JudgedWall, track: Track, leg: Leg) -> Finding:
    at = wall.at
    y = (leg.y0 + leg.y1) / 2
    x = track.at_height(y, y)
    measured = f"it is measured as upright at {at(x)}" if leg.at is not None else "it is measured as drawn"
    over = "over its height"
    if any(piece.is_step for piece in track.pieces):
        over = f"from {at(leg.y0 - track.floor_in)} to {above_bottom(wall, x, leg.y1)}"
    return _LEANS.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} leans by {at(leg.lean_in)} {over}; {measured}.",
        wall=wall.tag,
        measured_in=leg.lean_in,
        limit_in=0.0,
        source=wall.basis.first_source("place.vertical-only", "joint.whole"),
        at=((x, y),),
        handle=track.handle,
        joints=track.numbers,
    )


def _masonry_in(wall: JudgedWall, gap: Piece) -> float:
    """Return how much of a gap in a joint is masonry and not an opening."""
    hollow = 0.0
    for rule in wall.basis.openings:
        box = rule.opening.box
        if box.x0 - SAME_IN <= gap.x0 <= box.x1 + SAME_IN:
            hollow += max(0.0, min(gap.y1, box.y1) - max(gap.y0, box.y0))
    return gap.rise - hollow


def _once(wall: JudgedWall) -> Verdict:
    return Verdict(
        _DOUBLED.code,
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
    return _DOUBLED.finding(
        f"The joint at {here} of {wall.tag} {what} the joint at {other}{apart}.",
        wall=wall.tag,
        measured_in=repeat.apart_in,
        limit_in=None,
        source=wall.basis.first_source("place.vertical-only"),
        at=(repeat.extra.middle(),),
        handle=repeat.extra.handle,
        joints=repeat.extra.numbers,
    )


def _by_handle(track: Track) -> str:
    return f" (handle {track.handle})" if track.handle else ""
