"""Walls that the settings name, or leave out, by a point in them or by the handle of their outline."""

from __future__ import annotations

import tomllib
from pathlib import Path

import ezdxf
import pytest

from perpend import annotate, layers
from perpend.errors import InputError
from perpend.jobs.settings_to_options import reading_options
from perpend.model import Elevation
from perpend.reading import read_drawing
from perpend.settings import load_settings, parse_settings
from perpend.settings.resolve import wall_options
from zoo.odd import two_scales
from zoo.pen import Pen, corners
from zoo.strangers import feet_called_inches, fittings_on_one_layer


def _read(tmp_path: Path, settings: str) -> tuple[Elevation, list[str]]:
    """Read three walls without a mark from left to right; the last is 100 in. long."""
    pen = Pen()
    for x in (0, 600, 1200):
        pen.loop(corners((x, 0, x + (480 if x < 1200 else 100), 144)), "A-ELEV-WALL")
    handles = [entity.dxf.handle for entity in pen.space]
    path = pen.save(tmp_path / "drawing.dxf")
    text = settings.replace("HANDLE", handles[1])
    return read_drawing(path, reading_options(parse_settings(text), None, None)).elevation, handles


def test_named_by_a_point_and_by_a_handle(tmp_path: Path) -> None:
    settings = (
        '[[walls]]\ntag = "A1"\nat = [240, 70]\n[[walls]]\ntag = "B7"\nhandle = "HANDLE"\nbond_origin = 8\n'
    )
    elevation, handles = _read(tmp_path, settings)
    assert [(w.tag, w.handle) for w in elevation.walls[:2]] == [("A1", handles[0]), ("B7", handles[1])]
    first, second = elevation.walls[:2]
    assert wall_options(parse_settings(settings), second).bond_origin == 8
    assert wall_options(parse_settings(settings), first).bond_origin == 0


def test_excluded(tmp_path: Path) -> None:
    elevation, handles = _read(tmp_path, "[[walls]]\nat = [1250, 70]\nexclude = true\n")
    assert [w.handle for w in elevation.walls] == handles[:2]
    assert [n.place.handle for n in elevation.ignored] == handles[2:]


def test_the_draft_names_walls_by_handle_where_all_is_on_one_layer(tmp_path: Path) -> None:
    """What walls are there is still doubted: nobody has looked at the draft yet."""
    pen, _ = fittings_on_one_layer()
    path, draft = pen.save(tmp_path / "drawing.dxf"), tmp_path / "draft.toml"
    layers(path, write=draft)
    elevation = read_drawing(path, reading_options(load_settings(draft, path), None, None)).elevation
    (wall,) = elevation.walls
    entry = tomllib.loads(draft.read_text())["walls"]
    assert entry == [{"handle": wall.handle, "tag": "E1"}]
    assert (wall.tag, len(wall.openings)) == ("E1", 3)
    assert [n.place.layer for n in elevation.notices if n.code == "walls-by-shape"] == ["0"]


def test_the_draft_names_the_unit_that_contradicts_the_header(tmp_path: Path) -> None:
    pen, _ = feet_called_inches()
    path, draft = pen.save(tmp_path / "drawing.dxf"), tmp_path / "draft.toml"
    layers(path, write=draft)
    assert tomllib.loads(draft.read_text())["units_of_drawing"] == "ft"


def test_a_wall_drawn_at_half_the_size_gets_its_joints_where_they_belong(tmp_path: Path) -> None:
    """Its title names another scale, and its doors are half as high; a setting overrules that."""
    pen, sheet = two_scales()
    path, out = pen.save(tmp_path / "drawing.dxf"), tmp_path / "out.dxf"
    first, second = annotate(path, out).results.walls
    assert [j.x_in for j in second.joints] == pytest.approx([j.x_in for j in first.joints])
    lines = ezdxf.readfile(out).modelspace().query('*[layer=="A-ELEV-JNTC"]')
    drawn = sorted(round(point[0], 3) for line in lines for point in line.get_points("xy")[:1])
    stations = [j.x_in for j in first.joints]
    assert drawn == pytest.approx([*stations, *(700 + x / 2 for x in stations)])
    settings = f'[[walls]]\nhandle = "{second.handle}"\ntag = "W2"\nscale = 1\n'
    as_it_is = read_drawing(path, reading_options(parse_settings(settings))).elevation.walls[1]
    assert as_it_is.length_in == pytest.approx(sheet.walls[1].corners[1][0] / 2)


def test_where_no_wall_is(tmp_path: Path) -> None:
    elevation, _ = _read(tmp_path, '[[walls]]\ntag = "A1"\nat = [9000, 70]\n')
    assert len(elevation.walls) == 3
    assert [n.code for n in elevation.notices if n.code == "no-wall-there"]


@pytest.mark.parametrize("entry", ["exclude = true", "bond_origin = 8", "at = [1, 2]"])
def test_an_entry_that_names_no_wall_is_refused(entry: str) -> None:
    with pytest.raises(InputError):
        parse_settings(f"[[walls]]\n{entry}\n")
