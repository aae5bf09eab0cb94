"""The cures of joints that stand in the wrong place: where to move each, or what else would help."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from perpend.checks.candidate_stations import (
    breaks_more,
    broken_with,
    carried_on,
    clash_at,
    clear_of_neighbours,
    first_clash,
    fits,
    free_jambs,
    jambs_beside,
    needless,
    room_of,
    sent_to,
    sliver_left,
    stations_beside,
    stepped_at,
    straightened,
)
from perpend.checks.measure.joint_assignment import joint_for_place, place_for_joint
from perpend.checks.measure.judged_wall import JudgedWall, Repeat, enters, jambs_served, lintel_box
from perpend.checks.measure.keep_outs import clash_with
from perpend.checks.measure.track_geometry import Track
from perpend.checks.measure.tracks import SIDES, jamb, stands_at_a_jamb, stands_at_jamb
from perpend.checks.measure.wording import listed
from perpend.checks.missing_joints import beside, stray_jamb
from perpend.checks.treatment_trials import better_otherwise
from perpend.model import Treatment
from perpend.units import GAP_IN, ON_MODULE_IN

_TOGETHER = "run check with --propose, which shows how"


def move_away(wall: JudgedWall, track: Track, index: int) -> str:
    """Say what cures a joint that an opening does not let stand.

    Args:
        wall: the wall.
        track: the joint.
        index: of the opening.
    """
    if straightened(wall, track) is not None and not jambs_beside(wall, track, index):
        return straight_up(wall, track)
    if place := _to_bare_place(wall, track):
        return place
    move = _move(wall, track, index)
    meant = _meant_unreinforced(wall, track, index)
    tag = wall.basis.openings[index].opening.tag
    if move and meant:
        return f"{move}; or {meant}."
    if move or meant:
        return _sentence(move or meant)
    if needless(wall, track):
        return "Leave it out: no panel becomes too long without it."
    if otherwise := _otherwise(wall, track, index):
        return _sentence(otherwise)
    if wall.at_place(track):
        return f"Move {tag}, or what asks for a joint at {wall.at(track.foot_x)}: both can't stand there."
    return f"Several joints must change together: {_TOGETHER}; or move {tag}."


def step_aside(wall: JudgedWall, track: Track, index: int) -> str:
    """Say what cures a joint that runs straight up at the jamb of an unreinforced opening."""
    if not any(_stepped_where_it_stands(wall, track, index)):
        return move_away(wall, track, index)
    if instead := _no_room_to_step(wall, track, index):
        return instead
    more = _longer_then(wall, track, index)
    return f"Step it aside under the lintel's bearing and carry it up at the lintel's end{more}."


def turn_out(wall: JudgedWall, track: Track, index: int) -> str:
    """Say how a joint at the jamb of an unreinforced opening that steps wrongly is drawn instead."""
    if instead := _no_room_to_step(wall, track, index):
        return instead
    out = f"Turn the joint out level at the head of {wall.basis.openings[index].opening.tag}"
    return f"{out}, to the end of its lintel, and up there{_longer_then(wall, track, index)}."


def _no_room_to_step(wall: JudgedWall, track: Track, index: int) -> str:
    """Say where a joint at a jamb goes for which a place asks, or that would meet another, stepped."""
    if place := _to_bare_place(wall, track):
        return place
    stepped = next(_stepped_where_it_stands(wall, track, index), None)
    if stepped is None or clear_of_neighbours(wall, track, stepped):
        return ""
    if other := _to_other_jamb(wall, track, index):
        return other
    return "Leave it out: no panel becomes too long without it." if needless(wall, track) else ""


def _to_other_jamb(wall: JudgedWall, track: Track, index: int) -> str:
    """Say that a joint goes to the other jamb of an opening that needs one joint; empty where it can't."""
    rule, room = wall.basis.openings[index], room_of(wall, track)
    free = [side for side in SIDES if (index, side) not in wall.served]
    moved = stepped_at(wall, index, free[0]) if len(free) == rule.jambs_required == 1 else None
    if moved is None or not fits(wall, room, moved) or broken_with(wall, room, moved) > room.broken:
        return ""
    lintel = f"{_under(wall, index)} of {rule.opening.tag}" if rule.step_in > 0 else ""
    return f"{sent_to(wall, track, jamb(rule, free[0]))}{lintel}."


def _longer_then(wall: JudgedWall, track: Track, index: int) -> str:
    """Say what else is needed where a joint that steps aside under a lintel makes a panel too long."""
    stepped = next(_stepped_where_it_stands(wall, track, index), None)
    longer = stepped is not None and breaks_more(wall, track, stepped)
    return ", and add a joint to the panel beside it, which is too long then" if longer else ""


def _stepped_where_it_stands(wall: JudgedWall, track: Track, index: int) -> Iterator[Track]:
    """Yield a joint stepped under the lintel at each jamb of an opening where it stands."""
    for side in SIDES:
        if stands_at_jamb(track, wall.basis.openings[index], side):
            stepped = stepped_at(wall, index, side)
            if stepped is not None:
                yield stepped


def _to_bare_place(wall: JudgedWall, track: Track) -> str:
    """Say to which place that lacks a joint this one is moved; empty where there is none."""
    x = place_for_joint(wall, track)
    return "" if x is None else f"Move it to {wall.at(x)}."


def move_to_module(wall: JudgedWall, track: Track) -> str:
    """Say to which module line a joint should be moved; empty where none near it is free."""
    nearest = track.nearest(stations_beside(wall, track))
    return "" if nearest is None else f"Move it to {wall.at(nearest)}."


def to_place(wall: JudgedWall, x_in: float) -> str:
    """Say what cures a place that asks for a joint and has none."""
    at, clash = wall.at, clash_at(wall, x_in)
    if clash is not None:
        other = _freed_by(wall, clash.track, clash.index)
        treat = f", or treat it as {other}" if other else ""
        tag = wall.basis.openings[clash.index].opening.tag
        would, then = {
            "joint-through-opening": ("run through", "move it away from there"),
            "joint-through-lintel": ("run through the lintel of", f"move it{treat}"),
            "joint-in-keep-out": ("stand too near to", f"move it{treat}"),
        }[clash.kind]
        return f"A joint at {at(x_in)} would {would} {tag}: {then}."
    if moved := joint_for_place(wall, x_in):
        return f"{sent_to(wall, moved, x_in)}."
    if any(t.lo < t.hi and abs(t.foot_x - x_in) <= ON_MODULE_IN for t in wall.tracks):
        return f"Carry the joint at {at(x_in)} straight up, over the whole height of the wall."
    return f"Stand a joint at {at(x_in)}."


def draw_whole(wall: JudgedWall, track: Track) -> str:
    """Say how a joint that stops short is carried on to the wall's bottom and top, or where it goes."""
    if place := _to_bare_place(wall, track):
        return place
    clash = first_clash(wall, carried_on(wall, track))
    if clash is None:
        return "Draw it from the bottom of the wall to its top."
    rule = wall.basis.openings[clash.index]
    at_jamb = stands_at_a_jamb(track, rule)
    if rule.treatment is Treatment.UNREINFORCED and at_jamb and clash.kind == "joint-through-lintel":
        lintel = f"under the lintel of {rule.opening.tag}"
        if track.foot[1] - track.floor_in <= GAP_IN:
            return f"Draw it on to the top of the wall, stepped {lintel}."
        return f"Carry it down the jamb to the bottom of the wall, and up to its top stepped {lintel}."
    return move_away(wall, track, clash.index)


def straight_up(wall: JudgedWall, track: Track) -> str:
    """Say how a joint that should not step aside is drawn: straight, where it stands or elsewhere."""
    upright = straightened(wall, track)
    if upright is None:
        clash = clash_at(wall, track.foot_x)
        return "Carry it straight up." if clash is None else move_away(wall, track, clash.index)
    x = upright.lo
    return "Carry it straight up." if x == track.foot_x else f"Carry it straight up at {wall.at(x)}."


def part(wall: JudgedWall, repeat: Repeat) -> str:
    """Say how two joints are parted that meet and are both needed: one of them goes to another jamb."""
    for track in (repeat.extra, repeat.kept):
        for index, _ in jambs_served(wall.basis, track):
            if other := _to_other_jamb(wall, track, index):
                return other
    return "Part the two joints, or leave one out."


def to_jamb_beside(wall: JudgedWall, track: Track, index: int) -> str:
    """Say to which jamb of an opening a joint beside it is moved; empty where it stands there, or can't."""
    rule = wall.basis.openings[index]
    x = None if stands_at_a_jamb(track, rule) else track.nearest(jambs_beside(wall, track, index))
    return f"{_to_jambs_of(wall, track, index, x)}." if x is not None else ""


def _to_jambs_of(wall: JudgedWall, track: Track, index: int, *stations: float) -> str:
    """Say that a joint goes to a jamb; one that leans away from its foot there is drawn upright."""
    at, tag, under = wall.at, wall.basis.openings[index].opening.tag, _under(wall, index)
    here = at(track.foot_x)
    if here in map(at, stations):
        return f"Draw it upright at the jamb of {tag} at {here}{under}"
    return f"Move it to the jamb of {tag} at {' or at '.join(map(at, stations))}{under}"


def _under(wall: JudgedWall, index: int) -> str:
    return ", stepped under the lintel" if wall.basis.openings[index].step_in > 0 else ""


def to_jambs(wall: JudgedWall, index: int) -> str:
    """Say what cures an unreinforced opening that lacks a joint at a jamb, or at both."""
    at, rule = wall.at, wall.basis.openings[index]
    missing = [side for side in SIDES if (index, side) not in wall.served]
    both = len(missing) == rule.jambs_required == len(SIDES)
    under = _under(wall, index)
    reinforce = ", or reinforce the opening" if better_otherwise(wall, index) else ""
    free = [jamb(rule, side) for side in free_jambs(wall, index) if side in missing]
    strays = () if both else (_stray(wall, track, index) for track in wall.tracks)
    if stray := next(filter(None, strays), ""):
        return f"{stray}{reinforce}."
    if free and (len(free) == len(SIDES) or not both):
        where = f" {'and' if both else 'or'} ".join(at(x) for x in free)
        return f"Stand a joint at {where}{under}{reinforce}."
    for track in wall.tracks:
        stations = jambs_beside(wall, track, index) if beside(wall, track, index) else ()
        for x in stations:
            rest = [other for other in free if other != x]
            if both and rest:
                another = f" and stand another at {at(rest[0])}"
                return f"{sent_to(wall, track, x)}{another}{under}{reinforce}."
            if not both:
                return f"{sent_to(wall, track, x)}{under}{reinforce}."
    where = " and ".join(at(jamb(rule, side)) for side in missing)
    if not reinforce:
        return f"What stands beside it leaves no room for a joint at {where}: {_TOGETHER}."
    return f"Reinforce the opening: what stands beside it leaves no room for a joint at {where}."


def _stray(wall: JudgedWall, track: Track, index: int) -> str:
    """Say how a joint beside an opening is moved to its jamb; empty where it may stay as it is."""
    x = stray_jamb(wall, track, index)
    return "" if x is None else f"{sent_to(wall, track, x)}{_under(wall, index)}"


def _move(wall: JudgedWall, track: Track, index: int) -> str:
    """Name the stations to which a joint could be moved, or return an empty text."""
    at = wall.at
    rule = wall.basis.openings[index]
    jambs = jambs_beside(wall, track, index)
    if jambs:
        return _to_jambs_of(wall, track, index, *jambs)
    stations = stations_beside(wall, track)
    if not stations:
        return ""
    where, sliver = " or to ".join(at(x) for x in stations), sliver_left(wall, *stations)
    otherwise = _otherwise(wall, track, index) or f"move {rule.opening.tag}"
    return f"Move it to {where}{sliver}{f'; or {otherwise}' if sliver else ''}"


def _otherwise(wall: JudgedWall, track: Track, index: int) -> str:
    """Say how an opening would let a joint stand; empty where its other treatment would not."""
    other = _freed_by(wall, track, index)
    return f"treat {wall.basis.openings[index].opening.tag} as {other}, or move it" if other else ""


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def _meant_unreinforced(wall: JudgedWall, track: Track, index: int) -> str:
    """Say which setting an opening lacks that a jamb joint was drawn for; empty where that is not so."""
    rule = wall.basis.openings[index]
    if rule.treatment is not Treatment.REINFORCED or rule.treatment_of == "opening":
        return ""
    sides = [side for side in SIDES if stands_at_jamb(track, rule, side)]
    other = wall.basis.other_treatment(index)
    if not sides or other is None or other.jambs_required == 0:
        return ""
    tag = rule.opening.tag
    wishes = [f'set treatment = "unreinforced" for {tag} in the settings ([[openings]], tag = "{tag}")']
    lintel = lintel_box(wall.basis, other)
    if lintel is not None and enters(track, lintel):
        if wall.at_place(track):
            return ""  # it has to stand upright at its place, and could not step under the lintel
        wishes.append("step the joint under its lintel")
    bare = [
        side
        for side in SIDES
        if side not in sides and not any(stands_at_jamb(t, rule, side) for t in wall.tracks)
    ]
    if bare and other.jambs_required == len(SIDES):
        stepped = ", stepped under the lintel" if other.step_in > 0 else ""
        wishes.append(f"stand another at {wall.at(jamb(rule, bare[0]))}{stepped}")
    return listed(wishes)


def _freed_by(wall: JudgedWall, track: Track, index: int) -> Treatment | None:
    """Return the other treatment of an opening if it lets a joint stand and asks for no joint that lacks."""
    other = wall.basis.other_treatment(index)
    if other is None:
        return None
    changed = replace(wall, basis=wall.basis.with_opening(index, other))
    if clash_with(changed, track, index) is not None:
        return None
    joints = (track, *wall.tracks)
    served = sum(any(stands_at_jamb(t, other, side) for t in joints) for side in SIDES)
    return other.treatment if served >= other.jambs_required else None
