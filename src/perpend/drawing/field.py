"""What stands where on a page: a grid of boxes and lines that a label must or should keep off.

Glossary:
    writing: a text; nothing of ours may lie over it, and no leader may cross it.
    solid: no label may lie over it (openings, joints, steel, dimension lines); a leader may cross it
        at a price.
    line: a line of the drafter's; a label may lie over it at a price.
    face: the face of a wall; a label may lie over it at a price.
    pattern: the area of a hatch; likewise.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum

from perpend.model import Box, Point

Cell = tuple[int, int]


class Level(IntEnum):
    """How much a thing minds being written over."""

    PATTERN = 1
    FACE = 2
    LINE = 3
    SOLID = 4
    WRITING = 5


@dataclass(frozen=True, slots=True)
class Cover:
    """What a box or a line meets: how many things of each level."""

    writing: int = 0
    solid: int = 0
    lines: int = 0
    faces: int = 0
    patterns: int = 0


@dataclass(frozen=True, slots=True)
class Thing:
    """A rectangle, or a straight line from one corner of it to the other."""

    level: Level
    x0: float
    y0: float
    x1: float
    y1: float
    is_line: bool


class Field:
    """A uniform grid over a page; things are added, boxes and segments are asked for."""

    def __init__(self, cell_in: float) -> None:
        """Make an empty field with square cells of this size."""
        self._cell = cell_in
        self.things: list[Thing] = []
        self._grid: dict[Cell, list[int]] = defaultdict(list)

    def add_box(self, box: Box, level: Level = Level.SOLID) -> None:
        """Add a rectangle."""
        self.things.append(Thing(level, box.x0, box.y0, box.x1, box.y1, False))
        index = len(self.things) - 1
        for cell in self._cells(box):
            self._grid[cell].append(index)

    def add_line(self, a: Point, b: Point, level: Level = Level.LINE) -> None:
        """Add a straight line."""
        self.things.append(Thing(level, a[0], a[1], b[0], b[1], True))
        index = len(self.things) - 1
        for cell in self._line_cells(a, b):
            self._grid[cell].append(index)

    def add_path(self, path: Iterable[Point], level: Level = Level.LINE) -> None:
        """Add a line of straight pieces."""
        points = list(path)
        for a, b in itertools.pairwise(points):
            self.add_line(a, b, level)

    def is_free(self, box: Box) -> bool:
        """Say whether nothing solid meets the box."""
        return not any(
            thing.level >= Level.SOLID and _meets(thing, box) for thing in self._near(self._cells(box))
        )

    def cover(self, box: Box) -> Cover:
        """Count what meets the box."""
        return _count(thing for thing in self._near(self._cells(box)) if _meets(thing, box))

    def crossed(self, a: Point, b: Point) -> Cover:
        """Count what the straight line from ``a`` to ``b`` crosses."""
        return _count(thing for thing in self._near(self._line_cells(a, b)) if _crosses(thing, a, b))

    def top_of_writing(self, x: float, y0: float, y1: float) -> float | None:
        """Return how high the texts reach that an upright line from ``y0`` to ``y1`` would strike."""
        struck = (
            thing.y1
            for thing in self._near(self._line_cells((x, y0), (x, y1)))
            if thing.level is Level.WRITING and _crosses(thing, (x, y0), (x, y1))
        )
        return max(struck, default=None)

    def stretches(self, box: Box, levels: frozenset[Level]) -> list[tuple[float, float]]:
        """Return, for every thing of these levels in a level band, the stretch of x it takes there."""
        found = []
        for thing in self._near(self._cells(box)):
            if thing.level not in levels or not _meets(thing, box):
                continue
            x0, x1 = min(thing.x0, thing.x1), max(thing.x0, thing.x1)
            if thing.is_line and thing.y0 != thing.y1:
                x0, x1 = _stretch_in_band(thing, box.y0, box.y1)
            found.append((x0, x1))
        return found

    def _near(self, cells: Iterable[Cell]) -> Iterator[Thing]:
        seen: set[int] = set()
        for cell in cells:
            for index in self._grid.get(cell, ()):
                if index not in seen:
                    seen.add(index)
                    yield self.things[index]

    def _cells(self, box: Box) -> Iterator[Cell]:
        size = self._cell
        for i in range(math.floor(box.x0 / size), math.floor(box.x1 / size) + 1):
            for j in range(math.floor(box.y0 / size), math.floor(box.y1 / size) + 1):
                yield (i, j)

    def _line_cells(self, a: Point, b: Point) -> Iterator[Cell]:
        """Walk the columns of cells that a line passes, and in each the rows it spans there."""
        size = self._cell
        (xa, ya), (xb, yb) = (a, b) if a[0] <= b[0] else (b, a)
        first, last = math.floor(xa / size), math.floor(xb / size)
        slope = (yb - ya) / (xb - xa) if xb > xa else 0.0
        for i in range(first, last + 1):
            left = ya if i == first else ya + (i * size - xa) * slope
            right = yb if i == last else ya + ((i + 1) * size - xa) * slope
            low, high = min(left, right), max(left, right)
            for j in range(math.floor(low / size), math.floor(high / size) + 1):
                yield (i, j)


def _stretch_in_band(line: Thing, low: float, high: float) -> tuple[float, float]:
    """Return the stretch of x in which a line lies between two heights."""
    slope = (line.x1 - line.x0) / (line.y1 - line.y0)
    first, last = sorted((line.y0, line.y1))
    ends = [line.x0 + (y - line.y0) * slope for y in (max(first, low), min(last, high))]
    return (min(ends), max(ends))


def _count(things: Iterable[Thing]) -> Cover:
    tally = [0] * (max(Level) + 1)
    for thing in things:
        tally[thing.level] += 1
    return Cover(
        tally[Level.WRITING], tally[Level.SOLID], tally[Level.LINE], tally[Level.FACE], tally[Level.PATTERN]
    )


def _meets(thing: Thing, box: Box) -> bool:
    if thing.is_line:
        return _clips((thing.x0, thing.y0), (thing.x1, thing.y1), box)
    return thing.x0 < box.x1 and box.x0 < thing.x1 and thing.y0 < box.y1 and box.y0 < thing.y1


def _crosses(thing: Thing, a: Point, b: Point) -> bool:
    if thing.is_line:
        return segments_cross((thing.x0, thing.y0), (thing.x1, thing.y1), a, b)
    return _clips(a, b, Box(thing.x0, thing.y0, thing.x1, thing.y1))


def _clips(a: Point, b: Point, box: Box) -> bool:
    """Say whether a straight line enters a box (Liang and Barsky's parametric clipping)."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    enter, leave = 0.0, 1.0
    for slope, room in (
        (-dx, a[0] - box.x0),
        (dx, box.x1 - a[0]),
        (-dy, a[1] - box.y0),
        (dy, box.y1 - a[1]),
    ):
        if slope == 0.0:
            if room <= 0.0:
                return False
            continue
        at = room / slope
        if slope < 0.0:
            enter = max(enter, at)
        else:
            leave = min(leave, at)
        if enter > leave:
            return False
    return True


def segments_cross(p: Point, q: Point, a: Point, b: Point) -> bool:
    """Say whether two straight lines cross or touch, other than lying along each other."""
    d1, d2 = _side(a, b, p), _side(a, b, q)
    d3, d4 = _side(p, q, a), _side(p, q, b)
    return d1 * d2 <= 0.0 and d3 * d4 <= 0.0 and not (d1 == d2 == 0.0)


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
