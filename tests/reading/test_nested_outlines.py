"""Outlines inside a wall on the walls' own layer: openings, or walls in front."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from perpend.model import Elevation
from perpend.reading import read_drawing
from perpend.reading.reading_options import ReadingOptions
from perpend.wording import handles_named
from reading.test_shapes import box_of, read
from reading.zoo import OPENING, WALL, Pen, corners_of, doubts_of, marked_wall

WALL_BOX = (0, 0, 960, 160)
WINDOWS = ((200, 40, 248, 88), (600, 40, 648, 88))
DOOR = (400, 0, 440, 88)
PLANTER = (700, 0, 900, 48)


def with_wall(**pen: object) -> Pen:
    return marked_wall(WALL_BOX, (300, 140), **pen)


def boxes(elevation: Elevation) -> dict[str, list[tuple[float, float, float, float]]]:
    return {wall.tag: [box_of(opening) for opening in wall.openings] for wall in elevation.walls}


@pytest.mark.parametrize("turn", [0.0, 33.0])
@pytest.mark.parametrize("drawn", ["polylines", "lines"])
def test_what_hangs_above_the_foot_or_is_higher_than_wide_is_an_opening(
    tmp_path: Path, drawn: str, turn: float
) -> None:
    pen = with_wall(angle=turn)
    for box in (*WINDOWS, DOOR):
        if drawn == "polylines":
            pen.box(box, WALL)
        else:
            pen.lines(corners_of((box[0], max(box[1], 2), *box[2:])), WALL)
    handles = [e.dxf.handle for e in pen.space.query("LWPOLYLINE")[1:]] or [
        e.dxf.handle for e in pen.space.query("LINE")[::4]
    ]
    elevation = read(pen, tmp_path)
    assert [(x0, x1, y1) for x0, _, x1, y1 in boxes(elevation)["W1"]] == [
        (200, 248, 88), (400, 440, 88), (600, 648, 88)
    ]  # fmt: skip
    (wall,) = elevation.walls
    assert elevation.repaired[0] == (
        f"3 outlines on wall layer {WALL} ({handles_named(handles)}) lie inside W1 and were read as "
        "openings, by their looks. What is a wall in front of it instead needs the mark of a wall in it, or "
        "another layer."
    )
    assert doubts_of(wall) == (f"3 outlines on wall layer {WALL} were read as openings, by their looks.",)


def test_on_a_layer_that_the_settings_name_for_both_every_inner_outline_is_one(tmp_path: Path) -> None:
    pen = with_wall()
    for box in (*WINDOWS, DOOR, PLANTER, (204, 44, 244, 84)):
        pen.box(box, WALL)
    pen.text("A", (224, 64))
    options = ReadingOptions(openings=("A-ELEV-OPNG*", WALL))
    elevation = read_drawing(pen.save(tmp_path / "drawing.dxf"), options).elevation
    assert boxes(elevation) == {"W1": [WINDOWS[0], DOOR, WINDOWS[1], PLANTER]}
    assert elevation.walls[0].openings[0].tag == "A"
    assert (elevation.walls[0].doubts, elevation.repaired) == ((), ())
    assert ["it lies inside" in left.words for left in elevation.ignored] == [True], "the sash of a window"


def test_what_is_in_an_opening_is_a_detail_and_what_is_in_a_wall_in_front_is_its_own(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box((500, 0, 900, 120), WALL)
    pen.text("W2", (520, 100))
    pen.box((700, 40, 748, 88), WALL)
    pen.box((704, 44, 744, 84), WALL)
    elevation = read(pen, tmp_path)
    assert boxes(elevation) == {"W1": [], "W2": [(200, 40, 248, 88)]}
    assert len(elevation.ignored) == 1


@pytest.mark.parametrize(
    ("box", "mark"), [((700, 40, 740, 88), "A"), (PLANTER, None)], ids=["marked", "wide at the foot"]
)
def test_what_may_be_either_stays_a_wall_and_that_is_reported(
    tmp_path: Path, box: tuple[float, float, float, float], mark: str | None
) -> None:
    pen = with_wall()
    handle = pen.box(box, WALL).dxf.handle
    if mark:
        pen.text(mark, (720, 64))
    elevation = read(pen, tmp_path)
    tag = mark or "wall 2"
    assert boxes(elevation) == {"W1": [], tag: []}
    assert elevation.repaired[0] == (
        f"1 outline on wall layer {WALL} (handle {handle}) lies inside another and looks like an opening, "
        f"but was read as {tag}. If it is one, name the layer for both in the settings, and every outline on "
        "it that "
        f'lies inside another is an opening: [layers] openings = ["A-ELEV-OPNG*", "{WALL}"].'
    )
    assert [doubts_of(w) for w in elevation.walls if w.tag == tag] == [
        ("This looks like an opening in the wall behind it, but was read as a wall.",)
    ]


@pytest.mark.parametrize("box", [PLANTER, (500, 0, 560, 100)], ids=["wider than high", "higher than wide"])
def test_a_mark_makes_a_wall_of_what_stands_on_the_ground(
    tmp_path: Path, box: tuple[float, float, float, float]
) -> None:
    pen = with_wall()
    pen.box(box, WALL)
    pen.text("W2", ((box[0] + box[2]) / 2, box[3] / 2))
    elevation = read(pen, tmp_path)
    assert set(boxes(elevation)) == {"W1", "W2"}
    assert all(doubts_of(wall) == () for wall in elevation.walls)


@pytest.mark.parametrize("mark", ["OHD-1", "OH1", "OD-1", "SF1"])
def test_the_mark_of_a_door_makes_an_opening_of_what_is_wider_than_high(tmp_path: Path, mark: str) -> None:
    pen = with_wall()
    pen.box((500, 0, 692, 96), WALL)
    pen.text(mark, (600, 48))
    (wall,) = read(pen, tmp_path).walls
    assert [(o.tag, box_of(o)) for o in wall.openings] == [(mark, (500, 0, 692, 96))]
    assert doubts_of(wall) == (f"1 outline on wall layer {WALL} was read as an opening, by its looks.",)


@pytest.mark.parametrize("mark", ["G1", "GL-2", "WIN3"])
def test_a_mark_that_openings_mostly_have_makes_no_wall_of_an_inner_outline(
    tmp_path: Path, mark: str
) -> None:
    pen = with_wall()
    pen.box((500, 0, 560, 88), WALL)
    pen.text(mark, (530, 48))
    pen.box((700, 0, 844, 96), WALL)
    pen.text(mark, (772, 48))
    elevation = read(pen, tmp_path)
    assert boxes(elevation) == {"W1": [(500, 0, 560, 88)], mark: []}
    assert doubts_of(elevation.walls[1]) == (
        "This looks like an opening in the wall behind it, but was read as a wall.",
    ), "wider than high, it may be a wall in front"


def test_a_round_window_is_an_opening_and_a_bubble_round_a_mark_is_no_wall(tmp_path: Path) -> None:
    pen = with_wall()
    for x in (400, 600):
        pen.space.add_circle((x, 80), 20, dxfattribs={"layer": WALL})
    pen.text("W2", (600, 80))
    elevation = read(pen, tmp_path)
    (wall,) = elevation.walls
    (window,) = wall.openings
    assert (wall.tag, box_of(window), window.arched) == ("W1", (380, 60, 420, 100), True)
    assert [notice.place.kind for notice in elevation.ignored] == ["CIRCLE"]


@pytest.mark.parametrize(("mark", "tags"), [("D1", ["W1"]), ("W2", ["W1", "W2"])])
def test_the_leaf_of_a_door_that_meets_the_foot_of_the_wall_is_no_wall(
    tmp_path: Path, mark: str, tags: list[str]
) -> None:
    """Lines of one layer that meet are a net: the outline goes around the doorway, and the leaf is a face."""
    pen = Pen()
    pen.lines(corners_of(WALL_BOX), WALL)
    pen.text("W1", (300, 140))
    for a, b in itertools.pairwise(((400, 0), (400, 88), (440, 88), (440, 0))):
        pen.line(a, b, WALL)
    pen.text(mark, (420, 40))
    elevation = read(pen, tmp_path)
    assert [wall.tag for wall in elevation.walls] == tags
    assert boxes(elevation)["W1"] == [DOOR]


def test_a_door_that_ends_a_little_below_the_foot_is_one(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box((400, -0.1, 440, 88), WALL)
    assert boxes(read(pen, tmp_path)) == {"W1": [DOOR]}


def test_no_guess_lies_across_an_opening_or_round_one(tmp_path: Path) -> None:
    """As a guess it would refuse the drawing: openings that overlap are an error."""
    pen = with_wall()
    pen.box((400, 40, 448, 88), OPENING)
    across = pen.box((430, 30, 480, 90), WALL).dxf.handle
    beside = pen.box((390, 30, 424, 120), WALL).dxf.handle
    elevation = read(pen, tmp_path)
    assert boxes(elevation) == {"W1": [(400, 40, 448, 88)]}
    assert [left.place.handle for left in elevation.ignored] == [beside, across], "the larger one first"


NEITHER = {
    "a band": (0, 100, 960, 124),
    "a band that sticks out of the wall": (-2, 100, 962, 108),
    "a coping": (-2, 160, 962, 168),
    "a coping as long as the wall": (0, 160, 960, 168),
    "a footing": (-12, -12, 972, 0),
    "a footing as long as the wall": (0, -12, 960, 0),
    "a base course": (0, 0, 960, 8),
    "a base course that sticks out of the wall": (-2, 0, 962, 16),
    "a high base course": (0, 0, 960, 40),
    "a base course that ends at a door": (0, 0, 600, 24),
    "a sill": (196, 36, 252, 40),
    "a lintel": (192, 88, 256, 96),
    "a vent": (400, 120, 424, 136),
    "a sign": (400, 110, 496, 146),
    "a canopy": (400, 150, 600, 168),
    "a frame round a window": (180, 30, 268, 100),
    "a panel behind a window": (100, 20, 400, 130),
    "a surround": (585, 0, 663, 100),
}


@pytest.mark.parametrize("what", NEITHER)
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_what_is_neither_a_wall_nor_an_opening_takes_nothing_from_the_wall_and_is_reported(
    tmp_path: Path, what: str, turn: float
) -> None:
    pen = with_wall(angle=turn)
    window, door = WINDOWS[0], (600, 0, 648, 88)
    for box, mark in ((window, "A"), (door, "D1")):
        pen.box(box)
        pen.text(mark, ((box[0] + box[2]) / 2, 60))
    handle = pen.box(NEITHER[what], WALL).dxf.handle
    pen.text("BAKERY", (448, 128), height=18)
    elevation = read(pen, tmp_path)
    assert boxes(elevation) == {"W1": [window, door]}
    assert [opening.tag for opening in elevation.walls[0].openings] == ["A", "D1"]
    assert elevation.repaired == (
        f"1 outline on wall layer {WALL} (handle {handle}) lies inside W1 or along it and was read as "
        "neither a wall nor an opening, but as bands, sills, signs or the like. If it is one all the same, a "
        "wall needs the mark of a wall in it, and an opening another layer.",
    )
    assert doubts_of(elevation.walls[0]) == (
        f"1 outline on wall layer {WALL} was read as neither a wall nor an opening.",
    )
    assert [(left.place.handle, left.place.layer) for left in elevation.ignored] == [(handle, WALL)]


@pytest.mark.parametrize(
    ("parts", "high"),
    [
        ([(0, 0, 960, 48), (0, 56, 960, 160), (0, 48, 960, 56)], 160),
        ([(0, 0, 960, 48), (0, 64, 960, 160), (0, 48, 960, 56), (0, 56, 960, 64)], 160),
        ([(0, y, 960, y + 8) for y in range(0, 160, 8)], 160),
        ([(0, 0, 960, 160), (0, 160, 960, 184)], 184),
    ],
    ids=["a band between two parts", "two bands between them", "course by course", "a parapet"],
)
def test_a_part_of_a_wall_that_is_drawn_in_several_is_no_strip(
    tmp_path: Path, parts: list[tuple[float, float, float, float]], high: float
) -> None:
    pen = Pen()
    for box in parts:
        pen.box(box, WALL)
    pen.text("W1", (300, 4), height=6)
    elevation = read(pen, tmp_path)
    (wall,) = elevation.walls
    assert (wall.tag, max(y for _, y in wall.top.points), wall.doubts) == ("W1", high, ())
    assert all(said.endswith("share an edge: read as one wall.") for said in elevation.repaired), (
        "one is tagged"
    )


def test_a_strip_at_the_foot_that_a_door_reaches_into_is_a_part_of_the_wall(tmp_path: Path) -> None:
    pen = Pen()
    pen.lines(corners_of(WALL_BOX), WALL)
    for y in (16, 152):
        pen.line((0, y), (960, y), WALL)
    pen.text("W1", (300, 140))
    pen.box(DOOR)
    (wall,) = read(pen, tmp_path).walls
    assert ([box_of(door) for door in wall.openings], wall.top.points) == ([DOOR], ((0, 152), (960, 152)))
    assert doubts_of(wall) == (f"1 outline on wall layer {WALL} was read as neither a wall nor an opening.",)


def test_strips_on_one_another_are_left_out_one_by_one(tmp_path: Path) -> None:
    pen = with_wall()
    handles = [pen.box((0, y, 960, y + 8), WALL).dxf.handle for y in (160, 168, -8)]
    elevation = read(pen, tmp_path)
    assert [(wall.tag, wall.top.points) for wall in elevation.walls] == [("W1", ((0, 160), (960, 160)))]
    assert sorted(left.place.handle for left in elevation.ignored) == sorted(handles)


def test_what_is_left_out_makes_no_doubt_about_the_unit(tmp_path: Path) -> None:
    pen = with_wall()
    for box in ((0, 0, 960, 8), (0, 160, 960, 168), (-12, -12, 972, 0)):
        pen.box(box, WALL)
    elevation = read(pen, tmp_path)
    assert [wall.tag for wall in elevation.walls] == ["W1"]
    assert elevation.units_why == "header ($INSUNITS 1)"


def test_several_are_told_at_once(tmp_path: Path) -> None:
    pen = with_wall()
    handles = [pen.box((0, y, 960, y + 8), WALL).dxf.handle for y in (40, 80)]
    elevation = read(pen, tmp_path)
    assert elevation.repaired[0].startswith(
        f"2 outlines on wall layer {WALL} ({handles_named(handles)}) lie inside W1 or along it and were "
        "read as neither walls nor openings, but"
    )
    assert doubts_of(elevation.walls[0]) == (
        f"2 outlines on wall layer {WALL} were read as neither walls nor openings.",
    )


@pytest.mark.parametrize(
    "box",
    [(0, 0, 860, 32), (400, 0, 424, 160), (300, 0, 560, 110)],
    ids=["garden wall", "pilaster", "vestibule"],
)
def test_what_stands_on_the_foot_without_a_mark_is_a_wall_in_front_and_that_is_told_beside_it(
    tmp_path: Path, box: tuple[float, float, float, float]
) -> None:
    pen = with_wall()
    pen.box((400, 0, 448, 88))
    pen.box(box, WALL)
    walls = {wall.tag: wall for wall in read(pen, tmp_path).walls}
    assert set(walls) == {"W1", "wall 2"}
    assert doubts_of(walls["wall 2"]) == (
        "This lies inside another outline, without a mark: it was read as a wall in front.",
    )


def test_a_mark_makes_a_wall_of_what_hangs_too(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box((500, 80, 900, 150), WALL)
    pen.text("W2", (700, 110))
    assert set(boxes(read(pen, tmp_path))) == {"W1", "W2"}


def test_a_band_along_the_whole_wall_is_no_opening_though_the_layer_is_named_for_both(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box((0, 100, 960, 108), WALL)
    pen.box((10, 20, 950, 60), WALL)
    pen.box((0, 0, 960, 18), WALL)
    options = ReadingOptions(openings=("A-ELEV-OPNG*", WALL))
    elevation = read_drawing(pen.save(tmp_path / "drawing.dxf"), options).elevation
    assert boxes(elevation) == {"W1": [(10, 20, 950, 60)]}
    assert doubts_of(elevation.walls[0]) == (
        f"2 outlines on wall layer {WALL} were read as neither walls nor openings.",
    )
