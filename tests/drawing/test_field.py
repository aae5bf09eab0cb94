"""The grid of obstacles: equal to shapely's answer for every box and line."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from drawing.clipping import clip_segment
from perpend.drawing.page.free_space import sums_of
from perpend.drawing.page.occupancy import Field, Level
from perpend.model import Box

AT = st.integers(-60, 60).map(lambda n: n + 0.5)
SIZE = st.integers(1, 40)
BOXES = st.tuples(AT, AT, SIZE, SIZE).map(lambda t: Box(t[0], t[1], t[0] + t[2], t[1] + t[3]))
POINTS = st.tuples(st.integers(-60, 60).map(float), st.integers(-60, 60).map(float))
LINES = st.tuples(POINTS, POINTS).filter(lambda line: line[0] != line[1])


def area(b: Box) -> object:
    return box(b.x0, b.y0, b.x1, b.y1)


@settings(max_examples=200, deadline=None)
@given(st.lists(BOXES, max_size=8), st.lists(LINES, max_size=8), BOXES)
def test_a_box_meets_what_shapely_says(boxes: list[Box], lines: list[object], asked: Box) -> None:
    """Lines stand on whole numbers and boxes on halves, so no two of them share an edge."""
    field = Field(7.0)
    for b in boxes:
        field.add_box(b, Level.WRITING)
    for a, b in lines:
        field.add_line(a, b, Level.LINE)
    cover = field.cover(asked)
    smaller, larger = area(asked).buffer(-1e-6), area(asked).buffer(1e-6)
    assert cover.writing == sum(area(b).buffer(-1e-6).intersects(smaller) for b in boxes)
    drawn = [LineString(line) for line in lines]
    assert sum(map(smaller.intersects, drawn)) <= cover.lines <= sum(map(larger.intersects, drawn))
    assert field.is_free(asked) == (cover.writing == 0)


@settings(max_examples=200, deadline=None)
@given(st.lists(BOXES, max_size=8), LINES)
def test_a_leader_crosses_what_shapely_says(boxes: list[Box], line: tuple[object, object]) -> None:
    field = Field(7.0)
    for b in boxes:
        field.add_box(b, Level.SOLID)
    drawn = LineString(line)
    surely, perhaps = (sum(drawn.intersects(area(b).buffer(by)) for b in boxes) for by in (-1e-6, 1e-6))
    assert surely <= field.crossed(*line).solid <= perhaps


@settings(max_examples=200, deadline=None)
@given(LINES, BOXES)
def test_a_line_is_cut_to_a_box_as_shapely_cuts_it(line: tuple[object, object], b: Box) -> None:
    inside = LineString(line).intersection(area(b))
    cut = clip_segment(*line, b)
    assert (cut is None) == inside.is_empty
    if cut is not None:
        assert abs(LineString(cut).length - inside.length) < 1e-6


def test_sums_count_rectangles() -> None:
    import numpy as np

    mask = np.array([[True, False, True], [False, True, True]])
    sums = sums_of(mask)
    assert sums[2, 3] == 4
    assert sums[2, 3] - sums[0, 3] - sums[2, 1] + sums[0, 1] == 3


def test_what_reaches_very_far_is_met_like_anything_else_and_takes_few_cells() -> None:
    """The same field with small and with enormous cells gives the same answers."""
    fine, coarse = Field(1.0), Field(1e7)
    for field in (fine, coarse):
        field.add_line((0.0, 0.0), (1e9, 1e9))
        field.add_box(Box(-5.0, 50.0, 1e8, 1e8))
        field.add_box(Box(3.0, 1.0, 4.0, 2.0), Level.WRITING)
    for where in (Box(10, 10, 11, 11), Box(0, 20, 9, 40), Box(7, 60, 8, 61), Box(-1e6, -1e6, 1e9, 1e9)):
        assert fine.cover(where) == coarse.cover(where)
        assert fine.is_free(where) == coarse.is_free(where)
    assert fine.crossed((-1e8, 1.5), (1e8, 1.5)) == coarse.crossed((-1e8, 1.5), (1e8, 1.5))
    assert fine.crossed((-1e8, 1.5), (1e8, 1.5)).writing == 1
    assert sum(len(grid) for grid in fine._grids.values()) < 70_000


def test_many_lines_at_once_are_what_each_is_by_itself() -> None:
    chance = np.random.default_rng(7)
    starts = chance.uniform(-500, 500, (400, 2))
    reach = chance.choice([0.5, 9.0, 900.0], (400, 1)) * chance.normal(size=(400, 2))
    ends = np.stack([starts, starts + reach], axis=1)
    levels = [Level.SOLID if i % 7 == 0 else Level.LINE for i in range(len(ends))]
    at_once, one_by_one = Field(4.0), Field(4.0)
    at_once.add_lines(ends, levels)
    for (a, b), level in zip(ends.tolist(), levels, strict=True):
        one_by_one.add_line(tuple(a), tuple(b), level)
    assert at_once.things == one_by_one.things
    assert at_once._grids == one_by_one._grids


@settings(max_examples=200, deadline=None)
@given(st.lists(BOXES, max_size=8), LINES, st.integers(0, 7))
def test_a_text_in_the_way_is_found_whichever_is_asked_first(
    boxes: list[Box], line: tuple[object, object], first: int
) -> None:
    field = Field(7.0)
    for b in boxes:
        field.add_box(b, Level.WRITING)
        field.add_box(b, Level.SOLID)
    texts = [thing for thing in field.things if thing.level is Level.WRITING]
    found = field.text_in_the_way(*line, likely=texts[first] if first < len(texts) else None)
    assert (found is not None) == (field.crossed(*line).writing > 0)
    assert found is None or found in texts


def test_a_text_that_is_in_the_way_again_costs_no_look_at_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    """Among thousands of texts most leaders of an anchor run into the one that the last ran into."""
    field = Field(7.0)
    field.add_box(Box(1, -9, 2, 9), Level.WRITING)
    struck = field.text_in_the_way((0, 0), (9, 0))
    monkeypatch.setattr(Field, "_along", lambda *_: pytest.fail("looked at the page"))
    assert field.text_in_the_way((0, 0), (9, 5), likely=struck) is struck is field.things[0]
