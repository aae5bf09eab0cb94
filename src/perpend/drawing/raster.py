"""A coarse picture of a field, to find at once which of thousands of places for a label are worth a look.

Every thing takes the cells that it touches; sums over any rectangle of cells then cost four look-ups,
for all places together. The answer errs to the safe side by up to a cell; `Field` has the last word.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from perpend.drawing.field import Field, Level, Thing
from perpend.model import Box, Point

Numbers = npt.NDArray[np.float64]
_MAX_CELLS: Final = 4_000_000
_LAYERS: Final = {Level.SOLID: 0, Level.WRITING: 0, Level.LINE: 1, Level.FACE: 2, Level.PATTERN: 3}


class Raster:
    """Cells of a page and what stands in them: solid, line, face, pattern."""

    def __init__(self, area: Box, cell_in: float) -> None:
        """Make an empty raster over an area, with cells of at least this size."""
        self._cell = max(cell_in, math.sqrt(area.width * area.height / _MAX_CELLS))
        self._area = area
        self._rows = math.ceil(area.height / self._cell) + 1
        self._columns = math.ceil(area.width / self._cell) + 1
        self._marks = np.zeros((4, self._rows, self._columns), dtype=bool)
        self._sums = np.zeros((4, self._rows + 1, self._columns + 1), dtype=np.int32)
        self._seen = 0

    def catch_up(self, field: Field) -> None:
        """Mark what was added to the field since the last time."""
        fresh = field.things[self._seen :]
        if not fresh:
            return
        self._seen += len(fresh)
        slanted = [thing for thing in fresh if _is_slanted(thing)]
        self._mark_slanted(slanted)
        for thing in fresh:
            if not _is_slanted(thing):
                self._mark(thing)
        for layer in {_LAYERS[thing.level] for thing in fresh}:
            self._sums[layer, 1:, 1:] = np.cumsum(
                np.cumsum(self._marks[layer], axis=0, dtype=np.int32), axis=1, dtype=np.int32
            )

    def covers(self, x0: Numbers, y0: Numbers, x1: Numbers, y1: Numbers) -> npt.NDArray[np.int32]:
        """Count the marked cells under many boxes.

        Args:
            x0: left edges.
            y0: lower edges.
            x1: right edges.
            y1: upper edges.

        Returns:
            Four rows (solid, line, face, pattern), one column for each box; what lies outside the
            area counts as empty.
        """
        i0, i1 = self._index(x0, self._area.x0, self._columns), self._index(x1, self._area.x0, self._columns)
        j0, j1 = self._index(y0, self._area.y0, self._rows), self._index(y1, self._area.y0, self._rows)
        sums = self._sums
        counts: npt.NDArray[np.int32] = (
            sums[:, j1 + 1, i1 + 1] - sums[:, j0, i1 + 1] - sums[:, j1 + 1, i0] + sums[:, j0, i0]
        )
        return counts

    def crossings(self, start: Point, x: Numbers, y: Numbers, skip_in: float) -> npt.NDArray[np.int_]:
        """Count the solid things that straight lines from one point run into, nearly.

        Args:
            start: where every line starts.
            x: where each ends.
            y: likewise.
            skip_in: how much of the start of each line is not looked at.

        Returns:
            How often each line enters marked cells.
        """
        reach = float(np.max(np.hypot(x - start[0], y - start[1]), initial=self._cell))
        at = np.linspace(0.0, 1.0, math.ceil(1.5 * reach / self._cell) + 1)[:, None]
        i = self._index(start[0] + (x - start[0]) * at, self._area.x0, self._columns)
        j = self._index(start[1] + (y - start[1]) * at, self._area.y0, self._rows)
        hit = self._marks[0, j, i] & (at * np.hypot(x - start[0], y - start[1]) > skip_in)
        entered: npt.NDArray[np.int_] = np.sum(hit[1:] & ~hit[:-1], axis=0)
        return entered

    def _index(self, values: Numbers, start: float, count: int) -> npt.NDArray[np.intp]:
        cells: npt.NDArray[np.intp] = np.floor((values - start) / self._cell).astype(np.intp)
        return np.clip(cells, 0, count - 1)

    def _mark_slanted(self, things: Sequence[Thing]) -> None:
        """Mark the cells under points set close along many lines, all at once."""
        if not things:
            return
        ends = np.array([(t.x0, t.y0, t.x1, t.y1) for t in things])
        layers = np.array([_LAYERS[t.level] for t in things])
        way = ends[:, 2:] - ends[:, :2]
        counts = 2 + np.ceil(2 * np.abs(way).max(axis=1) / self._cell).astype(np.intp)
        owner = np.repeat(np.arange(len(things)), counts)
        step = np.arange(len(owner)) - (np.cumsum(counts) - counts)[owner]
        last = (counts - 1)[owner]
        at = np.where(step == last, 1.0, step * (1.0 / last))
        i = self._index(ends[owner, 0] + way[owner, 0] * at, self._area.x0, self._columns)
        j = self._index(ends[owner, 1] + way[owner, 1] * at, self._area.y0, self._rows)
        self._marks[layers[owner], j, i] = True

    def _mark(self, thing: Thing) -> None:
        """Mark the cells that a box or a level or upright line meets."""
        layer = self._marks[_LAYERS[thing.level]]
        xs, ys = np.array([thing.x0, thing.x1]), np.array([thing.y0, thing.y1])
        i = np.sort(self._index(xs, self._area.x0, self._columns))
        j = np.sort(self._index(ys, self._area.y0, self._rows))
        layer[j[0] : j[1] + 1, i[0] : i[1] + 1] = True


def _is_slanted(thing: Thing) -> bool:
    return thing.is_line and thing.x0 != thing.x1 and thing.y0 != thing.y1
