"""The sample drawings: rebuilt equal, sound, and holding the scenario's walls and openings.

The tables below are typed from the scenario's table in docs/samples.md, not taken from the builder;
walls and openings are read back with GDAL, so that ezdxf does not vouch for what ezdxf wrote.
"""

from __future__ import annotations

import itertools
import tomllib
from collections import Counter
from pathlib import Path

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from ezdxf import bbox
from ezdxf.document import Drawing
from ezdxf.lldxf.tagwriter import TagCollector

from samples.build_samples import build_all

FOLDER = Path(__file__).resolve().parents[2] / "sample_drawings"
DATUM = 1200.0

# file -> wall tag -> left end (drawing x), bottom (drawing y), corners of the outline in feet.
WALLS: dict[str, dict[str, tuple[float, float, list[tuple[float, float]]]]] = {
    "warehouse-north.dxf": {"W1": (24000, DATUM, [(0, 0), (200, 0), (200, 20), (0, 20)])},
    "shopfront-south.dxf": {"W2": (48000, DATUM, [(0, 0), (120, 0), (120, 16), (0, 16)])},
    "stepped-east.dxf": {
        "W4": (72000, DATUM, [(0, 0), (34 + 2 / 3, 0), (34 + 2 / 3, 10 + 2 / 3), (0, 10 + 2 / 3)]),
        "W3": (72416, DATUM, [(0, 0), (80, 0), (80, 20), (32, 20), (32, 16), (0, 16)]),
    },
    "wainscot-west.dxf": {"W5": (96000, DATUM, [(0, 0), (128, 0), (128, 4 + 2 / 3), (0, 4 + 2 / 3)])},
    "sheet-courtyard.dxf": {
        "W6": (120000, DATUM, [(0, 0), (64, 0), (64, 13 + 1 / 3), (0, 13 + 1 / 3)]),
        "W7": (121584, DATUM, [(0, 0), (48, 0), (48, 9 + 1 / 3), (0, 9 + 1 / 3)]),
        "W8": (120000, 360, [(0, 0), (72, 0), (72, 6 + 2 / 3), (0, 6 + 2 / 3)]),
    },
}

# wall tag -> opening tag -> left jamb, sill, width, height in inches, from the wall's left end and bottom.
OPENINGS: dict[str, dict[str, tuple[float, float, float, float]]] = {
    "W1": {"L1": (768, 160, 48, 32), "L2": (1584, 160, 48, 32)},
    "W2": {
        "N1": (96, 32, 72, 56),
        "D1": (240, 0, 40, 88),
        "SF1": (384, 0, 168, 128),
        "N2": (648, 32, 96, 56),
        "D2": (816, 0, 80, 88),
        "N3": (1008, 40, 56, 48),
        "OH1": (1136, 0, 112, 120),
        "D3": (1312, 0, 40, 88),
    },
    "W3": {"D4": (224, 0, 40, 88), "OH2": (600, 0, 144, 168)},
    "W4": {"N4": (160, 32, 48, 56), "N5": (280, 32, 64, 56)},
    "W5": {"D5": (480, 0, 40, 56), "D6": (1104, 0, 48, 56)},
    "W6": {"D7": (112, 0, 40, 88), "N6": (320, 32, 96, 56)},
    "W7": {"N7": (264, 32, 48, 56)},
    "W8": {},
}

# Lengths of the elevations as dimensioned, inches.
OVERALL: dict[str, set[float]] = {
    "warehouse-north.dxf": {2400.0},
    "shopfront-south.dxf": {1440.0},
    "stepped-east.dxf": {1376.0},
    "wainscot-west.dxf": {1536.0},
    "sheet-courtyard.dxf": {768.0, 576.0, 864.0},
}

# Left, bottom, right, top of a stretch of paper left empty for notes and a schedule.
FREE: dict[str, tuple[float, float, float, float]] = {
    "warehouse-north.dxf": (23800, 0, 23800 + 600, 400),
    "shopfront-south.dxf": (47850, 100, 47850 + 560, 600),
    "stepped-east.dxf": (71700, 100, 71700 + 560, 600),
    "wainscot-west.dxf": (95900, 100, 95900 + 560, 600),
    "sheet-courtyard.dxf": (119800, -500, 119800 + 1200, -50),
}

FILES = sorted(WALLS)


def _gdal(name: str) -> list[tuple[str, str, shapely.Geometry]]:
    """Read a drawing with GDAL: layer, text and geometry of each feature."""
    meta, _, geometries, columns = pyogrio.raw.read(FOLDER / name)
    fields = dict(zip(meta["fields"], columns, strict=True))
    return [
        (layer, text or "", shapely.from_wkb(wkb))
        for layer, text, wkb in zip(fields["Layer"], fields["Text"], geometries, strict=True)
        if wkb is not None
    ]


def _rings(name: str, layer: str) -> list[shapely.Polygon]:
    lines = [g for at, _, g in _gdal(name) if at == layer]
    assert all(line.is_closed for line in lines)
    return [shapely.Polygon([point[:2] for point in line.coords]) for line in lines]


def _expected_wall(name: str, tag: str) -> shapely.Polygon:
    x0, y0, corners = WALLS[name][tag]
    return shapely.Polygon([(x0 + x * 12, y0 + y * 12) for x, y in corners])


def _expected_openings(name: str, tag: str) -> dict[str, shapely.Polygon]:
    x0, y0, _ = WALLS[name][tag]
    return {
        opening: shapely.box(x0 + x, y0 + sill, x0 + x + width, y0 + sill + height)
        for opening, (x, sill, width, height) in OPENINGS[tag].items()
    }


def _same_shapes(found: list[shapely.Polygon], wanted: list[shapely.Polygon]) -> bool:
    def key(polygon: shapely.Polygon) -> tuple[tuple[float, float], ...]:
        ring = shapely.normalize(polygon).exterior.coords
        return tuple((round(x, 6), round(y, 6)) for x, y in ring)

    return Counter(map(key, found)) == Counter(map(key, wanted))


def _entities(doc: Drawing) -> dict[str, list[tuple[int, object]]]:
    """Return every table record, block part, entity and object as its tags, by handle."""
    return {
        handle: [(tag.code, tag.value) for tag in TagCollector.dxftags(entity)]
        for handle, entity in doc.entitydb.items()
    }


@pytest.fixture(scope="module")
def rebuilt(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    paths = build_all(tmp_path_factory.mktemp("samples"))
    return {path.name: path for path in paths}


def test_the_folder_holds_the_sheets_and_the_settings(rebuilt: dict[str, Path]) -> None:
    assert sorted(rebuilt) == FILES
    # Results of a run on the samples may lie beside them.
    assert {*FILES, "perpend.toml"} <= {p.name for p in FOLDER.iterdir()}


@pytest.mark.parametrize("name", FILES)
def test_rebuilding_gives_the_committed_entities(name: str, rebuilt: dict[str, Path]) -> None:
    committed, fresh = (_entities(ezdxf.readfile(p)) for p in (FOLDER / name, rebuilt[name]))
    assert len(committed) > 200
    assert fresh.keys() == committed.keys()
    differing = {handle for handle, tags in committed.items() if tags != fresh[handle]}
    assert differing == set()


@pytest.mark.parametrize("name", FILES)
def test_audit_is_clean(name: str) -> None:
    auditor = ezdxf.readfile(FOLDER / name).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])


@pytest.mark.parametrize("name", FILES)
def test_header_says_r2010_inches_and_where_the_sheet_lies(name: str) -> None:
    doc = ezdxf.readfile(FOLDER / name)
    assert doc.dxfversion == "AC1024"
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"], doc.header["$LUNITS"]) == (1, 0, 4)
    low, high = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    drawn = bbox.extents(doc.modelspace(), fast=True)
    assert drawn.extmin.isclose(low, abs_tol=1e-6)
    assert drawn.extmax.isclose(high, abs_tol=1e-6)
    paper = ((high[0] - low[0]) / 96, (high[1] - low[1]) / 96)
    assert paper in {(36.0, 24.0), (24.0, 18.0)}


@pytest.mark.parametrize("name", FILES)
def test_gdal_finds_each_wall_outline_in_its_place(name: str) -> None:
    wanted = [_expected_wall(name, tag) for tag in WALLS[name]]
    assert _same_shapes(_rings(name, "A-ELEV-WALL"), wanted)


@pytest.mark.parametrize("name", FILES)
def test_gdal_finds_each_opening_in_its_place(name: str) -> None:
    wanted = [ring for tag in WALLS[name] for ring in _expected_openings(name, tag).values()]
    assert _same_shapes(_rings(name, "A-ELEV-OPNG"), wanted)


@pytest.mark.parametrize("name", FILES)
def test_each_wall_and_opening_holds_its_own_tag_and_no_other_text(name: str) -> None:
    texts = [
        (entity.dxf.text, shapely.Point(entity.dxf.insert.x, entity.dxf.insert.y))
        for entity in ezdxf.readfile(FOLDER / name).modelspace().query("TEXT")
    ]
    for tag in WALLS[name]:
        openings = _expected_openings(name, tag)
        for opening, ring in openings.items():
            assert [t for t, at in texts if ring.contains(at)] == [opening]
        solid = _expected_wall(name, tag).difference(shapely.union_all(list(openings.values())))
        assert [t for t, at in texts if solid.contains(at)] == [tag]


@pytest.mark.parametrize(("name", "tag"), [(name, tag) for name in FILES for tag in WALLS[name]])
def test_everything_stands_on_the_8_inch_module(name: str, tag: str) -> None:
    # Source: nominal units 8 x 8 x 16 in.; joints stand on multiples of half a unit (common practice).
    x0, y0, _ = WALLS[name][tag]
    outlines = [_expected_wall(name, tag), *_expected_openings(name, tag).values()]
    found = [*_rings(name, "A-ELEV-WALL"), *_rings(name, "A-ELEV-OPNG")]
    for outline in outlines:
        drawn = next(ring for ring in found if ring.equals(outline))
        offsets = np.asarray(drawn.exterior.coords) - (x0, y0)
        assert np.abs(offsets / 8 - np.round(offsets / 8)).max() < 1e-9


@pytest.mark.parametrize("name", FILES)
def test_neighbouring_openings_leave_a_pier_of_at_least_4_8(name: str) -> None:
    for tag in WALLS[name]:
        spans = sorted((x, x + width) for x, _, width, _ in OPENINGS[tag].values())
        for (_, right), (left, _) in itertools.pairwise(spans):
            assert left - right >= 56


@pytest.mark.parametrize("name", FILES)
def test_it_carries_what_an_office_draws(name: str) -> None:
    doc = ezdxf.readfile(FOLDER / name)
    msp = doc.modelspace()
    on_layer = Counter(entity.dxf.layer for entity in msp)
    for layer in ("A-ELEV-GRND", "A-ELEV-ROOF", "A-ANNO-DIMS", "A-ANNO-TTLB", "A-ANNO-SYMB"):
        assert on_layer[layer], layer
    assert all(doc.layers.has_entry(layer) for layer in on_layer)
    coursing = msp.query('HATCH[layer=="A-ELEV-PATT"]')
    assert len(coursing) == len(WALLS[name])
    texts = {entity.dxf.text for entity in msp.query("TEXT")}
    assert "GRADE" in texts
    assert any(text.startswith("T.O. W") for text in texts)
    assert OVERALL[name] <= {d.dxf.actual_measurement for d in msp.query("DIMENSION")}
    frame = next(i for i in msp.query("INSERT") if i.dxf.layer == "A-ANNO-TTLB")
    assert frame.get_attrib_text("SHEET_NO").startswith("A-20")


def test_the_wings_outline_is_an_old_style_polyline() -> None:
    msp = ezdxf.readfile(FOLDER / "stepped-east.dxf").modelspace()
    kinds = Counter(e.dxftype() for e in msp if e.dxf.layer == "A-ELEV-WALL")
    assert kinds == {"LWPOLYLINE": 1, "POLYLINE": 1}
    assert msp.query("POLYLINE").first.is_closed


def test_half_high_units_are_coursed_at_4_inches_and_named_in_the_titles() -> None:
    msp = ezdxf.readfile(FOLDER / "sheet-courtyard.dxf").modelspace()
    for hatch in msp.query('HATCH[layer=="A-ELEV-PATT"]'):
        level = next(line for line in hatch.pattern.lines if line.angle == 0.0)
        assert level.offset.y == pytest.approx(4.0)
    titled = [e for e in msp.query("TEXT") if "HALF-HIGH" in e.dxf.text]
    assert len(titled) == 3


@pytest.mark.parametrize("name", FILES)
def test_paper_is_left_free_below_the_walls_and_for_notes(name: str) -> None:
    low_x, low_y, high_x, high_y = FREE[name]
    assert high_x - low_x >= 40 * 12
    assert high_y - low_y >= 25 * 12
    free = [shapely.box(*FREE[name])]
    for tag in WALLS[name]:
        left, bottom, right, _ = _expected_wall(name, tag).bounds
        free.append(shapely.box(left, bottom - 8 * 12, right, bottom - 1))
    paper = ezdxf.readfile(FOLDER / name).header["$EXTMIN"]
    assert low_x > paper[0]
    assert low_y > paper[1]
    for layer, _, geometry in _gdal(name):
        if layer not in {"A-ANNO-TTLB", "Defpoints"}:
            assert not any(geometry.intersects(area) for area in free), (layer, geometry.wkt)


def test_the_settings_name_walls_and_openings_that_are_drawn() -> None:
    settings = tomllib.loads((FOLDER / "perpend.toml").read_text(encoding="utf-8"))
    walls = {entry["tag"] for entry in settings["walls"]}
    assert walls == set(OPENINGS)
    assert {e["tag"] for e in settings["walls"] if e.get("units") == "half-high"} == {"W6", "W7", "W8"}
    unreinforced = {e["tag"] for e in settings["openings"] if e["treatment"] == "unreinforced"}
    assert unreinforced == {"N1", "D1", "N2", "OH1", "D4", "N5", "D5", "D6", "D7", "N6"}
    assert unreinforced < {tag for openings in OPENINGS.values() for tag in openings}
    assert settings["defaults"]["joint_type"] == "formed-paper"


def test_the_shopfront_spans_the_widths_of_both_treatments() -> None:
    widths = {tag: width for tag, (_, _, width, _) in OPENINGS["W2"].items()}
    assert min(widths.values()) == 3 * 12 + 4
    assert max(widths.values()) == 14 * 12
    assert widths["N1"] == 6 * 12
