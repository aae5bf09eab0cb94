"""Shapes that look like openings on layers without a role; sills; texts that are no wall's mark."""

from __future__ import annotations

import itertools
import shutil
from pathlib import Path
from typing import Literal

import ezdxf
import pytest

from perpend import annotate, check
from perpend.dxf.load import load_drawing
from perpend.errors import InputError
from perpend.folders import BatchOptions, run_batch
from perpend.reading import read_drawing
from perpend.reading.gather.layer_names import hint_of
from perpend.reading.gather.load_by_role import load_selected
from perpend.reading.reader import read_loaded
from perpend.reading.reading_options import ReadingOptions, Role
from reading import zoo
from reading.test_shapes import box_of, read
from reading.zoo import OPENING, WALL, Pen, doubts_of, layers_of

pytestmark = pytest.mark.usefixtures("small_ones_too")

WALL_BOX = (0, 0, 960, 160)


def said(pen: Pen, folder: Path) -> list[str]:
    """Return what is said of layers without a role, the same whether all of the drawing is loaded or not."""
    path = pen.save(folder / "drawing.dxf")
    options = ReadingOptions()
    whole = read_loaded(load_drawing(path), options).elevation.repaired
    assert read_loaded(load_selected(path, options), options).elevation.repaired == whole
    return [sentence for sentence in whole if "has no role" in sentence]


@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_windows_and_a_door_on_layers_without_a_role(tmp_path: Path, turn: float) -> None:
    pen = Pen(angle=turn)
    pen.box(WALL_BOX, WALL)
    pen.text("W1", (300, 140))
    glass = [pen.box((x, 40, x + 80, 96), "A-GLAZ").dxf.handle for x in (220, 440, 640, 800)]
    pen.box((225, 45, 255, 90), "A-GLAZ")  # a pane
    door = pen.box((100, 0, 140, 88), "A-DOOR").dxf.handle
    assert said(pen, tmp_path) == []
    elevation = read(pen, tmp_path)
    (wall,) = elevation.walls
    assert [o.handle for o in wall.openings] == [door, *glass]
    assert [box_of(o) for o in wall.openings][:2] == [(100, 0, 140, 88), (220, 40, 300, 96)]
    assert doubts_of(wall) == ()
    told = [n for n in elevation.notices if n.code == "opening-by-layer-name"]
    assert [n.place.layer for n in told] == ["A-DOOR", "A-GLAZ"]


def test_on_a_frozen_layer_they_are_doubted(tmp_path: Path) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.box((220, 40, 300, 96), "A-GLAZ")
    pen.hide("A-GLAZ", "freeze")
    (sentence,) = said(pen, tmp_path)
    assert "thaw the layer, and name it" in sentence
    assert read(pen, tmp_path).walls[0].openings == ()


@pytest.mark.parametrize("command", ["annotate", "check"])
def test_the_doubt_is_in_the_results_in_the_index_and_on_the_reviewed_drawing(
    tmp_path: Path, command: Literal["annotate", "check"]
) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.text("W1", (300, 140))
    pen.box((220, 40, 300, 96), "A-GLAZ")
    pen.hide("A-GLAZ", "freeze")
    source = pen.save(tmp_path / "drawing.dxf")
    done = annotate(source) if command == "annotate" else check(source)
    (wall,) = done.results.walls
    (note,) = [n for n in wall.notes if "A-GLAZ" in n]
    assert done.output is not None
    layers = layers_of(done.output, "1 shape on layer a-glaz (frozen) looks like an opening but was not read")
    assert layers == ({"A-ELEV-JNTC-BASS"} if command == "annotate" else {"A-ELEV-JNTC-VIOL"})
    written = ezdxf.readfile(done.output).layers
    assert [bool(written.get(name).dxf.plot) for name in layers] == [command == "check"]
    (tmp_path / "in").mkdir()
    shutil.copy(source, tmp_path / "in" / "drawing.dxf")
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(check=command == "check"))
    (outcome,) = report.outcomes
    assert outcome.remarks >= 1
    assert outcome.violations or outcome.worst == f"W1: {note}"


def test_the_setting_that_is_named_makes_openings_of_them(tmp_path: Path) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.box((220, 40, 300, 96), "A-GLAZ")
    path = pen.save(tmp_path / "drawing.dxf")
    elevation = read_drawing(path, ReadingOptions(openings=("A-ELEV-OPNG*", "A-GLAZ"))).elevation
    assert [box_of(o) for o in elevation.walls[0].openings] == [(220, 40, 300, 96)]
    assert elevation.repaired == ()


@pytest.mark.parametrize(("block_layer", "reference_layer"), [("0", "A-GLAZ"), ("A-GLAZ", "0")])
@pytest.mark.parametrize("closed", [True, False])
def test_blocks_count_by_their_outline_or_the_box_of_their_lines(
    tmp_path: Path, block_layer: str, reference_layer: str, *, closed: bool
) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    lite = pen.doc.blocks.new("LITE 36x36")
    attribs = {"layer": block_layer}
    lite.add_lwpolyline([(0, 0), (36, 0), (36, 36), (0, 36)], close=closed, dxfattribs=attribs)
    first, second = (
        pen.space.add_blockref("LITE 36x36", (x, 40), dxfattribs={"layer": reference_layer}).dxf.handle
        for x in (200, 500)
    )
    assert said(pen, tmp_path) == []
    (wall,) = read(pen, tmp_path).walls
    assert {o.handle: box_of(o) for o in wall.openings} == {
        first: (200, 40, 236, 76),
        second: (500, 40, 536, 76),
    }


@pytest.mark.parametrize(
    "draw",
    [
        lambda pen: pen.box((204, 42, 230, 82), "A-GLAZ"),
        lambda pen: pen.box((196, 36, 268, 92), "A-DOOR-FRAME"),
        lambda pen: pen.box((400, 40, 411, 96), "A-GLAZ"),
        lambda pen: pen.box((400, 40, 480, 51), "A-GLAZ"),
        lambda pen: pen.box((400, 300, 480, 380), "A-GLAZ"),
        lambda pen: pen.box((400, 40, 480, 96), "A-FURN"),
        lambda pen: pen.box((400, 40, 480, 96), "A-GLAZ-PATT"),
        lambda pen: pen.box((400, 40, 480, 96), "A-DOOR-IDEN"),
        lambda pen: pen.box((-1, -1, 961, 161), "A-GLAZ"),
        lambda pen: pen.path(((400, 40), (480, 40), (480, 96), (400, 90)), "A-GLAZ"),
    ],
    ids=["pane", "trim", "narrow", "low", "outside", "furniture", "pattern", "marks", "round all", "open"],
)
def test_no_alarm(tmp_path: Path, draw: object) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.box((200, 40, 264, 88))
    draw(pen)  # type: ignore[operator]
    assert said(pen, tmp_path) == []


def test_a_tag_block_is_no_opening(tmp_path: Path) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    tag = pen.doc.blocks.new("DOOR-TAG")
    tag.add_lwpolyline([(0, 0), (20, 0), (20, 20), (0, 20)], close=True)
    pen.space.add_blockref("DOOR-TAG", (200, 40), dxfattribs={"layer": "A-DOOR"})
    pen.space.add_blockref("DOOR-TAG", (300, 40), dxfattribs={"layer": "A-GLAZ"})
    pen.hide("A-GLAZ", "freeze")
    assert said(pen, tmp_path) == []


@pytest.mark.parametrize(
    ("name", "says"),
    [("A-GLAZ", True), ("Doors", True), ("TÜREN", True), ("S-STRUCTURE", False), ("FURNITURE", False),
     ("WINDOW SHUTTERS", False), ("Fensterläden", False), ("A-DOOR-CNPY", False), ("A-DOOR-IDEN", False),
     ("DOOR NUMBERS", False), ("FENETRES-REPERES", False), ("A-EQPM-LVRS", True)],
)  # fmt: skip
def test_names_that_say_opening(name: str, *, says: bool) -> None:
    assert (hint_of(name) is Role.OPENINGS) is says


@pytest.mark.parametrize("at", [240, 300])
def test_a_foot_that_breaks_off_at_such_a_door(tmp_path: Path, at: float) -> None:
    pen = Pen()
    pen.path(((0, 0), (0, 192), (720, 192), (720, 0)), WALL)
    pen.line((0, 0), (240, 0), WALL)
    pen.line((280, 0), (720, 0), WALL)
    corners = ((at, 0), (at, 84), (at + 40, 84), (at + 40, 0))
    door = [pen.line(a, b, "A-DOOR").dxf.handle for a, b in itertools.pairwise(corners)]
    with pytest.raises(InputError) as caught:
        read(pen, tmp_path)
    cure = f"or name layer A-DOOR in [layers] openings: shape {door[0]} on it is in the gap"
    assert (cure in str(caught.value)) is (at == 240)


def test_a_number_in_a_door_that_is_open_at_its_foot_is_the_doors(tmp_path: Path) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.path(((440, 0), (440, 84), (480, 84), (480, 0)), OPENING)
    pen.text("D101", (450, 40))
    (wall,) = read(pen, tmp_path).walls
    assert (wall.tag, [o.tag for o in wall.openings]) == ("wall 1", ["D101"])


@pytest.mark.parametrize(
    "note", ['8" CMU', '8" BLOCK', "200 mm CMU", "BRICK VENEER", "TYP.", "EQ", "C.J.", "N.I.C."]
)
def test_a_material_or_a_note_is_no_mark(tmp_path: Path, note: str) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.text(note, (300, 100))
    (wall,) = read(pen, tmp_path).walls
    assert (wall.tag, wall.texts) == ("wall 1", (note,))


@pytest.mark.parametrize(("text", "tag"), [("A-501", "M3"), ("W-12", "W-12")])
def test_the_number_of_a_sheet_gives_way_to_a_tag_block(tmp_path: Path, text: str, tag: str) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.text(text, (600, 40), height=12)
    pen.doc.blocks.new("WALLTAG").add_circle((0, 0), 8)
    pen.space.add_blockref("WALLTAG", (360, 140)).add_attrib("T", "M3", (355, 136), dxfattribs={"height": 6})
    (wall,) = read(pen, tmp_path).walls
    assert wall.tag == tag


@pytest.mark.parametrize("strip", [(196, 38, 268, 42), (196, 36, 268, 40), (196, 32, 268, 40)])
def test_a_strip_at_the_foot_of_a_window_is_its_sill(
    tmp_path: Path, strip: tuple[float, float, float, float]
) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    window = pen.box((200, 40, 264, 88)).dxf.handle
    sill = pen.box(strip).dxf.handle
    elevation = read(pen, tmp_path)
    assert [box_of(o) for o in elevation.walls[0].openings] == [(200, 40, 264, 88)]
    (left,) = elevation.ignored
    assert left.place.handle == sill
    assert f"at the foot of opening {window} on layer {OPENING}: its sill" in left.words


def test_what_is_higher_overlaps_and_what_lies_apart_is_an_opening(tmp_path: Path) -> None:
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.box((200, 40, 264, 88))
    vent = pen.box((400, 16, 416, 24)).dxf.handle
    assert vent in [o.handle for o in read(pen, tmp_path).walls[0].openings]
    pen.box((196, 32, 268, 42))
    with pytest.raises(InputError, match="overlap"):
        read(pen, tmp_path)


def test_the_zoo_gives_no_alarm(tmp_path: Path) -> None:
    for way in ("lines", "nested blocks", "one block"):
        elevation = read_drawing(zoo.WAYS[way](tmp_path / f"{way}.dxf")).elevation
        assert not any("has no role" in sentence for sentence in elevation.repaired)


@pytest.mark.parametrize("layer", ["A-DOOR-IDEN", "A-GLAZ-TEXT", "FENETRES-REPERES", "A-DOOR-CNPY"])
def test_what_goes_with_doors_and_windows_is_read_as_none(tmp_path: Path, layer: str) -> None:
    """Drawn by fresh eyes: a box with a number beside the door was an opening, without a word."""
    pen = Pen()
    pen.box(WALL_BOX, "A-WALL")
    pen.box((200, 40, 264, 88), "A-DOOR")
    pen.box((400, 40, 440, 60), layer)
    pen.doc.saveas(tmp_path / "in.dxf")
    (wall,) = read_drawing(tmp_path / "in.dxf").elevation.walls
    assert [(o.box.x0, o.box.x1) for o in wall.openings] == [(200.0, 264.0)]


@pytest.mark.parametrize("high", [8.0, 8.5, 16.0])
def test_a_lintel_drawn_with_its_window_is_no_opening(tmp_path: Path, high: float) -> None:
    """Drawn by fresh eyes: a head of bricks on end, 215 mm, was an opening, without a word."""
    pen = Pen()
    pen.box(WALL_BOX, "A-WALL")
    pen.box((200, 40, 264, 88), "A-GLAZ")
    pen.box((192, 88, 272, 88 + high), "A-GLAZ")
    pen.box((400, 40, 464, 48), "A-GLAZ")
    pen.doc.saveas(tmp_path / "in.dxf")
    (wall,) = read_drawing(tmp_path / "in.dxf").elevation.walls
    assert [(o.box.x0, o.box.y1) for o in wall.openings if o.box.height > 8] == [(200.0, 88.0)]
