"""A joint that is only thought of: straight at a station, and whether a drawn one could do without."""

from __future__ import annotations

from perpend.checks.measure.judged_wall import JudgedWall, panel_between, stands_at
from perpend.checks.measure.keep_outs import Clash, clash_with
from perpend.checks.measure.track_geometry import Piece, Track
from perpend.checks.measure.tracks import SIDES
from perpend.units import ON_MODULE_IN


def upright_at(wall: JudgedWall, x_in: float) -> Track:
    """Return a straight joint from the wall's bottom to its top."""
    low, high = max(wall.basis.wall.bottom.at(x_in)), min(wall.basis.wall.top.at(x_in))
    return Track((), (Piece(x_in, low, x_in, high),), low, high, joint_type=wall.basis.joint_type)


def clash_at(wall: JudgedWall, x_in: float) -> Clash | None:
    """Return the first opening, in their order, that permits no straight joint at a station, or None."""
    track = upright_at(wall, x_in)
    found = (clash_with(wall, track, index) for index in wall.openings.beside(x_in, x_in))
    return next((clash for clash in found if clash is not None), None)


def meant_upright(wall: JudgedWall, track: Track) -> Track:
    """Return a joint that steps or leans aside drawn straight at its foot, or itself where it can't be."""
    steps = any(piece.is_step for piece in track.pieces)
    return upright_at(wall, track.foot_x) if steps and clash_at(wall, track.foot_x) is None else track


def needless(wall: JudgedWall, track: Track) -> bool:
    """Say whether nothing requires a joint: no place, no jamb of its own, not the spacing."""
    if is_required(wall, track):
        return False
    here = wall.tracks.index(track)
    left = wall.tracks[here - 1] if here else None
    right = wall.tracks[here + 1] if here + 1 < len(wall.tracks) else None
    return panel_between(wall.basis, left, right, wall.ends).faults == 0


def is_required(wall: JudgedWall, track: Track) -> bool:
    """Say whether a place, or a jamb that no other joint serves, requires a joint."""
    if wall.at_place(track):
        return True
    for index, rule in wall.unreinforced_near(track.lo, track.hi):
        there = [wall.served[index, side] for side in SIDES if (index, side) in wall.served]
        others = sum(other is not track for other in there)
        if others < len(there) and others < rule.jambs_required:
            return True
    return False


def beside_bare_place(wall: JudgedWall, track: Track) -> bool:
    """Say whether a joint is off a place less than a unit away that requires a joint and has none."""
    return any(
        ON_MODULE_IN < abs(track.foot_x - place.x_in) < wall.basis.unit_in
        and clash_at(wall, place.x_in) is None
        and not any(stands_at(wall.basis, near, place.x_in) for near in wall.feet.beside(place.x_in))
        for place in wall.places
    ) and not is_required(wall, track)
