"""Stations for several joints at once: those that a panel lacks which one joint can't cut short enough.

The sentence that names them has been tried: with all of them every part of the panel is within its limits.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from perpend.checks.candidate_stations import Stretch, open_stations, standing_at
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan, panel_between
from perpend.checks.measure.track_geometry import Track, under
from perpend.checks.missing_joints import NewJoint, Ways, bare_jambs, bare_places
from perpend.model import EndCondition
from perpend.units import SAME_IN, to_ticks


def joints_together(wall: JudgedWall, panel: PanelSpan) -> tuple[float, ...]:
    """Return the stations of straight joints that bring a panel within its limits; empty where none do.

    Places in the panel that ask for a joint and have none come first; module lines fill what they leave,
    evenly where that can be had. Corners are served too, if the stations that are free allow it.
    """
    return tuple(new.joint.foot_x for new in _all_of(wall, panel, _at_places(wall, panel)))


def joints_wanted(wall: JudgedWall, panel: PanelSpan) -> tuple[NewJoint, ...]:
    """Return the joints that bring a panel within its limits, those at jambs that lack one among them.

    Where these leave the others no room the jambs are let be; empty where no joints do.
    """
    places = _at_places(wall, panel)
    asked = sorted([*places, *bare_jambs(wall, panel)], key=lambda ways: ways[0][0].joint.foot_x)
    return _all_of(wall, panel, asked) or _all_of(wall, panel, places)


def _at_places(wall: JudgedWall, panel: PanelSpan) -> list[Ways]:
    return [((NewJoint(standing_at(wall, x)),),) for x in bare_places(wall, panel)]


def _all_of(wall: JudgedWall, panel: PanelSpan, asked: Sequence[Ways]) -> tuple[NewJoint, ...]:
    """Return what is asked for, each in its best way, and the joints that fill what that leaves."""
    lines = _free_lines(wall, panel)
    for corners in (True, False):
        rows = [_Row(panel.left)]
        for ways in asked:
            onward = (_best(row.onto(wall, way, lines, corners=corners) for row in rows) for way in ways)
            rows = [row for row in onward if row is not None]
        whole = _best(row.closed(wall, panel.right, lines, corners=corners) for row in rows)
        if whole is not None:
            return whole.joints
    return ()


@dataclass(frozen=True, slots=True)
class _Row:
    """New joints from the left of a panel on.

    Attributes:
        last: the joint at its end, or None at an end of the wall.
        joints: the new ones, left to right.
        close: how many of them stand less than a unit from the one before.
        longest_in: its longest panel.
        unevenness: the sum of its panels' lengths, each squared.
    """

    last: Track | None
    joints: tuple[NewJoint, ...] = ()
    close: int = 0
    longest_in: float = 0.0
    unevenness: float = 0.0

    @property
    def rank(self) -> tuple[float, ...]:
        """The better row has the lesser."""
        feet = (new.joint.foot_x for new in self.joints)
        return (self.close, len(self.joints), self.longest_in, self.unevenness, *feet)

    def onto(
        self, wall: JudgedWall, way: Sequence[NewJoint], lines: Sequence[float], *, corners: bool
    ) -> _Row | None:
        """Carry the row on to some joints more; None where a limit is broken before one of them."""
        row: _Row | None = self
        for new in way:
            row = row and row.closed(wall, new.joint, lines, corners=corners)
            row = row and replace(row, joints=(*row.joints, new))
        return row

    def closed(
        self, wall: JudgedWall, end: Track | None, lines: Sequence[float], *, corners: bool
    ) -> _Row | None:
        """Fill the row up to a joint, or to the wall's end; None where the lines don't do."""
        stations = _filled(wall, self.last, end, lines, corners=corners)
        if stations is None:
            return None
        between = [standing_at(wall, x) for x in stations]
        pairs = list(pairwise([self.last, *between, end]))
        lengths = [panel_between(wall.basis, a, b, wall.ends).length_in for a, b in pairs]
        close = sum(a is not None and b is not None and not _apart(wall, a, b, None) for a, b in pairs)
        return _Row(
            end,
            (*self.joints, *map(NewJoint, between)),
            self.close + close,
            max(self.longest_in, *lengths),
            self.unevenness + sum(length**2 for length in lengths),
        )


def _best(rows: Iterable[_Row | None]) -> _Row | None:
    return min((row for row in rows if row is not None), key=lambda row: row.rank, default=None)


def widest_gap(wall: JudgedWall, panel: PanelSpan) -> Stretch:
    """Return the widest stretch of a panel in which no joint could stand, not even close to its ends."""
    x0, x1, unit = panel.x0_in, panel.x1_in, wall.basis.unit_in
    ends = (Stretch(x0, min(x0 + unit, x1)), Stretch(max(x1 - unit, x0), x1))
    beside = [x for end in ends for span in open_stations(wall, end) for x in span]
    stops = [x0, *beside, *_free_lines(wall, panel), *bare_places(wall, panel), x1]
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


def _filled(
    wall: JudgedWall, left: Track | None, right: Track | None, lines: Sequence[float], *, corners: bool
) -> list[float] | None:
    """Return the fewest stations that bring a stretch within its limits, or None where the lines don't do.

    Of these the ones with the smallest longest panel are taken, and of those the evenest, as in placement.
    """
    gap = _Gap(wall, left, right, lines, corners)
    found = gap.swept(math.inf)
    if not found:
        return found
    least = (gap.end_in - gap.start_in) / (len(found) + 1)
    while (longest := gap.longest(found)) - least > wall.basis.module_in / 2:
        middle = (least + longest) / 2
        shorter = gap.swept(middle)
        if shorter is not None and len(shorter) == len(found):
            found = shorter
        else:
            least = middle
    return gap.evenest(found, gap.swept(longest, leftward=True) or found, longest)


@dataclass(frozen=True, slots=True)
class _Gap:
    """A stretch between two joints, or ends of the wall, that new joints shall part.

    Attributes:
        wall: the wall.
        left: joint on its left, or None at the wall's end.
        right: joint on its right, or None.
        lines: the stations where joints could stand, ascending.
        corners: True where the first joint must be near enough to a corner.
    """

    wall: JudgedWall
    left: Track | None
    right: Track | None
    lines: Sequence[float]
    corners: bool

    @property
    def start_in(self) -> float:
        """Station where it begins."""
        return self.left.foot_x if self.left else 0.0

    @property
    def end_in(self) -> float:
        """Station where it ends."""
        return self.right.foot_x if self.right else self.wall.basis.wall.length_in

    def length(self, a: Track | None, b: Track | None) -> float:
        """Return the length of the panel between two joints; infinite where it breaks a limit."""
        panel = panel_between(self.wall.basis, a, b, self.wall.ends)
        broken = panel.too_long or (self.corners and panel.far_corners)
        return math.inf if broken else panel.length_in

    def longest(self, stations: Sequence[float]) -> float:
        """Return the length of the longest panel that joints leave."""
        joints = [self.left, *(standing_at(self.wall, x) for x in stations), self.right]
        return max(self.length(a, b) for a, b in pairwise(joints))

    def swept(self, cap_in: float, *, leftward: bool = False) -> list[float] | None:
        """Return the stations of joints each as far from the one before as it may be, ascending.

        None where the lines leave a panel longer than the limits or than a cap.
        """
        here, far = (self.right, self.left) if leftward else (self.left, self.right)
        found: list[float] = []
        while not self._within(here, far, cap_in, leftward=leftward):
            reached = self._reached(here, cap_in, leftward=leftward)
            if reached is None:
                return None
            found.append(reached)
            here = standing_at(self.wall, reached)
        return found[::-1] if leftward else found

    def _within(self, here: Track | None, there: Track | None, cap_in: float, *, leftward: bool) -> bool:
        a, b = (there, here) if leftward else (here, there)
        return _under_cap(self.length(a, b), cap_in)

    def _reached(self, here: Track | None, cap_in: float, *, leftward: bool) -> float | None:
        """Return the line farthest from a joint to which a panel may reach."""
        edges = self.wall.basis.wall
        highest = max(y for _, y in edges.top.points) - min(y for _, y in edges.bottom.points)
        spacing = self.wall.basis.spacing.at(highest).max_spacing_in or 0.0
        reach = min(spacing, cap_in) + self.wall.basis.unit_in
        if leftward:
            start = here.foot_x if here else self.end_in
            low, high = start - reach, start - SAME_IN
        else:
            start = here.foot_x if here else self.start_in
            low, high = start + SAME_IN, start + reach
        lines = self.lines[bisect_left(self.lines, low) : bisect_right(self.lines, high)]
        for x in lines if leftward else reversed(lines):
            joint = standing_at(self.wall, x)
            left, right = (self.left, here) if leftward else (here, self.right)
            apart = _apart(self.wall, left, joint, right)
            if apart and self._within(here, joint, cap_in, leftward=leftward):
                return x
        return None

    def evenest(self, latest: list[float], earliest: list[float], cap_in: float) -> list[float]:
        """Return the evenest stations between the earliest and the latest, no panel longer than a cap."""
        ways: list[tuple[float, list[float], Track | None]] = [(0.0, [], self.left)]
        for low, high in zip(earliest, latest, strict=True):
            lines = self.lines[bisect_left(self.lines, low) : bisect_right(self.lines, high)]
            joints = [standing_at(self.wall, x) for x in lines]
            ways = [way for joint in joints if (way := self._evenest_to(joint, ways, cap_in)) is not None]
        last = [
            (cost + length**2, stations)
            for cost, stations, joint in ways
            if _under_cap(length := self.length(joint, self.right), cap_in)
        ]
        return min(last)[1] if last else latest

    def _evenest_to(
        self, joint: Track, ways: Sequence[tuple[float, list[float], Track | None]], cap_in: float
    ) -> tuple[float, list[float], Track | None] | None:
        """Return the evenest way that ends at a joint, the leftmost of several; None where there is none."""
        found = [
            (cost + length**2, [*stations, joint.foot_x])
            for cost, stations, before in ways
            if _apart(self.wall, before, joint, self.right)
            and _under_cap(length := self.length(before, joint), cap_in)
        ]
        return (*min(found), joint) if found else None


def _apart(wall: JudgedWall, left: Track | None, joint: Track, right: Track | None) -> bool:
    """Say whether a joint keeps a unit away from those beside it."""
    unit = wall.basis.unit_in
    if left is not None and under(joint.lo - left.hi, unit):
        return False
    return right is None or joint is right or not under(right.lo - joint.hi, unit)


def _under_cap(length_in: float, cap_in: float) -> bool:
    """Say whether a length keeps to a cap; an infinite length keeps to none."""
    return length_in < math.inf and (cap_in == math.inf or to_ticks(length_in) <= to_ticks(cap_in))
