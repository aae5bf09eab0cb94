"""Many lines at once are cut and marked as one by one."""

from __future__ import annotations

import numpy as np

from drawing.clipping import clip_segment
from perpend.drawing.page.occupancy import Field, Level
from perpend.drawing.page.occupancy_raster import LINE, SOLID, Raster
from perpend.drawing.page.scene import clip_segments
from perpend.model import Box

AREA = Box(-10, -8, 9, 10)


def random_lines(count: int) -> np.ndarray:
    """Return lines in and around the area, some level, upright, of no length or on whole numbers."""
    lines = np.random.default_rng(20261125).uniform(-20, 20, (count, 2, 2))
    lines[::7, 1, 0] = lines[::7, 0, 0]
    lines[::11, 1, 1] = lines[::11, 0, 1]
    lines[::13, 1] = lines[::13, 0]
    lines[::17] = np.round(lines[::17])
    return lines


def test_lines_are_cut_as_one_by_one() -> None:
    lines = random_lines(5000)
    single = [cut for a, b in lines.tolist() if (cut := clip_segment(tuple(a), tuple(b), AREA))]
    assert 1000 < len(single) < 5000
    assert np.array_equal(np.array(single), clip_segments(lines, AREA))
    assert clip_segments(lines[:0], AREA).shape == (0, 2, 2)


def test_lines_are_marked_as_one_by_one() -> None:
    together, apart = Raster(AREA, 0.25), Raster(AREA, 0.25)
    field, single = Field(1.0), Field(1.0)
    for number, (a, b) in enumerate(random_lines(400).tolist()):
        level = Level.SOLID if number % 3 else Level.LINE
        field.add_line(tuple(a), tuple(b), level)
        single.add_line(tuple(a), tuple(b), level)
        apart.catch_up(single)
    together.catch_up(field)
    x, y = np.meshgrid(np.arange(-10, 9, 0.5), np.arange(-8, 10, 0.5))
    boxes = (x.ravel(), y.ravel(), x.ravel() + 0.2, y.ravel() + 0.2)
    for layer in (SOLID, LINE):
        counts = together.count(layer, together.cells_under(*boxes))
        assert counts.any()
        assert np.array_equal(counts, apart.count(layer, apart.cells_under(*boxes)))
