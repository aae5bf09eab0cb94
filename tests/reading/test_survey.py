"""The survey of layers, and the settings drafted from it: a strange drawing reads after no more edits."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.reading import ReadingOptions, Role, read_drawing
from perpend.reading.draft import settings_draft
from perpend.reading.survey import survey_layers
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
    with pytest.raises(InputError, match="perpend layers"):
        read_drawing(path)
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
    assert content["units_of_drawing"] == "mm"
    assert "# guess: the header has no unit" in draft
    assert "its name says 'WALL'" in draft
    assert parse_settings(draft).units_of_drawing == "mm"


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
