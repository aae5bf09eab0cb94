"""A lower wall in front of another one: whose a joint is, and what is hidden of it.

W1 is 96'-0" by 20'-0"; the wing W2, 12'-0" high, stands before its right end and sticks out of it.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.model import Elevation, Profile
from reading.test_shapes import read
from reading.zoo import JOINT, WALL, Pen, marked_wall

WING = (800, 0, 1300, 144)


def with_wing(box: tuple[float, float, float, float] = WING, **pen: object) -> Pen:
    made = marked_wall((0, 0, 1152, 240), (400, 220), **pen)
    made.box(box, WALL)
    made.text("W2", ((box[0] + box[2]) / 2 + 40, box[3] - 20))
    return made


def joints(elevation: Elevation) -> dict[str, list[tuple[tuple[float, float], ...]]]:
    return {wall.tag: [joint.path for joint in wall.drawn_joints] for wall in elevation.walls}


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_a_joint_in_the_face_of_the_wall_in_front_is_that_walls_alone(tmp_path: Path, turn: float) -> None:
    pen = with_wing(angle=turn)
    pen.line((904, 0), (904, 144), JOINT)
    assert joints(read(pen, tmp_path)) == {"W1": [], "W2": [((104, 0), (104, 144))]}


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_a_joint_that_stands_on_the_wall_in_front_goes_down_behind_it(tmp_path: Path, turn: float) -> None:
    pen = with_wing(angle=turn)
    pen.line((1016, 240), (1016, 144), JOINT)
    elevation = read(pen, tmp_path)
    assert joints(elevation) == {"W1": [((1016, 0), (1016, 240))], "W2": []}
    assert not elevation.ignored, "it is no tick of the wall in front"


def test_two_joints_on_one_line_are_one_of_each_wall(tmp_path: Path) -> None:
    pen = with_wing()
    pen.line((904, 0), (904, 144), JOINT)
    pen.line((904, 144), (904, 240), JOINT)
    elevation = read(pen, tmp_path)
    assert joints(elevation) == {"W1": [((904, 0), (904, 240))], "W2": [((104, 0), (104, 144))]}
    assert {joint.past_in for wall in elevation.walls for joint in wall.drawn_joints} == {(0, 0)}


def test_one_line_over_both_walls_is_a_joint_of_both(tmp_path: Path) -> None:
    pen = with_wing()
    pen.line((904, 0), (904, 240), JOINT)
    assert joints(read(pen, tmp_path)) == {"W1": [((904, 0), (904, 240))], "W2": [((104, 0), (104, 144))]}


def test_a_joint_that_ends_above_the_wall_in_front_or_in_its_face_stops_there(tmp_path: Path) -> None:
    pen = with_wing()
    pen.line((1016, 160), (1016, 240), JOINT)
    pen.line((1056, 100), (1056, 240), JOINT)
    assert joints(read(pen, tmp_path))["W1"] == [((1016, 160), (1016, 240)), ((1056, 100), (1056, 240))]


def test_a_dashed_joint_above_the_wall_in_front_goes_down_behind_it(tmp_path: Path) -> None:
    pen = with_wing()
    for foot in range(150, 240, 18):
        pen.line((1016, foot), (1016, min(foot + 12, 240)), JOINT)
    assert joints(read(pen, tmp_path)) == {"W1": [((1016, 0), (1016, 240))], "W2": []}


def test_the_wall_behind_knows_the_edge_of_the_wall_in_front(tmp_path: Path) -> None:
    walls = {wall.tag: wall.fronts for wall in read(with_wing(), tmp_path).walls}
    assert walls == {"W1": (Profile.level(144, 800, 1300),), "W2": ()}


@pytest.mark.parametrize(
    "box", [(800, 48, 1100, 144), (800, 0, 900, 240), (800, 0, 900, 300)], ids=["hangs", "as high", "higher"]
)
def test_what_hangs_or_is_no_lower_hides_nothing(
    tmp_path: Path, box: tuple[float, float, float, float]
) -> None:
    pen = with_wing(box)
    pen.line((850, box[1]), (850, 144), JOINT)
    elevation = read(pen, tmp_path)
    assert [wall.fronts for wall in elevation.walls] == [(), ()]
    assert joints(elevation)["W1"] == [((850, box[1]), (850, 144))]


def test_a_symbol_in_the_face_of_the_wall_in_front_is_that_walls_alone(tmp_path: Path) -> None:
    pen = with_wing()
    pen.doc.blocks.new("CJ").add_circle((0, 0), 3)
    pen.space.add_blockref("CJ", (904, 20), dxfattribs={"layer": JOINT})
    assert joints(read(pen, tmp_path)) == {"W1": [], "W2": [((104, 0), (104, 144))]}
