"""Cures without a search: a line drawn anew where it is, steel, and advice where no joint is the answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from perpend.cures.apply import DrawnWall
from perpend.findings import Finding, Severity
from perpend.layout.facts import Fact, PanelBlocked, PlaceBlocked, Unserved
from perpend.layout.narrow_piers import narrow_piers
from perpend.model import (
    Advice,
    BeamChange,
    Blocked,
    Changes,
    Cure,
    Joint,
    JointChange,
    Treat,
)
from perpend.units import SAME_IN, exceeds, same

_OPENING_ADVICE: Final = {
    "lintel-without-bearing": "lintel-support",
    "width-on-boundary": "confirm",
    "pier-shares-joint": "confirm",
    "panel-narrow": "confirm",
}
_OF_PANELS: Final = ("panel-too-long", "corner-too-far", "bonded-wall-too-far")


_AT_PIERS: Final = ("pier-shares-joint", "opening-without-joint", "opening-needs-both-jambs")


def redrawn(wall: DrawnWall, finding: Finding) -> Iterator[JointChange]:
    """Yield how the joint of a finding is drawn anew where it is, or removed because nothing requires it."""
    numbers = wall.numbers_of(finding.joints)
    for joint in wall.joints:
        if joint.number not in numbers:
            continue
        if finding.code == "joint-runs-past":
            yield _change(joint, "trim")
        elif finding.code == "joint-out-of-plumb" and _upright(joint):
            yield _change(joint, "straighten")
        elif finding.code in ("joint-in-wall-without-joints", "joints-too-close"):
            yield _change(joint, "remove")


def _change(joint: Joint, kind: str) -> JointChange:
    return JointChange(kind, joint.path, joint.number, joint.handle, joint.path)  # type: ignore[arg-type]


def _upright(joint: Joint) -> bool:
    """Say whether a joint is upright or level all over where the judge measures it."""
    return all(a[0] == b[0] or a[1] == b[1] for a, b in zip(joint.path, joint.path[1:], strict=False))


def advice_for(
    wall: DrawnWall,
    finding: Finding,
    facts: Sequence[Fact] = (),
    options: Sequence[Changes] = (),
    closest: Changes = (),
) -> Cure:
    """Return the cure of a finding that no change of joints alone cures.

    Args:
        wall: the wall as drawn.
        finding: the finding.
        facts: what the nearest layout could not give.
        options: sets of changes that comply, treatments and methods among them.
        closest: changes that cure the finding and make another one, or none.
    """
    blocked = _blocked(finding, facts)
    if options:
        return Cure(options[0], complies=True, others=tuple(options[1:]), blocked=blocked)
    others: tuple[Changes, ...] = ()
    if finding.code in _AT_PIERS:
        others = tuple((advice,) for advice in _one_lintel(wall, finding))
    elif finding.code == "shear-transfer-needed" and (treat := _treat(wall, finding)):
        others = (treat,)
    return Cure(closest or _direct(wall, finding, blocked), others=others, blocked=blocked)


def _blocked(finding: Finding, facts: Sequence[Fact]) -> Blocked | None:
    """Return what leaves a finding no permitted place for a joint, or None."""
    low = min((x for x, _ in finding.at), default=0.0)
    high = max((x for x, _ in finding.at), default=0.0)
    for fact in facts:
        if isinstance(fact, Unserved) and fact.opening == finding.opening and fact.in_the_way:
            return Blocked(low, high, fact.in_the_way)
        place = finding.code.startswith("no-joint-at")
        if isinstance(fact, PlaceBlocked) and place and abs(fact.x_in - low) <= SAME_IN:
            return Blocked(low, low, (fact.opening,))
        if isinstance(fact, PanelBlocked) and finding.code in _OF_PANELS:
            touches = fact.x0_in <= high + SAME_IN and low - SAME_IN <= fact.x1_in
            if touches and fact.openings:
                return Blocked(fact.x0_in, fact.x1_in, fact.openings)
    return None


def _direct(wall: DrawnWall, finding: Finding, blocked: Blocked | None) -> Changes:
    code, tag, basis = finding.code, finding.opening, wall.basis
    advice = _OPENING_ADVICE.get(code)
    if finding.code == "panel-at-opening-too-long" and finding.severity is Severity.ADVISORY:
        advice = "confirm"
    if advice is not None:
        return (Advice(advice, tag),)  # type: ignore[arg-type]
    if code == "joint-type-missing":
        return (Advice("name-joint-type"),)
    if code == "shear-transfer-needed":
        return (Advice("shear-transfer", tag),)
    if code == "no-horizontal-joint":
        return (Advice("show-support"),)
    if code == "too-little-horizontal-steel":
        return (Advice("wall-steel"),)
    if code == "reinforcement-through-joint":
        return (BeamChange("stop", *finding.at[0], finding.handle),)
    if code == "bond-beam-not-debonded":
        return (BeamChange("debond", *finding.at[0], finding.handle),)
    if code == "reinforcement-too-sparse":
        return (_beam_between(wall, finding),)
    if code == "wall-off-module":
        return (Advice("wall-length", "", _nearest_line(basis.wall.length_in, basis.module_in, 0.0)),)
    if code == "opening-off-module":
        line = _nearest_line(finding.at[0][0], basis.module_in, basis.bond_origin_in)
        return (Advice("move-jamb", tag, line),)
    if code == "joint-off-module":
        return (Advice("cut-units"),)
    if code in ("joint-in-keep-out", "joint-through-opening", "joint-through-lintel"):
        key = "move-opening" if finding.joints else "move-opening-from-end"
        return (Advice(key, tag, finding.limit_in),)  # type: ignore[arg-type]
    if blocked is not None:
        return (Advice("move-opening", blocked.openings[0] if len(blocked.openings) == 1 else ""),)
    return (Advice("confirm" if finding.code == "joints-too-close" else "other-methods"),)


def _one_lintel(wall: DrawnWall, finding: Finding) -> Iterator[Advice]:
    """Yield one lintel over both openings of each narrow pier at the opening of a finding.

    Not where the masonry from end to end of that lintel, between the joints at it, would be too long.
    """
    rules = wall.basis.openings
    for pier in narrow_piers(wall.basis):
        a, b = rules[pier.left], rules[pier.right]
        if finding.opening not in (a.opening.tag, b.opening.tag) or a.lintel is None or b.lintel is None:
            continue
        x0, x1 = a.opening.box.x0, b.opening.box.x1
        spacing = wall.basis.limits(x0, x1).max_spacing_in
        length = x1 + b.lintel.bearing_right_in - (x0 - a.lintel.bearing_left_in)
        if same(a.opening.box.y1, b.opening.box.y1) and (spacing is None or not exceeds(length, spacing)):
            yield Advice("one-lintel", f"{a.opening.tag} and {b.opening.tag}", length)


def _treat(wall: DrawnWall, finding: Finding) -> Changes:
    """Return the other treatment of the opening of a finding, or nothing."""
    for index, rule in enumerate(wall.basis.openings):
        other = wall.basis.other_treatment(index)
        if rule.opening.tag == finding.opening and other is not None:
            return (Treat(rule.opening.tag, rule.opening.handle, other.treatment),)
    return ()


def _beam_between(wall: DrawnWall, finding: Finding) -> BeamChange:
    """Return the bond beam that parts a gap: anywhere in it that leaves both parts within the limit."""
    (x, middle), gap, limit = finding.at[0], finding.measured_in or 0.0, finding.limit_in or 0.0
    low, high = middle - gap / 2, middle + gap / 2
    floor = max(wall.basis.wall.bottom.at(x))
    return BeamChange("add", x, max(low, high - limit), "", min(high, low + limit), floor, limit)


def _nearest_line(station_in: float, module_in: float, origin_in: float) -> float:
    return origin_in + round((station_in - origin_in) / module_in) * module_in
