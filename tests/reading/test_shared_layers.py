"""One layer that the settings name for two roles: read as both where that can be told, refused where not."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.model import Elevation
from perpend.reading import read_drawing
from perpend.reading.reading_options import ReadingOptions, Role
from perpend.reading.survey.layer_survey import survey_layers
from reading.test_shapes import box_of
from reading.zoo import WALL, Pen, corners_of, marked_wall

WALL_BOX = (0, 0, 960, 160)
BOTH = ReadingOptions(openings=("X1",), joints=("X1",))


def reading(pen: Pen, folder: Path, options: ReadingOptions = BOTH) -> Elevation:
    return read_drawing(pen.save(folder / "drawing.dxf"), options).elevation


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_what_closes_is_an_opening_and_what_does_not_a_joint(tmp_path: Path, turn: float) -> None:
    pen = marked_wall(WALL_BOX, (40, 140), angle=turn)
    pen.box((400, 40, 448, 88), "X1")
    pen.text("N1", (424, 64), "X1")
    pen.line((424, 40), (424, 88), "X1")  # its glazing bar
    pen.lines(corners_of((500, 40, 548, 88)), "X1")
    pen.path([(700, 0), (700, 88), (740, 88), (740, 0)], "X1")
    pen.line((200, 0), (200, 160), "X1")
    pen.path([(300, 0), (300, 80), (308, 80), (308, 160)], "X1")
    pen.box((599.5, 0, 600.5, 160), "X1")
    pen.line((500, 0), (500, 40), "X1")  # up to the corner of a window, and on over its lintel
    pen.path([(500, 88), (492, 88), (492, 160)], "X1")
    for foot in range(0, 160, 12):
        pen.line((800, foot), (800, min(foot + 6, 160)), "X1")
    (wall,) = reading(pen, tmp_path).walls
    assert [(o.tag, box_of(o)) for o in wall.openings] == [
        ("N1", (400, 40, 448, 88)),
        ("opening 2", (500, 40, 548, 88)),
        ("opening 3", (700, 0, 740, 88)),
    ]
    assert [(j.path[0][0], j.path[-1][0], j.path[0][1], j.path[-1][1]) for j in wall.drawn_joints] == [
        (200, 200, 0, 160),
        (300, 308, 0, 160),
        (500, 492, 0, 160),
        (600, 600, 0, 160),
        (800, 800, 0, 160),
    ]


def test_blocks_are_told_apart_alike(tmp_path: Path) -> None:
    pen = marked_wall(WALL_BOX, (40, 140))
    pen.doc.blocks.new("T-1").add_lwpolyline(corners_of((0, 0, 40, 88)), close=True)
    pen.doc.blocks.new("J-1").add_line((0, 0), (0, 160))
    pen.space.add_blockref("T-1", (100, 0), dxfattribs={"layer": "X1"})
    pen.space.add_blockref("J-1", (300, 0), dxfattribs={"layer": "X1"})
    (wall,) = reading(pen, tmp_path).walls
    assert [box_of(o) for o in wall.openings] == [(100, 0, 140, 88)]
    assert [j.path for j in wall.drawn_joints] == [((300, 0), (300, 160))]


def test_the_list_of_layers_says_so(tmp_path: Path) -> None:
    pen = marked_wall(WALL_BOX, (40, 140))
    pen.line((200, 0), (200, 160), "X1")
    rows = survey_layers(pen.save(tmp_path / "drawing.dxf"), BOTH).rows
    (row,) = [row for row in rows if row.name == "X1"]
    assert (row.role, row.why) == (Role.JOINTS, "its name fits X1: what closes on it is an opening")


@pytest.mark.parametrize("also", [{}, {"openings": (WALL,)}], ids=["walls and joints", "all three"])
def test_a_layer_for_walls_and_joints_is_refused_with_what_to_do(
    tmp_path: Path, also: dict[str, tuple[str, ...]]
) -> None:
    pen = marked_wall(WALL_BOX, (40, 140))
    with pytest.raises(InputError) as refusal:
        reading(pen, tmp_path, ReadingOptions(walls=(WALL,), joints=(WALL,), **also))
    roles = ["walls", *also, "joints"]
    named = " and ".join(f'{role} = ["{WALL}"]' for role in roles)
    assert str(refusal.value) == (
        f"{tmp_path / 'drawing.dxf'}: the settings name layer {WALL} for {named}, but it can only be "
        "read as one of them: take it out of the others, or put what is one of them on a layer of its "
        "own."
    )


def test_a_clash_on_a_layer_with_nothing_on_it_refuses_nothing(tmp_path: Path) -> None:
    pen = marked_wall(WALL_BOX, (40, 140))
    pen.doc.layers.add("X1")
    assert len(reading(pen, tmp_path, ReadingOptions(supports=("X1",), joints=("X1",))).walls) == 1


@pytest.mark.parametrize(
    ("patterns", "roles"),
    [
        ({"openings": ("*",), "joints": ("X1",)}, {Role.JOINTS}),
        ({"openings": ("X1",), "joints": ("X*",)}, {Role.OPENINGS}),
        ({"openings": ("X?",), "joints": ("X*",)}, {Role.OPENINGS, Role.JOINTS}),
        ({"unreinforced_openings": ("X1",), "joints": ("X1",)},
         {Role.OPENINGS, Role.UNREINFORCED_OPENINGS, Role.JOINTS}),
        ({"openings": ("X1",), "joints": ("X1",), "ignored": ("X1",)}, set()),
    ],
)  # fmt: skip
def test_the_pattern_that_names_a_layer_most_closely_counts(
    patterns: dict[str, tuple[str, ...]], roles: set[Role]
) -> None:
    options = ReadingOptions(**patterns)
    assert options.roles_of("X1") == roles
    assert options.clash("X1") == ()
