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
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from perpend.drawing.page.obstacles import Survey
from perpend.drawing.page.scene import Scene, clip_segments, in_parts, within
from perpend.drawing.page.sheet_page import Letters, Page, Paragraph, parts_of
from perpend.model import Box, Point

_CELL_HEIGHTS = 1.5
_ABOVE, _BESIDE = 40.0, 25.0
_FAR_HEIGHTS = 400.0
_MAX_CELLS = 1_500_000
_AT_ONCE = 4_000
"""Slanted lines whose points are worked out together; a hundred thousand at once would take 100 MB."""
_Mask = npt.NDArray[np.bool_]
Numbers = npt.NDArray[np.float64]
Sums = npt.NDArray[np.int32]


@dataclass(slots=True)
class Room:
    """The cells of a page: which are taken, which can be reached.

    Attributes:
        area: the part of the page that is cut into cells.
        cell_in: side of a cell.
        taken: rows of cells in which something stands.
        walls: box around all walls.
        right: how far the drafter's things and ours reach to the right, ours beyond the area too.
    """

    area: Box
    cell_in: float
    taken: _Mask
    walls: Box
    right: float = -math.inf

    def mark_box(self, box: Box) -> None:
        """Take every cell that a box touches."""
        i0, j0 = self._cell(box.x0, box.y0)
        i1, j1 = self._cell(box.x1, box.y1)
        rows, columns = self.taken.shape
        if i1 < 0 or j1 < 0 or i0 >= columns or j0 >= rows:
            return
        self.taken[max(j0, 0) : j1 + 1, max(i0, 0) : i1 + 1] = True

    def mark_boxes(self, boxes: Numbers) -> None:
        """Take every cell that any of many boxes (x0, y0, x1, y1) touches.

        Each box adds one at its lower left corner and takes it back beyond its edges; sums over both
        axes then count the boxes over each cell.
        """
        boxes = boxes[within(boxes, self.area)]
        rows, columns = self.taken.shape
        i0, j0 = self._columns(boxes[:, 0]), self._rows(boxes[:, 1])
        i1, j1 = self._columns(boxes[:, 2]) + 1, self._rows(boxes[:, 3]) + 1
        wide = columns + 1
        places = np.concatenate((j0 * wide + i0, j1 * wide + i1, j0 * wide + i1, j1 * wide + i0))
        signs = np.repeat((1.0, 1.0, -1.0, -1.0), len(boxes))
        steps = np.bincount(places, signs, (rows + 1) * wide).reshape(rows + 1, wide)
        np.cumsum(steps, axis=0, out=steps)
        np.cumsum(steps, axis=1, out=steps)
        self.taken |= steps[:-1, :-1] > 0.5

    def mark(self, pieces: Numbers, boxes: Numbers) -> None:
        """Take every cell that any of many straight lines, shape (n, 2, 2), or many boxes touches."""
        around = boxes_around(pieces)
        near = within(around, self.area)
        pieces, around = pieces[near], around[near]
        spans = around[:, 2:] - around[:, :2]
        level = spans.min(axis=1) <= self.cell_in * 1e-6
        self.mark_boxes(np.concatenate((around[level], boxes)))
        slanted = pieces[~level]
        for start in range(0, len(slanted), _AT_ONCE):
            self._mark_slanted(slanted[start : start + _AT_ONCE])

    def _mark_slanted(self, pieces: Numbers) -> None:
        """Take the cells under points set close along slanted lines; far ends are cut off first."""
        if not len(pieces):
            return
        kept = clip_segments(pieces, self.area)
        reach = np.abs(kept[:, 1] - kept[:, 0]).max(axis=1, initial=0.0)
        counts = np.ceil(reach / (0.5 * self.cell_in)).astype(np.intp) + 1
        owner = np.repeat(np.arange(len(kept)), counts)
        first = np.cumsum(counts) - counts
        at = (np.arange(len(owner)) - first[owner]) / np.maximum(counts - 1, 1)[owner]
        points = kept[owner, 0] + (kept[owner, 1] - kept[owner, 0]) * at[:, None]
        self.taken[self._rows(points[:, 1]), self._columns(points[:, 0])] = True

    def _columns(self, x: Numbers) -> npt.NDArray[np.intp]:
        return self._cells(x - self.area.x0, self.taken.shape[1])

    def _rows(self, y: Numbers) -> npt.NDArray[np.intp]:
        return self._cells(y - self.area.y0, self.taken.shape[0])

    def _cells(self, along: Numbers, count: int) -> npt.NDArray[np.intp]:
        """Return the cells at distances from the area's edge; what lies outside counts to the last one."""
        cells: npt.NDArray[np.intp] = np.minimum(np.maximum(along / self.cell_in, 0.0), count - 1.0).astype(
            np.intp
        )
        return cells

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
        level, upright, count = _runs(free), _runs(free.T), -1
        while count != (count := int(np.count_nonzero(reached))):
            reached = _spread(reached, free, level)
            reached = _spread(reached.T, free.T, upright).T
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
        """Price every place: its distance from the walls.

        Straight under them is better than beside or above, left is better than right.
        """
        x0 = self.area.x0 + np.arange(shape[1]) * self.cell_in
        y0 = self.area.y0 + np.arange(shape[0]) * self.cell_in
        x1, y1 = x0 + wide * self.cell_in, y0 + high * self.cell_in
        dx = np.maximum(np.maximum(self.walls.x0 - x1, x0 - self.walls.x1), 0.0)
        dy = np.maximum(np.maximum(self.walls.y0 - y1, y0 - self.walls.y1), 0.0)
        above = np.where(y0 > self.walls.y1, _ABOVE * self.cell_in, 0.0)
        under = (y1 <= self.walls.y0)[:, None] & ((x0 < self.walls.x1) & (x1 > self.walls.x0))[None, :]
        aside = 0.05 * np.abs(x0 - self.walls.x0)
        costs: npt.NDArray[np.float64] = np.sqrt((dx**2)[None, :] + ((dy + above) ** 2)[:, None])
        costs += aside[None, :]
        costs += np.where(under, 0.0, _BESIDE * self.cell_in)
        return costs


def _runs(free: _Mask) -> npt.NDArray[np.intp]:
    """Number the level runs of free cells; cells of one run have one number."""
    rows, columns = free.shape
    runs: npt.NDArray[np.intp] = np.cumsum(~free, axis=1, dtype=np.intp)
    runs += (np.arange(rows) * (columns + 1))[:, None]
    return runs


def _spread(reached: _Mask, free: _Mask, runs: npt.NDArray[np.intp]) -> _Mask:
    """Reach every free cell that a run of free cells connects with a reached one."""
    touched = np.zeros(int(runs[-1, -1]) + 1, dtype=bool)
    touched[runs[reached]] = True
    spread: _Mask = free & touched.take(runs)
    return spread


def sums_of(mask: _Mask) -> Sums:
    """Return the sums of a mask over every rectangle that starts at its first cell."""
    sums: Sums = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=np.int32)
    sums[1:, 1:] = np.cumsum(np.cumsum(mask, axis=0, dtype=np.int32), axis=1)
    return sums


def make_room(
    page: Page, h: float, standing: Sequence[Scene], found: Survey, spare_in: float, margin_in: float
) -> Room:
    """Cut a page into cells and take those where something stands.

    Args:
        page: the axes in which the blocks are to lie level.
        h: height of the letters, inches.
        standing: every page of the drawing, with everything drawn on it so far.
        found: the drafter's things, drawing axes.
        spare_in: room beyond the outermost thing, so that a block always fits somewhere.
        margin_in: room that will be kept around a block; the cells are set so that a block can
            stand exactly below the left end of the leftmost wall.
    """
    walls = _around(np.concatenate([seen_from(page, scene, _corners((scene.box,))) for scene in standing]))
    area = _extents(page, walls, h, found).grown(spare_in)
    cell = h * _CELL_HEIGHTS
    cell = max(cell, math.sqrt(area.width * area.height / _MAX_CELLS))
    area = Box(_aligned(area.x0, walls.x0 - margin_in, cell), area.y0, area.x1, area.y1)
    shape = (math.ceil(area.height / cell) + 1, math.ceil(area.width / cell) + 1)
    room = Room(area, cell, np.zeros(shape, dtype=bool), walls)
    ours = [drawn_shapes(page, scene) for scene in standing]
    pieces, corners = (np.concatenate(parts) for parts in zip(*ours, strict=True))
    boxes = boxes_around(corners)
    room.right = max(area.x1 - spare_in, float(pieces[..., 0].max(initial=-np.inf)), float(boxes[:, 2].max()))
    turn = page.turn
    drafters = boxes_around(np.concatenate((turn(found.quads), turn(found.areas))))
    for lines in in_parts(found.lines):
        room.mark(turn(lines), np.empty((0, 4)))
    room.mark(
        np.concatenate((turn(found.dimension_lines), pieces)),
        np.concatenate((drafters[~boxes_behind(drafters, room.walls)], boxes)),
    )
    return room


def _aligned(edge: float, station: float, cell: float) -> float:
    """Return the greatest edge not right of the given one, whole cells away from a station."""
    return station - math.ceil((station - edge) / cell) * cell


def _extents(page: Page, walls: Box, h: float, found: Survey) -> Box:
    """Return the box around the walls and what the drafter has not too far from them."""
    near = walls.grown(_FAR_HEIGHTS * h)
    low, high = np.array((walls.x0, walls.y0)), np.array((walls.x1, walls.y1))
    for shapes in _shapes(found):
        for part in in_parts(shapes):
            points = page.turn(part).reshape(-1, 2)
            low, high = np.minimum(low, points.min(axis=0)), np.maximum(high, points.max(axis=0))
    return Box(
        max(float(low[0]), near.x0),
        max(float(low[1]), near.y0),
        min(float(high[0]), near.x1),
        min(float(high[1]), near.y1),
    )


def _shapes(found: Survey) -> tuple[Numbers, Numbers, Numbers, Numbers]:
    return (found.lines, found.dimension_lines, found.quads, found.areas)


def boxes_around(shapes: Numbers) -> Numbers:
    """Return the boxes (x0, y0, x1, y1) around many shapes."""
    boxes: Numbers = np.concatenate((shapes.min(axis=1), shapes.max(axis=1)), axis=1)
    return boxes


def boxes_behind(boxes: Numbers, walls: Box) -> npt.NDArray[np.bool_]:
    """Say which boxes lie behind all walls: the sheet's background, which takes no room."""
    behind: npt.NDArray[np.bool_] = (
        (boxes[:, 0] < walls.x0)
        & (boxes[:, 1] < walls.y0)
        & (boxes[:, 2] > walls.x1)
        & (boxes[:, 3] > walls.y1)
    )
    return behind


def seen_from(page: Page, scene: Scene, points: Numbers) -> Numbers:
    """Carry points of one page to the axes of another; the last axis holds x and y."""
    if page == scene.page:
        return points
    cos, sin = math.cos(scene.page.angle_rad), math.sin(scene.page.angle_rad)
    x, y = points[..., 0], points[..., 1]
    drawing = np.stack((x * cos - y * sin, x * sin + y * cos), axis=-1)
    return page.turn(drawing / scene.page.inches_per_unit)


def _corners(boxes: Sequence[Box]) -> Numbers:
    """Return the corners of boxes, shape (n, 4, 2)."""
    return np.array([box.corners for box in boxes], dtype=np.float64).reshape(-1, 4, 2)


def _around(points: Numbers) -> Box:
    """Return the box around points."""
    flat = points.reshape(-1, 2)
    return Box(*flat.min(axis=0).tolist(), *flat.max(axis=0).tolist())


def drawn_shapes(page: Page, scene: Scene) -> tuple[Numbers, Numbers]:
    """Return, seen from a page, the pieces of our own marks, and the corners of our letters and the walls."""
    pieces: list[tuple[Point, Point]] = []
    boxes = [face for placed in scene.plans for face in placed.faces()]
    for mark in scene.board.marks:
        for part in parts_of(mark):
            if isinstance(part, Letters | Paragraph):
                boxes.append(part.box)
            else:
                pieces += itertools.pairwise((*part.path, part.path[0]) if part.closed else part.path)
    lines = np.array(pieces, dtype=np.float64).reshape(-1, 2, 2)
    return seen_from(page, scene, lines), seen_from(page, scene, _corners(boxes))
