"""What can't be inserted into is saved whole, proven by reading back, and the changes are said."""

from __future__ import annotations

import io
import re
import struct
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from perpend.dxf.insert.cleaning import clean_drawing
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.insert.save_changes import BINARY_SENTINEL, creation_date
from perpend.dxf.load import load_bytes, load_drawing
from writing.material import (
    DIMENSIONS,
    JOINTS,
    OURS,
    as_text,
    draw_plate,
    faults,
    inventory,
    make_document,
    ours_in,
    write_file,
)


def as_binary(doc: Drawing) -> bytes:
    stream = io.BytesIO()
    doc.write(stream, fmt="bin")
    return stream.getvalue()


def r12(newline: str = "\n") -> bytes:
    """Return an elevation of R12, as text with a comment."""
    doc = ezdxf.new("R12")
    doc.header["$HANDLING"] = 1
    doc.layers.add("WALL")
    doc.modelspace().add_polyline2d([(0, 0), (480, 0), (480, 144)], close=True, dxfattribs={"layer": "WALL"})
    doc.modelspace().add_text("Brüstung")
    block = doc.blocks.new("DOOR")
    block.add_line((0, 0), (1, 1))
    doc.modelspace().add_blockref("DOOR", (5, 5))
    stream = io.StringIO()
    doc.write(stream)
    return ("999\nnote\n" + stream.getvalue()).replace("\n", newline).encode("cp1252")


def test_binary_stays_binary(tmp_path: Path) -> None:
    source = write_file(tmp_path, as_binary(make_document()))
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_plate)
    output = (tmp_path / "out.dxf").read_bytes()
    assert (report.method, report.added_entities) == ("saved", OURS.total())
    assert "binary" in (report.reason or "")
    assert output.startswith(BINARY_SENTINEL)
    after = load_bytes(source, output).doc
    assert inventory(after) == inventory(load_bytes(source, source.read_bytes()).doc)
    assert ours_in(after) == OURS
    assert faults(after) == 0


def test_binary_second_run_and_cleaning(tmp_path: Path) -> None:
    data = as_binary(make_document())
    original = inventory(load_bytes(tmp_path, data).doc)
    for name in ("second", "third"):
        source = write_file(tmp_path, data)
        write_drawing(source, tmp_path / f"{name}.dxf", draw_plate)
        data = (tmp_path / f"{name}.dxf").read_bytes()
        doc = load_bytes(source, data).doc
        assert ours_in(doc) == OURS
        assert inventory(doc) == original
        assert sum(layer.dxf.name.startswith("A-ELEV-JNTC") for layer in doc.layers) == 1
    report = clean_drawing(tmp_path / "third.dxf", tmp_path / "clean.dxf")
    clean = load_bytes(tmp_path, (tmp_path / "clean.dxf").read_bytes()).doc
    assert (report.exact, ours_in(clean)) == (False, {})
    assert inventory(clean) == original
    assert "PERPEND" not in clean.appids
    assert not [layer for layer in clean.layers if layer.dxf.name.startswith("A-ELEV-JNTC")]


def test_r12_gets_polylines_it_knows(tmp_path: Path) -> None:
    source = write_file(tmp_path, r12("\r\n"))
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_plate)
    after = ezdxf.readfile(tmp_path / "out.dxf")
    assert report.method == "saved"
    assert "R12" in (report.reason or "")
    assert after.dxfversion == "AC1009"
    assert ours_in(after) == {"POLYLINE": JOINTS, "TEXT": JOINTS, "DIMENSION": DIMENSIONS}
    assert inventory(after, handles=False) == inventory(ezdxf.readfile(source), handles=False)
    joint = next(p for p in after.modelspace().query("POLYLINE") if p.has_xdata("PERPEND"))
    assert [tuple(point)[:2] for point in joint.points()] == [(0.0, 0.0), (0.0, 144.0)]
    said = [value for _, value in joint.get_xdata("PERPEND")]
    assert said == ["kind=joint", "number=0", f"handle={joint.dxf.handle}"]
    assert "1 comment (group 999) dropped." in report.changes
    assert "Line ends were CR LF and are LF now." in report.changes


def test_r12_second_run_replaces(tmp_path: Path) -> None:
    write_drawing(write_file(tmp_path, r12()), tmp_path / "first.dxf", draw_plate)
    write_drawing(tmp_path / "first.dxf", tmp_path / "second.dxf", draw_plate)
    first, second = ezdxf.readfile(tmp_path / "first.dxf"), ezdxf.readfile(tmp_path / "second.dxf")
    assert ours_in(second) == ours_in(first)
    assert inventory(second, handles=False) == inventory(first, handles=False)
    assert sum(layer.dxf.name.startswith("A-ELEV-JNTC") for layer in second.layers) == 1


def test_r14_is_lifted_and_says_so(tmp_path: Path) -> None:
    data = re.sub(rb"AC1015", b"AC1014", as_text(make_document("R2000")))
    report, _ = write_drawing(write_file(tmp_path, data), tmp_path / "out.dxf", draw_plate)
    assert report.method == "saved"
    assert "The release was R14 and is R2000 now." in report.changes
    assert "The preview picture (THUMBNAILIMAGE) dropped." in report.changes
    second, _ = write_drawing(tmp_path / "out.dxf", tmp_path / "second.dxf", draw_plate)
    third, _ = write_drawing(tmp_path / "second.dxf", tmp_path / "third.dxf", draw_plate)
    assert (second.method, third.method) == ("inserted", "inserted")
    assert (tmp_path / "second.dxf").read_bytes() == (tmp_path / "third.dxf").read_bytes()
    assert ours_in(ezdxf.readfile(tmp_path / "third.dxf")) == OURS


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (r"  9\n\$HANDSEED\n  5\n\w+\n", "", "has no $HANDSEED"),
        (r"  0\nTABLE\n  2\nAPPID\n.*?  0\nENDTAB\n", "", "no APPID table"),
        (r"  0\nTABLE\n  2\nDIMSTYLE\n.*?  0\nENDTAB\n", "", "no DIMSTYLE table"),
        (r"(  0\nTABLE\n  2\nUCS\n.*?  0\nENDTAB\n)", r"\1\1", "two UCS tables"),
        (r"(  0\nSECTION\n  2\nTHUMBNAILIMAGE\n.*?  0\nENDSEC\n)", r"\1\1", "two THUMBNAILIMAGE sections"),
    ],
    ids=["no-handseed", "no-appid-table", "no-dimstyle-table", "table-twice", "section-twice"],
)
def test_irregular_texts_are_saved(old: str, new: str, words: str, tmp_path: Path) -> None:
    text, count = re.subn(old, new, as_text(make_document()).decode(), count=1, flags=re.DOTALL)
    assert count == 1
    source = write_file(tmp_path, text.encode())
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_plate)
    assert report.method == "saved"
    assert words in (report.reason or "")
    after = ezdxf.readfile(tmp_path / "out.dxf")
    assert inventory(after) == inventory(ezdxf.readfile(source))
    assert ours_in(after) == OURS


def test_a_rescued_drawing_is_not_inserted_into(tmp_path: Path) -> None:
    """What had to be rescued was not read as its text stands, so the text is no ground to insert into."""
    source = write_file(tmp_path, as_text(make_document()))
    rescued = replace(load_drawing(source), recovered=True)
    report, _ = write_drawing(rescued, tmp_path / "out.dxf", draw_plate)
    assert report.method == "saved"
    assert "damaged" in (report.reason or "")
    assert ours_in(ezdxf.readfile(tmp_path / "out.dxf")) == OURS


def header_of(data: bytes) -> dict[str, str]:
    """Return the variables of a header in text, read without ezdxf's loading, which sets some anew."""
    lines = [line.strip() for line in data.split(b"ENDSEC")[0].decode().splitlines()]
    pairs = list(zip(lines[::2], lines[1::2], strict=False))
    return {name: value for (code, name), (_, value) in pairwise(pairs) if code == "9"}


def irregular(old: bytes, new: bytes) -> bytes:
    """Return a drawing in text that can't be inserted into, for it has two tables of one kind."""
    text = re.sub(
        rb"(  0\nTABLE\n  2\nUCS\n.*?  0\nENDTAB\n)", rb"\1\1", as_text(make_document()), flags=re.DOTALL
    )
    return re.sub(old, new, text, count=1)


def test_changes_are_those_that_can_be_seen(tmp_path: Path) -> None:
    """Every sentence is held against the two files, read with other means."""
    source = write_file(tmp_path, irregular(rb"(\$TDUPDATE\n 40\n).*", rb"\g<1>2450000.5"))
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_plate)
    before, after = header_of(source.read_bytes()), header_of((tmp_path / "out.dxf").read_bytes())
    changed = next(s for s in report.changes if s.startswith("Header variables changed"))
    named = re.findall(r"\$\w+", changed)
    assert set(named) == {n for n in before if n in after and before[n] != after[n]} - {"$HANDSEED"}
    assert "$TDUPDATE" in named
    assert not any("A-ELEV-JNTC" in sentence or "PERPEND" in sentence for sentence in report.changes)


@pytest.mark.parametrize("binary", [False, True])
def test_a_save_keeps_the_day_a_drawing_was_made(binary: bool, tmp_path: Path) -> None:
    """A loading sets the day to its own; the bytes of the file tell whether it came through."""
    data = irregular(rb"(\$TDCREATE\n 40\n).*", rb"\g<1>2450000.25")
    if binary:
        doc = load_bytes(tmp_path, data).doc
        doc.header["$TDCREATE"] = 2450000.25
        data = as_binary(doc)
    source = write_file(tmp_path, data)
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_plate)
    assert report.method == "saved"
    assert not any("$TDCREATE" in sentence for sentence in report.changes)
    output = (tmp_path / "out.dxf").read_bytes()
    if binary:
        assert struct.pack("<d", 2450000.25) in output
    else:
        assert float(header_of(output)["$TDCREATE"]) == 2450000.25
    clean_drawing(tmp_path / "out.dxf", tmp_path / "clean.dxf")
    assert creation_date((tmp_path / "clean.dxf").read_bytes()) == 2450000.25
