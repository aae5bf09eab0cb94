"""A second run replaces exactly what the first one drew, and everything can be taken out again."""

from __future__ import annotations

import io
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from perpend.dxf.insert.cleaning import clean_drawing
from perpend.dxf.insert.drawing_writer import open_without_ours, write_drawing
from perpend.dxf.insert.free_names import ensure_layer
from perpend.dxf.insert.take_out import strip_ours
from perpend.dxf.insert.take_out_resaved import withdraw_records
from perpend.dxf.insert.text_map import map_text
from perpend.dxf.insert.undo_record import find_imprint
from perpend.dxf.load import load_bytes
from perpend.errors import InternalError
from writing.material import (
    ENDS,
    OURS,
    VERSIONS,
    as_text,
    draw_plate,
    faults,
    inventory,
    make_document,
    ours_in,
    write_file,
)


def run(data: bytes, folder: Path, name: str) -> bytes:
    """Write the plate into a drawing and return the new bytes."""
    write_drawing(write_file(folder, data), folder / name, draw_plate)
    return (folder / name).read_bytes()


@pytest.mark.parametrize("newline", ENDS.values(), ids=ENDS.keys())
@pytest.mark.parametrize("release", VERSIONS)
def test_second_and_third_run_change_nothing(release: str, newline: str, tmp_path: Path) -> None:
    data = as_text(make_document(release), newline)
    first = run(data, tmp_path, "first.dxf")
    second = run(first, tmp_path, "second.dxf")
    third = run(second, tmp_path, "third.dxf")
    assert first == second == third
    assert first != data


def test_second_run_draws_what_it_is_asked_to(tmp_path: Path) -> None:
    def draw_less(doc: Drawing) -> None:
        layer = ensure_layer(doc, "A-ELEV-JNTC-NOTE", color=7)
        doc.modelspace().add_line((0, 0), (7, 7), dxfattribs={"layer": layer})

    data = as_text(make_document())
    first = run(data, tmp_path, "first.dxf")
    report, _ = write_drawing(write_file(tmp_path, first), tmp_path / "second.dxf", draw_less)
    doc = ezdxf.readfile(tmp_path / "second.dxf")
    assert report.added_entities == 1
    assert dict(ours_in(doc)) == {"LINE": 1}
    assert "A-ELEV-JNTC" not in doc.layers
    assert strip_ours((tmp_path / "second.dxf").read_bytes()).data == data


@pytest.mark.parametrize("newline", ENDS.values(), ids=ENDS.keys())
@pytest.mark.parametrize("release", VERSIONS)
def test_both_ways_of_taking_ours_out_give_the_original(release: str, newline: str, tmp_path: Path) -> None:
    """By the imprint and record by record: two procedures, one result."""
    data = as_text(make_document(release), newline)
    output = run(data, tmp_path, "first.dxf")
    by_imprint = strip_ours(output)
    assert (by_imprint.data == data, by_imprint.exact) == (True, True)
    one_by_one = withdraw_records(map_text(output), find_imprint(output, "PERPEND"), "PERPEND")
    assert one_by_one.data == data
    assert one_by_one.removed == by_imprint.removed
    assert one_by_one.kept == ()


def test_cleaning_gives_the_original_file_back(tmp_path: Path) -> None:
    data = as_text(make_document(), "\r\n")
    source = write_file(tmp_path, run(data, tmp_path, "first.dxf"), "annotated.dxf")
    report = clean_drawing(source, tmp_path / "clean.dxf")
    assert (tmp_path / "clean.dxf").read_bytes() == data
    assert report.exact
    assert report.removed > OURS.total()


def test_cleaning_a_drawing_without_ours_copies_it(tmp_path: Path) -> None:
    data = as_text(make_document())
    report = clean_drawing(write_file(tmp_path, data), tmp_path / "clean.dxf")
    assert (tmp_path / "clean.dxf").read_bytes() == data
    assert (report.removed, report.exact) == (0, True)


def test_a_text_that_names_us_is_no_mark(tmp_path: Path) -> None:
    doc = make_document()
    doc.modelspace().add_text("PERPEND")
    data = as_text(doc)
    assert strip_ours(data).data == data
    output = run(data, tmp_path, "first.dxf")
    assert strip_ours(output).data == data


def edited(output: bytes, change: object = None) -> bytes:
    """Return what another program makes of an output of ours when it opens, edits and saves it."""
    doc = ezdxf.read(io.StringIO(output.decode("utf-8")))
    if callable(change):
        change(doc)
    stream = io.StringIO()
    doc.write(stream)
    return stream.getvalue().encode("utf-8")


def test_after_an_edit_elsewhere_ours_is_still_replaced(tmp_path: Path) -> None:
    """The other program has numbered, ordered and formatted everything anew; only our XDATA tells."""

    def change(doc: Drawing) -> None:
        doc.modelspace().add_line((0, 0), (480, 7), dxfattribs={"layer": "A-ELEV-WALL"})

    data = as_text(make_document())
    saved = edited(run(data, tmp_path, "first.dxf"), change)
    stripped = strip_ours(saved)
    assert not stripped.exact
    rest = ezdxf.read(io.StringIO(stripped.data.decode("utf-8")))
    found, originals = (
        inventory(rest),
        inventory(ezdxf.read(io.StringIO(edited(data, change).decode("utf-8")))),
    )
    assert {name: sum(kinds.values()) for name, kinds in found.items()} == {
        name: sum(kinds.values()) for name, kinds in originals.items()
    }
    assert "PERPEND" not in rest.appids
    assert not {"A-ELEV-JNTC", "PERPEND-JOINT"} & {
        record.dxf.name for record in (*rest.layers, *rest.linetypes)
    }
    assert faults(rest) == 0
    second = run(saved, tmp_path, "second.dxf")
    third = run(second, tmp_path, "third.dxf")
    assert second == third
    assert ours_in(ezdxf.readfile(tmp_path / "third.dxf")) == OURS


def test_what_the_drafter_uses_by_now_stays_his(tmp_path: Path) -> None:
    """A line of his on our layer keeps layer and line type; a block of his made from ours stays whole."""

    def change(doc: Drawing) -> None:
        doc.modelspace().add_line((1, 1), (2, 2), dxfattribs={"layer": "A-ELEV-JNTC"})
        block = doc.blocks.new("HIS")
        joint = next(iter(doc.modelspace().query("LWPOLYLINE[layer=='A-ELEV-JNTC']")))
        copy = joint.copy()
        doc.entitydb.add(copy)
        block.add_entity(copy)
        doc.modelspace().add_blockref("HIS", (0, 0))
        doc.layers.get("A-ELEV-WALL").description = "needs an application id that came with our layer"

    saved = edited(run(as_text(make_document()), tmp_path, "first.dxf"), change)
    stripped = strip_ours(saved)
    assert "LAYER A-ELEV-JNTC" in stripped.notes[1]
    rest = ezdxf.read(io.StringIO(stripped.data.decode("utf-8")))
    layer = rest.layers.get("A-ELEV-JNTC")
    assert layer.dxf.linetype in rest.linetypes
    assert not layer.has_xdata("PERPEND")
    assert [entity.dxftype() for entity in rest.blocks.get("HIS")] == ["LWPOLYLINE"]
    assert not any(entity.has_xdata("PERPEND") for entity in rest.entitydb.values())
    assert "PERPEND" not in rest.appids
    assert "AcAecLayerStandard" in rest.appids
    assert ours_in(rest) == {}
    assert faults(rest) == 0
    second = run(saved, tmp_path, "second.dxf")
    assert [layer.dxf.name for layer in ezdxf.readfile(tmp_path / "second.dxf").layers].count(
        "A-ELEV-JNTC"
    ) == 1
    assert run(second, tmp_path, "third.dxf") == second


def test_groups_and_draw_order_forget_ours(tmp_path: Path) -> None:
    """The drafter has grouped his wall with our joints and put things in front; his part of both stays."""
    his: list[str] = []

    def change(doc: Drawing) -> None:
        wall = doc.modelspace().query("LWPOLYLINE[layer=='A-ELEV-WALL']").first
        joints = doc.modelspace().query("LWPOLYLINE[layer=='A-ELEV-JNTC']")
        with doc.groups.new("BAY").edit_data() as members:
            members.extend([wall, *joints])
        order = [entity.dxf.handle for entity in (*joints, wall)]
        doc.modelspace().set_redraw_order(list(zip(order, reversed(order), strict=True)))
        his.append(wall.dxf.handle)

    saved = edited(run(as_text(make_document()), tmp_path, "first.dxf"), change)
    rest = ezdxf.read(io.StringIO(strip_ours(saved).data.decode("utf-8")))
    assert [entity.dxf.handle for entity in rest.groups.get("BAY")] == his
    assert [handle for handle, _ in rest.modelspace().get_redraw_order()] == his
    assert faults(rest) == 0


def test_two_application_ids_are_taken_out_each_for_itself(tmp_path: Path) -> None:
    def mark(doc: Drawing) -> None:
        doc.modelspace().add_circle((5, 5), 5)

    data = as_text(make_document())
    first = run(data, tmp_path, "first.dxf")
    source = write_file(tmp_path, first, "first.dxf")
    write_drawing(source, tmp_path / "checked.dxf", mark, app_id="PERPEND-CHECK")
    checked = (tmp_path / "checked.dxf").read_bytes()
    assert strip_ours(checked, "PERPEND-CHECK").data == first
    without_joints = strip_ours(checked, "PERPEND")
    assert ours_in(ezdxf.read(io.StringIO(without_joints.data.decode("utf-8")))) == {}
    assert b"PERPEND-CHECK" in without_joints.data


def test_opening_leaves_ours_out(tmp_path: Path) -> None:
    data = as_text(make_document())
    run(data, tmp_path, "first.dxf")
    first = tmp_path / "first.dxf"
    opened = open_without_ours(first.read_bytes(), lambda rest: load_bytes(first, rest))
    assert (opened.loaded.data == data, opened.exact) == (True, True)
    assert ours_in(opened.loaded.doc) == {}


def test_drawing_must_not_delete_or_draw_elsewhere(tmp_path: Path) -> None:
    source = write_file(tmp_path, as_text(make_document()))

    def delete(doc: Drawing) -> None:
        doc.modelspace().delete_entity(doc.modelspace()[0])

    def in_a_block(doc: Drawing) -> None:
        next(block for block in doc.blocks if not block.is_any_layout).add_line((0, 0), (1, 1))

    for draw, words in ((delete, "deleted 1 thing"), (in_a_block, "in a place not ours")):
        with pytest.raises(InternalError, match=words):
            write_drawing(source, tmp_path / "out.dxf", draw)
        assert [path.name for path in tmp_path.iterdir()] == ["elevation.dxf"]
