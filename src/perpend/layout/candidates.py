"""Every line on which a joint of this wall could stand, and what the wall asks of them.

docs/placement.md is the specification. Positions are in ticks (see `layout.joint_lines`). A keep-out is the
stations near an opening where a joint that does not serve it may not be; what is lost counts as a violation.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.layout.adjoining_ends import NearEnd, near_ends
from perpend.layout.decided import held_line, without_barred
from perpend.layout.jamb_chains import Chain, jamb_chains, strays_from
from perpend.layout.joint_lines import (
    Line,
    alike,
    drawn_line,
    jamb_line,
    jamb_of,
    lintel_end,
    straight_line,
    with_slips,
)
from perpend.layout.joint_requirements import Lost, Requirement, opening_requirements, place_requirements
from perpend.layout.kept_out_stations import SAME, KeepOuts, keep_outs, kept_out
from perpend.layout.narrow_piers import Pier, apart, narrow_piers
from perpend.model import (
    DrawnJoint,
    EndCondition,
    JointKind,
    OpeningRule,
    Place,
    PlaceKind,
    Side,
    Treatment,
    Wall,
)
from perpend.rulebook.strip_pieces import partial_piece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN, SAME_IN, from_ticks, same, to_ticks


@dataclass(frozen=True, slots=True)
class Candidate:
    """One line on which a joint could stand.

    Attributes:
        line: the line.
        kind: straight, jamb, forced or existing.
        serves: (index of the opening, side) of every jamb it serves.
        forced: True when it must be taken.
        place: what forces it.
        drawn: the drawn joint it stands for.
        too_near: openings (by index) that it stands too near to although it must be taken.
        kept_out: keep-outs (by index) that it enters although it must be taken.
        width_in: how wide it is drawn; 0 for a line.
    """

    line: Line
    kind: JointKind
    serves: frozenset[tuple[int, Side]] = frozenset()
    forced: bool = False
    place: Place | None = None
    drawn: DrawnJoint | None = None
    too_near: tuple[int, ...] = ()
    kept_out: tuple[int, ...] = ()
    width_in: float = 0.0


@dataclass(frozen=True, slots=True)
class Field:
    """All candidates of a wall, sorted by foot, with what is asked of them, and end joints too near.

    Attributes:
        candidates: sorted by foot.
        requirements: what openings and places ask for.
        lost: what nothing can give.
        near_ends: joints at ends that stand too near to an opening.
        apart: pairs of candidates of which one is taken at most: those at both jambs of a narrow pier.
    """

    candidates: tuple[Candidate, ...]
    requirements: tuple[Requirement, ...]
    lost: tuple[Lost, ...] = ()
    near_ends: tuple[NearEnd, ...] = ()
    apart: frozenset[tuple[int, int]] = frozenset()


def field_of(
    basis: WallBasis, optional: Sequence[Candidate] = (), stations_in: Sequence[float] = ()
) -> Field:
    """Return every candidate of a wall and what is asked of them.

    Args:
        basis: the wall's basis.
        optional: further lines that may be taken, such as drawn joints that may stay. One that is forced
            stands for every forced candidate that it is alike to; any stands for a candidate on its line.
        stations_in: further stations at which a straight joint may be, on the module or not.
    """
    outs, zones = keep_outs(basis.openings), _zones(basis)
    forced, lost = _forced(basis, outs, zones)
    jambs, blocked = _jambs(basis, outs, zones)
    jambs = without_barred(basis.wall, jambs)
    standing = sorted(c.line.foot for c in forced if c.line.straight)
    faces = [c for c in _faces(basis, outs, zones) if not _is_taken(c.line.foot, standing)]
    faces = without_barred(basis.wall, faces)
    if optional:
        near = to_ticks(ON_MODULE_IN)
        stand_ins = [o.line for o in optional if o.forced]
        forced = [c for c in forced if not any(alike(c.line, line, near) for line in stand_ins)]
        jambs = [c for c in jambs if not any(alike(c.line, o.line, SAME) for o in optional)]
        faces = [c for c in faces if not any(same_foot(c, o) for o in optional)]
        forced += optional
    piers = list(narrow_piers(basis))
    inside = _inside_piers(piers)
    jambs = [c for c in jambs if not inside(c)]
    taken = sorted(c.line.foot for c in (*forced, *jambs, *faces) if c.line.straight)
    lines = _straight(basis, outs, zones, stations_in)
    straight = [c for c in lines if not _is_taken(c.line.foot, taken) and not inside(c)]
    straight = without_barred(basis.wall, straight)
    everything = sorted(
        [*forced, *jambs, *faces, *straight],
        key=lambda c: (c.line.foot, c.line.runs[-1][0], not c.forced),
    )
    requirements, unserved = opening_requirements(basis.openings, everything, blocked, piers)
    asked, bare = place_requirements(basis, everything)
    return Field(
        tuple(everything),
        (*requirements, *asked),
        (*lost, *unserved, *bare),
        tuple(near_ends(basis)),
        apart(everything, piers),
    )


def forced_candidates(basis: WallBasis) -> list[Candidate]:
    """Return the candidates of a wall that must be taken."""
    return _forced(basis, keep_outs(basis.openings), _zones(basis))[0]


def _inside_piers(piers: Sequence[Pier]) -> Callable[[Candidate], bool]:
    """Return what says whether a line stands in a narrow pier and at none of its jambs."""
    spans = kept_out((pier.x0 - 2 * SAME, pier.x1 + 2 * SAME, n) for n, pier in enumerate(piers))

    def inside(candidate: Candidate) -> bool:
        line, serves = candidate.line, candidate.serves
        return any(not serves & piers[n].jambs for n in spans.hit_by(line.lo, line.hi))

    return inside


def same_foot(a: Candidate, b: Candidate) -> bool:
    """Say whether two straight candidates stand at one station."""
    return a.line.straight and b.line.straight and abs(a.line.foot - b.line.foot) <= SAME


def _zones(basis: WallBasis) -> KeepOuts:
    """Collect the keep-outs of the wall itself."""
    return kept_out((to_ticks(k.x0_in), to_ticks(k.x1_in), i) for i, k in enumerate(basis.keep_outs))


def _is_taken(x: int, taken: Sequence[int]) -> bool:
    """Say whether a station is one of some, ascending."""
    near = bisect_left(taken, x - SAME)
    return near < len(taken) and taken[near] <= x + SAME


def _span(wall: Wall, x: int) -> tuple[int, int]:
    """Bottom and top of a joint at a station: at a step, the courses that both sides share."""
    bottoms, tops = wall.bottom.at(from_ticks(x)), wall.top.at(from_ticks(x))
    return to_ticks(max(bottoms)), to_ticks(min(tops))


def _least_top(wall: Wall, x0: int, x1: int) -> int:
    return to_ticks(min(y for _, y in wall.top.between(from_ticks(x0), from_ticks(x1))))


def _too_near_corner(basis: WallBasis, lo: int, hi: int) -> bool:
    least = to_ticks(basis.spacing.corner_min_in)
    end = to_ticks(basis.wall.length_in)
    return least > 0 and (
        (basis.left_end is EndCondition.CORNER and lo < least - SAME)
        or (basis.right_end is EndCondition.CORNER and end - hi < least - SAME)
    )


def _straight(
    basis: WallBasis, outs: KeepOuts, zones: KeepOuts, more_in: Sequence[float]
) -> Iterator[Candidate]:
    """Yield the lines of the module, of corners and at more stations, if they are clear of every opening."""
    module, end = basis.module_in, to_ticks(basis.wall.length_in)
    first = -int(basis.bond_origin_in // module)
    lines = range(first, first + int(basis.wall.length_in // module) + 2)
    stations = [*(basis.bond_origin_in + k * module for k in lines), *basis.corner_stations_in]
    stations += [x for x in more_in if not any(same(x, known, ON_MODULE_IN) for known in stations)]
    for x in map(to_ticks, stations):
        inside = SAME < x < end - SAME and not _too_near_corner(basis, x, x)
        if inside and outs.clear_of(x, x) and zones.clear_of(x, x):
            yield Candidate(straight_line(x, *_span(basis.wall, x)), JointKind.STRAIGHT)


def _faces(basis: WallBasis, outs: KeepOuts, zones: KeepOuts) -> Iterator[Candidate]:
    """Yield a line at every station of the places that can do with one of several."""
    end = to_ticks(basis.wall.length_in)
    for rule in basis.asked_places:
        for x in map(to_ticks, rule.stations_in if len(rule.stations_in) > 1 else ()):
            clear = outs.clear_of(x, x) and zones.clear_of(x, x)
            if SAME < x < end - SAME and clear and not _too_near_corner(basis, x, x):
                yield Candidate(straight_line(x, *_span(basis.wall, x)), JointKind.FORCED, place=rule.place)


def _jambs(
    basis: WallBasis, outs: KeepOuts, zones: KeepOuts
) -> tuple[list[Candidate], dict[tuple[int, Side], str]]:
    """Return the jamb candidates, and for every jamb that can't have one what is in the way."""
    found: list[Candidate] = []
    blocked: dict[tuple[int, Side], str] = {}
    for chain in jamb_chains(basis):
        line = _chain_line(basis, chain)
        why = _why_blocked(basis, outs, line, {i for i, _ in chain}) or _whykept_out(basis, zones, line)
        if why:
            blocked.update(dict.fromkeys(chain, why))
        else:
            found.append(Candidate(line, JointKind.JAMB, frozenset(chain)))
    return found, blocked


def _chain_line(basis: WallBasis, chain: Chain) -> Line:
    (first, side), (last, last_side) = chain[0], chain[-1]
    bottom = _span(basis.wall, jamb_of(basis.openings[first], side))[0]
    top = _span(basis.wall, lintel_end(basis.openings[last], last_side))[1]
    return jamb_line([(basis.openings[i], side) for i, side in chain], bottom, top)


def _why_blocked(basis: WallBasis, outs: KeepOuts, line: Line, served: Collection[int]) -> str:
    """Say what leaves a jamb joint no room: an opening's tag, or a part of the wall; empty where nothing."""
    if line.lo <= SAME or line.hi >= to_ticks(basis.wall.length_in) - SAME:
        return "the wall's end"
    if any(_least_top(basis.wall, x0, x1) <= y + SAME for x0, x1, y in line.slips):
        return "the wall's top"
    if _too_near_corner(basis, line.lo, line.hi):
        return "the corner"
    across = (i for i in outs.hit_by(line.lo, line.hi) if i not in served)
    strayed = (i for i in served if strays_from(basis.openings[i], line.foot))
    return next((basis.openings[i].opening.tag for i in (*across, *strayed)), "")


def _whykept_out(basis: WallBasis, zones: KeepOuts, line: Line) -> str:
    hit = next(zones.hit_by(line.lo, line.hi), None)
    return "" if hit is None else basis.keep_outs[hit].what


def _forced(basis: WallBasis, outs: KeepOuts, zones: KeepOuts) -> tuple[list[Candidate], list[Lost]]:
    """Return the candidates that must be taken, and the forced places that can't be built."""
    found: list[Candidate] = []
    lost: list[Lost] = []
    for candidate in _one_a_station(_wanted(basis)):
        line = candidate.line
        cut = _cuts(basis.openings, line)
        if cut is not None:
            lost.append(Lost(None, place=candidate.place, in_the_way=(basis.openings[cut].opening.tag,)))
            continue
        serves = frozenset(_served(basis.openings, line))
        at_jamb = {i for i, _ in serves}
        near = tuple(
            i
            for i in outs.hit_by(line.lo, line.hi)
            if basis.openings[i].bars_jambs or (basis.openings[i].clear_asked and i not in at_jamb)
        )
        kind = candidate.kind
        if candidate.drawn is not None and candidate.drawn.held:
            kind = JointKind.JAMB if serves else JointKind.STRAIGHT
            line = with_slips(line, {to_ticks(basis.openings[i].opening.box.y1) for i, _ in serves})
        kept_out = tuple(i for i in zones.hit_by(line.lo, line.hi) if basis.keep_outs[i].code)
        found.append(
            replace(candidate, line=line, kind=kind, serves=serves, too_near=near, kept_out=kept_out)
        )
    return without_barred(basis.wall, found), lost


def _one_a_station(wanted: Iterable[Candidate]) -> Iterator[Candidate]:
    """Yield one candidate for all that ask for a joint at one station: the drawn joint if there is one."""
    group: list[Candidate] = []
    for candidate in sorted(wanted, key=lambda c: c.line.foot):
        if group and candidate.line.foot - group[0].line.foot > SAME:
            yield min(group, key=lambda c: c.drawn is None)
            group = []
        group.append(candidate)
    if group:
        yield min(group, key=lambda c: c.drawn is None)


def _wanted(basis: WallBasis) -> Iterator[Candidate]:
    """Yield a line for every place within the wall that asks for a joint, and for every drawn joint."""
    end = to_ticks(basis.wall.length_in)
    for candidate in _asked_for(basis):
        if candidate.line.lo > SAME and candidate.line.hi < end - SAME:
            yield candidate


def _asked_for(basis: WallBasis) -> Iterator[Candidate]:
    wall = basis.wall
    marked = ((r.place, r.stations_in[0], r.width_in) for r in basis.asked_places if len(r.stations_in) == 1)
    for place, station, width in (*((p, p.x_in, 0.0) for p in height_changes(basis)), *marked):
        x = to_ticks(station)
        line = straight_line(x, *_span(wall, x))
        yield Candidate(line, JointKind.FORCED, forced=True, place=place, width_in=width)
    for joint in wall.drawn_joints:
        if joint.held:
            place = Place(joint.path[0][0], PlaceKind.HELD)
            yield Candidate(_held(basis, joint), JointKind.STRAIGHT, forced=True, place=place, drawn=joint)
        elif not joint.ours and partial_piece(basis.strip_pieces, joint.path) is None:
            place = Place(joint.path[0][0], PlaceKind.EXISTING, joint.handle, joint.layer)
            line = drawn_line(joint.path)
            yield Candidate(line, JointKind.EXISTING, forced=True, place=place, drawn=joint)


def _held(basis: WallBasis, joint: DrawnJoint) -> Line:
    """Return the line of a joint that a person decided on."""
    jambs = lambda: _jambs(basis, keep_outs(basis.openings), _zones(basis))[0]  # noqa: E731 - asked for rarely
    return held_line(joint, jambs, basis.wall)


def height_changes(basis: WallBasis) -> Iterator[Place]:
    """Yield the stations where the wall's height changes by more than the rule book lets pass."""
    wall = basis.wall
    stations = sorted({step[0] for edge in (wall.top, wall.bottom) for step in edge.steps()})
    for x in stations:
        (top_left, top_right), (low_left, low_right) = wall.top.at(x), wall.bottom.at(x)
        left, right = top_left - low_left, top_right - low_right
        lesser, least_rise = min(left, right), basis.judgment.height_change_in
        if lesser <= 0 or abs(left - right) / lesser <= basis.height_change_over:
            continue
        if not least_rise or min(abs(left - right), abs(top_left - top_right)) > least_rise + SAME_IN:
            yield Place(x, PlaceKind.HEIGHT_CHANGE)


def _cuts(rules: Sequence[OpeningRule], line: Line) -> int | None:
    """Return the opening that a forced line runs through, or whose lintel bearing it cuts."""
    for i, rule in enumerate(rules):
        box, lintel = rule.opening.box, rule.lintel
        if _inside(line, box.x0, box.x1, box.y0, box.y1):
            return i
        if (
            rule.treatment is Treatment.UNREINFORCED
            and lintel is not None
            and _inside(line, lintel.box.x0, lintel.box.x1, lintel.box.y0, lintel.box.y1)
        ):
            return i
    return None


def _inside(line: Line, x0: float, x1: float, y0: float, y1: float) -> bool:
    left, right, low, high = to_ticks(x0), to_ticks(x1), to_ticks(y0), to_ticks(y1)
    return any(left + SAME < x < right - SAME and min(b, high) - max(a, low) > SAME for x, a, b in line.runs)


def _served(rules: Sequence[OpeningRule], line: Line) -> Iterator[tuple[int, Side]]:
    """Yield the jambs of unreinforced openings that a forced or drawn line runs along."""
    for i, rule in enumerate(rules):
        if rule.treatment is not Treatment.UNREINFORCED:
            continue
        box = rule.opening.box
        jambs: tuple[tuple[Side, float], ...] = (("left", box.x0), ("right", box.x1))
        for side, x in jambs:
            if _runs_along(line, to_ticks(x), to_ticks(box.y0), to_ticks(box.y1)):
                yield (i, side)


def _runs_along(line: Line, x: int, y0: int, y1: int) -> bool:
    """Say whether a line stands at station x all the way from y0 to y1."""
    beside = [(max(a, y0), min(b, y1)) for at, a, b in line.runs if abs(at - x) <= SAME]
    return sum(high - low for low, high in beside if high > low) >= y1 - y0 - 2 * SAME
