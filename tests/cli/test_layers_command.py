"""``perpend layers``: roles of layers, and a drafted settings file that the reader then understands."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from cli.drawings import Box, add_box, add_text, new_drawing
from cli.harness import perpend
from perpend.settings import load_settings

WALL: Box = (0, 0, 480, 160)
DOOR: Box = (96, 0, 136, 84)


@pytest.fixture
def foreign(tmp_path: Path) -> Path:
    """A drawing whose layers have names of its own."""
    doc = new_drawing()
    add_box(doc, WALL, "BLOCKWORK OUTER")
    add_box(doc, DOOR, "DOORS")
    add_text(doc, "A", (240, 80))
    path = tmp_path / "foreign.dxf"
    doc.saveas(path)
    return path


def test_roles_and_reasons_are_printed(foreign: Path) -> None:
    ending = perpend("layers", foreign)
    assert (ending.code, ending.err) == (0, "")
    lines = ending.out.splitlines()
    row = next(line for line in lines if line.startswith("BLOCKWORK OUTER"))
    assert " walls " in row
    assert "1 LWPOLYLINE; 1 closed" in row
    assert " openings " in next(line for line in lines if line.startswith("DOORS"))
    assert "The settings do not cover BLOCKWORK OUTER, DOORS" in ending.out
    assert max(map(len, lines)) <= 100


def test_json_has_the_same_roles(foreign: Path) -> None:
    found = json.loads(perpend("layers", foreign, "--json").out)
    roles = {layer["name"]: (layer["role"], layer["closed"]) for layer in found["layers"]}
    assert roles["BLOCKWORK OUTER"] == ("walls", 1)
    assert roles["DOORS"] == ("openings", 1)
    assert found["units"] == "in"


def test_a_layer_that_may_play_a_role_beside_another_is_told_with_a_question_mark(tmp_path: Path) -> None:
    doc = new_drawing()
    add_box(doc, WALL, "A-ELEV-WALL")
    add_box(doc, DOOR, "A-ELEV-OPNG")
    add_box(doc, (300, 0, 340, 84), "X1")
    doc.saveas(tmp_path / "a.dxf")
    lines = perpend("layers", tmp_path / "a.dxf").out.splitlines()
    assert " openings? " in next(line for line in lines if line.startswith("X1"))
    document = json.loads(perpend("layers", tmp_path / "a.dxf", "--json").out)
    found = {layer["name"]: layer for layer in document["layers"]}
    assert (found["X1"]["role"], found["X1"]["maybe"]) == (None, "openings")
    assert (found["A-ELEV-OPNG"]["role"], found["A-ELEV-OPNG"]["maybe"]) == ("openings", None)


def test_the_drafted_settings_cover_the_drawing(foreign: Path, tmp_path: Path) -> None:
    """A new drawing is understood after one command: with the draft nothing is left uncovered."""
    draft = tmp_path / "draft.toml"
    ending = perpend("layers", foreign, "--write", draft)
    assert ending.code == 0
    assert "do not cover BLOCKWORK OUTER, DOORS: check the draft." in ending.out
    text = draft.read_text(encoding="utf-8")
    assert "# BLOCKWORK OUTER: 1 entity, 1 closed;" in text
    assert "# the drawing is in inches: header" in text
    assert "# tags were, but any text inside a wall" in text
    assert tomllib.loads(draft.read_text(encoding="utf-8"))["layers"]["walls"] == ["BLOCKWORK OUTER"]
    again = perpend("layers", foreign, "--settings", draft)
    assert again.code == 0
    assert "do not cover" not in again.out


@pytest.fixture
def on_a_sheet(tmp_path: Path) -> Path:
    """A drawing whose elevation stands in the layout A-201; modelspace holds another one's grid."""
    doc = new_drawing()
    doc.modelspace().add_line((0, 0), (0, 99), dxfattribs={"layer": "S-GRID"})
    sheet = doc.layouts.new("A-201")
    for layer, (x0, y0, x1, y1) in (("BLOCKWORK OUTER", WALL), ("DOORS", DOOR)):
        corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
        sheet.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    sheet.add_text("A", height=9, dxfattribs={"layer": "MARKS", "insert": (240, 80)})
    path = tmp_path / "sheet.dxf"
    doc.saveas(path)
    return path


def roles_in(drawing: Path, *arguments: str) -> dict[str, str | None]:
    found = json.loads(perpend("layers", drawing, "--json", *arguments).out)
    return {layer["name"]: layer["role"] for layer in found["layers"]}


def test_a_layout_is_looked_at_as_annotate_reads_it(on_a_sheet: Path) -> None:
    assert roles_in(on_a_sheet) == {"S-GRID": None}
    assert "Layouts besides modelspace: A-201 (--layout)" in perpend("layers", on_a_sheet).out
    sheet = roles_in(on_a_sheet, "--layout", "a-201")
    assert (sheet["BLOCKWORK OUTER"], sheet["DOORS"]) == ("walls", "openings")
    assert "S-GRID" not in sheet
    assert "Layout A-201; besides it: modelspace" in perpend("layers", on_a_sheet, "--layout", "A-201").out
    assert roles_in(on_a_sheet, "--layout", "Model") == {"S-GRID": None}


def test_the_draft_of_a_layout_names_it_so_that_annotate_finds_its_walls(on_a_sheet: Path) -> None:
    draft = on_a_sheet.with_name("perpend.toml")
    assert perpend("layers", on_a_sheet, "--layout", "A-201", "--write", draft).code == 0
    assert tomllib.loads(draft.read_text(encoding="utf-8"))["layout"] == "A-201"
    assert roles_in(on_a_sheet)["BLOCKWORK OUTER"] == "walls", (
        "the settings' layout counts without the option"
    )
    ending = perpend("annotate", on_a_sheet, "--json")
    assert ending.code == 0, ending.err
    (wall,) = json.loads(ending.out)["walls"]
    assert (wall["tag"], wall["length_in"], len(wall["openings"])) == ("A", 480, 1)


@pytest.mark.parametrize("command", ["layers", "annotate"])
def test_a_layout_that_is_not_there_is_refused_with_those_that_are(command: str, on_a_sheet: Path) -> None:
    ending = perpend(command, on_a_sheet, "--layout", "A-999")
    assert (ending.code, ending.out) == (2, "")
    assert "sheet.dxf has no layout 'A-999': it has Model, " in ending.err
    assert ending.err.count("\n") == 1


def test_an_empty_layout_is_told_by_its_name_with_where_the_walls_are(tmp_path: Path) -> None:
    doc = new_drawing()
    doc.layouts.new("A-202")
    add_box(doc, WALL, "A-ELEV-WALL")
    doc.saveas(tmp_path / "a.dxf")
    ending = perpend("annotate", tmp_path / "a.dxf", "--layout", "A-202")
    assert ending.code == 2
    assert "layout 'A-202' is empty; modelspace has entities on wall layers" in ending.err


def test_the_draft_beside_a_project_file_leaves_its_defaults_in_force(foreign: Path, tmp_path: Path) -> None:
    project = tmp_path / "perpend.toml"
    project.write_text('[defaults]\nmethod = "engineered"\nopenings = "unreinforced"\nleft_end = "free"\n')
    sidecar = tmp_path / "foreign.perpend.toml"
    assert perpend("layers", foreign, "--write", sidecar).code == 0
    merged = load_settings(drawing=foreign)
    assert merged.files == (str(project), str(sidecar))
    assert merged.layers.walls == ("BLOCKWORK OUTER",)
    found = merged.defaults
    assert (found.method, found.openings, found.left_end) == ("engineered", "unreinforced", "free")
    said = f"# the defaults come from {project};\n# what loses its # here overrules them\n# [defaults]\n"
    assert said in sidecar.read_text(encoding="utf-8")


def test_a_settings_file_that_is_there_is_never_overwritten(foreign: Path, tmp_path: Path) -> None:
    old = tmp_path / "perpend.toml"
    old.write_text("# mine\n", encoding="utf-8")
    for options in ((), ("--overwrite",)):
        ending = perpend("layers", foreign, "--write", old, *options)
        assert (ending.code, ending.out) == (2, "")
        assert "is the settings that count here" in ending.err
    assert old.read_text(encoding="utf-8") == "# mine\n"


def test_a_draft_replaces_another_file_only_when_asked(foreign: Path, tmp_path: Path) -> None:
    old = tmp_path / "draft.toml"
    old.write_text("# mine\n", encoding="utf-8")
    ending = perpend("layers", foreign, "--write", old)
    assert (ending.code, ending.out) == (2, "")
    assert "there already" in ending.err
    assert old.read_text(encoding="utf-8") == "# mine\n"
    assert perpend("layers", foreign, "--write", old, "--overwrite").code == 0
    assert "[layers]" in old.read_text(encoding="utf-8")


def test_a_drawing_that_is_not_there(tmp_path: Path) -> None:
    ending = perpend("layers", tmp_path / "gone.dxf", "--write", tmp_path / "draft.toml")
    assert ending.code == 2
    assert "gone.dxf" in ending.err
    assert list(tmp_path.iterdir()) == []
