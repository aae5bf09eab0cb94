"""A record that the drawing has is used when it is equal, left alone when it is not."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.insert.free_names import (
    ensure_appid,
    ensure_dimstyle,
    ensure_layer,
    ensure_linetype,
    ensure_style,
)
from perpend.dxf.insert.take_out import strip_ours
from writing.material import as_text, draw_plate, make_document, ours_in, write_file


@pytest.fixture
def doc() -> Drawing:
    return ezdxf.new("R2010")


def test_equal_records_are_used(doc: Drawing) -> None:
    for _ in range(2):
        assert ensure_linetype(doc, "DASH", pattern=[2.0, -1.0]) == "DASH"
        assert ensure_layer(doc, "NOTES", color=3, linetype="DASH", lineweight=25) == "NOTES"
        assert ensure_layer(doc, "notes", color=3, linetype="dash", lineweight=25) == "notes"
        assert ensure_style(doc, "HAND", font="simplex.shx", width=0.8) == "HAND"
        assert ensure_dimstyle(doc, "DIM", variables={"dimtxt": 9.0, "dimtxsty": "HAND"}) == "DIM"
        assert ensure_appid(doc) == "PERPEND"
    assert sum(layer.dxf.name.lower() == "notes" for layer in doc.layers) == 1


@pytest.mark.parametrize(
    "other",
    [
        {"color": 4},
        {"linetype": "DASH"},
        {"lineweight": 50},
        {"flags": 1},
        {"flags": 4},
        {"plot": 0},
        {"color": -3},
        {"true_color": 255},
    ],
    ids=["color", "linetype", "weight", "frozen", "locked", "unplotted", "off", "true-color"],
)
def test_a_layer_that_differs_is_left_alone(doc: Drawing, other: dict[str, object]) -> None:
    ensure_linetype(doc, "DASH", pattern=[2.0, -1.0])
    his = doc.layers.new("NOTES", dxfattribs={"color": 3, "lineweight": 25, **other})
    look = {key: his.dxf.get(key) for key in ("color", "linetype", "lineweight", "flags", "plot")}
    assert ensure_layer(doc, "NOTES", color=3, lineweight=25) == "NOTES-2"
    assert ensure_layer(doc, "NOTES", color=3, lineweight=25) == "NOTES-2"
    assert ensure_layer(doc, "NOTES", color=5, lineweight=25) == "NOTES-3"
    assert look == {key: his.dxf.get(key) for key in look}


def test_other_records_that_differ(doc: Drawing) -> None:
    doc.linetypes.add("DASH", [3.0, 2.0, -1.0])
    doc.linetypes.add("GAS", 'A,.5,-.2,["GAS",STANDARD,S=.1,U=0.0,X=-0.1,Y=-.05],-.25')
    doc.styles.add("HAND", font="arial.ttf")
    doc.dimstyles.add("DIM", dxfattribs={"dimtxt": 2.5})
    assert ensure_linetype(doc, "DASH", pattern=[2.0, -1.5]) == "DASH-2"
    assert ensure_linetype(doc, "GAS", pattern=[0.5, -0.2, -0.25]) == "GAS-2"
    assert ensure_style(doc, "HAND", font="simplex.shx") == "HAND-2"
    assert ensure_dimstyle(doc, "DIM", variables={"dimtxt": 9.0}) == "DIM-2"


def test_clash_in_a_written_drawing(tmp_path: Path) -> None:
    """The drafter's layer and styles of our names stay as they are; ours stand beside them."""
    original = make_document()
    original.layers.add("A-ELEV-JNTC", color=4)
    original.styles.add("PERPEND", font="arial.ttf")
    data = as_text(original)
    for name in ("first.dxf", "second.dxf"):
        write_drawing(write_file(tmp_path, data), tmp_path / name, draw_plate)
        output = (tmp_path / name).read_bytes()
        doc = ezdxf.readfile(tmp_path / name)
        assert doc.layers.get("A-ELEV-JNTC").dxf.color == 4
        assert doc.layers.get("A-ELEV-JNTC-2").dxf.color == 1
        assert doc.styles.get("PERPEND").dxf.font == "arial.ttf"
        assert doc.styles.get("PERPEND-2").dxf.font == "simplex.shx"
        assert {e.dxf.layer for e in doc.modelspace() if e.has_xdata("PERPEND")} == {"A-ELEV-JNTC-2"}
        assert sum(ours_in(doc).values()) == 12
        assert strip_ours(output).data == as_text_of(data)
        data = output


def as_text_of(data: bytes) -> bytes:
    """Return a drawing without ours."""
    return strip_ours(data).data


def test_equal_layer_of_the_drafter_is_used_and_stays(tmp_path: Path) -> None:
    original = make_document()
    original.linetypes.add("PERPEND-JOINT", [20.0, 12.0, -3.0, 2.0, -3.0], description="his words")
    original.layers.add("A-ELEV-JNTC", color=1, linetype="PERPEND-JOINT", lineweight=50)
    data = as_text(original)
    report, _ = write_drawing(write_file(tmp_path, data), tmp_path / "out.dxf", draw_plate)
    doc = ezdxf.readfile(tmp_path / "out.dxf")
    assert "A-ELEV-JNTC-2" not in doc.layers
    assert not doc.layers.get("A-ELEV-JNTC").has_xdata("PERPEND")
    assert report.method == "inserted"
    assert strip_ours((tmp_path / "out.dxf").read_bytes()).data == data
