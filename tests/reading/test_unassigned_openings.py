"""Shapes that look like openings on layers whose names say nothing, and what is not taken for one."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from cli.harness import perpend
from perpend.dxf.load import load_drawing
from perpend.reading import read_drawing
from perpend.reading.gather.layer_names import says_nothing
from perpend.reading.gather.load_by_role import load_selected
from perpend.reading.reader import read_loaded
from perpend.reading.reading_options import ReadingOptions
from perpend.wording import handles_named
from reading import zoo
from reading.test_shapes import box_of, read
from reading.zoo import OPENING, WALL, Pen, corners_of, doubts_of, marked_wall

pytestmark = pytest.mark.usefixtures("small_ones_too")

WALL_BOX = (0, 0, 960, 160)
NAMED = {OPENING, "A-GLAZ"}
WINDOW = (400, 40, 448, 88)
DOOR = (600, 0, 640, 88)


def with_wall(**pen: object) -> Pen:
    return marked_wall(WALL_BOX, (300, 140), **pen)


def said(pen: Pen, folder: Path) -> list[str]:
    """Return what is said of layers without a role, the same whether all of the drawing is loaded or not."""
    path = pen.save(folder / "drawing.dxf")
    options = ReadingOptions()
    whole = read_loaded(load_drawing(path), options).elevation
    selected = read_loaded(load_selected(path, options), options).elevation
    assert (selected.repaired, selected.walls) == (whole.repaired, whole.walls)
    told = [sentence for sentence in whole.repaired if "has no role" in sentence]
    assert len(told) == len({o.layer for wall in whole.walls for o in wall.openings if o.layer not in NAMED})
    return told


def sentence(layer: str, count: int, handles: list[str]) -> str:
    named = handles_named(handles)
    if count == 1:
        looks, blind, asked = (
            f"1 shape on it in W1 looks like an opening ({named})",
            "it was",
            "it is one",
        )
    else:
        looks = f"{count} shapes on it in W1 look like openings ({named})"
        blind, asked = "they were", "they are openings"
    return (
        f"Layer {layer} has no role, yet {looks}: {blind} read as such. If {asked}, "
        f'name the layer in the settings: [layers] openings = ["A-ELEV-OPNG*", "{layer}"]; '
        f'if not, [layers] ignored = ["{layer}"] keeps this quiet.'
    )


def _closed(pen: Pen, layer: str) -> list[str]:
    return [pen.box(box, layer).dxf.handle for box in (WINDOW, DOOR)]


def _lines(pen: Pen, layer: str) -> list[str]:
    for box in (WINDOW, DOOR):
        pen.lines(corners_of(box), layer)
    return [line.dxf.handle for line in pen.space.query("LINE")][::4]


def _old_polylines(pen: Pen, layer: str) -> list[str]:
    attribs = {"layer": layer}
    return [
        pen.space.add_polyline2d(
            [pen.at(p) for p in corners_of(box)], close=True, dxfattribs=attribs
        ).dxf.handle
        for box in (WINDOW, DOOR)
    ]


def _doors_without_threshold(pen: Pen, layer: str) -> list[str]:
    paths = [((x, 0), (x, 84), (x + 40, 84), (x + 40, 0)) for x in (100, 700)]
    return [pen.path(path, layer).dxf.handle for path in paths]


def _arched(pen: Pen, layer: str) -> list[str]:
    rows = [
        (*pen.at(p), bulge) for p, bulge in (((400, 40), 0), ((448, 40), 0), ((448, 80), 1), ((400, 80), 0))
    ]
    drawn = pen.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": layer})
    return [drawn.dxf.handle]


def _lines_with_a_sloping_head(pen: Pen, layer: str) -> list[str]:
    pen.lines(((400, 40), (448, 40), (448, 88), (400, 96)), layer)
    return [pen.space.query("LINE")[0].dxf.handle]


def _blocks(pen: Pen, layer: str) -> list[str]:
    block = pen.doc.blocks.new("T-11", base_point=(24, 0))
    block.add_lwpolyline(corners_of((0, 0, 48, 48)), close=True)
    block.add_line((0, 0), (48, 48))
    attribs = {"layer": layer, "rotation": pen.angle}
    return [
        pen.space.add_blockref("T-11", pen.at((x, 40)), dxfattribs=attribs).dxf.handle for x in (200, 424)
    ]


def _blocks_with_marks(pen: Pen, layer: str) -> list[str]:
    found = _blocks(pen, layer)
    for number, reference in enumerate(pen.space.query("INSERT"), 1):
        reference.add_attrib("NR", f"F{number}", reference.dxf.insert, dxfattribs={"height": 6})
    return found


def _scaled_and_mirrored(pen: Pen, layer: str) -> list[str]:
    pen.doc.blocks.new("W").add_lwpolyline(corners_of((0, 0, 4, 5)), close=True)
    how = {"layer": layer, "rotation": pen.angle, "xscale": -12, "yscale": 12}
    return [pen.space.add_blockref("W", pen.at((500, 40)), dxfattribs=how).dxf.handle]


def _block_of_lines(pen: Pen, layer: str) -> list[str]:
    """Its outline is open, and the only closed thing in it is a knob."""
    block = pen.doc.blocks.new("D-7")
    for a, b in itertools.pairwise(((0, 0), (0, 84), (36, 84), (36, 0))):
        block.add_line(a, b)
    block.add_lwpolyline(corners_of((30, 40, 33, 43)), close=True)
    attribs = {"layer": layer, "rotation": pen.angle}
    return [pen.space.add_blockref("D-7", pen.at((500, 0)), dxfattribs=attribs).dxf.handle]


WAYS: dict[str, Callable[[Pen, str], list[str]]] = {
    "closed polylines": _closed,
    "loose lines": _lines,
    "lines with a sloping head": _lines_with_a_sloping_head,
    "polylines with vertices": _old_polylines,
    "doors without threshold": _doors_without_threshold,
    "arched": _arched,
    "blocks": _blocks,
    "blocks with marks": _blocks_with_marks,
    "scaled and mirrored": _scaled_and_mirrored,
    "block of lines": _block_of_lines,
}


@pytest.mark.parametrize("layer", ["X1", "0", "09", "A-WALL-2"])
@pytest.mark.parametrize("way", WAYS)
def test_openings_on_a_layer_that_says_nothing_are_reported(way: str, layer: str, tmp_path: Path) -> None:
    pen = with_wall()
    handles = WAYS[way](pen, layer)
    assert said(pen, tmp_path) == [sentence(layer, len(handles), handles)]


@pytest.mark.parametrize("way", WAYS)
def test_in_a_turned_wall(way: str, tmp_path: Path) -> None:
    pen = with_wall(angle=33.0, origin=(700, -200))
    handles = WAYS[way](pen, "X1")
    assert said(pen, tmp_path) == [sentence("X1", len(handles), handles)]


def test_openings_in_the_block_that_holds_the_wall_and_in_one_below_it(tmp_path: Path) -> None:
    pen = Pen()
    whole, window = pen.doc.blocks.new("ELEVATION"), pen.doc.blocks.new("T-11")
    whole.add_lwpolyline(corners_of(WALL_BOX), close=True, dxfattribs={"layer": WALL})
    whole.add_text("W1", height=9).set_placement((300, 140))
    whole.add_lwpolyline(corners_of(DOOR), close=True, dxfattribs={"layer": "E-3"})
    window.add_lwpolyline(corners_of((0, 0, 48, 48)), close=True)
    for x in (100, 400):
        whole.add_blockref("T-11", (x, 40), dxfattribs={"layer": "E-3"})
    handle = pen.space.add_blockref("ELEVATION", (1000, 500)).dxf.handle
    assert said(pen, tmp_path) == [sentence("E-3", 3, [handle])]


def test_all_windows_in_one_block_that_is_inserted_far_away(tmp_path: Path) -> None:
    pen = with_wall()
    windows = pen.doc.blocks.new("ALL")
    for x in (5100, 5400):
        windows.add_lwpolyline(corners_of((x, 40, x + 48, 88)), close=True)
    handle = pen.space.add_blockref("ALL", (-5000, 0), dxfattribs={"layer": "X1"}).dxf.handle
    pen.space.add_blockref("ALL", (5000, 0), dxfattribs={"layer": "X1"})
    assert said(pen, tmp_path) == [sentence("X1", 2, [handle])]


def test_beside_openings_that_were_read_and_others_that_are_hinted_at(tmp_path: Path) -> None:
    pen = with_wall()
    door = pen.box(DOOR, OPENING).dxf.handle
    pen.box((606, 6, 634, 82), "X1")  # its leaf
    hinted, silent = pen.box(WINDOW, "A-GLAZ").dxf.handle, pen.box((100, 40, 148, 88), "X1").dxf.handle
    pen.box((402, 42, 446, 86), "X1")  # the sash of the hinted one
    assert said(pen, tmp_path) == [sentence("X1", 1, [silent])]
    (wall,) = read(pen, tmp_path).walls
    assert [o.handle for o in wall.openings] == [silent, hinted, door]


def test_the_note_beside_the_wall_and_the_setting_that_makes_openings_of_them(tmp_path: Path) -> None:
    pen = with_wall()
    _blocks(pen, "X1")
    (wall,) = read(pen, tmp_path).walls
    assert doubts_of(wall) == (
        "2 shapes on layer X1 look like openings: read as such, by their looks alone.",
    )
    assert [box_of(o) for o in wall.openings] == [(176, 40, 224, 88), (400, 40, 448, 88)]
    options = ReadingOptions(openings=("A-ELEV-OPNG*", "X1"))
    elevation = read_drawing(pen.save(tmp_path / "drawing.dxf"), options).elevation
    assert [box_of(o) for o in elevation.walls[0].openings] == [(176, 40, 224, 88), (400, 40, 448, 88)]
    assert elevation.repaired == ()


def test_on_an_ignored_layer_nothing_is_looked_for(tmp_path: Path) -> None:
    """Neither openings nor marks, loose or in blocks, whether all of the drawing is loaded or not."""
    pen = with_wall()
    pen.text("W99", (600, 120), layer="X1", height=20)
    pen.doc.blocks.new("DOOR").add_lwpolyline(corners_of((0, 0, 40, 88)), close=True)
    pen.space.add_blockref("DOOR", (700, 0), dxfattribs={"layer": "X1"})
    _blocks_with_marks(pen, "X1")
    pen.box(WINDOW, "A-GLAZ")
    pen.box((100, 40, 148, 88), "A-ELEV-OPNG-OLD")
    path = pen.save(tmp_path / "drawing.dxf")
    options = ReadingOptions(ignored=("X1", "A-GLAZ", "*-OLD"))
    for loaded in (load_drawing(path), load_selected(path, options)):
        elevation = read_loaded(loaded, options).elevation
        (wall,) = elevation.walls
        assert (wall.tag, wall.openings, wall.texts, wall.doubts) == ("W1", (), ("W1",), ())
        assert elevation.repaired == ()


def _in_circle(pen: Pen) -> None:
    pen.space.add_circle((400, 80), 30, dxfattribs={"layer": "X1"})


def _hexagon(pen: Pen) -> None:
    pen.loop([(400, 80), (415, 54), (445, 54), (460, 80), (445, 106), (415, 106)], "X1")


def _hatch(pen: Pen) -> None:
    pen.space.add_hatch(dxfattribs={"layer": "X1"}).paths.add_polyline_path(corners_of(WINDOW))


def _frame_round_mark(pen: Pen) -> None:
    pen.box((640, 110, 680, 132), "X1")
    pen.text("W9", (660, 121))


def _frame_round_note(pen: Pen) -> None:
    pen.box((600, 60, 700, 100), "X1")
    for line in range(3):
        pen.text("SEE STRUCTURAL", (650, 70 + 10 * line), height=6)


def _field_round_openings(pen: Pen) -> None:
    for x in (300, 500):
        pen.box((x, 40, x + 48, 88))
    pen.box((260, 30, 600, 120), "X1")


def _tag_block(pen: Pen) -> None:
    pen.doc.blocks.new("WALL-TAG").add_lwpolyline(corners_of((0, 0, 40, 40)), close=True)
    pen.space.add_blockref("WALL-TAG", (500, 60), dxfattribs={"layer": "X1"})


def _hidden(pen: Pen) -> None:
    pen.doc.layers.add("X9").off()
    pen.box(WINDOW, "X9")
    pen.box(DOOR, "X1").dxf.invisible = 1


def _cladding(pen: Pen) -> None:
    for x, y in itertools.product(range(0, 960, 48), (8, 52, 96)):
        pen.box((x, y, x + 48, y + 44), "X1")


def _courses(pen: Pen) -> None:
    for y in range(8, 160, 8):
        pen.line((0, y), (960, y), "X1")
        for x in range(8 * (y // 8 % 2), 960, 16):
            pen.line((x, y - 8), (x, y), "X1")


def _shutters(pen: Pen) -> None:
    pen.box(WINDOW)
    for x in (378, 450):
        pen.box((x, 40, x + 20, 88), "X1")


QUIET: dict[str, Callable[[Pen], object]] = {
    "circle": _in_circle,
    "hexagon": _hexagon,
    "hatch": _hatch,
    "frame round a mark": _frame_round_mark,
    "frame round a note": _frame_round_note,
    "field round openings": _field_round_openings,
    "tag block": _tag_block,
    "hidden": _hidden,
    "cladding": _cladding,
    "courses": _courses,
    "shutters": _shutters,
    "planter": lambda pen: pen.box((400, 0, 480, 30), "X1"),
    "bench": lambda pen: pen.box((400, 4, 424, 40), "X1"),
    "vent": lambda pen: pen.box((400, 40, 424, 56), "X1"),
    "downspout": lambda pen: pen.box((400, 0, 415, 140), "X1"),
    "pier": lambda pen: pen.box((400, 0, 432, 160), "X1"),
    "band": lambda pen: pen.box((10, 100, 950, 124), "X1"),
    "leaning": lambda pen: pen.loop([(400, 40), (460, 50), (450, 110), (390, 100)], "X1"),
    "triangle": lambda pen: pen.loop([(400, 40), (460, 40), (460, 110)], "X1"),
    "out of the wall": lambda pen: pen.box((930, 40, 980, 120), "X1"),
    "over the top": lambda pen: pen.box((400, 100, 448, 170), "X1"),
    "outside": lambda pen: pen.box((400, 300, 448, 388), "X1"),
    "furniture": lambda pen: pen.box(WINDOW, "A-FURN"),
    "signs": lambda pen: pen.box(WINDOW, "A-SIGN"),
    "joints by name": lambda pen: pen.box(WINDOW, "CTRL-JOINTS"),
    "dimensions by name": lambda pen: pen.box(WINDOW, "DIMS"),
    "open": lambda pen: pen.path(corners_of(WINDOW), "X1"),
}


@pytest.mark.parametrize("what", QUIET)
def test_no_alarm(what: str, tmp_path: Path) -> None:
    pen = with_wall()
    QUIET[what](pen)
    assert said(pen, tmp_path) == []


def test_of_a_window_with_its_shutters_only_the_window_is_told_and_of_a_door_its_sidelights_too(
    tmp_path: Path,
) -> None:
    pen = with_wall()
    window = pen.box(WINDOW, "X1").dxf.handle
    for x in (378, 450):
        pen.box((x, 40, x + 20, 88), "X1")
    pen.box(DOOR, OPENING)
    sidelight = pen.box((642, 0, 660, 88), "X1").dxf.handle
    assert said(pen, tmp_path) == [sentence("X1", 2, [window, sidelight])]


def test_a_pattern_of_very_many_outlines_is_none(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box(DOOR, "X2")
    for number in range(2001):
        pen.box((100 + number / 100, 20, 140 + number / 100, 50), "X1")
    (only,) = said(pen, tmp_path)
    assert only.startswith("Layer X2 ")


def test_a_damaged_outline_that_nobody_asked_for_refuses_nothing(tmp_path: Path) -> None:
    pen = with_wall()
    pen.box((float("nan"), 0, 640, 88), "X1")
    pen.loop([(600, 0), (1e13, 0), (640, 88), (600, 88)], "X1")
    assert said(pen, tmp_path) == []


def test_a_text_in_such_a_shape_is_no_walls_mark(tmp_path: Path) -> None:
    """Marks in windows outweigh a name of two words, were they the wall's."""
    pen = Pen()
    pen.box(WALL_BOX, WALL)
    pen.text("WAND A", (300, 140))
    _blocks_with_marks(pen, "09")
    _doors_without_threshold(pen, "07")
    pen.text("T1", (120, 40), height=12)
    (wall,) = read(pen, tmp_path).walls
    assert wall.tag == "WAND A"


def test_the_line_of_a_batch_says_it_though_the_drawing_is_clean(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("perpend.folders.LocalProcesses", ThreadPoolExecutor)
    pen = with_wall()
    pen.box((384, 40, 432, 88), "X1")
    (tmp_path / "in").mkdir()
    pen.save(tmp_path / "in" / "a.dxf")
    ending = perpend("batch", tmp_path / "in", "--out", tmp_path / "out", "--jobs", "1")
    line = ending.out.splitlines()[0]
    assert line.startswith("a.dxf: clean: 1 wall, ")
    told = "W1: 1 shape on layer X1 looks like an opening: read as such"
    assert f", 1 remark (1 doubt of the reading): {told}" in line


def test_walls_are_named_in_their_order_and_of_very_many_the_first_eight(tmp_path: Path) -> None:
    pen = Pen()
    for number in range(11):
        x = 600.0 * number
        pen.box((x, 0, x + 480, 160), WALL)
        pen.text(f"W{number + 1}", (x + 40, 140))
        pen.box((x + 200, 40, x + 232 + number, 88), "X1")
    (only,) = said(pen, tmp_path)
    assert "11 shapes on it in W1, W2, W3, W4, W5, W6, W7, W8 and 3 more walls look" in only


@pytest.mark.parametrize(
    ("name", "nothing"),
    [("X1", True), ("0", True), ("E-3", True), ("A-WALL-2", True), ("A-GLAZ", False), ("NOTES", False),
     ("A-ELEV-PATT", False), ("A-FURN", False), ("A-SIGN", False), ("DESIGN", False), ("CJ", False),
     ("CENTER", False), ("HIDDEN", False), ("A-HIDD", False), ("E-COND", False), ("DOWNSPOUT", False),
     ("P-PIPE", False), ("SHUTTERS", False), ("SECOND FLOOR", True)],
)  # fmt: skip
def test_names_that_say_nothing(name: str, *, nothing: bool) -> None:
    assert says_nothing(name) is nothing


def test_the_zoo_gives_no_alarm(tmp_path: Path) -> None:
    for way in ("lines", "nested blocks", "one block"):
        elevation = read_drawing(zoo.WAYS[way](tmp_path / f"{way}.dxf")).elevation
        assert not any("has no role" in sentence for sentence in elevation.repaired)
