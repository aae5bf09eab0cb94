"""A coarse picture of a field, to find at once which of thousands of places for a label are worth a look.

Every thing takes the cells that it touches; sums over any rectangle of cells then cost four look-ups,
for all places together. The answer errs to the safe side by up to a cell; `Field` has the last word.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from perpend.drawing.page.occupancy import Field, Level, Thing
from perpend.drawing.page.scene import clip_segments
from perpend.model import Box, Point

Numbers = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
_MAX_CELLS: Final = 4_000_000
_FAR_AREAS: Final = 4.0
"""A line that leaves the area by this many times its size is cut back."""

SOLID, LINE, FACE, PATTERN = range(4)
_LAYERS: Final = {
    Level.SOLID: SOLID,
    Level.WRITING: SOLID,
    Level.LINE: LINE,
    Level.FACE: FACE,
    Level.PATTERN: PATTERN,
}


class Rectangles(NamedTuple):
    """Rectangles of cells, each by where the sums at its four corners stand."""

    low_left: Indices
    low_right: Indices
    high_left: Indices
    high_right: Indices

    def of(self, some: Indices) -> Rectangles:
        """Return some of them."""
        return Rectangles(*(corner[some] for corner in self))


class Raster:
    """Cells of a page and what stands in them, in four layers: SOLID, LINE, FACE and PATTERN."""

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
        """Mark what was added to the field since the last time.

        The sums grow by what is new: within the window around it by its own sums, to the right of it and
        above it by those of whole rows and columns of the window.
        """
        fresh = field.things[self._seen :]
        self._seen += len(fresh)
        by_layer: dict[int, list[Thing]] = {}
        for thing in fresh:
            by_layer.setdefault(_LAYERS[thing.level], []).append(thing)
        for layer, things in by_layer.items():
            i0, j0, i1, j1 = self._window(things)
            marks, sums = self._marks[layer, j0:j1, i0:i1], self._sums[layer]
            before = marks.copy()
            self._mark(layer, things)
            fresh_sums = _sums_over(marks & ~before)
            sums[j0 + 1 : j1 + 1, i0 + 1 : i1 + 1] += fresh_sums
            sums[j0 + 1 : j1 + 1, i1 + 1 :] += fresh_sums[:, -1:]
            sums[j1 + 1 :, i0 + 1 : i1 + 1] += fresh_sums[-1:]
            sums[j1 + 1 :, i1 + 1 :] += fresh_sums[-1, -1]

    def cells_under(self, x0: Numbers, y0: Numbers, x1: Numbers, y1: Numbers) -> Rectangles:
        """Return the rectangles of cells that many boxes touch; what lies outside the area is cut off.

        Args:
            x0: left edges.
            y0: lower edges.
            x1: right edges.
            y1: upper edges.
        """
        wide = self._columns + 1
        left = self._index(x0, self._area.x0, self._columns)
        right = self._index(x1, self._area.x0, self._columns) + 1
        low = self._index(y0, self._area.y0, self._rows) * wide
        high = (self._index(y1, self._area.y0, self._rows) + 1) * wide
        return Rectangles(low + left, low + right, high + left, high + right)

    def count(self, layer: int, under: Rectangles) -> npt.NDArray[np.int32]:
        """Count the marked cells of a layer in many rectangles."""
        sums = self._sums[layer].ravel()
        counts: npt.NDArray[np.int32] = (
            sums.take(under.high_right)
            - sums.take(under.low_right)
            - sums.take(under.high_left)
            + sums.take(under.low_left)
        )
        return counts

    def crossings(
        self, start: Point, x: Numbers, y: Numbers, skip_in: float, reach_in: float, every: int = 1
    ) -> npt.NDArray[np.int_]:
        """Count the solid things that straight lines from one point run into, nearly.

        Args:
            start: where every line starts.
            x: where each ends.
            y: likewise.
            skip_in: how much of the start of each line is not looked at.
            reach_in: length of the longest line that may be asked for: every line is looked at in as
                many places as that one, so that its count does not hang on which others are asked for.
            every: look at every so manieth place only: the count is then never higher, and cheaper.

        Returns:
            How often each line enters marked cells.
        """
        at = _places_along(math.ceil(1.5 * reach_in / self._cell) + 1)[::every, None]
        wide, high = x - start[0], y - start[1]
        i = self._index(start[0] + wide * at, self._area.x0, self._columns)
        j = self._index(start[1] + high * at, self._area.y0, self._rows)
        hit = self._marks[SOLID].take(j * self._columns + i) & (at * np.hypot(wide, high) > skip_in)
        entered: npt.NDArray[np.int_] = np.count_nonzero(hit[1:] > hit[:-1], axis=0)
        return entered

    def _index(self, values: Numbers, start: float, count: int) -> Indices:
        cells = (values - start) / self._cell
        np.maximum(cells, 0.0, out=cells)
        np.minimum(cells, count - 1.0, out=cells)
        return cells.astype(np.intp)

    def _column(self, x: float) -> int:
        return min(max(math.floor((x - self._area.x0) / self._cell), 0), self._columns - 1)

    def _row(self, y: float) -> int:
        return min(max(math.floor((y - self._area.y0) / self._cell), 0), self._rows - 1)

    def _window(self, things: Sequence[Thing]) -> tuple[int, int, int, int]:
        """Return the first column and row that things take, and those after the last."""
        xs = [x for thing in things for x in (thing.x0, thing.x1)]
        ys = [y for thing in things for y in (thing.y0, thing.y1)]
        return (
            self._column(min(xs)),
            self._row(min(ys)),
            self._column(max(xs)) + 1,
            self._row(max(ys)) + 1,
        )

    def _mark(self, layer: int, things: Sequence[Thing]) -> None:
        """Mark the cells that things meet: one by one, but for slanted lines."""
        marks = self._marks[layer]
        straight = [thing for thing in things if not _is_slanted(thing)]
        ends = np.array([thing[1:5] for thing in straight], dtype=np.float64).reshape(-1, 2, 2)
        columns = np.sort(self._index(ends[:, :, 0], self._area.x0, self._columns), axis=1)
        rows = np.sort(self._index(ends[:, :, 1], self._area.y0, self._rows), axis=1)
        for (i0, i1), (j0, j1) in zip(columns.tolist(), rows.tolist(), strict=True):
            marks[j0 : j1 + 1, i0 : i1 + 1] = True
        self._mark_slanted(marks, [thing for thing in things if _is_slanted(thing)])

    def _mark_slanted(self, marks: npt.NDArray[np.bool_], things: Sequence[Thing]) -> None:
        """Mark the cells under points set close along many lines, all at once."""
        if not things:
            return
        ends = self._cut_back(np.array([(t.x0, t.y0, t.x1, t.y1) for t in things]))
        way = ends[:, 2:] - ends[:, :2]
        counts = 2 + np.ceil(2 * np.abs(way).max(axis=1) / self._cell).astype(np.intp)
        owner = np.repeat(np.arange(len(ends)), counts)
        step = np.arange(len(owner)) - (np.cumsum(counts) - counts)[owner]
        last = (counts - 1)[owner]
        at = np.where(step == last, 1.0, step * (1.0 / last))
        i = self._index(ends[owner, 0] + way[owner, 0] * at, self._area.x0, self._columns)
        j = self._index(ends[owner, 1] + way[owner, 1] * at, self._area.y0, self._rows)
        marks[j, i] = True

    def _cut_back(self, ends: Numbers) -> Numbers:
        """Cut lines that reach very far beyond the area back to where they are near it."""
        near = self._area.grown(_FAR_AREAS * max(self._area.width, self._area.height))
        far = (ends < (near.x0, near.y0) * 2).any(axis=1) | (ends > (near.x1, near.y1) * 2).any(axis=1)
        if far.any():
            cut = clip_segments(ends[far].reshape(-1, 2, 2), near).reshape(-1, 4)
            ends = np.concatenate((ends[~far], cut))
        return ends


@lru_cache(maxsize=8)
def _places_along(count: int) -> Numbers:
    """Return places evenly set along a line, as parts of its length; not to be written to."""
    return np.linspace(0.0, 1.0, count)


def _sums_over(marks: npt.NDArray[np.bool_]) -> npt.NDArray[np.int32]:
    """Return the number of marks below and to the left of every cell, its own row and column included."""
    sums: npt.NDArray[np.int32] = np.cumsum(np.cumsum(marks, axis=0, dtype=np.int32), axis=1, dtype=np.int32)
    return sums


def _is_slanted(thing: Thing) -> bool:
    return thing.is_line and thing.x0 != thing.x1 and thing.y0 != thing.y1
