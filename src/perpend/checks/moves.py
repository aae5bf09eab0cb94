"""The cures of joints that stand in the wrong place: where to move each, or what else would help."""

from __future__ import annotations

from perpend.checks.elsewhere import jambs_beside, needless, stations_beside
from perpend.checks.geometry import Track
from perpend.checks.tracks import SIDES, jamb, stands_at_jamb
from perpend.checks.wall import JudgedWall, enters, lintel_box
from perpend.model import Treatment


def move_away(wall: JudgedWall, track: Track, index: int) -> str:
    """Say what cures a joint that an opening does not let stand.

    Args:
        wall: the wall.
        track: the joint.
        index: of the opening.
    """
    move = _move(wall, track, index)
    meant = _meant_unreinforced(wall, track, index)
    tag = wall.basis.openings[index].opening.tag
    if move and meant:
        return f"{move}; or {meant}."
    if move or meant:
        text = move or meant
        return f"{text[:1].upper()}{text[1:]}."
    if needless(wall, track):
        return "Leave it out: no panel becomes too long without it."
    return f"Treat {tag} another way or move it, or move the joints beside this one as well."


def move_to_module(wall: JudgedWall, track: Track) -> str:
    """Say to which module line a joint should be moved; empty where none near it is free."""
    stations = stations_beside(wall, track)
    nearest = min(stations, key=lambda x: abs(x - track.foot_x), default=None)
    return "" if nearest is None else f"Move it to {wall.at(nearest)}."


def _move(wall: JudgedWall, track: Track, index: int) -> str:
    """Name the stations to which a joint could be moved, or return an empty text."""
    at = wall.at
    step = wall.basis.openings[index].step_in > 0
    jambs = jambs_beside(wall, track, index)
    if jambs:
        under = ", stepped under the lintel" if step else ""
        return f"Move it to the jamb at {' or at '.join(at(x) for x in jambs)}{under}"
    stations = stations_beside(wall, track)
    return f"Move it to {' or to '.join(at(x) for x in stations)}" if stations else ""


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
        wishes.append("step the joint under its lintel")
    bare = [
        side
        for side in SIDES
        if side not in sides and not any(stands_at_jamb(t, rule, side) for t in wall.tracks)
    ]
    if bare and other.jambs_required == len(SIDES):
        wishes.append(f"stand another at {wall.at(jamb(rule, bare[0]))}")
    return _listed(wishes)


def _listed(wishes: list[str]) -> str:
    return wishes[0] if len(wishes) == 1 else f"{', '.join(wishes[:-1])} and {wishes[-1]}"
