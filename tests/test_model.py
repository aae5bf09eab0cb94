"""The wall's own axes, its edges and its heights."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.model import Box, Frame, HeightBasis, Profile, Support, Wall, lowest_height
from perpend.model.geometry import parts_uncovered

STEPPED = Profile(((0, 240), (400, 240), (400, 144), (800, 144)))
GABLE = Profile(((0, 144), (400, 320), (800, 144)))
FLOOR = Profile.level(0, 0, 800)


def test_a_step_has_one_height_on_either_side() -> None:
    assert STEPPED.at(400) == (240, 144)
    assert STEPPED.at(399) == (240, 240)
    assert STEPPED.steps() == ((400, 240, 144),)
    assert GABLE.steps() == ()


def test_the_ends_of_an_edge_have_its_end_heights() -> None:
    assert STEPPED.at(0) == (240, 240)
    assert STEPPED.at(800) == (144, 144)


def test_the_lowest_height_of_a_panel_leaves_the_other_side_of_a_step_out() -> None:
    assert lowest_height(STEPPED, FLOOR, 0, 400) == 240
    assert lowest_height(STEPPED, FLOOR, 400, 800) == 144
    assert lowest_height(STEPPED, FLOOR, 392, 800) == 144


def test_under_a_gable_the_lowest_height_is_at_the_lower_end_of_the_panel() -> None:
    assert lowest_height(GABLE, FLOOR, 100, 500) == pytest.approx(144 + 176 * 100 / 400)
    assert lowest_height(GABLE, FLOOR, 300, 500) == pytest.approx(144 + 176 * 300 / 400)


def test_a_raised_bottom_makes_the_panel_lower() -> None:
    stepped_footing = Profile(((0, 0), (200, 0), (200, 40), (800, 40)))
    assert lowest_height(GABLE, stepped_footing, 200, 400) == pytest.approx(144 + 88 - 40)


def test_storey_height_is_the_lowest_between_lateral_supports() -> None:
    floor = Support(112, 0, 800)
    wall = Wall("W1", "2F", 800, Profile.level(256, 0, 800), FLOOR, supports=(floor,))
    assert wall.panel_height_in(0, 800) == 256
    assert wall.panel_height_in(0, 800, HeightBasis.STOREY) == 112


def test_a_support_beside_the_panel_does_not_count() -> None:
    wall = Wall("W1", "2F", 800, Profile.level(256, 0, 800), FLOOR, supports=(Support(112, 0, 300),))
    assert wall.panel_height_in(304, 800, HeightBasis.STOREY) == 256


@pytest.mark.parametrize("basis", list(HeightBasis))
@pytest.mark.parametrize("off", [0.0, 6e-14, -6e-14, 1 / 8128, -1 / 8128])
def test_a_joint_at_a_step_takes_in_no_sliver_of_the_wall_beyond_it(basis: HeightBasis, off: float) -> None:
    """9000 mm is 354.3307... in., which neither ticks nor floats hold to the last digit."""
    at = 9000 / 25.4
    top = Profile(((0, 48), (at, 48), (at, 112), (600, 112)))
    wall = Wall("W1", "2F", 600, top, Profile.level(0, 0, 600), supports=(Support(40, 0, 600),))
    expected = {HeightBasis.WALL: (48, 112), HeightBasis.STOREY: (40, 40)}[basis]
    assert wall.panel_height_in(0, at + off, basis) == expected[0]
    assert wall.panel_height_in(at + off, 600, basis) == expected[1]


points = st.tuples(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5))


@given(
    points, points, st.floats(-math.pi, math.pi), st.sampled_from([1.0, 1 / 25.4, 12.0, 39.37007874015748])
)
@settings(derandomize=True, deadline=None)
def test_wall_axes_and_drawing_axes_are_each_others_inverse(
    point: tuple[float, float], origin: tuple[float, float], angle: float, inches: float
) -> None:
    frame = Frame(origin, angle, inches)
    back = frame.to_wall(frame.to_drawing(point))
    assert math.dist(back, point) < 1e-6 * max(1.0, inches)


def test_a_turned_frame_turns_to_the_left() -> None:
    assert Frame((10, 20), math.pi / 2).to_drawing((5, 0)) == pytest.approx((10, 25))


def test_boxes_that_only_touch_do_not_overlap() -> None:
    assert not Box(0, 0, 10, 10).overlaps(Box(10, 0, 20, 10))
    assert Box(0, 0, 10, 10).overlaps(Box(9, 9, 20, 20))
    assert not Box(0, 0, 10, 10).overlaps(Box(9, 9, 20, 20), tolerance=1)


@pytest.mark.parametrize(
    ("edge", "path", "parts"),
    [
        (STEPPED, ((200, 0), (200, 300)), [((200, 240), (200, 300))]),
        (STEPPED, ((400, 0), (400, 300)), [((400, 240), (400, 300))]),
        (STEPPED, ((-50, 200), (900, 200)), [((-50, 200), (0, 200)), ((400, 200), (900, 200))]),
        (STEPPED, ((900, 200), (-50, 200)), [((900, 200), (400, 200)), ((0, 200), (-50, 200))]),
        (STEPPED, ((100, 240), (300, 240)), []),
        (GABLE, ((-50, 232), (900, 232)), [((-50, 232), (200, 232)), ((600, 232), (900, 232))]),
        (GABLE, ((100, 0), (100, 400)), [((100, 188), (100, 400))]),
        (
            STEPPED,
            ((808, 0), (808, 88), (792, 88), (792, 300)),
            [((808, 0), (808, 88), (800, 88)), ((792, 144), (792, 300))],
        ),
        (STEPPED, ((900, 0), (900, 88), (908, 88), (908, 300)), None),
    ],
)
def test_of_a_path_the_parts_above_an_edge_and_beside_it_are_not_covered(
    edge: Profile, path: tuple[tuple[float, float], ...], parts: list[object] | None
) -> None:
    assert list(parts_uncovered(path, edge)) == ([path] if parts is None else parts)
