"""The two brick samples: rebuilt equal, sound, read as typed here, and laid out without a violation."""

from __future__ import annotations

import shutil
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from ezdxf.lldxf.tagwriter import TagCollector

import perpend
from perpend.checks import check_wall
from perpend.jobs.read_revision import read_afresh
from perpend.jobs.settings_to_options import reading_options
from perpend.layout import place_joints
from perpend.settings import book_of, load_settings, resolve_wall
from perpend.settings.settings_schema import Defaults
from samples.brick import build_all

FOLDER = Path(__file__).resolve().parents[2] / "sample_drawings"
LIBRARY, ROW = "brick-us/library-west.dxf", "brick-uk/row-rear.dxf"
WALLS = {
    LIBRARY: {"W1": (0, 0, 1248, 320)},
    ROW: {"R1": (0, 0, 28_800, 5_400), "G1": (36_000, 0, 54_000, 1_800)},
}
"""Outlines in the drawing's units: left, bottom, right, top."""
OPENINGS = {LIBRARY: 15, ROW: 16}
MODULE = {LIBRARY: 4.0, ROW: 112.5}
LIMITS_IN = {"W1": 240.0, "R1": 12_000 / 25.4, "G1": 5_400 / 25.4}
"""20 ft with several openings; clay 12 m; 3 times 1.8 m."""
BOTH = (LIBRARY, ROW)


def _tags(path: Path) -> dict[str, list[tuple[int, object]]]:
    entities = ezdxf.readfile(path).entitydb.items()
    return {handle: [(t.code, t.value) for t in TagCollector.dxftags(e)] for handle, e in entities}


@pytest.mark.parametrize("name", BOTH)
def test_rebuilding_gives_the_committed_entities_and_the_audit_is_clean(name: str, tmp_path: Path) -> None:
    build_all(tmp_path)
    assert _tags(tmp_path / name) == _tags(FOLDER / name)
    auditor = ezdxf.readfile(FOLDER / name).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])


@pytest.mark.parametrize("name", BOTH)
def test_gdal_finds_the_walls_in_their_places_and_every_opening_on_the_module(name: str) -> None:
    meta, _, geometries, columns = pyogrio.raw.read(FOLDER / name)
    layers = dict(zip(meta["fields"], columns, strict=True))["Layer"]
    rings = [(layer, shapely.from_wkb(wkb)) for layer, wkb in zip(layers, geometries, strict=True) if wkb]
    walls = {tuple(g.bounds) for layer, g in rings if layer == "A-ELEV-WALL"}
    assert walls == {tuple(map(float, box)) for box in WALLS[name].values()}
    holes = [g.bounds for layer, g in rings if layer == "A-ELEV-OPNG"]
    assert len(holes) == OPENINGS[name]
    assert all(bounds[i] % MODULE[name] == 0 for bounds in holes for i in (0, 2))


@pytest.mark.parametrize("name", BOTH)
def test_each_wall_is_laid_out_by_its_book_without_a_violation(name: str) -> None:
    settings = load_settings(None, FOLDER / name)
    book = book_of(settings)
    elevation = read_afresh(FOLDER / name, reading_options(settings)).elevation
    assert {wall.part_of or wall.tag for wall in elevation.walls} == set(WALLS[name])
    for wall in elevation.walls:
        basis = resolve_wall(settings, book, wall, metric=elevation.metric)
        assert basis.limits(0.0, wall.length_in).max_spacing_in == pytest.approx(
            LIMITS_IN[wall.part_of or wall.tag]
        )
        placed = place_joints(basis)
        assert placed.cost.violations == 0
        assert check_wall(basis, placed.joints).required == ()


def test_the_library_measures_round_its_right_corner() -> None:
    """20 ft less the 6 ft to the first joint round it: 14 ft; the left corner has 10 ft."""
    settings = load_settings(None, FOLDER / LIBRARY)
    walls = read_afresh(FOLDER / LIBRARY, reading_options(settings)).elevation.walls
    assert [wall.tag for wall in walls] == ["W1-A", "W1-B"], "below and above the shelf angle"
    for wall in walls:
        placed = place_joints(resolve_wall(settings, book_of(settings), wall))
        first, last = placed.panels[0], placed.panels[-1]
        assert (first.corner_limit_in, last.corner_limit_in) == (120.0, 168.0)
        assert first.length_in <= 120.0
        assert last.length_in <= 168.0


def test_the_horizontal_joint_of_the_library_belongs_to_the_storey_below_its_shelf_angle() -> None:
    """12'-8" by the settings and by the drawing: one joint, at the top of W1-A; W1-B stands on the angle."""
    settings = load_settings(None, FOLDER / LIBRARY)
    walls = read_afresh(FOLDER / LIBRARY, reading_options(settings)).elevation.walls
    assert [(wall.base_in, wall.whole_height_in) for wall in walls] == [(0.0, 320.0), (152.0, 320.0)]
    for named in (settings, settings.model_copy(update={"defaults": _without_levels(settings.defaults)})):
        found = [resolve_wall(named, book_of(named), wall) for wall in walls]
        levels = [f.sizes.horizontal.levels_in for f in found if f.sizes.horizontal]
        assert levels == [(152.0,), ()]
        noted = [[note for note in f.notes if "horizontal joint" in note] for f in found]
        assert [len(notes) for notes in noted] == [1, 0]
        assert "0'-0 1/4\" below the shelf angle at 12'-8\"" in noted[0][0]


def _without_levels(defaults: Defaults) -> Defaults:
    return defaults.model_copy(update={"shelf_angles": ()})


@pytest.mark.parametrize("name", BOTH)
def test_the_annotated_drawing_is_sound(name: str, tmp_path: Path) -> None:
    shutil.copytree((FOLDER / name).parent, tmp_path, dirs_exist_ok=True)
    output = tmp_path / "out.dxf"
    perpend.annotate(tmp_path / Path(name).name, output=output)
    auditor = ezdxf.readfile(output).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])
