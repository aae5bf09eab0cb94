"""Drawings from other hands: the readers' zoo, the sample elevations, a public library of symbols.

For each: what goes by insertion is the original to the byte once ours is out, every original entity is there,
and an audit finds as much as in the original.
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from perpend.dxf.insert.drawing_writer import WriteReport, write_drawing
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.load import load_bytes, load_drawing
from programs import need
from reading.zoo import WAYS
from writing.material import OURS, draw_plate, faults, inventory, ours_in

SAMPLES = sorted((Path(__file__).parents[2] / "sample_drawings").glob("*.dxf"))
LIBRARY = Path("/usr/share/librecad")
SAVED_WAYS = {"R12", "binary R12", "binary R2018"}


def checked(source: Path, target: Path) -> WriteReport:
    """Write the plate into a drawing, and hold the result against a full reading of both."""
    data = source.read_bytes()
    report, _ = write_drawing(source, target, draw_plate)
    output = target.read_bytes()
    before, after = load_drawing(source).doc, load_drawing(target).doc
    handles = report.method == "inserted"
    assert inventory(after, handles=handles) == inventory(before, handles=handles)
    assert ours_in(after).total() == OURS.total() == report.added_entities
    assert faults(after) == faults(before)
    if report.method == "inserted":
        stripped = strip_ours(output)
        assert (stripped.data == data, stripped.exact) == (True, True)
    return report


@pytest.mark.parametrize("way", WAYS)
def test_zoo(way: str, tmp_path: Path) -> None:
    report = checked(WAYS[way](tmp_path / "way.dxf"), tmp_path / "out.dxf")
    assert report.method == ("saved" if way in SAVED_WAYS else "inserted")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_samples(path: Path, tmp_path: Path) -> None:
    assert checked(path, tmp_path / "out.dxf").method == "inserted"


def test_library_of_symbols(tmp_path: Path) -> None:
    """Every fortieth of some 1,300 drawings that come with LibreCAD, R2000 and R2007; some lack records."""
    need("librecad", "librecad")
    paths = sorted(LIBRARY.rglob("*.dxf"))[::40]
    methods = [checked(path, tmp_path / "out.dxf").method for path in paths]
    assert methods.count("inserted") > 25


def test_a_drawing_of_ezdxf_that_was_never_saved_before(tmp_path: Path) -> None:
    """An empty drawing takes a plate too."""
    source = tmp_path / "empty.dxf"
    ezdxf.new("R2013").saveas(source)
    checked(source, tmp_path / "out.dxf")
    after = load_bytes(source, (tmp_path / "out.dxf").read_bytes()).doc
    assert {entity.dxf.layer for entity in after.modelspace()} == {"A-ELEV-JNTC"}
