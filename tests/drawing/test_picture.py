"""Pictures: drawn without any font, the same each time, refused with a sentence."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import ezdxf
import pymupdf
import pytest
from ezdxf.fonts import fonts

from drawing import plans as made
from perpend.drawing import DraftingStyle, draw_plans
from perpend.drawing.picture import render_picture
from perpend.errors import InputError


@pytest.fixture
def plate() -> ezdxf.document.Drawing:
    doc = ezdxf.new("R2010")
    draw_plans(doc, [made.shopfront()], (), DraftingStyle(cautions=made.CAUTION))
    return doc


@pytest.fixture
def no_fonts(monkeypatch: pytest.MonkeyPatch) -> None:
    """A machine on which ezdxf finds not one font file."""
    monkeypatch.setattr(fonts, "font_manager", fonts.FontManager())


@pytest.mark.usefixtures("no_fonts")
def test_letters_are_drawn_without_fonts(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    """With the texts taken out, the picture holds less than half as much: so the letters were there."""
    render_picture(plate, tmp_path / "with.svg")
    for layout in (plate.modelspace(), *(block for block in plate.blocks if block.name.startswith("PERP"))):
        for text in layout.query("TEXT MTEXT"):
            layout.delete_entity(text)
    render_picture(plate, tmp_path / "without.svg")
    with_letters = (tmp_path / "with.svg").stat().st_size
    without = (tmp_path / "without.svg").stat().st_size
    assert with_letters > 2 * without


def test_the_same_drawing_gives_the_same_picture(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    render_picture(plate, tmp_path / "a.svg")
    render_picture(plate, tmp_path / "b.svg")
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_svg_is_on_white_and_joints_are_red(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    render_picture(plate, tmp_path / "a.svg")
    text = (tmp_path / "a.svg").read_text()
    assert re.search(r'<rect[^>]*fill="#ffffff"', text)
    assert "#ff0000" in text


def test_png_shows_ink_on_white(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    render_picture(plate, tmp_path / "a.png")
    pixels = pymupdf.Pixmap(str(tmp_path / "a.png"))
    assert pixels.width > 1000
    assert pixels.pixel(1, 1) == (255, 255, 255)
    red = sum(
        pixels.pixel(x, y)[1] < 60 < 200 < pixels.pixel(x, y)[0]
        for x in range(0, pixels.width, 2)
        for y in range(0, pixels.height, 9)
    )
    assert red > 20


def test_what_stands_on_a_layer_without_a_record_is_black(tmp_path: Path) -> None:
    """CAD programs show it on and in colour 7, which is black on white."""
    doc = ezdxf.new("R2010")
    doc.modelspace().add_line((0, 0), (90, 0), dxfattribs={"layer": "A-WALL"})
    assert "A-WALL" not in doc.layers
    render_picture(doc, tmp_path / "a.svg")
    assert set(re.findall(r"stroke: (#[0-9a-f]{6})", (tmp_path / "a.svg").read_text())) == {"#000000"}


@pytest.mark.parametrize(("height", "dots"), [(5_000.0, 9.9), (200_000.0, 0.54)])
def test_a_png_is_large_enough_for_its_letters_within_a_limit(
    plate: ezdxf.document.Drawing, tmp_path: Path, height: float, dots: float
) -> None:
    """Letters of 9 in. on a sheet as tall as that: ten dots less the margins, or 12,000 dots in a column."""
    plate.modelspace().add_line((0, -height / 2), (0, height / 2))
    render_picture(plate, tmp_path / "a.png")
    pixels = pymupdf.Pixmap(str(tmp_path / "a.png"))
    assert 9.0 * pixels.height / height == pytest.approx(dots, rel=0.12)
    assert max(pixels.width, pixels.height) <= 12_001


def test_other_kinds_are_refused(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"name it \.svg or \.png"):
        render_picture(plate, tmp_path / "a.bmp")
    assert list(tmp_path.iterdir()) == []


def test_png_without_its_package_is_refused_in_a_sentence(
    plate: ezdxf.document.Drawing, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf.addons.drawing.pymupdf", None)
    with pytest.raises(InputError, match="pymupdf"):
        render_picture(plate, tmp_path / "a.png")
    assert list(tmp_path.iterdir()) == []


def test_an_empty_drawing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing"):
        render_picture(ezdxf.new(), tmp_path / "a.svg")


def test_a_place_that_cannot_be_written_is_said(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="can't be written"):
        render_picture(plate, tmp_path / "nowhere" / "a.svg")


def test_a_picture_has_the_permissions_of_any_new_file(plate: ezdxf.document.Drawing, tmp_path: Path) -> None:
    render_picture(plate, tmp_path / "a.svg")
    (tmp_path / "plain").touch()
    assert (tmp_path / "a.svg").stat().st_mode == (tmp_path / "plain").stat().st_mode


@pytest.mark.parametrize("inner", ["DOT", "EMPTY", "MISSING"])
def test_an_endless_array_in_a_dimension_is_refused(inner: str, tmp_path: Path) -> None:
    """A damaged arrowhead of a dimension may be an array of a thousand million cells."""
    doc = ezdxf.new()
    doc.blocks.new("DOT").add_point((0, 0))
    doc.blocks.new("EMPTY")
    arrows = doc.blocks.new("*D1")
    arrows.add_blockref(inner, (0, 0), dxfattribs={"row_count": 32767, "column_count": 32767})
    dimension = doc.modelspace().add_linear_dim((0, 9), (0, 0), (9, 0)).dimension
    dimension.dxf.geometry = "*D1"
    doc.modelspace().add_line((0, 0), (9, 0))
    for kind in ("svg", "png"):
        with pytest.raises(InputError, match=r"1,073,\d{3},\d{3} entities"):
            render_picture(doc, tmp_path / f"p.{kind}")


def test_a_text_without_a_place_is_left_out_of_a_picture(tmp_path: Path) -> None:
    doc = ezdxf.new()
    doc.modelspace().add_line((0, 0), (9, 5))
    render_picture(doc, tmp_path / "without.svg")
    text = doc.modelspace().add_text("W1")
    text.dxf.halign = 2  # and no point to align it at
    render_picture(doc, tmp_path / "p.svg")
    assert (tmp_path / "p.svg").read_bytes() == (tmp_path / "without.svg").read_bytes()


def test_a_small_file_that_shows_a_crowd_is_refused_and_a_damaged_scale_is_not(tmp_path: Path) -> None:
    doc = ezdxf.new()
    line = doc.blocks.new("LINE")
    line.add_line((0, 0), (1, 1))
    array = {"row_count": 100, "column_count": 100, "row_spacing": 2, "column_spacing": 2}
    doc.modelspace().add_blockref("LINE", (0, 0), dxfattribs=array)
    doc.modelspace().add_line((0, 0), (9, 9)).dxf.__dict__["ltscale"] = "no number"
    render_picture(doc, tmp_path / "p.svg")
    for _ in range(5):
        doc.modelspace().add_blockref("LINE", (0, 0), dxfattribs=array)
    with pytest.raises(InputError, match="more than the 2"):
        render_picture(doc, tmp_path / "q.svg")
