"""Where else a joint could stand: the stations that cures name.

A station is named only where a joint there would break nothing: clear of every opening, a unit away from
the neighbouring joints, and with both panels beside it within their limits (or, where that can't be had by
moving this joint alone, with no more of them broken than now).
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass

from perpend.checks.measure.judged_wall import JudgedWall, panel_between
from perpend.checks.measure.keep_outs import Clash, clash_with
from perpend.checks.measure.track_geometry import Piece, Track, under
from perpend.checks.measure.tracks import SIDES, away, jamb
from perpend.model import EndCondition, Side, Treatment
from perpend.units import ON_MODULE_IN, SAME_IN, off_module

_MOST_LINES = 100
"""Module lines looked at on either side of a joint; farther away nobody would look for it."""


@dataclass(frozen=True, slots=True)
class Between:
    """The room that a joint has between its neighbours.

    Attributes:
        left: joint on its left, or None at the wall's end.
        right: joint on its right, or None.
        broken: limits that the panels beside it break now.
    """

    left: Track | None
    right: Track | None
    broken: int


def stations_beside(wall: JudgedWall, track: Track) -> tuple[float, ...]:
    """Return the nearest module line to the left of a joint, and to the right, where it could stand.

    Only the better one where it breaks nothing and the other does, or leaves no sliver at the wall's end.
    Empty where neither side has one, and for a joint that a place or a jamb asks for.
    """
    if asked_for(wall, track):
        return ()
    room = room_of(wall, track)
    sides = (_nearest(wall, room, track, direction) for direction in (-1, 1))
    found = [side for side in sides if side is not None]
    best = min((rank for rank, _ in found), default=None)
    return tuple(x for rank, x in found if rank == best)


def straightened(wall: JudgedWall, track: Track) -> Track | None:
    """Return a joint that leans or steps aside drawn straight up; None where it is, or could not stand so.

    One that steps under a lintel could not.
    """
    if not any(piece.is_step for piece in track.pieces) or clash_at(wall, track.foot_x) is not None:
        return None
    return standing_at(wall, upright_station(wall, track))


def upright_station(wall: JudgedWall, track: Track) -> float:
    """Return where a joint that leans is drawn upright: at its foot, or on the module line next to it."""
    off = off_module(track.foot_x, wall.basis.module_in, wall.basis.bond_origin_in)
    lines = stations_beside(wall, track) if off and wall.idle(track) else ()
    nearest = track.nearest(lines)
    return track.foot_x if nearest is None else nearest


def sent_to(wall: JudgedWall, track: Track, x_in: float) -> str:
    """Say that a joint goes to a station; one that leans away from there is drawn upright where it stands."""
    here, there = wall.at(track.foot_x), wall.at(x_in)
    return f"Draw the joint upright at {here}" if here == there else f"Move the joint at {here} to {there}"


def leaves_sliver(wall: JudgedWall, x_in: float) -> bool:
    """Say whether a joint leaves less than a unit at an end of the wall that asks for no joint so near."""
    if any(abs(x_in - x) <= SAME_IN for x in wall.basis.corner_stations_in):
        return False
    return min(x_in, wall.basis.wall.length_in - x_in) < wall.basis.unit_in - SAME_IN


def sliver_left(wall: JudgedWall, *stations: float) -> str:
    """Say which pier is left at the wall's end where each of some stations leaves less than a unit there."""
    if not stations or not all(leaves_sliver(wall, x) for x in stations):
        return ""
    least = min(min(x, wall.basis.wall.length_in - x) for x in stations)
    return f", which leaves a pier of {wall.at(least)} at the wall's end"


def jambs_beside(wall: JudgedWall, track: Track, index: int) -> tuple[float, ...]:
    """Return the jambs of an unreinforced opening that lack a joint and to which this one could be moved.

    Only the better one where the other breaks more limits, or stands less than a unit from a neighbour.
    """
    rule = wall.basis.openings[index]
    if rule.treatment is not Treatment.UNREINFORCED or asked_for(wall, track, but=index):
        return ()
    served = [s for s in SIDES if (index, s) in wall.served]
    if any(wall.served[index, s] is track for s in served):
        return ()
    if len(served) >= rule.jambs_required:
        return ()
    room = room_of(wall, track)
    found: list[tuple[tuple[int, bool], float]] = []
    for side in SIDES:
        moved = stepped_at(wall, index, side) if side not in served else None
        if moved is not None and fits(wall, room, moved, apart_in=wall.basis.module_in / 2):
            rank = (broken_with(wall, room, moved), not fits(wall, room, moved))
            found.append((rank, jamb(rule, side)))
    least = min((rank for rank, _ in found), default=(0, False))
    return tuple(x for rank, x in found if rank == least and rank[0] <= room.broken)


def clash_at(wall: JudgedWall, x_in: float) -> Clash | None:
    """Return what lets no straight joint stand at a station, or None."""
    return first_clash(wall, standing_at(wall, x_in))


def first_clash(wall: JudgedWall, track: Track) -> Clash | None:
    """Return the first clash of a joint with an opening, in the order of the openings, or None."""
    found = (clash_with(wall, track, index) for index in wall.openings.beside(track.lo, track.hi))
    return next((clash for clash in found if clash is not None), None)


def carried_on(wall: JudgedWall, track: Track) -> Track:
    """Return a joint carried on upright to the wall's bottom and top, gaps in it closed."""
    (x, foot), (u, head) = track.foot, track.head
    path = [(x, track.floor_in)] if track.floor_in < foot else []
    path += [track.foot, *((p.x1, p.y1) for p in track.pieces)]
    path += [(u, track.crown_in)] if track.crown_in > head else []
    return _track(wall, tuple(path))


def free_jambs(wall: JudgedWall, index: int) -> tuple[Side, ...]:
    """Return the jambs of an unreinforced opening at which a new joint could stand, stepped under the lintel.

    It keeps half a module away from other joints at least; nearer ones would be moved, not joined.
    """
    found: list[Side] = []
    for side in SIDES:
        joint = stepped_at(wall, index, side)
        if joint is not None and all(_apart(joint, t) >= wall.basis.module_in / 2 for t in wall.tracks):
            found.append(side)
    return tuple(found)


def clear_of_neighbours(wall: JudgedWall, track: Track, moved: Track) -> bool:
    """Say whether a joint, drawn anew, keeps half a module away from the joints beside it."""
    room = room_of(wall, track)
    beside = (other for other in (room.left, room.right) if other is not None)
    return all(_apart(moved, other) >= wall.basis.module_in / 2 for other in beside)


def _apart(a: Track, b: Track) -> float:
    return max(a.lo - b.hi, b.lo - a.hi)


def breaks_more(wall: JudgedWall, track: Track, moved: Track) -> bool:
    """Say whether more limits of the panels beside a joint are broken where it would be moved to."""
    room = room_of(wall, track)
    return broken_with(wall, room, moved) > room.broken


def needless(wall: JudgedWall, track: Track) -> bool:
    """Say whether a joint could be left out: nothing asks for it, and the spacing does not need it."""
    room = room_of(wall, track)
    whole = panel_between(wall.basis, room.left, room.right, wall.ends)
    return not asked_for(wall, track) and whole.faults == 0


def asked_for(wall: JudgedWall, track: Track, *, but: int | None = None) -> bool:
    """Say whether a place, or a jamb that no other joint serves, asks for a joint.

    Args:
        wall: the wall.
        track: the joint.
        but: an opening, by index, whose asking does not count.
    """
    if wall.at_place(track):
        return True
    for index, rule in wall.unreinforced_near(track.lo, track.hi):
        standing = [wall.served[index, side] for side in SIDES if (index, side) in wall.served]
        others = sum(other is not track for other in standing)
        if index != but and others < len(standing) and others < rule.jambs_required:
            return True
    return False


@dataclass(frozen=True, slots=True)
class Stretch:
    """The stations from one to another; empty where the first is the greater."""

    low_in: float
    high_in: float

    def within(self, other: Stretch) -> Stretch:
        """Return the stations that two stretches share."""
        return Stretch(max(self.low_in, other.low_in), min(self.high_in, other.high_in))


def open_stations(wall: JudgedWall, stretch: Stretch) -> list[tuple[float, float]]:
    """Return where in a stretch a new joint could stand, as (first, last) module line of each free part.

    A new joint keeps a unit away from other joints, and from the wall's ends where it can; it never stands
    at an end. Parts between two module lines count only where no part has one; a corner may ask for a station
    off the module there.
    """
    unit, length = wall.basis.unit_in, wall.basis.wall.length_in
    inner = stretch.within(Stretch(unit, length - unit))
    if inner != stretch and inner.low_in <= inner.high_in:
        away = open_stations(wall, inner)
        if away:
            return away
    free = [part for part in _free_parts(wall, stretch) if part.low_in <= part.high_in]
    on_module = [lines for part in free if (lines := _module_lines(wall, part)) is not None]
    if on_module:
        return on_module
    asked = [x for x in wall.basis.corner_stations_in if any(p.low_in <= x <= p.high_in for p in free)]
    return [(x, x) for x in asked] or [_clear_of_ends(wall, part) for part in free]


def _module_lines(wall: JudgedWall, stretch: Stretch) -> tuple[float, float] | None:
    """Return the first and the last module line of a stretch within the wall, or None where it has none."""
    module, origin, length = wall.basis.module_in, wall.basis.bond_origin_in, wall.basis.wall.length_in
    low, high = max(stretch.low_in, 2 * ON_MODULE_IN), min(stretch.high_in, length - 2 * ON_MODULE_IN)
    first = math.ceil((low - SAME_IN - origin) / module) * module + origin
    last = math.floor((high + SAME_IN - origin) / module) * module + origin
    return (first, last) if first <= last else None


def _clear_of_ends(wall: JudgedWall, stretch: Stretch) -> tuple[float, float]:
    """Return the part of a stretch that is a module away from the wall's ends, or its point farthest in."""
    module, length = wall.basis.module_in, wall.basis.wall.length_in
    low, high = max(stretch.low_in, module), min(stretch.high_in, length - module)
    if low <= high:
        return (low, high)
    inmost = stretch.high_in if stretch.high_in < length / 2 else stretch.low_in
    return (inmost, inmost)


def _free_parts(wall: JudgedWall, stretch: Stretch) -> Iterator[Stretch]:
    """Yield the parts of a stretch clear of every opening's keep-out and a unit away from every joint."""
    unit = wall.basis.unit_in
    taken = [
        (rule.opening.box.x0 - rule.clear_in, rule.opening.box.x1 + rule.clear_in)
        for rule in wall.basis.openings
    ]
    taken += [(track.lo - unit, track.hi + unit) for track in wall.tracks]
    start = stretch.low_in
    for left, right in sorted(taken):
        if right <= start or left >= stretch.high_in:
            continue
        yield Stretch(start, left)
        start = right
    yield Stretch(start, stretch.high_in)


def room_of(wall: JudgedWall, track: Track) -> Between:
    """Return the room that a joint has between its neighbours."""
    tracks = wall.feet.tracks
    after = here = bisect_left(wall.feet.feet, track.foot_x)
    while after < len(tracks) and tracks[after] is not track:
        after += 1
    if after < len(tracks):
        here, after = after, after + 1
    else:  # a joint that stands twice: its twin is the one that counts
        after = here
    left = tracks[here - 1] if here else None
    right = tracks[after] if after < len(tracks) else None
    return Between(left, right, _around(wall, left, track, right))


def _around(wall: JudgedWall, left: Track | None, track: Track, right: Track | None) -> int:
    """Count the limits that the two panels beside a joint break."""
    pairs = ((left, track), (track, right))
    return sum(panel_between(wall.basis, a, b, wall.ends).faults for a, b in pairs)


def broken_with(wall: JudgedWall, room: Between, moved: Track) -> int:
    """Count the limits that the panels beside a joint would break where it would be moved to."""
    return _around(wall, room.left, moved, room.right)


def _nearest(
    wall: JudgedWall, room: Between, track: Track, direction: int
) -> tuple[tuple[bool, bool], float] | None:
    """Return the best module line on one side, the nearest of equals, and its rank.

    Its rank: whether it breaks a limit, though no more of them than now, and whether it leaves a sliver.
    """
    found: tuple[tuple[bool, bool], float] | None = None
    for x in _lines(wall, track, direction):
        moved = standing_at(wall, x)
        if not fits(wall, room, moved):
            continue
        broken = broken_with(wall, room, moved)
        rank = (broken > 0, leaves_sliver(wall, x))
        if broken <= room.broken and (found is None or rank < found[0]):
            found = (rank, x)
            if rank == (False, False):
                break
    return found


def _lines(wall: JudgedWall, track: Track, direction: int) -> Iterator[float]:
    """Yield the module lines on one side of a joint, and what the corner asks for, nearest first."""
    module, origin, length = wall.basis.module_in, wall.basis.bond_origin_in, wall.basis.wall.length_in
    start = (track.foot_x - origin) / module
    first = math.floor(start - SAME_IN) if direction < 0 else math.ceil(start + SAME_IN)
    lines = [origin + (first + direction * k) * module for k in range(_MOST_LINES)]
    asked = [x for x in wall.basis.corner_stations_in if (x - track.foot_x) * direction > SAME_IN]
    inside = (x for x in (*lines, *asked) if ON_MODULE_IN < x < length - ON_MODULE_IN)
    yield from sorted(inside, key=lambda x: abs(x - track.foot_x))


def fits(wall: JudgedWall, room: Between, moved: Track, *, apart_in: float | None = None) -> bool:
    """Say whether a joint stands clear of its neighbours, of the wall's ends and of every opening.

    Args:
        wall: the wall.
        room: what is beside the joint.
        moved: the joint where it would stand.
        apart_in: how far it keeps from its neighbours; None is a unit.
    """
    unit = wall.basis.unit_in
    apart = unit if apart_in is None else apart_in
    if room.left is not None and under(moved.lo - room.left.hi, apart):
        return False
    if room.right is not None and under(room.right.lo - moved.hi, apart):
        return False
    length = wall.basis.wall.length_in
    for side, end in zip(SIDES, (wall.basis.left_end, wall.basis.right_end), strict=True):
        distance = moved.lo if side == "left" else length - moved.hi
        joint = side in wall.ends or end is EndCondition.JOINT
        least = wall.basis.spacing.corner_min_in if end is EndCondition.CORNER else unit if joint else 0.0
        if distance <= ON_MODULE_IN or under(distance, least):
            return False
    return first_clash(wall, moved) is None


def standing_at(wall: JudgedWall, x_in: float) -> Track:
    """Return a straight joint from the wall's bottom to its top."""
    return _track(wall, ((x_in, max(wall.basis.wall.bottom.at(x_in))), (x_in, _crown(wall, x_in))))


def stepped_at(wall: JudgedWall, index: int, side: Side) -> Track | None:
    """Return the joint at a jamb, stepped under the lintel; None where the wall or an opening has no room.

    It runs straight up where the wall goes no higher than the opening.
    """
    rule = wall.basis.openings[index]
    x, head = jamb(rule, side), rule.opening.box.y1
    step = rule.step_in if _crown(wall, x + away(side) * rule.step_in) > head else 0.0
    beyond = x + away(side) * step
    length = wall.basis.wall.length_in
    if min(x, beyond) <= ON_MODULE_IN or max(x, beyond) >= length - ON_MODULE_IN:
        return None
    foot = (x, max(wall.basis.wall.bottom.at(x)))
    crown = _crown(wall, beyond)
    if foot[1] >= min(head, crown):
        return None
    turn = ((x, head), (beyond, head)) if step else ()
    joint = _track(wall, (foot, *turn, (beyond, crown)))
    return joint if first_clash(wall, joint) is None else None


def _crown(wall: JudgedWall, x_in: float) -> float:
    return min(wall.basis.wall.top.at(x_in))


def _track(wall: JudgedWall, path: tuple[tuple[float, float], ...]) -> Track:
    pieces = tuple(Piece(*a, *b) for a, b in itertools.pairwise(path))
    return Track((), pieces, path[0][1], path[-1][1], joint_type=wall.basis.joint_type)
