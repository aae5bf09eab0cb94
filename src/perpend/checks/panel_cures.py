"""What cures a long panel without a joint that serves nothing else.

A joint beside the panel that has to be moved or drawn anew anyway may cure it at once; and a joint that the
wall asks for within the panel, at a place or at a jamb, does so too. Either is named before a joint more.
"""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.candidate_stations import (
    broken_with,
    first_clash,
    fits,
    free_jambs,
    jambs_beside,
    room_of,
    sent_to,
    standing_at,
    stations_beside,
    stepped_at,
    straightened,
)
from perpend.checks.measure.joint_assignment import place_for_joint
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan, panel_between, panels_of
from perpend.checks.measure.track_geometry import Track
from perpend.checks.measure.tracks import SIDES, jamb
from perpend.checks.measure.wording import listed
from perpend.checks.missing_joints import bare_places
from perpend.units import off_module

UNDER_LINTEL = ", stepped under the lintel"


def moved_instead(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say which joint beside a panel, moved or drawn straight, leaves no fault there; else return nothing."""
    for track in (panel.left, panel.right):
        if track is None:
            continue
        room = room_of(wall, track)
        for moved, words in _redrawn(wall, track):
            left, right = (moved, panel.right) if track is panel.left else (panel.left, moved)
            cured = not panel_between(wall.basis, left, right, wall.ends).faults
            no_more = broken_with(wall, room, moved) <= room.broken - panel.faults
            if cured and no_more and fits(wall, room, moved):
                return f"{words}: that cures the panel too."
    return _all_upright(wall, panel)


def _all_upright(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say that all joints that lean are drawn upright, where only together they leave no fault in a panel."""
    leaning = [track for track in wall.tracks if track.leans]
    upright = {t.numbers: straight for t in leaning if (straight := straightened(wall, t)) is not None}
    if not 2 <= len(upright) == len(leaning):
        return ""
    panels = panels_of(wall.basis, [upright.get(t.numbers, t) for t in wall.tracks], wall.ends)
    here = next(n for n, other in enumerate(wall.panels) if other is panel)
    before, after = (sum(p.faults for p in every) for every in (wall.panels, panels))
    if panels[here].faults or after > before - panel.faults:
        return ""
    stations = listed(wall.at(track.foot_x) for track in upright.values())
    return f"Carry the joints at {stations} straight up: that cures the panel too."


def _redrawn(wall: JudgedWall, track: Track) -> Iterator[tuple[Track, str]]:
    """Yield the ways to draw a joint that can't stay as it is, with their words, the least change first."""
    at = wall.at
    here = at(track.foot_x)
    place = place_for_joint(wall, track)
    if place is not None:
        yield standing_at(wall, place), sent_to(wall, track, place)
        return
    upright = straightened(wall, track)
    if upright is not None:
        where = "" if upright.lo == track.foot_x else f" at {at(upright.lo)}"
        yield upright, f"Carry the joint at {here} straight up{where}"
    for index, rule in wall.unreinforced_near(track.lo, track.hi):
        for x in sorted(jambs_beside(wall, track, index), key=lambda x: abs(x - track.foot_x)):
            stepped = stepped_at(wall, index, "left" if jamb(rule, "left") == x else "right")
            if stepped is not None:
                lintel = f"{UNDER_LINTEL} of {rule.opening.tag}" if stepped.lo < stepped.hi else ""
                yield stepped, f"{sent_to(wall, track, x)}{lintel}"
    off = off_module(track.foot_x, wall.basis.module_in, wall.basis.bond_origin_in) and wall.idle(track)
    if off or first_clash(wall, track) is not None:
        for x in sorted(stations_beside(wall, track), key=lambda x: abs(x - track.foot_x)):
            yield standing_at(wall, x), sent_to(wall, track, x)


def asked_instead(wall: JudgedWall, panel: PanelSpan) -> str:
    """Say where a joint that the wall asks for in a panel anyway leaves no fault; else return nothing."""
    for joint, where, who in _asked(wall, panel):
        parts = ((panel.left, joint), (joint, panel.right))
        if not any(panel_between(wall.basis, a, b, wall.ends).faults for a, b in parts):
            return f"{where}: {who} needs one there too."
    return ""


def _asked(wall: JudgedWall, panel: PanelSpan) -> Iterator[tuple[Track, str, str]]:
    """Yield the joints that a panel lacks for another reason, where each stands, and what asks for it."""
    for x in bare_places(wall, panel):
        yield standing_at(wall, x), f"at {wall.at(x)}", "the wall"
    for index, rule in wall.unreinforced_near(panel.x0_in, panel.x1_in):
        served = sum((index, side) in wall.served for side in SIDES)
        if served >= rule.jambs_required:
            continue
        for side in free_jambs(wall, index):
            joint = stepped_at(wall, index, side)
            inside = panel.x0_in < jamb(rule, side) < panel.x1_in and (index, side) not in wall.served
            if joint is not None and inside:
                lintel = UNDER_LINTEL if joint.lo < joint.hi else ""
                yield joint, f"at {wall.at(jamb(rule, side))}{lintel}", rule.opening.tag
