"""The rule on joints that slipped: drawn a little off the station where the wall asks for them.

Such a joint is measured where it was meant to stand (`perpend.checks.measure.snapping`), so that one slip is
reported once.
"""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.finding_places import opening_source
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.required_stations import AskedStation, asked_stations
from perpend.checks.measure.track_geometry import Leg, Track
from perpend.checks.rules.required_places import WHAT
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule
from perpend.model import PlaceKind, Source
from perpend.units import same

RULE = Rule("joint-off-place", "A joint slipped off the station where the wall requires it")
RULES = (RULE,)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge how near every joint stands to the station that asks for it."""
    asked = tuple(asked_stations(wall.basis))
    tested = [(t, leg, place) for t in wall.every for leg in t.legs if (place := _of(asked, leg)) is not None]
    slipped = [(t, leg, place) for t, leg, place in tested if leg.off_in and not _of_the_wall_before(place)]
    yield Verdict(
        RULE.code,
        len(tested),
        tuple(_off(wall, *slip) for slip in slipped),
        misplaced=frozenset(n for track, _, _ in slipped for n in track.numbers),
    )


def _of(asked: tuple[AskedStation, ...], leg: Leg) -> AskedStation | None:
    """Return the station where a leg was meant to stand, or None where nothing asks for it."""
    return next((a for a in asked if leg.at is not None and same(a.x_in, leg.at)), None)


def _of_the_wall_before(asked: AskedStation) -> bool:
    """Say whether a joint is that of the wall to the left: one between two walls is told there."""
    return asked.x_in == 0.0


def _off(wall: JudgedWall, track: Track, leg: Leg, asked: AskedStation) -> Finding:
    at = wall.at
    off = leg.off_in
    drawn = at(asked.x_in + off)
    y = (leg.y0 + leg.y1) / 2
    return RULE.finding(
        f"The joint at {drawn} of {wall.tag} is {at(abs(off))} off {_named(wall, asked)}.",
        wall=wall.tag,
        measured_in=abs(off),
        limit_in=0.0,
        source=_source(wall, asked),
        at=((asked.x_in + off, y),),
        handle=track.handle,
        joints=track.numbers,
        opening=asked.rule.opening.tag if asked.rule else "",
    )


def _named(wall: JudgedWall, asked: AskedStation) -> str:
    """Name a station by what asks for a joint there."""
    if asked.rule is not None:
        return f"the {asked.side} jamb of {asked.rule.opening.tag}"
    kind = PlaceKind.ADJOINING_WALL if asked.place is None else asked.place.kind
    return f"{wall.at(asked.x_in)}, where {wall.tag} {WHAT[kind]}"


def _source(wall: JudgedWall, asked: AskedStation) -> Source | None:
    if asked.rule is not None:
        return opening_source(asked.rule, "opening.unreinforced")
    return next(iter(wall.basis.source_of(asked.place.kind)), None) if asked.place else None
