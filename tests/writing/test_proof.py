"""The proof of an insertion sees every kind of fault: one fault at a time is put in, and must be named."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from perpend.dxf.insert import drawing_writer, insertion
from perpend.dxf.insert.byte_edits import Edit
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.insert.insertion import Insertion
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.insert.text_map import BLOCKS, ENTITIES
from perpend.dxf.insert.undo_record import Change
from perpend.errors import InternalError
from writing.material import OURS, as_text, draw_plate, faults, make_document, ours_in, write_file


@pytest.fixture
def source(tmp_path: Path) -> Path:
    return write_file(tmp_path, as_text(make_document()))


def fails(source: Path, draw: Callable[[Drawing], object], words: str) -> None:
    """Write, expect the proof to fail with these words, and that nothing is left."""
    target = source.parent / "out.dxf"
    with pytest.raises(InternalError, match=words):
        write_drawing(source, target, draw)
    assert [path.name for path in source.parent.iterdir()] == [source.name]


SPOILT = [
    (ENTITIES, b"\nCJ3 ", b"\nCJ4 ", "the text of TEXT #"),
    (ENTITIES, b" 10\n240.0\n", b" 10\n240.5\n", "the contents of LWPOLYLINE #"),
    (ENTITIES, b"\n 40\n9.0\n", b"\n 40\n9.5\n", "the height of TEXT #"),
    (ENTITIES, b"\nA-ELEV-JNTC\n", b"\nA-ELEV-WALL\n", "the layer of LWPOLYLINE #"),
    (ENTITIES, b"number=3", b"number=4", "the extended data of PERPEND of LWPOLYLINE #"),
    (ENTITIES, b"number=3\n", b"number=3\n1000\nmore\n", "without ours it is not the original"),
    ("LTYPE", b"\nhandseed <", b"\nhandseeD <", "without ours it is not the original"),
    (ENTITIES, b"\nTEXT\n", b"\nTEXX\n", "holds other records than were made"),
    (ENTITIES, b"\nTEXT\n", b"\nEOF \n", "breaks the order of the file"),
    (ENTITIES, b"\n 20\n144.0\n", b"\n 2O\n144.0\n", "should be a group code and is not"),
    ("LTYPE", b"\n 49\n-3.0\n", b"\n 49\n-4.0\n", "the contents of LTYPE #"),
    ("LAYER", b"\n 62\n1\n", b"\n 62\n2\n", "the color of LAYER #"),
    ("DIMSTYLE", b"\n140\n9.0\n", b"\n140\n8.0\n", "the dimtxt of DIMSTYLE #"),
    (BLOCKS, b"\nINSERT\n", b"\nINSERX\n", "holds other records than were made"),
    (BLOCKS, b"\nLINE\n", b"\nLIN \n", "holds other records than were made"),
]


@pytest.mark.parametrize(("place", "old", "new", "words"), SPOILT, ids=range(len(SPOILT)))
def test_a_wrong_value_in_our_text(
    place: str, old: bytes, new: bytes, words: str, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk holds what was put together, undoing gives the original; only a value is not the one meant."""
    put_together = drawing_writer.insert

    def spoilt(*arguments: object) -> Insertion:
        good = put_together(*arguments)  # type: ignore[arg-type]
        text = good.texts[place]
        bad = text.replace(old, new, 1)
        assert bad != text
        edits = tuple(Edit(e.start, e.end, bad) if e.new == text else e for e in good.edits)
        return replace(good, texts={**good.texts, place: bad}, edits=edits)

    monkeypatch.setattr(drawing_writer, "insert", spoilt)
    fails(source, draw_plate, words)


@pytest.mark.parametrize(
    ("place", "kind", "words"),
    [
        (ENTITIES, "TEXT", "TEXT #.* does not belong where it should"),
        (BLOCKS, "LINE", "LINE #.* does not belong where it should"),
        ("LAYER", "LAYER", "LAYER #.* does not belong where it should"),
    ],
)
def test_a_wrong_owner_or_handle_in_our_text(
    place: str, kind: str, words: str, source: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    encode = insertion._encode

    def spoilt(text, places, *rest):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN002, ANN202
        for record in places.get(place, ()):
            if record.kind == kind:
                owner = next(index for index, tag in enumerate(record.tags) if tag[0] == 330)
                record.tags[owner] = (330, "1F")
                break
        return encode(text, places, *rest)

    monkeypatch.setattr(insertion, "_encode", spoilt)
    fails(source, draw_plate, words)


def test_a_handle_twice(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    encode = insertion._encode

    def spoilt(text, places, *rest):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN002, ANN202
        for record in places.get(ENTITIES, ()):
            record.tags[1] = places[ENTITIES][0].tags[1]
        return encode(text, places, *rest)

    monkeypatch.setattr(insertion, "_encode", spoilt)
    fails(source, draw_plate, "two of ours have the same handle")


def test_a_handle_that_was_taken(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    encode = insertion._encode

    def spoilt(text, places, *rest):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN002, ANN202
        if ENTITIES in places:
            places[ENTITIES][0].tags[1] = (5, text.tables["LAYER"].handle.decode())
        return encode(text, places, *rest)

    monkeypatch.setattr(insertion, "_encode", spoilt)
    fails(source, draw_plate, "was taken already")


def test_a_seed_that_is_too_small(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        insertion, "_handseed", lambda text, _: Change(text.data[slice(*text.handseed)], b"1F")
    )
    fails(source, draw_plate, "HANDSEED is too small")


def test_a_count_that_is_wrong(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    counts = insertion._counts

    def spoilt(*arguments: object) -> dict[str, Change]:
        good = counts(*arguments)  # type: ignore[arg-type]
        return {**good, "STYLE": good["STYLE"]._replace(new=b"%d" % (int(good["STYLE"].new) + 1))}

    monkeypatch.setattr(insertion, "_counts", spoilt)
    fails(source, draw_plate, "the count of table STYLE is wrong")


def test_an_imprint_of_another_drawing(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An imprint that could not give the original back."""
    monkeypatch.setattr(insertion, "_handseed", lambda *_: Change(b"ABC", b"FFFF"))
    fails(source, draw_plate, "without ours it is not the original")


def draw_a_block_in_itself(doc: Drawing) -> None:
    block = doc.blocks.new("RING")
    block.add_blockref("RING", (1, 1))
    doc.modelspace().add_blockref("RING", (0, 0))


def draw_what_an_audit_mends(doc: Drawing) -> None:
    line = doc.modelspace().add_line((0, 0), (1, 1))
    line.dxf.__dict__["color"] = 4711


def test_a_block_that_holds_itself(source: Path) -> None:
    fails(source, draw_a_block_in_itself, "block RING holds itself")


def test_what_an_audit_finds(source: Path) -> None:
    fails(source, draw_what_an_audit_mends, "an audit finds fault with #.*color")


def test_every_byte_of_the_file_counts(source: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Any one byte changed on the disk is seen, in the original's part and in ours: 200 places."""
    proven = drawing_writer.prove_insertion
    seen: list[int] = []

    def spoil(text, fresh, put, written, *rest):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN002, ANN202
        data = written.read_bytes()
        for at in range(0, len(data), len(data) // 200):
            written.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
            with pytest.raises(InternalError, match="other bytes"):
                proven(text, fresh, put, written, *rest)
            seen.append(at)
        for wrong in (data[:-1], data + b"\n", b""):
            written.write_bytes(wrong)
            with pytest.raises(InternalError, match="other bytes"):
                proven(text, fresh, put, written, *rest)
        written.write_bytes(data)
        proven(text, fresh, put, written, *rest)

    monkeypatch.setattr(drawing_writer, "prove_insertion", spoil)
    write_drawing(source, source.parent / "out.dxf", draw_plate)
    assert len(seen) >= 200


@pytest.mark.parametrize("owner", [b"330\n0\n", b""], ids=["with owner", "without"])
@pytest.mark.parametrize("release", ["R2000", "R2010"])
def test_tables_without_handles(release: str, owner: bytes, tmp_path: Path) -> None:
    """Programs write tables without handles; a record of ours in one can't name it, which is no fault."""
    data = as_text(make_document(release))
    bare = re.sub(rb"(  0\nTABLE\n  2\n[A-Z_]+\n)  5\n[0-9A-F]+\n" + owner, rb"\1", data)
    assert len(data) - len(bare) >= 9 * len(b"  5\n1\n" + owner)
    report, _ = write_drawing(write_file(tmp_path, bare), tmp_path / "out.dxf", draw_plate)
    assert report.method == "inserted"
    assert strip_ours((tmp_path / "out.dxf").read_bytes()).data == bare
    doc = ezdxf.readfile(tmp_path / "out.dxf")
    assert ours_in(doc) == OURS
    assert faults(doc) == faults(ezdxf.readfile(tmp_path / "elevation.dxf"))


def draw_all_kinds(doc: Drawing) -> None:
    """Draw what no plate of ours holds: what is drawn here must neither be lost nor raise a false alarm."""
    modelspace = doc.modelspace()
    hatch = modelspace.add_hatch(color=3)
    hatch.set_pattern_fill("ANSI31", scale=2)
    hatch.paths.add_polyline_path([(0, 0), (1, 0, 0.5), (1, 1)])
    modelspace.add_mtext("long Ø Ж 𝄞 " * 100 + "\\P{\\fArial;x}", dxfattribs={"width": 50, "rotation": 30})
    modelspace.add_text("  blanks %%c Ø Ж 𝄞 \\U+00D8  ", height=1 / 3, rotation=33.3)
    modelspace.add_polyline2d([(0, 0), (1, 0), (1, 1)], close=True)
    modelspace.add_polyline3d([(0, 0, 1), (1, 0, 2), (1, 1, 3)])
    modelspace.add_open_spline([(0, 0), (1, 5), (2, -4), (3, 0)])
    modelspace.add_arc((0, 0), 2, 10, 350, dxfattribs={"extrusion": (0, 0, -1)})
    modelspace.add_line((0, 0, 1.5), (1 / 3, 1e-9, 2), dxfattribs={"true_color": 0x123456, "ltscale": 2.5})
    inner, outer = doc.blocks.new("INNER"), doc.blocks.new("OUTER", base_point=(1, 2))
    inner.add_circle((0, 0), 1)
    outer.add_blockref("INNER", (3, 3))
    modelspace.add_blockref("OUTER", (5, 5), dxfattribs={"xscale": 2}).add_attrib("T", "Ø", (1, 1))
    modelspace.add_radius_dim(center=(0, 0), radius=3, angle=45).render()
    look = {"dimblk": "DOT", "dimtxt": 2.5}
    modelspace.add_linear_dim(base=(0, 2), p1=(0, 0), p2=(5, 0), override=look, text="<> Ø").render()
    modelspace.add_line((0, 0), (1, 1)).new_extension_dict()
    doc.appids.add("OTHER")
    modelspace.add_point((1, 1)).set_xdata(
        "OTHER", [(1000, "Ø"), (1010, (1, 2, 3)), (1040, 1 / 3), (1070, 7)]
    )


@pytest.mark.parametrize("release", ["R2000", "R2018"])
def test_all_kinds_come_back(release: str, tmp_path: Path) -> None:
    """A full reading of the whole drawing, the way the proof does not go, finds all of it and no fault."""
    source = write_file(tmp_path, as_text(make_document(release)))
    report, _ = write_drawing(source, tmp_path / "out.dxf", draw_all_kinds)
    assert report.method == "inserted"
    doc = ezdxf.readfile(tmp_path / "out.dxf")
    assert faults(doc) == 0
    assert ours_in(doc).total() == report.added_entities == 13


def draw_an_empty_mesh(doc: Drawing) -> None:
    doc.modelspace().add_mesh()


def draw_a_group(doc: Drawing) -> None:
    doc.groups.new("OURS").set_data([doc.modelspace().add_line((0, 0), (1, 1))])


def test_what_ezdxf_does_not_write(source: Path) -> None:
    fails(source, draw_an_empty_mesh, "one of ours has no record")


def test_what_a_list_of_the_drafters_would_have_to_name(source: Path) -> None:
    """A group belongs into a dictionary of the original, whose bytes stay as they are."""
    fails(source, draw_a_group, "GROUP #.* does not belong where it should")
