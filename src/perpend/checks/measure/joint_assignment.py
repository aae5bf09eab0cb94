"""Which joint goes to a place, or a jamb, that asks for one and has none: every rule then sends it there."""

from __future__ import annotations

from perpend.checks.candidate_stations import asked_for, first_clash, jambs_beside
from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import Track
from perpend.checks.missing_joints import bare_between
from perpend.units import ON_MODULE_IN


def joint_for_place(wall: JudgedWall, x_in: float) -> Track | None:
    """Return the joint that is moved to a place: one near it, or one beside it that can't stay; or None."""
    near = [t for t in wall.tracks if ON_MODULE_IN < abs(t.foot_x - x_in) < wall.basis.unit_in]
    before = [t for t in wall.tracks if t.foot_x < x_in - ON_MODULE_IN][-1:]
    after = [t for t in wall.tracks if t.foot_x > x_in + ON_MODULE_IN][:1]
    stray = (t for t in sorted([*before, *after], key=lambda t: abs(t.foot_x - x_in)) if _is_stray(wall, t))
    return next((t for t in (*near, *stray) if not asked_for(wall, t)), None)


def place_for_joint(wall: JudgedWall, track: Track) -> float | None:
    """Return the place without a joint to which this one is moved, or None."""
    bare = bare_between(wall, 0.0, wall.basis.wall.length_in)
    return next((x for x in bare if joint_for_place(wall, x) is track), None)


def jamb_for_joint(wall: JudgedWall, track: Track) -> tuple[int, float] | None:
    """Return the bare jamb less than a unit away to which a joint is moved: opening, station; or None."""
    found = (
        (abs(x - track.foot_x), index, x)
        for index, _ in wall.unreinforced_near(track.lo, track.hi)
        for x in jambs_beside(wall, track, index)
    )
    near = [jamb for jamb in found if jamb[0] < wall.basis.unit_in]
    return min(near)[1:] if near else None


def _is_stray(wall: JudgedWall, track: Track) -> bool:
    """Say whether an opening does not let a joint stand that it has no jamb for."""
    clash = first_clash(wall, track)
    return clash is not None and not jambs_beside(wall, track, clash.index)
