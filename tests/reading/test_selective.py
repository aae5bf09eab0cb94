"""What is left out of the loading makes no difference: the full reading is the reference, to the byte.

Every drawing of the zoo and every sample gets things of every kind beside, over and across its walls and
far from them, some of them on a hidden layer, and is annotated with them left out and with everything loaded.
"""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.layouts.blocklayout import BlockLayout

from cli.drawings import add_box, new_drawing
from perpend import annotate, check, clean
from perpend.dxf import load
from perpend.dxf.load import SMALL_BYTES, LoadedDrawing, load_bytes
from perpend.dxf.partial.block_records import Interest
from perpend.dxf.partial.partial_load import without_plain_records
from perpend.dxf.partial.skipped_records import LeftOut, left_out_of
from perpend.errors import InputError
from perpend.jobs import read_revision as job
from perpend.reading import ReadingOptions, load_drawing
from perpend.reading.gather.load_by_role import load_selected
from perpend.settings import Settings
from reading.clutter import ROUNDS, add_clutter
from reading.zoo import WAYS

pytestmark = pytest.mark.usefixtures("small_ones_too")

SAMPLES = sorted((Path(__file__).parents[2] / "sample_drawings").glob("*.dxf"))
NEVER = {"R12", "binary R12", "binary R2018"}
OPTIONS = ReadingOptions()
INTEREST = Interest(lambda layer: bool(OPTIONS.roles_of(layer)), OPTIONS.is_opening_block)
NO_INTEREST = Interest(lambda _: False, lambda _: False)


def outputs(drawing: Path, folder: Path) -> tuple[bytes, str]:
    target, results = folder / "out.dxf", folder / "out.json"
    target.unlink(missing_ok=True)
    annotate(drawing, output=target, results=results)
    return target.read_bytes(), results.read_text(encoding="utf-8")


def load_whole(path: Path, _: ReadingOptions, data: bytes) -> LoadedDrawing:
    return load_bytes(path, data)


def assert_equal_to_full_reading(drawing: Path, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    selected = outputs(drawing, folder)
    monkeypatch.setattr(job, "load_selected", load_whole)
    whole = outputs(drawing, folder)
    assert selected[1] == whole[1]
    assert selected[0] == whole[0]


@pytest.mark.parametrize("way", WAYS)
def test_zoo(way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = WAYS[way](tmp_path / "way.dxf")
    if way in NEVER:
        assert not load_selected(drawing, OPTIONS).selected
        return
    doc = ezdxf.readfile(drawing)
    add_clutter(doc)
    doc.saveas(drawing)
    loaded = load_selected(drawing, OPTIONS)
    assert loaded.selected
    assert loaded.data == drawing.read_bytes()
    assert_something_of_each_is_left_out(left_out_of(loaded.doc))
    assert_equal_to_full_reading(drawing, tmp_path, monkeypatch)


def assert_something_of_each_is_left_out(left_out: LeftOut) -> None:
    """Otherwise the equality would show nothing; of dimensions every one, of the others what is plain."""
    shown = list(left_out.shown.values())
    assert sum(len(s.lines) for s in shown) > 100
    assert all(
        any(getattr(s, kind) for s in shown)
        for kind in ("arcs", "bulged", "ellipses", "boxes", "texts", "attributes", "paragraphs", "references")
    )
    assert len(left_out.blocks) == 4 * ROUNDS
    dimensions = list(left_out.dimensions.values())
    assert sum(len(s.paragraphs) for s in dimensions) == 4 * ROUNDS
    assert sum(len(s.references) for s in dimensions) >= 4 * ROUNDS


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_samples(sample: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    drawing = tmp_path / sample.name
    drawing.write_bytes(sample.read_bytes())
    (tmp_path / "perpend.toml").write_bytes((sample.parent / "perpend.toml").read_bytes())
    doc = ezdxf.readfile(drawing)
    add_clutter(doc, seed=len(sample.name))
    doc.saveas(drawing)
    drawing.write_bytes(drawing.read_bytes().replace(b"\n", b"\r\n"))
    assert load_selected(drawing, OPTIONS).selected
    assert_equal_to_full_reading(drawing, tmp_path, monkeypatch)


def shift_a_joint(doc: Drawing) -> None:
    """Move a joint by hand, and copy another one."""
    joints = [e for e in doc.modelspace().query("LINE LWPOLYLINE") if e.has_xdata("PERPEND")]
    ours = [e for e in joints if "kind=joint" in {str(tag.value) for tag in e.get_xdata("PERPEND")}]
    assert ours
    ours[0].translate(3, 0, 0)
    doc.modelspace().add_entity(ours[-1].copy())


@pytest.mark.parametrize("way", ["lines", "one block", "turned 30", "R2000", "R2018"])
@pytest.mark.parametrize("is_edited", [False, True], ids=["as written", "edited and saved"])
def test_what_we_drew_in_before(
    way: str, is_edited: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Checked, annotated again and cleaned, with what does not matter left out and with everything loaded."""
    drawing, plate = WAYS[way](tmp_path / "way.dxf"), tmp_path / "plate.dxf"
    doc = ezdxf.readfile(drawing)
    add_clutter(doc)
    doc.saveas(drawing)
    annotate(drawing, output=plate)
    if is_edited:
        doc = ezdxf.readfile(plate)
        shift_a_joint(doc)
        doc.saveas(plate)
    assert load_selected(plate, OPTIONS).selected

    def everything() -> list[bytes]:
        made = [tmp_path / name for name in ("c.dxf", "c.json", "cc.dxf", "a.dxf", "a.json", "ca.dxf")]
        check(plate, output=made[0], results=made[1], overwrite=True)
        check(made[0], output=made[2], overwrite=True)
        annotate(plate, output=made[3], results=made[4], overwrite=True)
        annotate(made[0], output=made[5], overwrite=True)
        return [path.read_bytes() for path in made]

    selected = everything()
    monkeypatch.setattr(job, "load_selected", load_whole)
    assert selected == everything()
    clean(tmp_path / "ca.dxf", tmp_path / "clean.dxf")
    cleaned = (tmp_path / "clean.dxf").read_bytes()
    assert cleaned == drawing.read_bytes() if not is_edited else b"PERPEND" not in cleaned


def changed(record: Callable[[Drawing], object]) -> Callable[[Path], None]:
    """Return what writes a drawing with one record that must be loaded, beside some that need not be."""

    def write(path: Path) -> None:
        doc = new_drawing()
        add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
        doc.layers.add("A-DETL")
        doc.modelspace().add_line((0, 200), (9, 220), dxfattribs={"layer": "A-DETL"})
        record(doc)
        doc.saveas(path)

    return write


def _with_embedded_object(doc: Drawing) -> None:
    """A paragraph in columns, as programs of 2018 write it."""
    columns = doc.modelspace().add_mtext_static_columns(["ONE", "TWO"], 9, 2, 20)
    assert columns.has_columns


def _told_of_columns(doc: Drawing) -> None:
    """A paragraph that says it has one column, as programs write it beside many that do not."""
    doc.appids.add("ACAD")
    paragraph = doc.modelspace().add_mtext("NOTE")
    tags = [(1000, "ACAD_MTEXT_COLUMN_INFO_BEGIN"), (1070, 75), (1070, 0)]
    paragraph.set_xdata("ACAD", [*tags, (1000, "ACAD_MTEXT_COLUMN_INFO_END")])


def _with_insertion(doc: Drawing) -> None:
    dimension = doc.modelspace().add_linear_dim((0, 330), (0, 300), (90, 300)).render().dimension
    dimension.dxf.insert = (5, 5)


def _with_data(doc: Drawing, *applications: str) -> None:
    line = doc.modelspace().add_line((0, 300), (9, 300))
    for name in applications:
        doc.appids.add(name)
        line.set_xdata(name, [(1000, "kind=other")])


def _shared_block(doc: Drawing) -> None:
    dimension = doc.modelspace().add_linear_dim((0, 330), (0, 300), (90, 300)).render().dimension
    doc.modelspace().add_blockref(dimension.dxf.geometry, (0, 0))


def _marked(doc: Drawing, name: str, layer: str = "0", text: str = "D1") -> None:
    doc.blocks.new(name).add_circle((0, 0), 9)
    reference = doc.modelspace().add_blockref(name, (0, 300))
    reference.add_attrib("NO", text, (0, 300), dxfattribs={"layer": layer})


def _reference(**block: Callable[[BlockLayout], object]) -> Callable[[Drawing], object]:
    def write(doc: Drawing) -> None:
        for name, draw in block.items():
            draw(doc.blocks.new(name))
        doc.modelspace().add_blockref(next(iter(block)), (0, 300))

    return write


KEPT: dict[str, Callable[[Drawing], object]] = {
    "mirrored": lambda d: d.modelspace().add_arc((0, 300), 9, 0, 90, dxfattribs={"extrusion": (0, 0, -1)}),
    "tilted": lambda d: d.modelspace().add_lwpolyline([(0, 3), (9, 3)], dxfattribs={"extrusion": (0, 1, 1)}),
    "invisible": lambda d: d.modelspace().add_line((0, 300), (9, 300), dxfattribs={"invisible": 1}),
    "columns": _with_embedded_object,
    "told of columns": _told_of_columns,
    "polyline in space": lambda d: d.modelspace().add_polyline3d([(0, 300, 1), (9, 300, 2)]),
    "mesh": lambda d: d.modelspace().add_polymesh((3, 3)),
    "attribute of a door": lambda d: _marked(d, "DOOR"),
    "attribute on a wall layer": lambda d: _marked(d, "B", layer="A-ELEV-WALL"),
    "attribute beyond ASCII": lambda d: _marked(d, "B", text="Tür"),
    "text beyond ASCII": lambda d: d.modelspace().add_text("Möbel"),
    "escaped text": lambda d: d.modelspace().add_text("M\\U+00F6bel"),
    "text on a wall layer": lambda d: d.modelspace().add_text("W", dxfattribs={"layer": "A-ELEV-WALL"}),
    "moved dimension": _with_insertion,
    "shared block of a dimension": _shared_block,
    "block with text": _reference(B=lambda b: b.add_text("W1")),
    "text below": _reference(B=lambda b: b.add_blockref("C", (1, 1)), C=lambda b: b.add_text("W1")),
    "block with a wall": _reference(B=lambda b: b.add_point((0, 0), dxfattribs={"layer": "A-ELEV-WALL"})),
    "door": _reference(DOOR=lambda b: b.add_line((0, 0), (1, 1))),
    "block that holds itself": _reference(B=lambda b: b.add_blockref("B", (1, 1))),
    "no such block": lambda d: d.modelspace().add_blockref("NOWHERE", (0, 300)),
    "anonymous block": lambda d: d.modelspace().add_blockref(d.blocks.new_anonymous_block().name, (0, 300)),
    "cells": lambda d: d.modelspace().add_blockref("B", (0, 3), dxfattribs={"row_count": 2}),
    "paperspace": lambda d: d.layout("Layout1").add_line((0, 300), (9, 300)),
    "layer beyond ASCII": lambda d: d.modelspace().add_line((0, 3), (9, 3), dxfattribs={"layer": "Möbel"}),
    "wall layer": lambda d: d.modelspace().add_line((0, 0), (9, 0), dxfattribs={"layer": "A-ELEV-WALL"}),
    "block": lambda d: d.blocks.new("B").add_line((0, 0), (9, 9)),
    "ours": lambda d: _with_data(d, "PERPEND", "PERPEND-CHECK"),
    "ours among others'": lambda d: _with_data(d, "OTHER", "PERPEND-CHECK"),
}  # fmt: skip


@pytest.mark.parametrize("kind", KEPT)
def test_whatever_has_more_to_say_is_loaded(kind: str, tmp_path: Path) -> None:
    changed(KEPT[kind])(tmp_path / "d.dxf")
    loaded = load_selected(tmp_path / "d.dxf", OPTIONS)
    assert loaded.selected
    whole = {e.dxf.handle: e.dxftype() for e in load_drawing(tmp_path / "d.dxf").doc.entitydb.values()}
    here = {e.dxf.handle for e in loaded.doc.entitydb.values()}
    missing = [kind for handle, kind in whole.items() if handle not in here]
    assert missing == ["LINE"], "the one plain line, and nothing else"


def _twin_handle(data: bytes) -> bytes:
    handle = re.findall(rb"LINE\n  5\n([0-9A-F]+)\n", data)[-1]
    record = data[data.rindex(b"  0\nLINE\n") : data.rindex(b"  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")]
    assert handle in record
    at = data.rindex(b"  0\nLINE\n")
    return data[:at] + record + data[at:]


_OWNER = rb"(LINE\n  5\n[0-9A-F]+\n330\n)[0-9A-F]+(\n100\nAcDbEntity\n  8\nA-D)"

DOUBTFUL: dict[str, Callable[[bytes], bytes]] = {
    "one handle twice": _twin_handle,
    "low handle seed": lambda d: re.sub(rb"(HANDSEED\n  5\n)[0-9A-F]+", rb"\g<1>2F", d),
    "no handle seed": lambda d: re.sub(rb"  9\n\$HANDSEED\n  5\n[0-9A-F]+\n", b"", d),
    "foreign owner": lambda d: re.sub(_OWNER, rb"\g<1>FFFF\2", d),
    "lone carriage return": lambda d: d.replace(b"A-DETL\n", b"A-DETL\r\n", 1),
    "two sections": lambda d: d.replace(b"  0\nEOF", b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF"),
    "old release": lambda d: d.replace(b"AC1024", b"AC1009"),
}  # fmt: skip


@pytest.mark.parametrize("doubt", DOUBTFUL)
def test_where_there_is_doubt_everything_is_loaded(doubt: str, tmp_path: Path) -> None:
    path = tmp_path / "d.dxf"
    changed(lambda doc: None)(path)
    assert load_selected(path, OPTIONS).selected
    before = path.read_bytes()
    path.write_bytes(DOUBTFUL[doubt](before))
    assert path.read_bytes() != before
    try:
        loaded = load_selected(path, OPTIONS)
    except InputError as error:
        with pytest.raises(InputError, match=re.escape(str(error))):
            load_drawing(path)
        return
    assert not loaded.selected
    assert not left_out_of(loaded.doc).handles
    assert len(loaded.doc.modelspace()) == len(load_drawing(path).doc.modelspace())


def test_a_refusal_is_that_of_the_full_reading(tmp_path: Path) -> None:
    path = tmp_path / "d.dxf"
    changed(lambda doc: None)(path)
    path.write_bytes(path.read_bytes().replace(b"A-ELEV-WALL", b"A-ELEV-WALR"))
    with pytest.raises(InputError) as selected:
        job.read_revision(path, OPTIONS, Settings())
    with pytest.raises(InputError) as whole:
        job.read_revision(path, OPTIONS, Settings(), whole=True)
    assert str(selected.value) == str(whole.value)
    assert "A-DETL" in str(whole.value)


def test_numbers_are_those_of_the_text() -> None:
    doc = new_drawing()
    msp = doc.modelspace()
    msp.add_line((1.5, -2), (3e-7, 4))
    msp.add_lwpolyline([(0, 0), (8, 0), (8, 6)], close=True)
    msp.add_lwpolyline([(1, 1), (2, 2)], close=True)
    msp.add_arc((5, 6), 7, 30, 45)
    msp.add_circle((8, 9), 10)
    text = io.StringIO()
    doc.write(text)
    selected = without_plain_records(text.getvalue().encode(), NO_INTEREST)
    assert selected is not None
    shown = selected[1].shown["0"]
    flat = list(shown.lines)
    assert flat[:4] == [1.5, -2.0, 3e-7, 4.0]
    assert flat[4:16] == [0, 0, 8, 0, 8, 0, 8, 6, 8, 6, 0, 0]
    assert flat[16:] == [1, 1, 2, 2], "two corners make one piece, closed or not"
    assert shown.arcs[:9].tolist() == [5, 6, 7, 30, 45, 8, 9, 10, 0]
    assert shown.circles() == [(8, 9, 10)]


OFFICE_HATCH = """
  0 HATCH   5 FE00 330 {owner} 100 AcDbEntity   8 A-DETL 100 AcDbHatch
 10 0.0  20 0.0  30 0.0 210 0.0 220 0.0 230 1.0   2 ANGLE  70 0  71 1  91 1
 92 17  93 2  72 1  10 5.0  20 6.0  11 7.0  21 9.0
 72 2  10 1.0  20 2.0  40 3.0  50 0.0  51 90.0  73 1  97 1 330 FE01
 75 1  76 1  52 0.0  41 1.0  77 0  78 1  53 0.0  43 0.0  44 0.0  45 0.0  46 6.9  79 2  49 5.0  49 -1.9
 47 0.04  98 1  10 4.8  20 4.7
450 0 451 0 460 0.0 461 0.0 452 0 462 1.0 453 2 463 0.0  63 5 421 255 463 1.0  63 2 421 16776960 470 LINEAR
1001 GradientColor1ACI 1070 5 1001 ACAD 1010 0.0 1020 0.0 1030 0.0
"""
"""As the programs of offices write it: straight edge, arc, source, pattern, seed, gradient, extended data."""


def test_a_hatch_as_offices_have_it(tmp_path: Path) -> None:
    path = tmp_path / "d.dxf"
    changed(lambda doc: None)(path)
    owner = new_drawing().modelspace().layout_key
    words = OFFICE_HATCH.format(owner=owner).split()
    record = "".join(
        f"{code:>3}\n{value}\n" for code, value in zip(words[::2], words[1::2], strict=True)
    ).encode()
    data = re.sub(rb"(HANDSEED\n  5\n)[0-9A-F]+", rb"\g<1>FF00", path.read_bytes())
    at = data.rindex(b"  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")
    path.write_bytes(data[:at] + record + data[at:])
    loaded = load_selected(path, OPTIONS)
    assert "FE00" not in loaded.doc.entitydb
    assert "FE00" in load_drawing(path).doc.entitydb
    assert left_out_of(loaded.doc).shown["A-DETL"].boxes.tolist() == [5.0, 6.0, 7.0, 9.0]


def test_a_drawing_that_must_be_saved_is_saved_whole(tmp_path: Path) -> None:
    """The writer is stricter with texts than the reader: what can't be inserted into loses nothing."""
    path = tmp_path / "d.dxf"
    changed(add_clutter)(path)
    twice = b"  9\n$INSUNITS\n 70\n1\n"
    path.write_bytes(path.read_bytes().replace(b"  9\n$HANDSEED", twice + b"  9\n$HANDSEED", 1))
    assert load_selected(path, OPTIONS).selected
    outcome = annotate(path, output=tmp_path / "out.dxf")
    assert outcome.results.written is not None
    assert outcome.results.written.method == "saved"
    before = {e.dxf.handle for e in ezdxf.readfile(path).modelspace()}
    assert len(before) > 20 * ROUNDS
    assert before <= {e.dxf.handle for e in ezdxf.readfile(outcome.output).modelspace()}


def test_another_layout_is_read_without_the_texts_of_modelspace(tmp_path: Path) -> None:
    path = tmp_path / "d.dxf"
    changed(add_clutter)(path)
    loaded = load_selected(path, ReadingOptions(layout="Layout1"))
    assert not loaded.selected
    assert not left_out_of(loaded.doc).texts


@pytest.mark.parametrize("larger", [False, True])
def test_a_small_drawing_is_loaded_whole(
    larger: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(load, "SMALL_BYTES", SMALL_BYTES)
    doc = new_drawing()
    add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
    add_clutter(doc)
    path = tmp_path / "d.dxf"
    doc.saveas(path)
    data = path.read_bytes()
    comment = b"999\n" + b"x" * (SMALL_BYTES - len(data) - 5 - (not larger)) + b"\n"
    path.write_bytes(comment + data)
    assert len(path.read_bytes()) == SMALL_BYTES - (not larger)
    assert load_selected(path, OPTIONS).selected is larger
