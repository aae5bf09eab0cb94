"""Free room for a block: as near to the elevation as it fits, within the sheet's border.

The page is cut into cells; a cell that anything stands in is taken. Only cells that can be reached
from around the walls without crossing a line count as free, so a closed frame of any kind (the
sheet border, a title block) bounds the search without being recognised as such.

Glossary:
    reachable: free, and connected to the neighbourhood of a wall.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from perpend.drawing.obstacles import Survey
from perpend.drawing.page import Letters, Measure, Page, Stroke
from perpend.drawing.scene import Scene, clip_segment
from perpend.model import Box, Point

_CELL_HEIGHTS = 1.5
_ABOVE = 30.0
_MAX_CELLS = 1_500_000
_Mask = npt.NDArray[np.bool_]
Sums = npt.NDArray[np.int32]


@dataclass(slots=True)
class Room:
    """The cells of a page: which are taken, which can be reached."""

    area: Box
    cell_in: float
    taken: _Mask
    walls: Box

    def mark_box(self, box: Box) -> None:
        """Take every cell that a box touches."""
        i0, j0 = self._cell(box.x0, box.y0)
        i1, j1 = self._cell(box.x1, box.y1)
        rows, columns = self.taken.shape
        if i1 < 0 or j1 < 0 or i0 >= columns or j0 >= rows:
            return
        self.taken[max(j0, 0) : j1 + 1, max(i0, 0) : i1 + 1] = True

    def mark_line(self, a: Point, b: Point) -> None:
        """Take every cell that a straight line passes."""
        clipped = clip_segment(a, b, self.area)
        if clipped is None:
            return
        (xa, ya), (xb, yb) = clipped
        if abs(xb - xa) < 1e-9 or abs(yb - ya) < 1e-9:
            self.mark_box(Box(min(xa, xb), min(ya, yb), max(xa, xb), max(ya, yb)))
            return
        pieces = max(1, math.ceil(max(abs(xb - xa), abs(yb - ya)) / (0.5 * self.cell_in)))
        steps = np.linspace(0.0, 1.0, pieces + 1)
        columns = ((xa + (xb - xa) * steps - self.area.x0) / self.cell_in).astype(int)
        rows = ((ya + (yb - ya) * steps - self.area.y0) / self.cell_in).astype(int)
        high, wide = self.taken.shape
        self.taken[np.clip(rows, 0, high - 1), np.clip(columns, 0, wide - 1)] = True

    def _cell(self, x: float, y: float) -> tuple[int, int]:
        return (
            math.floor((x - self.area.x0) / self.cell_in),
            math.floor((y - self.area.y0) / self.cell_in),
        )

    def reachable(self) -> _Mask:
        """Return the free cells connected to the neighbourhood of the walls."""
        free = ~self.taken
        i0, j0 = self._cell(self.walls.x0, self.walls.y0)
        i1, j1 = self._cell(self.walls.x1, self.walls.y1)
        reached = np.zeros_like(free)
        near = (slice(max(j0 - 2, 0), j1 + 3), slice(max(i0 - 2, 0), i1 + 3))
        reached[near] = free[near]
        count = -1
        while count != (count := int(np.count_nonzero(reached))):
            reached = _spread_along_rows(reached, free)
            reached = _spread_along_rows(reached.T, free.T).T
        return reached

    def best_corner(
        self, width_in: float, height_in: float, barred: Sums, margin_in: float
    ) -> tuple[float, Point] | None:
        """Find the place of a block nearest to the walls.

        Args:
            width_in: width of the block.
            height_in: height of the block.
            barred: sums of the cells that may not be used, from `sums_of`.
            margin_in: room to keep around the block.

        Returns:
            The price of the place (its distance, mostly) and the upper left corner for the block, or
            None when it fits nowhere.
        """
        wide = math.ceil((width_in + 2 * margin_in) / self.cell_in)
        high = math.ceil((height_in + 2 * margin_in) / self.cell_in)
        if high >= barred.shape[0] or wide >= barred.shape[1]:
            return None
        under = barred[high:, wide:] - barred[:-high, wide:] - barred[high:, :-wide] + barred[:-high, :-wide]
        fits = under == 0
        if not fits.any():
            return None
        cost = np.where(fits, self._costs(fits.shape, wide, high), np.inf)
        j, i = np.unravel_index(int(np.argmin(cost)), cost.shape)
        x = self.area.x0 + int(i) * self.cell_in + margin_in
        y = self.area.y0 + (int(j) + high) * self.cell_in - margin_in
        return float(cost[j, i]), (x, y)

    def _costs(self, shape: tuple[int, ...], wide: int, high: int) -> npt.NDArray[np.float64]:
        """Price every place: its distance from the walls, below rather than above, left rather than right."""
        x0 = self.area.x0 + np.arange(shape[1]) * self.cell_in
        y0 = self.area.y0 + np.arange(shape[0]) * self.cell_in
        x1, y1 = x0 + wide * self.cell_in, y0 + high * self.cell_in
        dx = np.maximum(np.maximum(self.walls.x0 - x1, x0 - self.walls.x1), 0.0)
        dy = np.maximum(np.maximum(self.walls.y0 - y1, y0 - self.walls.y1), 0.0)
        above = np.where(y0 > self.walls.y1, _ABOVE * self.cell_in, 0.0)
        aside = 0.05 * np.abs(x0 - self.walls.x0)
        costs: npt.NDArray[np.float64] = np.hypot(dx[None, :], (dy + above)[:, None]) + aside[None, :]
        return costs


def _spread_along_rows(reached: _Mask, free: _Mask) -> _Mask:
    """Reach every free cell that a level run of free cells connects with a reached one."""
    rows, columns = free.shape
    runs = np.cumsum(~free, axis=1, dtype=np.int64) + (np.arange(rows) * (columns + 1))[:, None]
    touched = np.zeros(rows * (columns + 1) + columns + 1, dtype=bool)
    touched[runs[reached]] = True
    spread: _Mask = free & touched[runs]
    return spread


def sums_of(mask: _Mask) -> Sums:
    """Return the sums of a mask over every rectangle that starts at its first cell."""
    sums: Sums = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=np.int32)
    sums[1:, 1:] = np.cumsum(np.cumsum(mask, axis=0, dtype=np.int32), axis=1)
    return sums


def make_room(scene: Scene, found: Survey, spare_in: float, margin_in: float) -> Room:
    """Cut a page into cells and take those where something stands.

    Args:
        scene: the page with everything drawn on it so far.
        found: the drafter's things, drawing axes.
        spare_in: room beyond the outermost thing, so that a block always fits somewhere.
        margin_in: room that will be kept around a block; the cells are set so that a block can
            stand exactly below the left end of the leftmost wall.
    """
    area = _extents(scene, found).grown(spare_in)
    cell = scene.h * _CELL_HEIGHTS
    cell = max(cell, math.sqrt(area.width * area.height / _MAX_CELLS))
    area = Box(_aligned(area.x0, scene.box.x0 - margin_in, cell), area.y0, area.x1, area.y1)
    shape = (math.ceil(area.height / cell) + 1, math.ceil(area.width / cell) + 1)
    room = Room(area, cell, np.zeros(shape, dtype=bool), scene.box)
    _mark_drafters(room, scene.page, found)
    for placed in scene.plans:
        for face in placed.faces():
            room.mark_box(face)
    mark_ours(room, scene.board.marks)
    return room


def _aligned(edge: float, station: float, cell: float) -> float:
    """Return the greatest edge not right of the given one, whole cells away from a station."""
    return station - math.ceil((station - edge) / cell) * cell


def _extents(scene: Scene, found: Survey) -> Box:
    """Return the box around the walls, our marks and what the drafter has near them."""
    near = scene.box.grown(40 * max(scene.box.width, scene.box.height))
    turn = scene.page.from_drawing
    points = [p for b in (scene.box,) for p in ((b.x0, b.y0), (b.x1, b.y1))]
    for a, b in (*found.lines, *found.dimension_lines, *found.areas):
        points += [p for p in (turn(a), turn(b)) if near.holds(p)]
    for quad in found.quads:
        points += [p for p in map(turn, quad) if near.holds(p)]
    return Box.around(points)


def _mark_drafters(room: Room, page: Page, found: Survey) -> None:
    turn = page.from_drawing
    for a, b in (*found.lines, *found.dimension_lines):
        room.mark_line(turn(a), turn(b))
    for quad in found.quads:
        room.mark_box(Box.around([turn(corner) for corner in quad]))
    for low, high in found.areas:
        corners = (low, (high[0], low[1]), high, (low[0], high[1]))
        room.mark_box(Box.around([turn(corner) for corner in corners]))


def mark_ours(room: Room, marks: Iterable[Stroke | Letters | Measure]) -> None:
    """Take the cells of our own marks."""
    for mark in marks:
        if isinstance(mark, Letters):
            room.mark_box(mark.box)
        elif isinstance(mark, Measure):
            mark_ours(room, (*mark.strokes, mark.letters))
        else:
            path = (*mark.path, mark.path[0]) if mark.closed else mark.path
            for a, b in itertools.pairwise(path):
                room.mark_line(a, b)
