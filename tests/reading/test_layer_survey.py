"""The survey of layers, and the settings drafted from it: a strange drawing reads after no more edits."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from perpend.reading import ReadingOptions, Role, read_drawing
from perpend.reading.survey.layer_survey import survey_layers
from perpend.reading.survey.settings_draft import settings_draft
from perpend.settings import parse_settings
from reading import zoo
from reading.zoo import Pen


def strange(path: Path, wall: str, opening: str, joint: str) -> Path:
    """The standard elevation on layers of another office, with a grade line, a hatch and a title block."""
    pen = Pen()
    pen.loop(zoo.STANDARD.corners, wall)
    for hole in zoo.STANDARD.holes:
        pen.box(hole.box, opening)
    for x in (160.0, 320.0):
        pen.line((x, 0), (x, 144), joint)
    pen.text("W1", (40, 120), "MARKS")
    pen.text("D1", (116, 40), "MARKS")
    pen.line((-100, 0), (600, 0), "GRADE")
    hatch = pen.space.add_hatch(dxfattribs={"layer": "SHADE"})
    hatch.paths.add_polyline_path(zoo.STANDARD.corners, is_closed=True)
    title = pen.doc.blocks.new("SHEET-FRAME")
    title.add_lwpolyline(zoo.rectangle(900, 600), close=True, dxfattribs={"layer": "FRAME"})
    pen.space.add_blockref("SHEET-FRAME", (-200, -200), dxfattribs={"layer": "FRAME"})
    return pen.save(path)


@pytest.mark.parametrize(
    ("wall", "opening", "joint"),
    [
        ("CMU FACE", "DOORS+WINDOWS", "CTRL_JOINTS"),
        ("S-MASONRY-ELEV", "GLAZING", "CJ"),
        ("MAUERWERK", "FENSTER", "L-17"),
        ("LAYER1", "LAYER2", "LAYER3"),
    ],
)
def test_the_draft_reads_the_drawing_without_an_edit(
    tmp_path: Path, wall: str, opening: str, joint: str
) -> None:
    path = strange(tmp_path / "strange.dxf", wall, opening, joint)
    (at_once,) = read_drawing(path).elevation.walls
    assert (at_once.tag, at_once.length_in, at_once.height_in) == ("W1", 480, 144)
    assert [(o.box.x0, o.box.x1) for o in at_once.openings] == [(96, 136), (240, 288)]
    survey = survey_layers(path)
    assert survey.layers_of(Role.WALLS) == (wall,)
    assert survey.layers_of(Role.OPENINGS) == (opening,)
    assert survey.layers_of(Role.JOINTS) == (joint,)
    settings = parse_settings(settings_draft(survey))
    options = ReadingOptions(
        walls=settings.layers.walls, openings=settings.layers.openings, joints=settings.layers.joints
    )
    (found,) = read_drawing(path, options).elevation.walls
    assert (found.tag, found.length_in, found.height_in) == ("W1", 480, 144)
    assert [(o.box.x0, o.box.x1) for o in found.openings] == [(96, 136), (240, 288)]
    assert [j.path[0][0] for j in found.drawn_joints] == [160, 320]


def test_rows_count_and_explain(tmp_path: Path) -> None:
    survey = survey_layers(strange(tmp_path / "strange.dxf", "CMU", "DOORS", "CJ"))
    rows = {row.name: row for row in survey.rows}
    assert rows["CMU"].counts == (("LWPOLYLINE", 1),)
    assert (rows["CMU"].closed, rows["CMU"].role, rows["CMU"].fits) == (1, Role.WALLS, False)
    assert rows["CMU"].why == "its name says 'CMU'"
    assert (rows["DOORS"].total, rows["DOORS"].closed) == (2, 2)
    assert rows["MARKS"].texts == ("W1", "D1")
    assert rows["FRAME"].counts == (("INSERT", 1), ("LWPOLYLINE", 1))
    assert (rows["GRADE"].role, rows["GRADE"].why) == (None, "nothing points to a role")
    assert [row.role is not None for row in survey.rows] == sorted(
        (row.role is not None for row in survey.rows), reverse=True
    )


def test_the_standard_layers_fit_already(tmp_path: Path) -> None:
    survey = survey_layers(zoo.plain(tmp_path / "plain.dxf"))
    assert {(r.name, r.role, r.fits) for r in survey.rows if r.role} == {
        (zoo.WALL, Role.WALLS, True),
        (zoo.OPENING, Role.OPENINGS, True),
        (zoo.JOINT, Role.JOINTS, True),
        (zoo.TAG, Role.TAGS, False),
    }


def test_states_layouts_and_external_references(tmp_path: Path) -> None:
    pen = Pen()
    pen.face()
    pen.doc.layers.add(zoo.WALL).freeze()
    pen.doc.layers.add(zoo.OPENING).off()
    pen.doc.layout("Layout1").add_line((0, 0), (1, 1))
    pen.doc.add_xref_def("other.dxf", "OTHER")
    survey = survey_layers(pen.save(tmp_path / "states.dxf"))
    states = {row.name: row.state for row in survey.rows}
    assert (states[zoo.WALL], states[zoo.OPENING], states[zoo.JOINT]) == ("frozen", "off", "missing")
    assert survey.layouts == ("Layout1",)
    assert survey.external == ("OTHER",)


def test_our_own_entities_are_not_counted(tmp_path: Path) -> None:
    pen = Pen()
    pen.face()
    pen.doc.appids.add("PERPEND")
    pen.line((0, 0), (0, 9), "A-ELEV-JNTC-DIMS").set_xdata("PERPEND", [(1000, "kind=dimension")])
    survey = survey_layers(pen.save(tmp_path / "ours.dxf"))
    assert "A-ELEV-JNTC-DIMS" not in {row.name for row in survey.rows}


def test_the_draft_is_toml_and_says_why(tmp_path: Path) -> None:
    pen = Pen(header=False, unit="mm")
    pen.loop(zoo.STANDARD.corners, "WALL $1 #N")
    draft = settings_draft(survey_layers(pen.save(tmp_path / "named.dxf")))
    content = tomllib.loads(draft)
    assert content["layers"] == {"walls": ["WALL $1 #N"]}
    assert "units_of_drawing" not in content, "a guess stays a guess until somebody says that it is right"
    assert '\n# units_of_drawing = "mm"  # without the #, if this is right\n' in draft
    assert "# guess: the header has no unit" in draft
    assert "its name says 'WALL'" in draft


def test_a_survey_of_nothing(tmp_path: Path) -> None:
    survey = survey_layers(Pen().save(tmp_path / "empty.dxf"))
    assert survey.rows == ()
    assert tomllib.loads(settings_draft(survey))["layers"] == {}


@pytest.mark.parametrize("role", ["walls", "openings"])
def test_every_default_in_the_draft_is_the_reader_s(tmp_path: Path, role: str) -> None:
    draft = settings_draft(survey_layers(Pen().save(tmp_path / "empty.dxf")))
    default = getattr(ReadingOptions(), role)
    assert f'# {role} = ["{default[0]}"]' in draft


def test_marks_outside_the_walls_and_layers_that_come_second(tmp_path: Path) -> None:
    pen = Pen()
    pen.face()
    pen.box((700, 0, 740, 84), "A-DOOR-PLAN")
    pen.text("D1", (900, 300), "A-ANNO-SCHD")
    rows = {row.name: row for row in survey_layers(pen.save(tmp_path / "second.dxf")).rows}
    assert (rows[zoo.TAG].role, rows["A-ANNO-SCHD"].role) == (Role.TAGS, None)
    assert rows["A-ANNO-SCHD"].why == "its marks stand outside the walls"
    assert rows["A-DOOR-PLAN"].why == "its name says 'DOOR', but A-ELEV-OPNG has that role"


def test_an_elevation_that_is_one_block(tmp_path: Path) -> None:
    pen = Pen()
    block = pen.doc.blocks.new("ELEVATION")
    block.add_lwpolyline(zoo.STANDARD.corners, close=True, dxfattribs={"layer": "CMU"})
    block.add_lwpolyline(zoo.corners_of((100, 0, 140, 88)), close=True, dxfattribs={"layer": "DOORS"})
    pen.space.add_blockref("ELEVATION", (500, 500))
    survey = survey_layers(pen.save(tmp_path / "block.dxf"))
    assert (survey.layers_of(Role.WALLS), survey.layers_of(Role.OPENINGS)) == (("CMU",), ("DOORS",))
    assert {row.name: row.closed for row in survey.rows}["CMU"] == 1


def elevation_of_lines(pen: Pen, wall: str) -> None:
    """Two walls of loose lines, the lower one at the side of the gable, with a border round both."""
    pen.lines([(0, 0), (360, 0), (360, 144), (180, 240), (0, 144)], wall)
    pen.lines([(360, 0), (960, 0), (960, 112), (360, 112)], wall)
    pen.box((-48, -96, 1200, 336), "E8")


def test_walls_of_loose_lines_are_told_from_the_border_round_them(tmp_path: Path) -> None:
    pen = Pen()
    elevation_of_lines(pen, "E1")
    door = pen.doc.blocks.new("DR3")
    door.add_line((0, 0), (0, 84))
    door.add_lwpolyline(zoo.corners_of((0, 0, 40, 84)), close=True)
    for x in (160, 860):
        pen.space.add_blockref("DR3", (x, 0), dxfattribs={"layer": "E2"})
    for x in (480, 624):
        pen.lines(zoo.corners_of((x, 40, x + 48, 88)), "E2")
    for x in (0, 360, 960):
        pen.line((x, -12), (x, 288), "E7")
        pen.space.add_circle((x, 300), 12, dxfattribs={"layer": "E7"})
    rows = {row.name: row for row in survey_layers(pen.save(tmp_path / "lines.dxf")).rows}
    assert {name: row.role for name, row in rows.items() if row.role} == {
        "E1": Role.WALLS,
        "E2": Role.OPENINGS,
    }
    assert (rows["E1"].closed, rows["E2"].closed) == (2, 4)
    assert rows["E1"].why == (
        "2 closed outlines on it hold shapes of other layers, and their sizes fit walls best"
    )
    assert rows["E2"].why == "4 closed outlines on it lie in walls"


def test_panes_in_windows_do_not_make_walls_of_them(tmp_path: Path) -> None:
    pen = Pen()
    pen.box((0, 0, 480, 144), "L1")
    for x in (96, 240):
        pen.box((x, 40, x + 56, 96), "L2")
        pen.box((x + 3, 43, x + 53, 93), "L3")
    survey = survey_layers(pen.save(tmp_path / "panes.dxf"))
    assert (survey.layers_of(Role.WALLS), survey.layers_of(Role.OPENINGS)) == (("L1",), ("L2", "L3"))


def a_door_without_its_threshold(pen: Pen) -> None:
    for a, b in (((96, 0), (96, 84)), ((96, 84), (136, 84)), ((136, 84), (136, 0))):
        pen.line(a, b, "X1")


def blocks_with_names_that_say_nothing(pen: Pen) -> None:
    block = pen.doc.blocks.new("T-11")
    for a, b in (((0, 0), (0, 84)), ((0, 84), (40, 84)), ((40, 84), (40, 0)), ((0, 0), (40, 84))):
        block.add_line(a, b)
    pen.space.add_blockref("T-11", (96, 0), dxfattribs={"layer": "X1"})


@pytest.mark.parametrize(
    "draw",
    [
        lambda pen: pen.lines(zoo.corners_of((96, 40, 144, 88)), "X1"),
        a_door_without_its_threshold,
        blocks_with_names_that_say_nothing,
    ],
    ids=["lines", "door", "blocks"],
)
@pytest.mark.parametrize("wall", ["outline", "lines"])
def test_openings_are_found_however_they_and_the_wall_are_drawn(
    tmp_path: Path, wall: str, draw: Callable[[Pen], object]
) -> None:
    pen = Pen()
    corners = zoo.corners_of((0, 0, 480, 144))
    pen.lines(corners, zoo.WALL) if wall == "lines" else pen.loop(corners, zoo.WALL)
    draw(pen)
    survey = survey_layers(pen.save(tmp_path / "openings.dxf"))
    assert survey.layers_of(Role.OPENINGS) == ("X1",)
    assert {row.name: row.why for row in survey.rows}["X1"] == "1 closed outline on it lies in a wall"


def test_openings_in_a_block_that_is_the_whole_elevation(tmp_path: Path) -> None:
    pen = Pen()
    block = pen.doc.blocks.new("ELEV-1")
    for box, layer in (((0, 0, 480, 144), zoo.WALL), ((96, 0, 136, 84), "E-3")):
        block.add_lwpolyline(zoo.corners_of(box), close=True, dxfattribs={"layer": layer})
    pen.space.add_blockref("ELEV-1", (1000, 500))
    survey = survey_layers(pen.save(tmp_path / "block.dxf"))
    assert survey.layers_of(Role.OPENINGS) == ("E-3",)


def test_a_second_joint_layer_that_name_and_lines_speak_for_is_drafted_too(tmp_path: Path) -> None:
    pen = Pen()
    pen.face()
    for x in (160, 320):
        pen.line((x, 0), (x, 144), "S-CMU-CONTROL JT")
    pen.line((700, 0), (700, 144), "EXPANSION TANK")
    survey = survey_layers(pen.save(tmp_path / "second.dxf"))
    assert survey.layers_of(Role.JOINTS) == ("S-CMU-CONTROL JT", zoo.JOINT)
    rows = {row.name: row.why for row in survey.rows}
    assert rows["S-CMU-CONTROL JT"] == (
        "its name says 'CONTROL', and 2 upright lines on it cross walls from edge to edge"
    )
    assert rows["EXPANSION TANK"] == f"its name says 'EXPANSION', but {zoo.JOINT} has that role"
    assert tomllib.loads(settings_draft(survey))["layers"]["joints"] == ["S-CMU-CONTROL JT", zoo.JOINT]


def test_a_second_layer_that_only_shapes_speak_for_is_drafted_as_a_comment(tmp_path: Path) -> None:
    pen = Pen()
    pen.face()
    pen.box((320, 40, 368, 88), "X1")
    (pane,) = (h.box for h in zoo.STANDARD.holes[:1])
    pen.box((pane[0] + 2, pane[1] + 2, pane[2] - 2, pane[3] - 2), "X2")
    survey = survey_layers(pen.save(tmp_path / "second.dxf"))
    rows = {row.name: row for row in survey.rows}
    assert (rows["X1"].role, rows["X1"].maybe) == (None, Role.OPENINGS)
    assert rows["X1"].why == f"1 closed outline on it lies in a wall, but {zoo.OPENING} has that role"
    assert (rows["X2"].role, rows["X2"].maybe) == (None, None), "a pane in a window is no second opening"
    draft = settings_draft(survey)
    assert tomllib.loads(draft)["layers"]["openings"] == [zoo.OPENING]
    assert f'\n# openings = ["{zoo.OPENING}", "X1"]  # instead, if these are openings too\n' in draft


@pytest.mark.parametrize("beyond", [0, 60])
def test_lines_that_run_on_past_the_wall_are_no_joints(tmp_path: Path, beyond: float) -> None:
    pen = Pen()
    pen.box((0, 0, 480, 144), zoo.WALL)
    for x in (96, 288):
        pen.line((x, -beyond), (x, 144 + beyond), "L-17")
    survey = survey_layers(pen.save(tmp_path / "lines.dxf"))
    assert survey.layers_of(Role.JOINTS) == (() if beyond else ("L-17",))


def test_a_layer_that_the_settings_ignore_has_no_role(tmp_path: Path) -> None:
    pen = Pen()
    pen.box((0, 0, 480, 144), zoo.WALL)
    pen.box((96, 0, 136, 84), "DOORS")
    path = pen.save(tmp_path / "ignored.dxf")
    (row,) = (r for r in survey_layers(path, ReadingOptions(ignored=("DOOR*",))).rows if r.name == "DOORS")
    assert (row.role, row.why) == (None, "the settings ignore it")


def test_cladding_is_no_row_of_joints(tmp_path: Path) -> None:
    pen = Pen()
    pen.box((0, 0, 480, 144), zoo.WALL)
    for x in range(12, 480, 12):
        pen.line((x, 0), (x, 144), "L-17")
    assert survey_layers(pen.save(tmp_path / "lines.dxf")).layers_of(Role.JOINTS) == ()


def test_coursing_of_loose_lines_is_no_opening(tmp_path: Path) -> None:
    pen = Pen()
    pen.box((0, 0, 480, 144), zoo.WALL)
    for row in range(18):
        pen.line((0, 8 * row), (480, 8 * row), "L-17")
        for x in range(8 * (row % 2), 480, 16):
            pen.line((x, 8 * row), (x, 8 * row + 8), "L-17")
    (row,) = (r for r in survey_layers(pen.save(tmp_path / "lines.dxf")).rows if r.name == "L-17")
    assert (row.role, row.maybe) == (None, None)


def test_marks_in_a_wall_of_lines_or_in_a_block_stand_not_outside(tmp_path: Path) -> None:
    pen = Pen()
    elevation_of_lines(pen, "MAUER")
    pen.text("W1", (40, 120), "TEXTE")
    block = pen.doc.blocks.new("SIGN")
    block.add_text("W2", height=9, dxfattribs={"layer": "LABELS"})
    pen.space.add_blockref("SIGN", (400, 80))
    survey = survey_layers(pen.save(tmp_path / "marks.dxf"))
    assert set(survey.layers_of(Role.TAGS)) == {"TEXTE", "LABELS"}
