"""Masonry between a joint and a step of the wall's outline that is too near to it; all in ticks."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from typing import NamedTuple

from perpend.layout.joint_lines import Line
from perpend.layout.kept_out_stations import SAME
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import exceeds, to_ticks


class _Strip(NamedTuple):
    step: int
    width: int
    ends: Sequence[int]
    """Where every line meets the edge that steps."""


class StepStrips:
    """The strips that the lines of a search graph make with steps of the bottom and of the top."""

    def __init__(self, basis: WallBasis, lines: Sequence[Line]) -> None:
        """Find the lines that are nearer to a step than the least panel, where the masonry is deeper.

        Args:
            basis: the wall's basis.
            lines: of the nodes, the wall's ends first and last.
        """
        self._left: dict[int, list[_Strip]] = {}
        self._right: dict[int, list[_Strip]] = {}
        least, over = to_ticks(basis.judgment.least_panel_in) - SAME, basis.judgment.height_change_in
        for edge, sign in ((basis.wall.bottom, -1), (basis.wall.top, 1)):
            steps = [
                (to_ticks(x), sign * (b - a) > 0) for x, a, b in edge.steps() if exceeds(abs(b - a), over)
            ]
            ends = [line.foot if sign < 0 else line.runs[-1][0] for line in lines]
            stations = [x for x, _ in steps]
            for node in range(1, len(lines) - 1) if steps else ():
                before = bisect_left(stations, ends[node] - SAME) - 1
                after = bisect_right(stations, ends[node] + SAME)
                if before >= 0 and steps[before][1] and ends[node] - stations[before] < least:
                    strip = _Strip(stations[before], ends[node] - stations[before], ends)
                    self._left.setdefault(node, []).append(strip)
                if after < len(steps) and not steps[after][1] and stations[after] - ends[node] < least:
                    strip = _Strip(stations[after], stations[after] - ends[node], ends)
                    self._right.setdefault(node, []).append(strip)

    def __bool__(self) -> bool:
        """Say whether there is any."""
        return bool(self._left or self._right)

    def least(self, a: int, b: int) -> int | None:
        """Return the width of the narrowest strip in the panel between two nodes, or None."""
        found = [s.width for s in self._left.get(b, ()) if s.ends[a] < s.step - SAME]
        found += [s.width for s in self._right.get(a, ()) if s.ends[b] > s.step + SAME]
        return min(found, default=None)
