"""What a drafter copied, edited or signed in our name is the drafter's: it stays, and is listed."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic

from perpend.dxf.insert.cleaning import clean_drawing
from perpend.dxf.insert.drawing_writer import write_drawing
from perpend.dxf.xdata import Claim, digest_of, ours_among
from writing.material import OURS, as_text, draw_plate, make_document, ours_in, write_file

Edit = Callable[[Drawing], DXFGraphic]


def annotated(folder: Path, release: str = "R2010") -> Path:
    out = folder / "annotated.dxf"
    write_drawing(write_file(folder, as_text(make_document(release))), out, draw_plate)
    return out


def words_of(entity: DXFGraphic) -> str:
    return str(entity.dxf.text) if entity.dxftype() == "TEXT" else ""


def our_text(doc: Drawing) -> DXFGraphic:
    return next(text for text in doc.modelspace().query("TEXT") if text.has_xdata("PERPEND"))


def a_copied_text_with_a_note(doc: Drawing) -> DXFGraphic:
    copy = our_text(doc).copy()
    doc.modelspace().add_entity(copy)
    copy.dxf.text, copy.dxf.layer = "SEE DETAIL 5/A-501", "A-ELEV-WALL"
    return copy


def a_copied_joint(doc: Drawing) -> DXFGraphic:
    joint = next(line for line in doc.modelspace().query("LWPOLYLINE") if line.has_xdata("PERPEND"))
    copy = joint.copy()
    doc.modelspace().add_entity(copy)
    copy.translate(40, 0, 0)
    return copy


def an_edited_text(doc: Drawing) -> DXFGraphic:
    text = our_text(doc)
    text.dxf.text = "JOINT BY OTHERS"
    return text


def a_forged_mark(doc: Drawing) -> DXFGraphic:
    line = doc.modelspace().add_line((1, 2), (3, 4), dxfattribs={"layer": "A-ELEV-WALL"})
    line.set_xdata("PERPEND", [(1000, "kind=joint"), (1000, "version=2")])
    return line


def a_mark_that_names_another_handle(doc: Drawing) -> DXFGraphic:
    line = a_forged_mark(doc)
    line.set_xdata("PERPEND", [(1000, "kind=joint"), (1000, "handle=FFFF")])
    return line


EDITS = (
    a_copied_text_with_a_note,
    a_copied_joint,
    an_edited_text,
    a_forged_mark,
    a_mark_that_names_another_handle,
)


@pytest.mark.parametrize(("release", "form"), [("R2000", "asc"), ("R2018", "asc"), ("R2018", "bin")])
@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)
def test_it_stays_where_everything_of_ours_is_taken_out(
    edit: Edit, release: str, form: str, tmp_path: Path
) -> None:
    path = annotated(tmp_path, release)
    doc = ezdxf.readfile(path)
    edited = edit(doc)
    handle, layer = edited.dxf.handle, edited.dxf.layer
    doc.saveas(path, fmt=form)
    report = clean_drawing(path, tmp_path / "clean.dxf")
    clean = ezdxf.readfile(tmp_path / "clean.dxf")
    assert handle in clean.entitydb
    assert clean.entitydb[handle].dxf.layer == layer
    assert ours_in(clean).total() == 0, "what stays is the drafter's, and loses our mark"
    assert any(f"#{handle}" in note for note in report.notes), report.notes


@pytest.mark.parametrize("edit", EDITS, ids=lambda edit: edit.__name__)
def test_it_stays_beside_a_new_plate(edit: Edit, tmp_path: Path) -> None:
    path = annotated(tmp_path)
    doc = ezdxf.readfile(path)
    edited = edit(doc)
    handle, words = edited.dxf.handle, words_of(edited)
    doc.saveas(path)
    report, _ = write_drawing(path, tmp_path / "again.dxf", draw_plate)
    again = ezdxf.readfile(tmp_path / "again.dxf")
    assert report.method == "inserted"
    assert words_of(again.entitydb[handle]) == words
    assert not again.entitydb[handle].has_xdata("PERPEND")
    assert ours_in(again) == OURS, "the new plate is whole"


def test_new_handles_for_everything_leave_ours_as_ours(tmp_path: Path) -> None:
    """Some programs give every entity a new handle when they save."""
    path = annotated(tmp_path)
    text = path.read_text(encoding="utf-8")
    doc = ezdxf.read(io.StringIO(text))
    shift = 0x1000
    for entity in list(doc.modelspace()):
        handle = f"{int(entity.dxf.handle, 16) + shift:X}"
        doc.entitydb.discard(entity)
        entity.dxf.handle = handle
        doc.entitydb.add(entity)
    doc.saveas(path)
    clean_drawing(path, tmp_path / "clean.dxf")
    assert ours_in(ezdxf.readfile(tmp_path / "clean.dxf")).total() == 0
    before = make_document().modelspace()
    after = ezdxf.readfile(tmp_path / "clean.dxf").modelspace()
    assert sorted(e.dxftype() for e in after) == sorted(e.dxftype() for e in before)


def test_of_two_that_name_one_handle_the_one_at_home_is_ours() -> None:
    claims = [("copy", Claim("A1", "2F")), ("ours", Claim("2F", "2F")), ("none", Claim("30", ""))]
    assert ours_among(claims) == {"ours"}
    renumbered = [("ours", Claim("B1", "2F")), ("copy", Claim("B2", "2F")), ("other", Claim("B3", "30"))]
    assert ours_among(renumbered) == {"ours", "other"}


def test_a_digest_is_the_same_however_letters_are_saved() -> None:
    assert digest_of("CJ Ø 12") == digest_of("CJ \\U+00D8 12") == digest_of("CJ  12")
    assert digest_of("CJ-4") != digest_of("CJ-5")
