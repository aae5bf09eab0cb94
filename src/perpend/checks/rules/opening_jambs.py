"""Rules on what an opening requires of joints: at one jamb, at both, or near it."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.finding_places import head, opening_source
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import over, under
from perpend.checks.measure.tracks import SIDES, jamb
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity, WaiverMeaning
from perpend.model import Box, Side
from perpend.units import SAME_IN

_NONE = Rule(
    "opening-without-joint", "An unreinforced opening lacks its jamb joint", waiver=WaiverMeaning.JAMBS
)
_ONE_ONLY = Rule(
    "opening-needs-both-jambs",
    "A wide unreinforced opening has a joint at one jamb only",
    waiver=WaiverMeaning.ONE_JAMB,
)
_FAR = Rule(
    "no-joint-near-opening", "A large opening has no joint near enough to it", waiver=WaiverMeaning.NEAR
)
_BOUNDARY = Rule(
    "width-on-boundary",
    "An opening is exactly as wide as the limit between one jamb joint and two",
    Severity.ADVISORY,
    by_joints=False,
)
_SHARED = Rule(
    "pier-shares-joint",
    "One joint at a narrow pier serves both openings",
    Severity.ADVISORY,
    by_joints=False,
)
RULES = (_NONE, _ONE_ONLY, _FAR, _BOUNDARY, _SHARED)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every opening of a wall."""
    yield from _jambs(wall)
    yield _near(wall)
    yield _boundary(wall)


def _jambs(wall: JudgedWall) -> Iterator[Verdict]:
    asked = [(i, r) for i, r in wall.unreinforced() if r.jambs_required > 0]
    bare, half, shared = [], [], []
    across = _across_piers(wall)
    for index, rule in asked:
        missing = [side for side in SIDES if (index, side) not in wall.served]
        if rule.jambs_required == len(SIDES):
            by_pier = {
                side: key for side in missing for key in across.get((index, side), ()) if key in wall.served
            }
            missing = [side for side in missing if side not in by_pier]
            shared += [_shares(wall, index, side, key) for side, key in by_pier.items()]
        if len(missing) == len(SIDES):
            bare.append(_without(wall, index))
        elif missing and rule.jambs_required == len(SIDES):
            half.append(_one_sided(wall, index, missing[0]))
    yield Verdict(_NONE.code, len(asked), tuple(bare))
    wide = [r for _, r in asked if r.jambs_required == len(SIDES)]
    yield Verdict(_ONE_ONLY.code, len(wide), tuple(half))
    yield Verdict(_SHARED.code, len(across), tuple(shared))


def _across_piers(wall: JudgedWall) -> dict[tuple[int, Side], list[tuple[int, Side]]]:
    """Return for each jamb at a narrow pier the jambs on the other side of it."""
    found: dict[tuple[int, Side], list[tuple[int, Side]]] = {}
    narrow = wall.basis.judgment.narrow_pier_in
    rules = wall.basis.openings
    for index, rule in wall.unreinforced() if narrow else ():
        box = rule.opening.box
        for other in wall.openings.beside(box.x1, box.x1 + narrow):
            far = rules[other].opening.box
            pier = far.x0 - box.x1
            low, high = max(box.y0, far.y0), min(box.y1, far.y1)
            asked = rule.jambs_required and rules[other].jambs_required
            if asked and high - low > SAME_IN and pier >= SAME_IN and under(pier, narrow):
                strip = Box(box.x1, low, far.x0, high)
                if not any(_parts(strip, r.opening.box) for r in rules):
                    found.setdefault((index, "right"), []).append((other, "left"))
                    found.setdefault((other, "left"), []).append((index, "right"))
    return found


def _parts(strip: Box, other: Box) -> bool:
    """Say whether an opening stands in the masonry of a pier, between its two faces."""
    level = other.y0 < strip.y1 - SAME_IN and other.y1 > strip.y0 + SAME_IN
    return level and strip.x0 - SAME_IN <= other.x0 and other.x1 <= strip.x1 + SAME_IN


def _shares(wall: JudgedWall, index: int, side: Side, key: tuple[int, Side]) -> Finding:
    at, rule, other = wall.at, wall.basis.openings[index], wall.basis.openings[key[0]]
    pier = abs(jamb(rule, side) - jamb(other, key[1]))
    return _SHARED.finding(
        f"The joint at the {key[1]} jamb of {other.opening.tag} in {wall.tag} serves {rule.opening.tag} too: "
        f"the pier of {at(pier)} has one joint. The engineer confirms it, or one lintel spans both.",
        wall=wall.tag,
        measured_in=pier,
        limit_in=wall.basis.judgment.narrow_pier_in,
        source=next(iter(wall.basis.source_of("judgment.narrow-pier")), None),
        at=((jamb(rule, side), rule.opening.box.y1),),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _without(wall: JudgedWall, index: int) -> Finding:
    at, rule = wall.at, wall.basis.openings[index]
    both = rule.jambs_required == len(SIDES)
    need = "a joint at both jambs" if both else "a joint at one jamb at least"
    return _NONE.finding(
        f"{rule.opening.tag} in {wall.tag} (unreinforced, {at(rule.opening.width_in)} wide) needs {need} and "
        "has none.",
        wall=wall.tag,
        measured_in=0.0,
        limit_in=None,
        source=opening_source(rule, "opening.unreinforced"),
        at=head(rule),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
    )


def _one_sided(wall: JudgedWall, index: int, missing: Side) -> Finding:
    at, rule = wall.at, wall.basis.openings[index]
    station = jamb(rule, missing)
    return _ONE_ONLY.finding(
        f"{rule.opening.tag} in {wall.tag} (unreinforced, {at(rule.opening.width_in)} wide) needs a joint at "
        f"both jambs and has none at its {missing} jamb.",
        wall=wall.tag,
        source=opening_source(rule, "opening.unreinforced"),
        at=((station, rule.opening.box.y1),),
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
                _FAR.finding(
                    f"{rule.opening.tag} in {wall.tag} needs a joint within {at(within)} of a jamb; {has}.",
                    wall=wall.tag,
                    measured_in=nearest,
                    limit_in=within,
                    source=opening_source(rule, "opening.near"),
                    at=head(rule),
                    handle=rule.opening.handle,
                    opening=rule.opening.tag,
                )
            )
    return Verdict(_FAR.code, len(asked), tuple(found))


def _boundary(wall: JudgedWall) -> Verdict:
    at = wall.at
    asked = [r for _, r in wall.unreinforced() if r.jambs_required > 0]
    found = tuple(
        _BOUNDARY.finding(
            f"{r.opening.tag} in {wall.tag} is {at(r.opening.width_in)} wide, exactly the limit between one "
            f"joint and two: {wall.basis.label} at {'both jambs' if r.wide else 'one jamb'}; EOR to confirm.",
            wall=wall.tag,
            measured_in=r.opening.width_in,
            limit_in=r.opening.width_in,
            source=next(iter(wall.basis.source_of("opening.boundary")), opening_source(r)),
            at=head(r),
            handle=r.opening.handle,
            opening=r.opening.tag,
        )
        for r in asked
        if r.boundary_case
    )
    return Verdict(_BOUNDARY.code, len(asked), found)
