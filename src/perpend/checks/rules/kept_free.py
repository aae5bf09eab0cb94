"""Rules on parts of a wall that joints keep out of: pilasters, bearings, marked zones, bonded walls."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import Track
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule
from perpend.rulebook.judgment import KeepOut
from perpend.units import SAME_IN

_TITLES = {
    "joint-through-pilaster": "A joint runs through a pilaster",
    "joint-under-bearing": "A joint is under a bearing, or too near to one",
    "joint-in-no-joint-zone": "A joint is in a part of the wall that is kept free of joints",
    "joint-at-bonded-wall": "A joint is at a bonded intersecting wall",
}
_BY_CODE = {code: Rule(code, title, mark=Extent.STATION) for code, title in _TITLES.items()}
RULES = tuple(_BY_CODE.values())


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every joint against every part of the wall that is kept free."""
    for code in _BY_CODE:
        parts = [part for part in wall.basis.keep_outs if part.code == code]
        inside = [(track, part) for part in parts for track in wall.tracks if _enters(track, part)]
        yield Verdict(
            code,
            len(parts) * len(wall.tracks),
            tuple(_found(wall, track, part) for track, part in inside),
            misplaced=frozenset(n for track, _ in inside for n in track.numbers),
        )


def _enters(track: Track, part: KeepOut) -> bool:
    return track.lo < part.x1_in - SAME_IN and track.hi > part.x0_in + SAME_IN


def _found(wall: JudgedWall, track: Track, part: KeepOut) -> Finding:
    at = wall.at
    return _BY_CODE[part.code].finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} is between {at(part.x0_in)} and {at(part.x1_in)}, "
        f"where {part.what} permits none.",
        wall=wall.tag,
        measured_in=min(track.hi - part.x0_in, part.x1_in - track.lo),
        limit_in=0.0,
        source=part.source,
        at=(track.middle(),),
        handle=track.handle,
        joints=track.numbers,
    )
