"""Every line on which a joint of this wall could stand, and what the wall asks of them.

docs/placement.md is the specification. Positions are in ticks (see `layout.paths`).

Glossary:
    candidate: a line that a joint could take.
    forced: a candidate that must be taken.
    keep-out: the stations near an opening where a joint that does not serve it may not stand.
    requirement: a set of candidates of which at least one must be taken.
    lost: something asked for that no candidate can give; it counts as a violation from the start.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby, pairwise

from perpend.layout.adjoining_ends import NearEnd, keeps_clear, near_ends
from perpend.layout.decided import held_line, without_barred
from perpend.layout.joint_lines import Line, alike, drawn_line, jamb_line, straight_line, with_slips
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
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN, SAME_IN, from_ticks, to_ticks

SAME = to_ticks(SAME_IN)


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
    """

    line: Line
    kind: JointKind
    serves: frozenset[tuple[int, Side]] = frozenset()
    forced: bool = False
    place: Place | None = None
    drawn: DrawnJoint | None = None
    too_near: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """At least one of these candidates must be taken, for this opening.

    Attributes:
        opening: index of the opening.
        sides: the jambs of which one needs a joint; empty when a joint near it is asked for.
        candidates: numbers of the candidates that would do, ascending.
    """

    opening: int
    sides: tuple[Side, ...]
    candidates: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Lost:
    """Something the wall asks for that nothing can give.

    Attributes:
        opening: index of the opening, or None when a forced place is lost.
        sides: as in `Requirement`.
        place: the place.
        in_the_way: tags of openings, or parts of the wall.
    """

    opening: int | None
    sides: tuple[Side, ...] = ()
    place: Place | None = None
    in_the_way: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Field:
    """All candidates of a wall, sorted by foot, with what is asked of them, and end joints too near."""

    candidates: tuple[Candidate, ...]
    requirements: tuple[Requirement, ...]
    lost: tuple[Lost, ...] = ()
    blocked_jambs: dict[tuple[int, Side], str] = field(default_factory=dict)
    near_ends: tuple[NearEnd, ...] = ()


@dataclass(frozen=True, slots=True)
class KeepOuts:
    """The keep-outs of a wall's openings, sorted for look-up."""

    spans: tuple[tuple[int, int, int], ...]
    """(start, end, index of the opening), sorted by start; a joint may stand at start or end."""
    reach: int
    """Length of the longest span."""
    starts: tuple[int, ...]

    def hit_by(self, lo: int, hi: int) -> Iterator[int]:
        """Yield the openings whose keep-out the stations lo..hi enter by more than the tolerance."""
        first = bisect_left(self.starts, lo - self.reach)
        last = bisect_right(self.starts, hi)
        for start, end, index in self.spans[first:last]:
            if lo < end - SAME and hi > start + SAME:
                yield index

    def clear_of(self, lo: int, hi: int) -> bool:
        """Say whether the stations lo..hi enter no keep-out."""
        return next(self.hit_by(lo, hi), None) is None


def keep_outs(rules: Sequence[OpeningRule]) -> KeepOuts:
    """Collect the keep-outs of all openings: jamb to jamb, and ``clear_in`` on either side."""
    spans = sorted(
        (to_ticks(r.opening.box.x0 - r.clear_in), to_ticks(r.opening.box.x1 + r.clear_in), i)
        for i, r in enumerate(rules)
    )
    reach = max((end - start for start, end, _ in spans), default=0)
    return KeepOuts(tuple(spans), reach, tuple(start for start, _, _ in spans))


def field_of(basis: WallBasis, optional: Sequence[Candidate] = ()) -> Field:
    """Return every candidate of a wall and what is asked of them.

    Args:
        basis: the wall's basis.
        optional: further lines that may be taken, such as drawn joints that may stay. One that is forced
            stands for every forced candidate that it is alike to; any stands for a candidate on its line.
    """
    outs = keep_outs(basis.openings)
    forced, lost = _forced(basis, outs)
    jambs, blocked = _jambs(basis, outs)
    forced, jambs = without_barred(basis.wall, forced), without_barred(basis.wall, jambs)
    if optional:
        near = to_ticks(ON_MODULE_IN)
        stand_ins = [o.line for o in optional if o.forced]
        forced = [c for c in forced if not any(alike(c.line, line, near) for line in stand_ins)]
        jambs = [c for c in jambs if not any(alike(c.line, o.line, SAME) for o in optional)]
        forced += optional
    taken = sorted(c.line.foot for c in (*forced, *jambs) if c.line.straight)
    straight = [c for c in _straight(basis, outs) if not _is_taken(c.line.foot, taken)]
    straight = without_barred(basis.wall, straight)
    everything = sorted(
        [*forced, *jambs, *straight], key=lambda c: (c.line.foot, c.line.runs[-1][0], not c.forced)
    )
    requirements, unserved = _requirements(basis.openings, everything, blocked)
    return Field(tuple(everything), requirements, (*lost, *unserved), blocked, tuple(near_ends(basis)))


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


def _straight(basis: WallBasis, outs: KeepOuts) -> Iterator[Candidate]:
    """Yield the module lines, and the stations that a corner asks for, that are clear of every opening."""
    module, end = basis.module_in, to_ticks(basis.wall.length_in)
    first = -int(basis.bond_origin_in // module)
    lines = range(first, first + int(basis.wall.length_in // module) + 2)
    stations = (*(basis.bond_origin_in + k * module for k in lines), *basis.corner_stations_in)
    for x in map(to_ticks, stations):
        if SAME < x < end - SAME and not _too_near_corner(basis, x, x) and outs.clear_of(x, x):
            yield Candidate(straight_line(x, *_span(basis.wall, x)), JointKind.STRAIGHT)


def _jambs(basis: WallBasis, outs: KeepOuts) -> tuple[list[Candidate], dict[tuple[int, Side], str]]:
    """Return the jamb candidates, and for every jamb that can't have one what is in the way."""
    found: list[Candidate] = []
    blocked: dict[tuple[int, Side], str] = {}
    sides: tuple[Side, Side] = ("left", "right")
    for side in sides:
        for chain in _chains(basis.openings, side):
            line = _chain_line(basis, chain, side)
            why = _why_blocked(basis, outs, line, chain)
            if why:
                blocked.update({(i, side): why for i in chain})
            else:
                serves = frozenset((i, side) for i in chain)
                found.append(Candidate(line, JointKind.JAMB, serves))
    return found, blocked


def _chains(rules: Sequence[OpeningRule], side: Side) -> Iterator[tuple[int, ...]]:
    """Group unreinforced openings that take jamb joints and are in line on one side, lowest first."""

    def jamb(i: int) -> float:
        box = rules[i].opening.box
        return box.x0 if side == "left" else box.x1

    taking = (i for i, r in enumerate(rules) if _takes_jambs(r))
    plain = sorted(taking, key=jamb)
    starts = [k for k, i in enumerate(plain) if k == 0 or jamb(i) - jamb(plain[k - 1]) > SAME_IN]
    for a, b in pairwise([*starts, len(plain)]):
        yield tuple(sorted(plain[a:b], key=lambda i: rules[i].opening.box.y0))


def _takes_jambs(rule: OpeningRule) -> bool:
    """Say whether joints may stand at the jambs of an opening."""
    return rule.treatment is Treatment.UNREINFORCED and (rule.jambs_required > 0 or rule.jambs_optional)


def _chain_line(basis: WallBasis, chain: tuple[int, ...], side: Side) -> Line:
    rules = [basis.openings[i] for i in chain]
    box = rules[0].opening.box
    foot = to_ticks(box.x0 if side == "left" else box.x1)
    step = to_ticks(rules[-1].step_in) * (-1 if side == "left" else 1)
    bottom = _span(basis.wall, foot)[0]
    top = _span(basis.wall, foot + step)[1]
    return jamb_line(rules, side, bottom, top)


def _why_blocked(basis: WallBasis, outs: KeepOuts, line: Line, chain: tuple[int, ...]) -> str:
    """Say what leaves a jamb joint no room: an opening's tag, or a part of the wall; empty where nothing."""
    if line.lo <= SAME or line.hi >= to_ticks(basis.wall.length_in) - SAME:
        return "the wall's end"
    if any(_least_top(basis.wall, x0, x1) <= y + SAME for x0, x1, y in line.slips):
        return "the wall's top"
    if _too_near_corner(basis, line.lo, line.hi):
        return "the corner"
    for other in outs.hit_by(line.lo, line.hi):
        if other not in chain:
            return basis.openings[other].opening.tag
    return ""


def _forced(basis: WallBasis, outs: KeepOuts) -> tuple[list[Candidate], list[Lost]]:
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
        near = tuple(i for i in outs.hit_by(line.lo, line.hi) if keeps_clear(basis.openings[i]))
        kind = candidate.kind
        if candidate.drawn is not None and candidate.drawn.held:
            kind = JointKind.JAMB if serves else JointKind.STRAIGHT
            line = with_slips(line, {to_ticks(basis.openings[i].opening.box.y1) for i, _ in serves})
        found.append(Candidate(line, kind, serves, True, candidate.place, candidate.drawn, near))
    return found, lost


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
    for place in (*height_changes(basis), *wall.places):
        x = to_ticks(place.x_in)
        line = straight_line(x, *_span(wall, x))
        yield Candidate(line, JointKind.FORCED, forced=True, place=place)
    for joint in wall.drawn_joints:
        if joint.held:
            place = Place(joint.path[0][0], PlaceKind.HELD)
            line = held_line(joint, lambda: _jambs(basis, keep_outs(basis.openings))[0], basis.wall)
            yield Candidate(line, JointKind.STRAIGHT, forced=True, place=place, drawn=joint)
        elif not joint.ours:
            place = Place(joint.path[0][0], PlaceKind.EXISTING, joint.handle, joint.layer)
            line = drawn_line(joint.path)
            yield Candidate(line, JointKind.EXISTING, forced=True, place=place, drawn=joint)


def height_changes(basis: WallBasis) -> Iterator[Place]:
    """Yield the stations where the wall's height changes by more than the rule book lets pass."""
    wall = basis.wall
    stations = sorted({step[0] for edge in (wall.top, wall.bottom) for step in edge.steps()})
    for x in stations:
        (top_left, top_right), (low_left, low_right) = wall.top.at(x), wall.bottom.at(x)
        left, right = top_left - low_left, top_right - low_right
        lesser = min(left, right)
        if lesser > 0 and abs(left - right) / lesser > basis.height_change_over:
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


def _requirements(
    rules: Sequence[OpeningRule],
    candidates: Sequence[Candidate],
    blocked: dict[tuple[int, Side], str],
) -> tuple[tuple[Requirement, ...], tuple[Lost, ...]]:
    """Say which candidates can serve each opening, and which openings nothing can serve."""
    serving: dict[tuple[int, Side], list[int]] = {}
    pairs = sorted((key, n) for n, c in enumerate(candidates) for key in c.serves)
    for key, group in groupby(pairs, key=lambda pair: pair[0]):
        serving[key] = [n for _, n in group]
    found: list[Requirement] = []
    lost: list[Lost] = []
    for i, rule in enumerate(rules):
        for sides in _asked(rule):
            able = sorted(n for side in sides for n in serving.get((i, side), ()))
            if able:
                found.append(Requirement(i, sides, tuple(able)))
            else:
                why = dict.fromkeys(blocked[i, side] for side in sides if (i, side) in blocked)
                lost.append(Lost(i, sides, in_the_way=tuple(why)))
        if rule.near_within_in is not None:
            able = sorted(_near(rule, rule.near_within_in, candidates))
            if able:
                found.append(Requirement(i, (), tuple(able)))
            else:
                lost.append(Lost(i))
    return tuple(found), tuple(lost)


def _asked(rule: OpeningRule) -> tuple[tuple[Side, ...], ...]:
    """Return the sets of jambs of which each needs at least one joint."""
    if rule.jambs_required == 1:
        return (("left", "right"),)
    return (("left",), ("right",)) if rule.jambs_required == 2 else ()


def _near(rule: OpeningRule, within_in: float, candidates: Sequence[Candidate]) -> Iterator[int]:
    """Yield the candidates whose foot is within a distance of either jamb."""
    low = to_ticks(rule.opening.box.x0 - within_in) - SAME
    high = to_ticks(rule.opening.box.x1 + within_in) + SAME
    first = bisect_left(candidates, low, key=lambda c: c.line.foot)
    last = bisect_right(candidates, high, key=lambda c: c.line.foot)
    yield from range(first, last)
