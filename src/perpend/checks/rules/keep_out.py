"""Rules on joints that stand where they must not: through an opening, through a lintel, too near."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.finding_places import opening_source
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.keep_outs import Clash, clashes, end_clashes, ends_with_joint
from perpend.checks.measure.track_geometry import Track
from perpend.checks.measure.tracks import stands_at_a_jamb
from perpend.checks.verdicts import Verdict
from perpend.findings import Extent, Finding, Rule
from perpend.model import OpeningRule, Side, Source, Treatment

_NEAR = Rule(
    "joint-in-keep-out", "A joint is nearer to an opening than its treatment allows", mark=Extent.STATION
)
_OPENING = Rule("joint-through-opening", "A joint runs through an opening", mark=Extent.STATION)
_LINTEL = Rule("joint-through-lintel", "A joint runs through a lintel")
RULES = (_NEAR, _OPENING, _LINTEL)
_TELL_ORDER = ("joint-through-opening", "joint-through-lintel", "joint-in-keep-out")


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every joint against every opening; the worst fault of a pair is the one reported."""
    found: dict[str, list[Finding]] = {rule: [] for rule in _TELL_ORDER}
    misplaced: dict[str, set[int]] = {rule: set() for rule in _TELL_ORDER}
    openings, joints = wall.basis.openings, len(wall.tracks)
    tested = {
        "joint-through-opening": joints * len(openings),
        "joint-through-lintel": joints * sum(rule.lintel is not None for rule in openings),
        "joint-in-keep-out": joints * sum(rule.keeps_clear for rule in openings),
    }
    tell = {
        "joint-through-opening": _through_opening,
        "joint-through-lintel": _through_lintel,
        "joint-in-keep-out": _in_keep_out,
    }
    for clash in clashes(wall):
        found[clash.kind].append(tell[clash.kind](wall, clash))
        misplaced[clash.kind] |= set(clash.track.numbers)
    tested["joint-in-keep-out"] += len(ends_with_joint(wall)) * sum(rule.bars_jambs for rule in openings)
    found["joint-in-keep-out"] += [_end_in_keep_out(wall, *clash) for clash in end_clashes(wall)]
    for rule in _TELL_ORDER:
        yield Verdict(rule, tested[rule], tuple(found[rule]), misplaced=frozenset(misplaced[rule]))


def _distance_source(rule: OpeningRule) -> Source | None:
    """Return what says how far joints keep from an opening."""
    if rule.bars_jambs:
        return opening_source(rule, "opening.arched", "opening.reinforced")
    return next((source for source in rule.sources if source.row.endswith("#clear")), opening_source(rule))


def _end_in_keep_out(wall: JudgedWall, side: Side, index: int, distance: float) -> Finding:
    at, rule = wall.at, wall.basis.openings[index]
    tag = rule.opening.tag
    kind = "arched" if rule.opening.arched else rule.treatment.value
    return _NEAR.finding(
        f"The joint at the {side} end of {wall.tag} is {at(distance)} from the jamb of {tag} ({kind}); "
        f"{at(rule.clear_in)} min. required.",
        wall=wall.tag,
        measured_in=distance,
        limit_in=rule.clear_in,
        source=_distance_source(rule),
        at=(wall.spot(0.0 if side == "left" else wall.basis.wall.length_in),),
        opening=tag,
    )


def _where_joints_stand(wall: JudgedWall, rule: OpeningRule) -> Source | None:
    """Return the row that says where joints stand at an opening treated like this one."""
    reinforced = rule.treatment is Treatment.REINFORCED
    rows = ("opening.reinforced",) if reinforced else ("opening.unreinforced", "opening.slip-plane")
    known = (source for row in (*rows, "place.vertical-only") for source in wall.basis.source_of(row))
    return next(known, None)


def _through_opening(wall: JudgedWall, clash: Clash) -> Finding:
    at, track, rule = wall.at, clash.track, wall.basis.openings[clash.index]
    box = rule.opening.box
    return _OPENING.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} runs through {rule.opening.tag} "
        f"({at(box.x0)} to {at(box.x1)}).",
        wall=wall.tag,
        source=_where_joints_stand(wall, rule),
        at=((min(max(track.foot_x, box.x0), box.x1), box.center[1]),),
        handle=track.handle,
        joints=track.numbers,
        opening=rule.opening.tag,
    )


def _through_lintel(wall: JudgedWall, clash: Clash) -> Finding:
    at, track, rule = wall.at, clash.track, wall.basis.openings[clash.index]
    assert rule.lintel is not None, "an opening without a lintel has none to run through"
    box = rule.lintel.box
    middle = (box.y0 + box.y1) / 2
    station = track.at_height(middle, middle)
    row = "opening.reinforced" if rule.treatment is Treatment.REINFORCED else "opening.slip-plane"
    return _LINTEL.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} runs through the lintel of {rule.opening.tag}, which "
        f"lies from {at(box.x0)} to {at(box.x1)}{_assumed(track, rule)}.",
        wall=wall.tag,
        measured_in=min(station - box.x0, box.x1 - station),
        limit_in=0.0,
        source=next(iter(wall.basis.source_of(row)), None) or _where_joints_stand(wall, rule),
        at=((station, middle),),
        handle=track.handle,
        joints=track.numbers,
        opening=rule.opening.tag,
    )


def _assumed(track: Track, rule: OpeningRule) -> str:
    """Say how an opening came to its treatment, where a jamb joint shows that another one may be meant."""
    if rule.treatment_of == "opening" or rule.treatment is not Treatment.REINFORCED:
        return ""
    by = "by default" if rule.treatment_of == "none" else "by the setting openings"
    return f"; {rule.opening.tag} counts as reinforced {by}" if stands_at_a_jamb(track, rule) else ""


def _in_keep_out(wall: JudgedWall, clash: Clash) -> Finding:
    at, track, rule = wall.at, clash.track, wall.basis.openings[clash.index]
    distance = max(clash.distance_in, 0.0)
    kind = "arched" if rule.opening.arched else rule.treatment.value
    clear = at(rule.clear_in)
    required = f"{clear} min. required" if rule.bars_jambs else f"it may be at the jamb, or {clear} away"
    return _NEAR.finding(
        f"The joint at {at(track.foot_x)} of {wall.tag} is {at(distance)} from the jamb of "
        f"{rule.opening.tag} ({kind}); {required}{_assumed(track, rule)}.",
        wall=wall.tag,
        measured_in=distance,
        limit_in=rule.clear_in,
        source=_distance_source(rule),
        at=(track.middle(),),
        handle=track.handle,
        joints=track.numbers,
        opening=rule.opening.tag,
    )
