"""What stands where on a page: grids of boxes and lines that a label must or should keep off.

Glossary:
    writing: a text; nothing of ours may lie over it, and no leader may cross it.
    solid: no label may lie over it (openings, joints, steel, dimension lines); a leader may cross it
        at a price.
    line: a line of the drafter's; a label may lie over it at a price.
    face: the face of a wall; a label may lie over it at a price.
    pattern: the area of a hatch; likewise.
    span: how many cells a thing takes, at most.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from enum import IntEnum
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from perpend.model import Box, Point

Cell = tuple[int, int]

Cells = dict[Cell, list[int]]

_MOST_CELLS: Final = 16_384
"""A thing takes at most so many cells: what reaches farther goes to a grid of larger ones."""

_COARSER: Final = 32.0
"""How many times larger the cells of the next grid are."""

_UPRIGHT: Final = 1e-9
"""Of a line no wider than this no slope is worked out, inches."""

_APART: Final = 1e-6
"""A line as far from a box as this does not enter it, however the sums round, inches."""


class Level(IntEnum):
    """How much a thing minds being written over."""

    PATTERN = 1
    FACE = 2
    LINE = 3
    SOLID = 4
    WRITING = 5


class Cover(NamedTuple):
    """What a box or a line meets: how many things of each level."""

    writing: int = 0
    solid: int = 0
    lines: int = 0
    faces: int = 0
    patterns: int = 0


class Thing(NamedTuple):
    """A rectangle, or a straight line from one corner of it to the other."""

    level: Level
    x0: float
    y0: float
    x1: float
    y1: float
    is_line: bool


class Field:
    """Uniform grids over a page; things are added, boxes and segments are asked for.

    Nearly everything is in the finest grid. However far a thing reaches, it takes few cells of some grid.
    """

    def __init__(self, cell_in: float) -> None:
        """Make an empty field with square cells of this size."""
        self._cell = cell_in
        self.things: list[Thing] = []
        self._grids: dict[float, Cells] = {cell_in: defaultdict(list)}

    def add_box(self, box: Box, level: Level = Level.SOLID) -> None:
        """Add a rectangle."""
        self.things.append(Thing(level, box.x0, box.y0, box.x1, box.y1, False))
        size = self._cell
        while _span(box, size) > _MOST_CELLS:
            size *= _COARSER
        self._put(size, _box_cells(box, size))

    def add_line(self, a: Point, b: Point, level: Level = Level.LINE) -> None:
        """Add a straight line."""
        self.things.append(Thing(level, a[0], a[1], b[0], b[1], True))
        size = self._cell
        while abs(b[0] - a[0]) + abs(b[1] - a[1]) > size * _MOST_CELLS:
            size *= _COARSER
        self._put(size, _line_cells(a, b, size))

    def add_lines(self, ends: npt.NDArray[np.float64], levels: Iterable[Level]) -> None:
        """Add many straight lines, as `add_line` does one.

        Args:
            ends: their ends, shape (n, 2, 2).
            levels: the level of each.
        """
        cells = np.floor(ends / self._cell).astype(np.int64)
        short, grid = (cells[:, 0] == cells[:, 1]).all(axis=1).tolist(), self._grids[self._cell]
        for (a, b), (cell, _), is_short, level in zip(
            ends.tolist(), cells.tolist(), short, levels, strict=True
        ):
            if is_short:  # most lines of a large drawing lie in one cell
                grid[cell[0], cell[1]].append(len(self.things))
                self.things.append(Thing(level, a[0], a[1], b[0], b[1], True))
            else:
                self.add_line(a, b, level)

    def _put(self, size: float, cells: Iterable[Cell]) -> None:
        index, grid = len(self.things) - 1, self._grids.setdefault(size, defaultdict(list))
        for cell in cells:
            grid[cell].append(index)

    def add_path(self, path: Iterable[Point], level: Level = Level.LINE) -> None:
        """Add a line of straight pieces."""
        points = list(path)
        for a, b in itertools.pairwise(points):
            self.add_line(a, b, level)

    def is_free(self, box: Box) -> bool:
        """Say whether nothing solid meets the box."""
        return not any(
            thing.level >= Level.SOLID and _meets(thing, box) for thing in self._near(self._under(box))
        )

    def cover(self, box: Box) -> Cover:
        """Count what meets the box."""
        return _count(thing.level for thing in self._near(self._under(box)) if _meets(thing, box))

    def crossed(self, a: Point, b: Point) -> Cover:
        """Count what the straight line from ``a`` to ``b`` crosses."""
        (ax, ay), (bx, by) = a, b
        wide, high = bx - ax, by - ay
        met = []
        for thing in self._near(self._along(a, b)):
            level, x0, y0, x1, y1, is_line = thing
            # most lines lie on one side of this one; asked here, this saves two calls for each of them
            if (
                is_line
                and (wide * (y0 - ay) - high * (x0 - ax)) * (wide * (y1 - ay) - high * (x1 - ax)) > 0.0
            ):
                continue
            if _crosses(thing, a, b):
                met.append(level)
        return _count(met)

    def text_in_the_way(self, a: Point, b: Point, likely: Thing | None = None) -> Thing | None:
        """Return a text that the straight line from ``a`` to ``b`` runs through; None without one.

        Args:
            a: one end.
            b: the other.
            likely: the text that a line nearby ran through, which is asked first.
        """
        if likely is not None and _crosses(likely, a, b):
            return likely
        things = self._near(self._along(a, b))
        return next((t for t in things if t.level is Level.WRITING and _crosses(t, a, b)), None)

    def writing_struck(self, x: float, y0: float, y1: float) -> tuple[float, float] | None:
        """Return from where to where the texts reach that an upright line from ``y0`` to ``y1`` strikes."""
        struck = [
            thing
            for thing in self._near(self._along((x, y0), (x, y1)))
            if thing.level is Level.WRITING and _crosses(thing, (x, y0), (x, y1))
        ]
        return (min(t.y0 for t in struck), max(t.y1 for t in struck)) if struck else None

    def stretches(self, box: Box, levels: frozenset[Level]) -> list[tuple[float, float]]:
        """Return, for every thing of these levels in a level band, the stretch of x it takes there."""
        found = []
        for thing in self._in_order(box):
            if thing.level not in levels or not _meets(thing, box):
                continue
            x0, x1 = min(thing.x0, thing.x1), max(thing.x0, thing.x1)
            if thing.is_line and thing.y0 != thing.y1:
                x0, x1 = _stretch_in_band(thing, box.y0, box.y1)
            found.append((x0, x1))
        return found

    def _near(self, lists: Iterable[list[int]]) -> list[Thing]:
        """Return the things of some cells, each once."""
        things = self.things
        return [things[index] for index in set().union(*lists)]

    def _in_order(self, box: Box) -> Iterator[Thing]:
        """Return the things of the cells of a box, column by column from below."""
        lists = self._under(box)
        return (self.things[index] for index in dict.fromkeys(itertools.chain.from_iterable(lists)))

    def _under(self, box: Box) -> list[list[int]]:
        """Return what each cell holds that a box touches."""
        found: list[list[int]] = []
        for size, grid in self._grids.items():
            few = _span(box, size) <= _MOST_CELLS
            cells = _box_cells(box, size) if few else _known_within(box, size, grid)
            found += [grid[cell] for cell in cells if cell in grid]
        return found

    def _along(self, a: Point, b: Point) -> list[list[int]]:
        """Return what each cell holds that a straight line passes, and maybe some others."""
        found: list[list[int]] = []
        for size, grid in self._grids.items():
            few = abs(b[0] - a[0]) + abs(b[1] - a[1]) <= size * _MOST_CELLS
            cells = _line_cells(a, b, size) if few else _known_within(Box.around((a, b)), size, grid)
            found += [grid[cell] for cell in cells if cell in grid]
        return found


def _span(box: Box, size: float) -> float:
    return ((box.x1 - box.x0) / size + 1.0) * ((box.y1 - box.y0) / size + 1.0)


def _box_cells(box: Box, size: float) -> list[Cell]:
    rows = range(math.floor(box.y0 / size), math.floor(box.y1 / size) + 1)
    columns = range(math.floor(box.x0 / size), math.floor(box.x1 / size) + 1)
    return [(i, j) for i in columns for j in rows]


def _known_within(box: Box, size: float, grid: Cells) -> list[Cell]:
    """Return the cells of a grid that a box touches which is too large to name them all."""
    i0, j0, i1, j1 = (math.floor(value / size) for value in (box.x0, box.y0, box.x1, box.y1))
    return sorted(cell for cell in grid if i0 <= cell[0] <= i1 and j0 <= cell[1] <= j1)


def _line_cells(a: Point, b: Point, size: float) -> list[Cell]:
    """Walk the columns of cells that a line passes, and in each the rows it spans there."""
    (xa, ya), (xb, yb) = (a, b) if a[0] <= b[0] else (b, a)
    first, last = math.floor(xa / size), math.floor(xb / size)
    low_row, high_row = sorted((math.floor(ya / size), math.floor(yb / size)))
    if low_row == high_row:  # nearly all lines run level or upright
        return [(i, low_row) for i in range(first, last + 1)]
    if first == last:
        return [(first, j) for j in range(low_row, high_row + 1)]
    upright = xb - xa < _UPRIGHT
    slope = 0.0 if upright else (yb - ya) / (xb - xa)
    cells = []
    for i in range(first, last + 1):
        left = ya if upright or i == first else ya + (i * size - xa) * slope
        right = yb if upright or i == last else ya + ((i + 1) * size - xa) * slope
        low, high = (left, right) if left <= right else (right, left)
        cells += [(i, j) for j in range(math.floor(low / size), math.floor(high / size) + 1)]
    return cells


def _stretch_in_band(line: Thing, low: float, high: float) -> tuple[float, float]:
    """Return the stretch of x in which a line lies between two heights."""
    slope = (line.x1 - line.x0) / (line.y1 - line.y0)
    first, last = sorted((line.y0, line.y1))
    ends = [line.x0 + (y - line.y0) * slope for y in (max(first, low), min(last, high))]
    return (min(ends), max(ends))


def _count(levels: Iterable[Level]) -> Cover:
    tally = [0] * (Level.WRITING + 1)
    for level in levels:
        tally[level] += 1
    _, patterns, faces, lines, solid, writing = tally
    return Cover(writing, solid, lines, faces, patterns)


def _meets(thing: Thing, box: Box) -> bool:
    _, x0, y0, x1, y1, is_line = thing
    if is_line:
        return _clips((x0, y0), (x1, y1), box)
    return x0 < box.x1 and box.x0 < x1 and y0 < box.y1 and box.y0 < y1


def _crosses(thing: Thing, a: Point, b: Point) -> bool:
    _, x0, y0, x1, y1, is_line = thing
    if is_line:
        return segments_cross((x0, y0), (x1, y1), a, b)
    return _clips(a, b, Box(x0, y0, x1, y1))


def _clips(a: Point, b: Point, box: Box) -> bool:
    """Say whether a straight line enters a box (Liang and Barsky's parametric clipping)."""
    (xa, ya), (xb, yb), x0, y0, x1, y1 = (
        a,
        b,
        box.x0 - _APART,
        box.y0 - _APART,
        box.x1 + _APART,
        box.y1 + _APART,
    )
    if (xa < x0 and xb < x0) or (xa > x1 and xb > x1) or (ya < y0 and yb < y0) or (ya > y1 and yb > y1):
        return False
    dx, dy = xb - xa, yb - ya
    enter, leave = 0.0, 1.0
    for slope, room in ((-dx, xa - box.x0), (dx, box.x1 - xa), (-dy, ya - box.y0), (dy, box.y1 - ya)):
        if slope == 0.0:
            if room <= 0.0:
                return False
            continue
        at = room / slope
        if slope < 0.0:
            enter = at if at > enter else enter
        elif at < leave:
            leave = at
        if enter > leave:
            return False
    return True


def segments_cross(p: Point, q: Point, a: Point, b: Point) -> bool:
    """Say whether two straight lines cross or touch, other than lying along each other.

    They cross when the ends of each lie on different sides of the other; most lines are told apart by the
    first half of that.
    """
    (px, py), (qx, qy), (ax, ay), (bx, by) = p, q, a, b
    wide, high = bx - ax, by - ay
    d1, d2 = wide * (py - ay) - high * (px - ax), wide * (qy - ay) - high * (qx - ax)
    if d1 * d2 > 0.0 or d1 == d2 == 0.0:
        return False
    wide, high = qx - px, qy - py
    d3, d4 = wide * (ay - py) - high * (ax - px), wide * (by - py) - high * (bx - px)
    return d3 * d4 <= 0.0
