"""The search for a callout's place looks at few places, and finds what looking at all of them finds."""

from __future__ import annotations

import ezdxf
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from drawing.plans import shopfront
from perpend.drawing import DraftingStyle, draw_plans
from perpend.drawing.page.occupancy import Field, Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.plate.callouts import cheapest_first
from perpend.model import Box

PRICES = st.lists(st.tuples(st.integers(0, 9), st.sampled_from((0, 0, 2, 5))), max_size=120)


@settings(max_examples=200, deadline=None)
@given(PRICES)
def test_the_cheapest_come_first_and_of_equal_ones_the_first(parts: list[tuple[int, int]]) -> None:
    floors = np.array([float(floor) for floor, _ in parts])
    prices = floors + np.array([float(more) for _, more in parts])
    ranked = list(cheapest_first(floors, lambda some: prices[some]))
    assert ranked == sorted((prices[i], i) for i in range(len(parts)))


def test_few_prices_are_asked_for_where_the_floors_tell_the_rest() -> None:
    floors = np.arange(1000.0)
    asked: list[int] = []

    def price_of(some: np.ndarray) -> np.ndarray:
        asked.extend(some.tolist())
        return floors[some] + 10.0

    ranked = cheapest_first(floors, price_of)
    assert [next(ranked) for _ in range(16)] == [(i + 10.0, i) for i in range(16)]
    assert len(asked) <= 64


LINES = st.lists(
    st.tuples(*[st.floats(-9, 9, allow_nan=False) for _ in range(4)]).filter(lambda p: p[:2] != p[2:]),
    min_size=1,
    max_size=12,
)


@settings(max_examples=100, deadline=None)
@given(LINES, LINES)
def test_a_hasty_look_along_a_line_never_sees_more(things: list[tuple], asked: list[tuple]) -> None:
    field, raster = Field(1.0), Raster(Box(-10, -10, 10, 10), 0.25)
    for xa, ya, xb, yb in things:
        field.add_line((xa, ya), (xb, yb), Level.SOLID)
    raster.catch_up(field)
    x, y = np.array([p[2] for p in asked]), np.array([p[3] for p in asked])
    start = asked[0][:2]
    every = raster.crossings(start, x, y, 0.2, 30.0)
    few = raster.crossings(start, x, y, 0.2, 30.0, 5)
    assert np.all(few <= every)
    for i in range(len(x)):
        assert raster.crossings(start, x[i : i + 1], y[i : i + 1], 0.2, 30.0)[0] == every[i]


def test_the_exact_look_is_kept_for_few_places(monkeypatch) -> None:  # noqa: ANN001
    """Of 2,106 elbows around each of some thirty anchors a few hundred are worth an exact look."""
    looks = {"crossed": 0, "cover": 0}

    def counted(name: str) -> None:
        method = getattr(Field, name)

        def wrapper(*args: object) -> object:
            looks[name] += 1
            return method(*args)

        monkeypatch.setattr(Field, name, wrapper)

    counted("crossed")
    counted("cover")
    draw_plans(ezdxf.new("R2010"), [shopfront()], (), DraftingStyle())
    assert 20 < looks["crossed"] < 600
    assert looks["cover"] < 200
