"""``perpend layers``: roles of layers, and a drafted settings file that the reader then understands."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from cli.drawings import Box, add_box, add_text, new_drawing
from cli.harness import perpend

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


def test_a_settings_file_that_is_there_is_never_overwritten(foreign: Path, tmp_path: Path) -> None:
    old = tmp_path / "perpend.toml"
    old.write_text("# mine\n", encoding="utf-8")
    ending = perpend("layers", foreign, "--write", old)
    assert (ending.code, ending.out) == (2, "")
    assert "there already" in ending.err
    assert old.read_text(encoding="utf-8") == "# mine\n"


def test_a_drawing_that_is_not_there(tmp_path: Path) -> None:
    ending = perpend("layers", tmp_path / "gone.dxf", "--write", tmp_path / "draft.toml")
    assert ending.code == 2
    assert "gone.dxf" in ending.err
    assert list(tmp_path.iterdir()) == []
