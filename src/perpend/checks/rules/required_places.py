"""Rules on places where the wall itself asks for a joint."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.asked_places import height_changes, marked_places
from perpend.checks.measure.judged_wall import JudgedWall, stands_at
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule, WaiverMeaning
from perpend.model import EndCondition, Place, PlaceKind
from perpend.rulebook.judgment import PlaceRule
from perpend.units import ON_MODULE_IN, SAME_IN

_TITLES = {
    PlaceKind.HEIGHT_CHANGE: "The wall changes height without a joint",
    PlaceKind.THICKNESS_CHANGE: "The wall changes thickness without a joint",
    PlaceKind.PILASTER: "A pilaster has no joint",
    PlaceKind.INTERSECTION: "An intersecting wall has no joint",
    PlaceKind.FOUNDATION_JOINT: "A movement joint of the foundation goes on without one",
    PlaceKind.EXPANSION_JOINT: "An expansion joint of the building goes on without a joint",
    PlaceKind.ADJOINING_WALL: "Two walls that adjoin have no joint between them",
}
_BY_KIND = {
    kind: Rule(f"no-joint-at-{kind}", title, mark=Extent.STATION, waiver=WaiverMeaning.PLACE)
    for kind, title in _TITLES.items()
}
RULES = tuple(_BY_KIND.values())

_MARKED = {
    PlaceKind.THICKNESS_CHANGE: "changes of thickness",
    PlaceKind.PILASTER: "pilasters",
    PlaceKind.INTERSECTION: "intersecting walls",
    PlaceKind.FOUNDATION_JOINT: "movement joints of the foundation",
    PlaceKind.EXPANSION_JOINT: "expansion joints of the building",
}
"""Kinds of place that an elevation shows only where a layer marks them."""

WHAT = {
    PlaceKind.HEIGHT_CHANGE: "changes height",
    PlaceKind.THICKNESS_CHANGE: "changes thickness",
    PlaceKind.PILASTER: "has a pilaster",
    PlaceKind.INTERSECTION: "meets another wall",
    PlaceKind.FOUNDATION_JOINT: "is over a movement joint of the foundation",
    PlaceKind.EXPANSION_JOINT: "has an expansion joint of the building",
    PlaceKind.ADJOINING_WALL: "adjoins another wall",
}
"""What a wall does at a place of each kind, in words."""


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge the places that need a joint."""
    length = wall.basis.wall.length_in
    steps = [p for p in height_changes(wall.basis) if ON_MODULE_IN < p.x_in < length - ON_MODULE_IN]
    places = [PlaceRule(p, (p.x_in,)) for p in steps] + list(marked_places(wall.basis))
    for kind in (PlaceKind.HEIGHT_CHANGE, *_MARKED):
        here = [p for p in places if p.place.kind is kind]
        bare = tuple(_bare(wall, p.place) for p in here if not _has_joint(wall, p))
        untested = f"the drawing marks no {_MARKED[kind]}" if kind in _MARKED and not here else ""
        yield Verdict(_BY_KIND[kind].code, len(here), bare, untested)
    yield _adjoining(wall)


def _has_joint(wall: JudgedWall, rule: PlaceRule) -> bool:
    """Say whether a joint is at a station of a place, or between two of them: that one is told by itself."""
    first, last = rule.stations_in[0], rule.stations_in[-1]
    if any(first + SAME_IN < track.lo and track.hi < last - SAME_IN for track in wall.tracks):
        return True
    return any(stands_at(wall.basis, track, x) for x in rule.stations_in for track in wall.feet.beside(x))


def _adjoining(wall: JudgedWall) -> Verdict:
    """The joint between two walls is drawn once: it belongs to the wall on its left."""
    rule = _BY_KIND[PlaceKind.ADJOINING_WALL].code
    if wall.basis.right_end is not EndCondition.JOINT:
        return Verdict(rule, 0)
    if "right" in wall.ends:
        return Verdict(rule, 1)
    return Verdict(rule, 1, (_bare(wall, Place(wall.basis.wall.length_in, PlaceKind.ADJOINING_WALL)),))


def _bare(wall: JudgedWall, place: Place) -> Finding:
    at = wall.at
    stations = [t.foot_x for t in wall.tracks]
    nearest = min((abs(x - place.x_in) for x in stations), default=None)
    has = "no joint is near" if nearest is None else f"the nearest joint is {at(nearest)} away"
    if nearest is not None and nearest <= ON_MODULE_IN:
        here = next(t for t in wall.tracks if abs(t.foot_x - place.x_in) <= ON_MODULE_IN)
        does = "steps aside and does not run" if here.lo < here.hi else "does not run"
        has, nearest = f"the joint there {does} the full height of the wall", None
    return _BY_KIND[place.kind].finding(
        f"{wall.tag} {WHAT[place.kind]} at {at(place.x_in)} without a joint: {has}.",
        wall=wall.tag,
        measured_in=nearest,
        limit_in=None if nearest is None else 0.0,
        source=next(iter(wall.basis.source_of(place.kind)), None),
        at=(wall.spot(place.x_in),),
        handle=place.handle,
    )
