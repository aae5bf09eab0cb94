"""Stations for several joints at once: those that a panel lacks which one joint can't cut short enough.

The sentence that names them has been tried: with all of them every part of the panel is within its limits.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from perpend.checks.elsewhere import Stretch, clash_at, open_stations, standing_at
from perpend.checks.geometry import Track, under
from perpend.checks.wall import JudgedWall, PanelSpan, panel_between, stands_at
from perpend.model import EndCondition
from perpend.units import ON_MODULE_IN, SAME_IN


def joints_together(wall: JudgedWall, panel: PanelSpan) -> tuple[float, ...]:
    """Return the stations of joints that together bring a panel within its limits; empty where none do.

    Places in the panel that ask for a joint and have none come first; module lines fill what they leave,
    evenly where that can be had. Corners are served too, if the stations that are free allow it.
    """
    lines = _free_lines(wall, panel)
    asked = list(_bare_places(wall, panel))
    bounds = [panel.left, *(standing_at(wall, x) for x in asked), panel.right]
    for corners in (True, False):
        parts = [_filled(wall, a, b, lines, corners=corners) for a, b in pairwise(bounds)]
        found = [x for part in parts if part is not None for x in part]
        if None not in parts:
            return tuple(sorted([*asked, *found]))
    return ()


def widest_gap(wall: JudgedWall, panel: PanelSpan) -> Stretch:
    """Return the widest stretch of a panel in which no joint could stand, not even close to its ends."""
    x0, x1, unit = panel.x0_in, panel.x1_in, wall.basis.unit_in
    ends = (Stretch(x0, min(x0 + unit, x1)), Stretch(max(x1 - unit, x0), x1))
    beside = [x for end in ends for span in open_stations(wall, end) for x in span]
    stops = [x0, *beside, *_free_lines(wall, panel), *_bare_places(wall, panel), x1]
    a, b = max(pairwise(sorted(stops)), key=lambda pair: pair[1] - pair[0])
    return Stretch(a, b)


def _free_lines(wall: JudgedWall, panel: PanelSpan) -> list[float]:
    """Return the stations in a panel where a joint could stand, left to right."""
    module, length = wall.basis.module_in, wall.basis.wall.length_in
    least = wall.basis.spacing.corner_min_in
    low = least if wall.basis.left_end is EndCondition.CORNER else 0.0
    high = length - (least if wall.basis.right_end is EndCondition.CORNER else 0.0)
    found: list[float] = []
    for first, last in open_stations(wall, Stretch(panel.x0_in, panel.x1_in)):
        count = int((last - first + SAME_IN) // module)
        found += [first + k * module for k in range(count + 1)]
    return [x for x in found if low - SAME_IN <= x <= high + SAME_IN]


def _bare_places(wall: JudgedWall, panel: PanelSpan) -> Iterator[float]:
    """Yield the places in a panel that ask for a joint, have none, and could have one."""
    for place in wall.places:
        x = place.x_in
        inside = panel.x0_in + ON_MODULE_IN < x < panel.x1_in - ON_MODULE_IN
        if inside and clash_at(wall, x) is None:
            near = wall.feet.beside(x)
            if not any(stands_at(wall.basis, track, x) for track in near):
                yield x


def _filled(
    wall: JudgedWall, left: Track | None, right: Track | None, lines: Sequence[float], *, corners: bool
) -> list[float] | None:
    """Return the fewest stations that bring a stretch within its limits, or None where the lines don't do."""
    here, found = left, []
    while not _fits(wall, here, right, corners=corners):
        station = next(_reached(wall, here, right, lines, corners=corners), None)
        if station is None:
            return None
        found.append(station)
        here = standing_at(wall, station)
    return _evened(wall, left, right, lines, len(found), corners=corners) or found


def _reached(
    wall: JudgedWall, left: Track | None, right: Track | None, lines: Sequence[float], *, corners: bool
) -> Iterator[float]:
    """Yield the lines to which a panel may reach from a joint, the farthest first."""
    start = left.foot_x if left else 0.0
    highest = max(y for _, y in wall.basis.wall.top.points) - min(y for _, y in wall.basis.wall.bottom.points)
    spacing = wall.basis.spacing.at(highest).max_spacing_in or 0.0
    last = bisect_right(lines, start + spacing + wall.basis.unit_in)
    for x in reversed(lines[bisect_right(lines, start + SAME_IN) : last]):
        joint = standing_at(wall, x)
        if _apart(wall, left, joint, right) and _fits(wall, left, joint, corners=corners):
            yield x


def _evened(
    wall: JudgedWall,
    left: Track | None,
    right: Track | None,
    lines: Sequence[float],
    count: int,
    *,
    corners: bool,
) -> list[float]:
    """Return as many lines as even as they come, or nothing where those break a limit."""
    x0, x1 = left.foot_x if left else 0.0, right.foot_x if right else wall.basis.wall.length_in
    wanted = [x0 + k * (x1 - x0) / (count + 1) for k in range(1, count + 1)]
    found = [_nearest(lines, x) for x in wanted]
    joints = [left, *(standing_at(wall, x) for x in found), right]
    apart = all(b is not None and _apart(wall, a, b, right) for a, b in pairwise(joints[:-1]))
    fit = all(_fits(wall, a, b, corners=corners) for a, b in pairwise(joints))
    return found if apart and fit else []


def _nearest(lines: Sequence[float], x_in: float) -> float:
    after = bisect_left(lines, x_in)
    return min(lines[max(after - 1, 0) : after + 1], key=lambda x: abs(x - x_in))


def _apart(wall: JudgedWall, left: Track | None, joint: Track, right: Track | None) -> bool:
    """Say whether a joint keeps a unit away from those beside it."""
    unit = wall.basis.unit_in
    if left is not None and under(joint.lo - left.hi, unit):
        return False
    return right is None or joint is right or not under(right.lo - joint.hi, unit)


def _fits(wall: JudgedWall, left: Track | None, right: Track | None, *, corners: bool) -> bool:
    """Say whether the panel between two joints is within its limits."""
    panel = panel_between(wall.basis, left, right, wall.ends)
    return not panel.too_long and not (corners and panel.far_corners)
