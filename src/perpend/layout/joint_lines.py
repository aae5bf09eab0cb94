"""The lines that joints take up a wall, in ticks, and how far apart two of them are.

Glossary:
    tick: 1/8128 in., the exact grain of the layout (see `perpend.units`).
    run: a vertical piece of a joint: station, lower end, upper end.
    step: the level piece between two runs, under the bearing of a lintel.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from perpend.model import OpeningRule, Path, Side
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN, from_ticks, to_ticks

Run = tuple[int, int, int]
"""(x, y0, y1) of a vertical piece, in ticks."""


@dataclass(frozen=True, slots=True)
class Line:
    """A joint's line as vertical runs from bottom to top, in ticks.

    Attributes:
        runs: bottom to top; neighboring runs meet at the same height.
        lo: least station of any run.
        hi: greatest station of any run.
        slips: (x0, x1, y) of every step that is a slip plane.
    """

    runs: tuple[Run, ...]
    lo: int
    hi: int
    slips: tuple[tuple[int, int, int], ...] = ()

    @property
    def foot(self) -> int:
        """Station at the bottom of the wall."""
        return self.runs[0][0]

    @property
    def straight(self) -> bool:
        """True when the line has one station."""
        return self.lo == self.hi

    def at(self, y: int) -> int:
        """Return its station at a height; its end's station above or below it."""
        return next((x for x, _, y1 in self.runs if y < y1), self.runs[-1][0])

    def path(self) -> Path:
        """Return the line as points in inches, bottom to top."""
        ticks: list[tuple[int, int]] = []
        for x, y0, y1 in self.runs:
            ticks += [(x, y0), (x, y1)]
        return tuple((from_ticks(x), from_ticks(y)) for (x, y), _ in groupby(ticks))


def straight_line(x: int, y0: int, y1: int) -> Line:
    """Return a line of one station."""
    return Line(((x, y0, y1),), x, x)


def drawn_line(path: Path) -> Line:
    """Turn a joint that someone drew into runs; a slanted piece becomes two runs at half height."""
    runs: list[Run] = []
    for (xa, ya), (xb, yb) in pairwise(path):
        x0, y0, x1, y1 = to_ticks(xa), to_ticks(ya), to_ticks(xb), to_ticks(yb)
        if y0 == y1:
            continue
        middle = (y0 + y1) // 2
        runs += [(x0, y0, y1)] if x0 == x1 else [(x0, y0, middle), (x1, middle, y1)]
    if not runs:
        x, y = (to_ticks(value) for value in path[0])
        runs = [(x, y, y)]
    xs = [run[0] for run in runs]
    return Line(tuple(runs), min(xs), max(xs))


def with_slips(line: Line, heads: Collection[int]) -> Line:
    """Return a line whose steps at the heads of the openings that it serves are slip planes."""
    slips = []
    for (x0, _, y), (x1, _, _) in pairwise(line.runs):
        head = next((h for h in heads if abs(h - y) <= to_ticks(GAP_IN)), None)
        if head is not None and abs(x1 - x0) > to_ticks(ON_MODULE_IN):
            slips.append((min(x0, x1), max(x0, x1), head))
    return replace(line, slips=tuple(slips))


def jamb_line(chain: Sequence[tuple[OpeningRule, Side]], bottom: int, top: int) -> Line:
    """Return the line of the joint that serves a jamb of one opening, or of several above one another.

    The joint goes straight up at the jamb, level away from the opening under the bearing of its
    lintel, up at the end of the lintel, and along the sill of the next opening above to a jamb of it.

    Args:
        chain: openings, lowest first, each with the side on which the joint passes it.
        bottom: where the joint starts, ticks.
        top: where it ends, ticks.

    Returns:
        The line, with one slip plane for each lintel it turns out under.
    """
    runs: list[Run] = []
    slips: list[tuple[int, int, int]] = []
    y, x = bottom, jamb_of(*chain[0])
    for rule, side in chain:
        jamb, sill, head = jamb_of(rule, side), to_ticks(rule.opening.box.y0), to_ticks(rule.opening.box.y1)
        if jamb != x:
            runs.append((x, y, sill))
            x, y = jamb, sill
        beyond = lintel_end(rule, side)
        if beyond != jamb:
            runs.append((x, y, head))
            slips.append((min(x, beyond), max(x, beyond), head))
            x, y = beyond, head
    runs.append((x, y, top))
    xs = [run[0] for run in runs]
    return Line(tuple(runs), min(xs), max(xs), tuple(slips))


def jamb_of(rule: OpeningRule, side: Side) -> int:
    """Return the station of a jamb."""
    return to_ticks(rule.opening.box.x0 if side == "left" else rule.opening.box.x1)


def lintel_end(rule: OpeningRule, side: Side) -> int:
    """Return the station at which a joint at a jamb goes on above the opening."""
    step = to_ticks(rule.step_in) if rule.lintel is not None else 0
    return jamb_of(rule, side) + (-step if side == "left" else step)


def level_gap(a: Line, b: Line) -> tuple[int, int]:
    """Return the least and the greatest level distance from line a to line b, ticks.

    The first and the last run of a line count as going on without end, so that lines are compared on
    every course although one may stop at a lower top. Where both lines step at one level, their level
    pieces must not touch either.
    """
    if a.straight or b.straight:
        return (b.lo - a.hi, b.hi - a.lo)
    shared = [
        (xb - xa, min(a1, b1) - max(a0, b0))
        for xa, a0, a1 in _endless(a.runs)
        for xb, b0, b1 in _endless(b.runs)
        if min(a1, b1) >= max(a0, b0)
    ]
    return (min(gap for gap, _ in shared), max(gap for gap, rise in shared if rise > 0))


def _endless(runs: tuple[Run, ...]) -> Iterator[tuple[int, float, float]]:
    for i, (x, y0, y1) in enumerate(runs):
        yield (x, y0 if i else -math.inf, y1 if i < len(runs) - 1 else math.inf)


def station_at(path: Path, y_in: float) -> float:
    """Return the station of a joint on a course; its end's station above or below the joint."""
    for (xa, ya), (xb, yb) in pairwise(path):
        if ya <= y_in < yb:
            return xa + (xb - xa) * (y_in - ya) / (yb - ya)
    return path[0][0] if y_in < path[0][1] else path[-1][0]


def alike(a: Line, b: Line, within: int) -> bool:
    """Say whether two lines run side by side, no farther apart than some ticks, steps included."""
    return len(a.runs) == len(b.runs) and all(
        abs(xa - xb) <= within and abs(a1 - b1) <= max(within, to_ticks(SAME_IN))
        for (xa, _, a1), (xb, _, b1) in zip(a.runs, b.runs, strict=True)
    )
