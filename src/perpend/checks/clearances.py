"""Rules on joints that stand where they must not: through an opening, through a lintel, too near."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.geometry import Track, under
from perpend.checks.openings import opening_source
from perpend.checks.steps import short_planes
from perpend.checks.tracks import SIDES
from perpend.checks.verdicts import Verdict
from perpend.checks.wall import JudgedWall, enters, lintel_box
from perpend.findings import Finding, finding
from perpend.model import EndCondition, OpeningRule, Side, Treatment


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every joint against every opening; the gravest fault of a pair is the one reported."""
    found: dict[str, list[Finding]] = {rule: [] for rule in _RULES}
    misplaced: dict[str, set[int]] = {rule: set() for rule in _RULES}
    openings, joints = wall.basis.openings, len(wall.tracks)
    tested = {
        "joint-through-opening": joints * len(openings),
        "joint-through-lintel": joints * sum(rule.lintel is not None for rule in openings),
        "joint-in-keep-out": joints * sum(keeps_clear(rule) for rule in openings),
    }
    short = short_planes(wall)
    for track in wall.tracks:
        for index in wall.openings.beside(track.lo, track.hi):
            opening = openings[index]
            fault = _fault(wall, track, opening, spared=(track.numbers, index) in short)
            if fault is not None:
                found[fault.code].append(fault)
                misplaced[fault.code] |= set(track.numbers)
    ends = _joints_at_ends(wall)
    clear = [rule for rule in openings if keeps_clear(rule)]
    tested["joint-in-keep-out"] += len(ends) * len(clear)
    found["joint-in-keep-out"] += [
        _end_in_keep_out(wall, side, rule)
        for side in ends
        for rule in clear
        if under(_from_end(wall, side, rule), rule.clear_in)
    ]
    for rule in _RULES:
        yield Verdict(rule, tested[rule], tuple(found[rule]), misplaced=frozenset(misplaced[rule]))


_RULES = ("joint-through-opening", "joint-through-lintel", "joint-in-keep-out")


def _joints_at_ends(wall: JudgedWall) -> list[Side]:
    """Return the ends where a joint stands: it is drawn there, or another wall adjoins."""
    adjoins = {"left": wall.basis.left_end, "right": wall.basis.right_end}
    return [side for side in SIDES if side in wall.ends or adjoins[side] is EndCondition.JOINT]


def _from_end(wall: JudgedWall, side: Side, rule: OpeningRule) -> float:
    box = rule.opening.box
    return max(box.x0 if side == "left" else wall.basis.wall.length_in - box.x1, 0.0)


def _end_in_keep_out(wall: JudgedWall, side: Side, rule: OpeningRule) -> Finding:
    at, distance, tag = wall.at, _from_end(wall, side, rule), rule.opening.tag
    kind = "arched" if rule.opening.arched else rule.treatment.value
    return finding(
        "joint-in-keep-out",
        f"The joint at the {side} end of {wall.tag} stands {at(distance)} from the jamb of {tag} ({kind}); "
        f"{at(rule.clear_in)} at least is wanted.",
        wall=wall.tag,
        measured_in=distance,
        limit_in=rule.clear_in,
        source=opening_source(rule, "opening.arched", "opening.reinforced"),
        at=(wall.spot(0.0 if side == "left" else wall.basis.wall.length_in),),
        cure=f"Move {tag} {at(rule.clear_in)} or more away from the end, or treat it another way.",
        opening=tag,
    )


def keeps_clear(rule: OpeningRule) -> bool:
    """Say whether joints keep a distance from an opening.

    Near an unreinforced opening only its lintel is in the way, unless the book keeps joints away from
    arched openings.
    """
    arched = rule.opening.arched and rule.jambs_required == 0
    return rule.treatment is Treatment.REINFORCED or arched


def _fault(wall: JudgedWall, track: Track, rule: OpeningRule, *, spared: bool) -> Finding | None:
    box = rule.opening.box
    if enters(track, box):
        return _through_opening(wall, track, rule)
    lintel = lintel_box(wall.basis, rule)
    if lintel is not None and not spared and enters(track, lintel):
        return _through_lintel(wall, track, rule)
    distance = max(box.x0 - track.hi, track.lo - box.x1)
    if keeps_clear(rule) and under(distance, rule.clear_in):
        return _in_keep_out(wall, track, rule, distance)
    return None


def _through_opening(wall: JudgedWall, track: Track, rule: OpeningRule) -> Finding:
    at = wall.at
    box = rule.opening.box
    return finding(
        "joint-through-opening",
        f"The joint at {at(track.foot_x)} of {wall.tag} runs through {rule.opening.tag} "
        f"({at(box.x0)} to {at(box.x1)}).",
        wall=wall.tag,
        source=opening_source(rule),
        at=((min(max(track.foot_x, box.x0), box.x1), box.center[1]),),
        cure=f"Move it to the left of {at(box.x0)} or to the right of {at(box.x1)}, as the treatment asks.",
        handle=track.handle,
        opening=rule.opening.tag,
    )


def _through_lintel(wall: JudgedWall, track: Track, rule: OpeningRule) -> Finding:
    at = wall.at
    assert rule.lintel is not None, "an opening without a lintel has none to run through"
    box = rule.lintel.box
    middle = (box.y0 + box.y1) / 2
    station = track.at_height(middle, middle)
    reinforced = rule.treatment is Treatment.REINFORCED
    at_jamb = any(
        wall.served.get((i, s)) is track
        for i, r in wall.unreinforced_near(track.lo, track.hi)
        if r is rule
        for s in SIDES
    )
    cure = (
        "Step it aside under the lintel's bearing and carry it up at the lintel's end."
        if at_jamb
        else f"Move it {at(rule.clear_in)} or more away from the jamb."
        if reinforced
        else "Move it to the jamb with a step under the bearing, or clear of the lintel."
    )
    return finding(
        "joint-through-lintel",
        f"The joint at {at(track.foot_x)} of {wall.tag} runs through the lintel of {rule.opening.tag}, which "
        f"lies from {at(box.x0)} to {at(box.x1)}.",
        wall=wall.tag,
        measured_in=min(station - box.x0, box.x1 - station),
        limit_in=0.0,
        source=next(iter(wall.basis.source_of("opening.slip-plane")), opening_source(rule))
        if not reinforced
        else opening_source(rule, "opening.reinforced"),
        at=((station, middle),),
        cure=cure,
        handle=track.handle,
        opening=rule.opening.tag,
    )


def _in_keep_out(wall: JudgedWall, track: Track, rule: OpeningRule, distance: float) -> Finding:
    at = wall.at
    box = rule.opening.box
    left = track.foot_x < box.center[0]
    kind = "arched" if rule.opening.arched else rule.treatment.value
    clear_of = box.x0 - rule.clear_in if left else box.x1 + rule.clear_in
    return finding(
        "joint-in-keep-out",
        f"The joint at {at(track.foot_x)} of {wall.tag} stands {at(max(distance, 0.0))} from the jamb of "
        f"{rule.opening.tag} ({kind}); {at(rule.clear_in)} at least is wanted.",
        wall=wall.tag,
        measured_in=max(distance, 0.0),
        limit_in=rule.clear_in,
        source=opening_source(rule, "opening.arched", "opening.reinforced"),
        at=(track.middle(),),
        cure=f"Move it to {at(clear_of)} or {'to the left' if left else 'to the right'} of it.",
        handle=track.handle,
        opening=rule.opening.tag,
    )
