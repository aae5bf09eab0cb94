"""Rules on joints that step aside: the slip plane, its length, and what lintels on slip planes need."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from perpend.checks.measure.drawn_planes import Plane, planes_of
from perpend.checks.measure.finding_places import above_bottom, head, opening_source
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.keep_outs import clashes
from perpend.checks.measure.track_geometry import Piece, Track
from perpend.checks.measure.tracks import SIDES, bearing, ends_at_sill, is_slip_plane, jamb
from perpend.checks.verdicts import Verdict
from perpend.findings import Finding, Rule, Severity
from perpend.model import OpeningRule, Side, Source, Treatment
from perpend.units import ON_MODULE_IN

_BARE = Rule("step-without-slip-plane", "A joint steps or leans aside without a slip plane")
_SHORT = Rule("slip-plane-too-short", "A slip plane is shorter than the lintel's bearing")
_SHEAR = Rule(
    "shear-transfer-needed",
    "Slip planes at both ends need a joint that transfers shear",
    by_joints=False,
)
RULES = (_BARE, _SHORT, _SHEAR)


def check(wall: JudgedWall) -> Iterator[Verdict]:
    """Judge every step of every joint."""
    planes = list(planes_of(wall))
    yield _bare_steps(wall)
    short = [p for p in planes if p.too_short and p.piece.drawn]
    yield Verdict(
        _SHORT.code,
        len(planes),
        tuple(_short(wall, p) for p in short),
        misplaced=frozenset(n for p in short for n in p.track.numbers),
    )
    yield _shear(wall, planes)


def _bare_steps(wall: JudgedWall) -> Verdict:
    steps = [(t, p) for t in wall.tracks for p in t.pieces if p.is_step]
    through = {clash.track.numbers for clash in clashes(wall) if clash.kind == "joint-through-opening"}
    bare = [(t, p) for t, p in steps if not _lies_on_plane(wall, p) and not _told_already(wall, p)]
    bare = [(t, p) for t, p in bare if t.numbers not in through]
    faults: dict[tuple[tuple[int, ...], str], tuple[Track, OpeningRule | None, list[Piece]]] = {}
    for track, piece in bare:
        near = _nearest_opening(wall, piece)
        key = (track.numbers, near.opening.handle if near else "")
        faults.setdefault(key, (track, near, []))[-1].append(piece)
    return Verdict(
        _BARE.code,
        len(steps),
        tuple(_bare(wall, *fault) for fault in faults.values()),
        misplaced=frozenset(n for t, _ in bare for n in t.numbers),
    )


def _lies_on_plane(wall: JudgedWall, piece: Piece) -> bool:
    """Say whether a step is a slip plane, or leads to a jamb of an opening above at its sill.

    Where it is along the sill nobody has to draw it: the joint ends at the opening and goes on from it.
    """
    near = [r for _, r in wall.unreinforced_near(min(piece.x0, piece.x1), max(piece.x0, piece.x1))]
    widest = max((bearing(rule, side) for rule in near for side in SIDES), default=0.0)
    for rule, side in itertools.product(near, SIDES):
        at_sill = piece.is_level and abs(piece.x1 - jamb(rule, side)) <= ON_MODULE_IN
        along = at_sill and all(ends_at_sill(rule, x, piece.y1) for x in (piece.x0, piece.x1))
        back = (
            at_sill and ends_at_sill(rule, piece.x1, piece.y1) and abs(piece.shift) <= widest + ON_MODULE_IN
        )
        if along or (piece.drawn and (back or is_slip_plane(piece, rule, side))):
            return True
    return False


def _told_already(wall: JudgedWall, piece: Piece) -> bool:
    """Say whether a step would be a slip plane if the opening there were not reinforced.

    The joint then stands at the jamb of a reinforced opening, which is reported as that.
    """
    for index in wall.openings.beside(min(piece.x0, piece.x1), max(piece.x0, piece.x1)):
        rule, other = wall.basis.openings[index], wall.basis.other_treatment(index)
        reinforced = rule.treatment is Treatment.REINFORCED and rule.clear_in > 0
        if reinforced and other is not None and any(is_slip_plane(piece, other, side) for side in SIDES):
            return True
    return False


def _plane_source(wall: JudgedWall) -> Source | None:
    return next(iter(wall.basis.source_of("opening.slip-plane")), None)


def _bare(wall: JudgedWall, track: Track, near: OpeningRule | None, pieces: list[Piece]) -> Finding:
    """Report the steps of one joint beside one opening, or beside none, as one fault."""
    first = pieces[0]
    return _BARE.finding(
        f"The joint at {wall.at(track.foot_x)} of {wall.tag} {_how(wall, track, pieces)}.",
        wall=wall.tag,
        measured_in=max(abs(piece.shift) for piece in pieces),
        limit_in=0.0,
        source=_plane_source(wall),
        at=(((first.x0 + first.x1) / 2, (first.y0 + first.y1) / 2),),
        handle=track.handle,
        joints=track.numbers,
        opening=near.opening.tag if near else "",
    )


def _how(wall: JudgedWall, track: Track, pieces: list[Piece]) -> str:
    """Say how a joint gets from one station to another: it leans, or it steps."""
    at, piece = wall.at, pieces[0]
    if len(pieces) > 1:
        stations = [x for p in pieces for x in (p.x0, p.x1)]
        between = f"between {at(min(stations))} and {at(max(stations))}"
        return f"steps or leans aside {len(pieces)} times {between}, without a slip plane"
    low = max(wall.basis.wall.bottom.at(piece.x0))
    way = f"from {at(piece.x0)} to {at(piece.x1)}"
    if not piece.drawn:
        return f"steps {way}, {above_bottom(wall, piece.x0, piece.y0)}, without a slip plane between"
    if piece.is_level:
        return f"steps {way}, {above_bottom(wall, piece.x0, piece.y0)}, where no lintel bears"
    if len(track.pieces) == 1:
        return f"leans by {at(abs(piece.shift))} over its height, {way}"
    where = f"between {at(piece.y0 - low)} and {above_bottom(wall, piece.x0, piece.y1)}"
    return f"leans by {at(abs(piece.shift))}, {way}, {where}"


def _nearest_opening(wall: JudgedWall, piece: Piece) -> OpeningRule | None:
    """Return the unreinforced opening at whose jamb a step was meant to be: a bearing and a module away."""
    found: list[tuple[float, int, OpeningRule]] = []
    for index, rule in wall.unreinforced_near(piece.x0, piece.x0):
        distance = min(abs(piece.x0 - jamb(rule, side)) for side in SIDES)
        if distance <= max(bearing(rule, side) for side in SIDES) + wall.basis.module_in:
            found.append((distance, index, rule))
    return min(found)[2] if found else None


def _short(wall: JudgedWall, plane: Plane) -> Finding:
    at = wall.at
    rule, piece = plane.rule, plane.piece
    return _SHORT.finding(
        f"The slip plane at the {plane.side} jamb of {rule.opening.tag} in {wall.tag} is "
        f"{at(plane.length_in)} long; the lintel bears on {at(plane.wanted_in)}.",
        wall=wall.tag,
        measured_in=plane.length_in,
        limit_in=plane.wanted_in,
        source=_plane_source(wall) or opening_source(rule),
        at=(((piece.x0 + piece.x1) / 2, piece.y0),),
        handle=plane.track.handle,
        joints=plane.track.numbers,
        opening=rule.opening.tag,
    )


def _shear(wall: JudgedWall, planes: list[Plane]) -> Verdict:
    """A lintel on slip planes at both ends has no lateral support but through its joints."""
    if not wall.basis.source_of("opening.wide-shear"):
        return Verdict("shear-transfer-needed", 0)
    by_opening: dict[int, dict[Side, Plane]] = {}
    for plane in planes:
        by_opening.setdefault(plane.index, {})[plane.side] = plane
    both = [sides for sides in by_opening.values() if len(sides) == len(SIDES)]
    found, open_types = [], 0
    for sides in both:
        types = {_type_of(wall, p.track) for p in sides.values()}
        if None in types:
            open_types += 1
            continue
        transfers = {wall.basis.transfers_shear if t == wall.basis.joint_type else None for t in types}
        if transfers != {True}:
            found.append(_unheld(wall, sides["left"], sure=False in transfers))
    untested = "no joint type is named, so its shear transfer is not known" if open_types else ""
    return Verdict(_SHEAR.code, len(both) - open_types, tuple(found), untested)


def _type_of(wall: JudgedWall, track: Track) -> str | None:
    return track.joint_type or wall.basis.joint_type


def _unheld(wall: JudgedWall, plane: Plane, *, sure: bool) -> Finding:
    rule = plane.rule
    need = (
        "the joint type does not transfer out-of-plane shear"
        if sure
        else "whether the joint type transfers out-of-plane shear is not known: verify"
    )
    return _SHEAR.finding(
        f"The lintel of {rule.opening.tag} in {wall.tag} has slip planes at both ends, and {need}.",
        wall=wall.tag,
        source=next(iter(wall.basis.source_of("opening.wide-shear")), opening_source(rule)),
        at=head(rule),
        handle=rule.opening.handle,
        opening=rule.opening.tag,
        severity=None if sure else Severity.ADVISORY,
    )
