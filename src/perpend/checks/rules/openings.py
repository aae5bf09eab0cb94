"""Rules on what an opening asks for: joints at its jambs, bearing for its lintel."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.candidate_stations import Stretch, open_stations
from perpend.checks.joint_cures import to_jambs
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import over, under
from perpend.checks.measure.tracks import SIDES, away, bearing, jamb
from perpend.checks.measure.wording import head, opening_source
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Severity, finding
from perpend.model import OpeningRule, Side


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every opening of a wall."""
    yield from _jambs(wall)
    yield _near(wall)
    yield _bearings(wall)
    yield _boundary(wall)


def _jambs(wall: JudgedWall) -> Iterator[Verdict]:
    asked = [(i, r) for i, r in wall.unreinforced() if r.jambs_required > 0]
    bare, half = [], []
    for index, rule in asked:
        missing = [side for side in SIDES if (index, side) not in wall.served]
        if len(missing) == len(SIDES):
            bare.append(_without(wall, index))
        elif missing and rule.jambs_required == len(SIDES):
            half.append(_one_sided(wall, index, missing[0]))
    yield Verdict("opening-without-joint", len(asked), tuple(bare))
    wide = [r for _, r in asked if r.jambs_required == len(SIDES)]
    yield Verdict("opening-needs-both-jambs", len(wide), tuple(half))


def _without(wall: JudgedWall, index: int) -> Finding:
    at, rule = wall.at, wall.basis.openings[index]
    both = rule.jambs_required == len(SIDES)
    need = "a joint at both jambs" if both else "a joint at one jamb at least"
    return finding(
        "opening-without-joint",
        f"{rule.opening.tag} in {wall.tag} (unreinforced, {at(rule.opening.width_in)} wide) needs {need} and "
        "has none.",
        wall=wall.tag,
        measured_in=0.0,
        limit_in=None,
        source=opening_source(rule, "opening.unreinforced"),
        at=head(rule),
        cure=to_jambs(wall, index),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _one_sided(wall: JudgedWall, index: int, missing: Side) -> Finding:
    at, rule = wall.at, wall.basis.openings[index]
    station = jamb(rule, missing)
    return finding(
        "opening-needs-both-jambs",
        f"{rule.opening.tag} in {wall.tag} (unreinforced, {at(rule.opening.width_in)} wide) needs a joint at "
        f"both jambs and has none at its {missing} jamb.",
        wall=wall.tag,
        source=opening_source(rule, "opening.unreinforced"),
        at=((station, rule.opening.box.y1),),
        cure=to_jambs(wall, index),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _near(wall: JudgedWall) -> Verdict:
    at = wall.at
    asked = [(r, r.near_within_in) for r in wall.basis.openings if r.near_within_in is not None]
    found = []
    for rule, within in asked:
        box = rule.opening.box
        distances = [min(abs(t.foot_x - box.x0), abs(t.foot_x - box.x1)) for t in wall.tracks]
        nearest = min(distances, default=None)
        if nearest is None or over(nearest, within):
            has = "has none" if nearest is None else f"the nearest is {at(nearest)} away"
            found.append(
                finding(
                    "no-joint-near-opening",
                    f"{rule.opening.tag} in {wall.tag} needs a joint within {at(within)} of a jamb; {has}.",
                    wall=wall.tag,
                    measured_in=nearest,
                    limit_in=within,
                    source=opening_source(rule, "opening.near"),
                    at=head(rule),
                    cure=_near_enough(wall, rule, within),
                    handle=rule.opening.handle,
                    opening=rule.opening.tag,
                )
            )
    return Verdict("no-joint-near-opening", len(asked), tuple(found))


def _near_enough(wall: JudgedWall, rule: OpeningRule, within: float) -> str:
    """Say where a joint would be near enough to an opening."""
    at, box = wall.at, rule.opening.box
    beside = (Stretch(box.x0 - within, box.x0), Stretch(box.x1, box.x1 + within))
    spans = [span for stretch in beside for span in open_stations(wall, stretch)]
    if not spans:
        return f"Openings leave no station free within {at(within)} of {at(box.x0)} or {at(box.x1)}."
    words = (f"at {at(a)}" if b - a < 1 else f"between {at(a)} and {at(b)}" for a, b in spans)
    return f"Stand a joint {', or '.join(words)}."


def _bearings(wall: JudgedWall) -> Verdict:
    tested, found = 0, []
    for rule in wall.basis.openings:
        if rule.lintel is None or rule.bearing_in <= 0:
            continue
        for side in SIDES:
            tested += 1
            there = bearing(rule, side)
            if under(there, rule.bearing_in):
                found.append(_too_little(wall, rule, side, there))
    arched = [r.opening.tag for r in wall.basis.openings if r.opening.arched]
    untested = f"an arched head has no lintel: {', '.join(arched)}" if arched else ""
    return Verdict("lintel-without-bearing", tested, tuple(found), untested)


_LEAST_BEARING = ("lintel.bearing",)
_USUAL_BEARING = ("lintel.bearing-by-span", "lintel.bearing#usual", "lintel.bearing")


def _too_little(wall: JudgedWall, rule: OpeningRule, side: Side, there: float) -> Finding:
    """Less than what is required is a violation, less than what is usual a remark."""
    at = wall.at
    station = jamb(rule, side)
    required = under(there, rule.bearing_least_in)
    limit = rule.bearing_least_in if required else rule.bearing_in
    return finding(
        "lintel-without-bearing",
        f"The lintel of {rule.opening.tag} in {wall.tag} bears {at(there)} at its {side} jamb; "
        f"{at(limit)} is {'required' if required else 'usual'}.",
        wall=wall.tag,
        measured_in=there,
        limit_in=limit,
        severity=None if required else Severity.ADVISORY,
        source=opening_source(rule, *(_LEAST_BEARING if required else _USUAL_BEARING)),
        at=((station + away(side) * there, rule.opening.box.y1),),
        cure="Leave more masonry beside the opening, or have the lintel's support designed.",
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _boundary(wall: JudgedWall) -> Verdict:
    at = wall.at
    asked = [r for _, r in wall.unreinforced() if r.jambs_required > 0]
    found = tuple(
        finding(
            "width-on-boundary",
            f"{r.opening.tag} in {wall.tag} is {at(r.opening.width_in)} wide, which falls in neither printed "
            f"branch: {'both jambs' if r.wide else 'one jamb'} asked for.",
            wall=wall.tag,
            measured_in=r.opening.width_in,
            limit_in=r.opening.width_in,
            source=next(iter(wall.basis.source_of("opening.boundary")), opening_source(r)),
            at=head(r),
            cure="Let the designer confirm it; the setting wide_opening_from decides it the other way.",
            handle=r.opening.handle,
            opening=r.opening.tag,
        )
        for r in asked
        if r.boundary_case
    )
    return Verdict("width-on-boundary", len(asked), found)
