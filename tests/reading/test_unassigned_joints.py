"""Lines that look like joints on layers without a role: not read, but told."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Literal

import ezdxf
import pytest

from perpend import annotate, check
from perpend.dxf.load import load_drawing
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.folders import BatchOptions, run_batch
from perpend.model import Elevation
from perpend.reading import read_drawing
from perpend.reading.gather.load_by_role import load_selected
from perpend.reading.reader import read_loaded
from perpend.reading.reading_options import ReadingOptions
from reading import zoo
from reading.zoo import JOINT, WALL, Pen, doubts_of, layers_of, marked_wall

pytestmark = pytest.mark.usefixtures("small_ones_too")

UNREAD = "CTRL JT"
"""A layer whose name says control joints, and that no default reads."""

DEFAULT = '"A-ELEV-JNTC*", "*-CTLJ*", "*-EXPJ*", "CJ"'

WALL_BOX = (0, 0, 960, 160)
WINDOW = (400, 40, 464, 96)
STATIONS = (96, 384, 672, 880)


def walled(angle: float = 0.0) -> Pen:
    return marked_wall(WALL_BOX, (40, 140), angle=angle)


def reading(pen: Pen, folder: Path) -> Elevation:
    """Read a drawing; what is said is the same whether all of it is loaded or not."""
    path = pen.save(folder / "drawing.dxf")
    options = ReadingOptions()
    whole = read_loaded(load_drawing(path), options).elevation
    selected = read_loaded(load_selected(path, options), options).elevation
    assert (selected.repaired, [w.doubts for w in selected.walls]) == (
        whole.repaired,
        [w.doubts for w in whole.walls],
    )
    return whole


def said(pen: Pen, folder: Path) -> list[str]:
    return [sentence for sentence in reading(pen, folder).repaired if sentence.startswith("Layer ")]


@pytest.mark.parametrize("turn", [0.0, 33.0])
@pytest.mark.parametrize(
    "layer", ["CONTROL JOINTS", UNREAD, "A-WALL-JOINT", "Dehnfugen", "S-CMU-CONTROL JT", "0", "X7"]
)
def test_lines_across_a_wall_are_told_first_with_the_setting(tmp_path: Path, layer: str, turn: float) -> None:
    pen = walled(turn)
    for x in STATIONS:
        pen.line((x, 0), (x, 160), layer)
    elevation = reading(pen, tmp_path)
    assert elevation.repaired[0] == (
        f"Layer {layer} has no role, yet 4 upright lines on it cross W1 from edge to edge: they were not "
        "read, and joints are placed and judged as if they were not there. If they are joints, name the "
        f'layer in the settings: [layers] joints = [{DEFAULT}, "{layer}"]; if not, [layers] ignored = '
        f'["{layer}"] keeps this quiet.'
    )
    (wall,) = elevation.walls
    assert wall.drawn_joints == ()
    assert doubts_of(wall) == (
        f"4 upright lines on layer {layer} cross the wall from edge to edge but were not read as joints.",
    )


def test_lines_that_were_left_out_of_the_loading_are_among_them(tmp_path: Path) -> None:
    pen = walled()
    pen.line((384, 0), (384, 160), "X7")
    assert len(said(pen, tmp_path)) == 1
    doc = load_selected(tmp_path / "drawing.dxf", ReadingOptions()).doc
    assert left_out_of(doc).shown["X7"].lines.tolist() == [384, 0, 384, 160]


def test_the_setting_that_is_named_makes_joints_of_them(tmp_path: Path) -> None:
    pen = walled()
    pen.line((384, 0), (384, 160), "X7")
    path = pen.save(tmp_path / "drawing.dxf")
    elevation = read_drawing(path, ReadingOptions(joints=("A-ELEV-JNTC*", "X7"))).elevation
    assert [j.path for j in elevation.walls[0].drawn_joints] == [((384, 0), (384, 160))]
    assert elevation.repaired == ()


def test_the_setting_that_ignores_a_layer_keeps_it_quiet(tmp_path: Path) -> None:
    pen = walled()
    for x, layer in ((200, "X7"), (384, UNREAD)):
        pen.line((x, 0), (x, 160), layer)
    in_a_block(pen, "X8")
    path = pen.save(tmp_path / "drawing.dxf")
    options = ReadingOptions(ignored=("X*", UNREAD))
    for loaded in (load_drawing(path), load_selected(path, options)):
        elevation = read_loaded(loaded, options).elevation
        assert (elevation.repaired, elevation.walls[0].doubts) == ((), ())


def test_each_wall_is_told_with_its_own_lines(tmp_path: Path) -> None:
    pen = walled()
    pen.box((1200, 0, 1600, 120), WALL)
    pen.text("W2", (1220, 100))
    for x, top in ((384, 160), (672, 155), (1400, 120)):
        pen.line((x, 3), (x, top), "X7")
    elevation = reading(pen, tmp_path)
    assert "3 upright lines on it cross W1 and W2 from edge to edge" in elevation.repaired[0]
    assert [w.doubts[0].words[:15] for w in elevation.walls] == ["2 upright lines", "1 upright line "]


@pytest.mark.parametrize(
    ("count", "named"),
    [(3, "wall 1, wall 2 and wall 3"), (9, "wall 7, wall 8 and wall 9"), (12, "wall 8 and 4 more walls")],
)
def test_of_very_many_walls_the_first_are_named(tmp_path: Path, count: int, named: str) -> None:
    pen = Pen()
    for left in range(0, 600 * count, 600):
        pen.box((left, 0, left + 480, 144), WALL)
        pen.line((left + 200, 0), (left + 200, 144), "X7")
    (sentence,) = said(pen, tmp_path)
    assert f"{named} from edge to edge" in sentence


def in_a_block(pen: Pen, layer: str = "X7") -> None:
    block = pen.doc.blocks.new("CTRL JT", base_point=(5, 5))
    block.add_line((5, 5), (5, 6))
    block.add_circle((5, 6.1), 0.05)
    pen.space.add_blockref("CTRL JT", (384, 0), dxfattribs={"layer": layer, "yscale": 160, "xscale": -3})


def in_a_nested_block(pen: Pen) -> None:
    inner = pen.doc.blocks.new("LINE OF A JOINT")
    inner.add_lwpolyline([(0, 0), (0, 100), (0, 160)])
    outer = pen.doc.blocks.new("JOINT WITH ITS NUMBER")
    outer.add_blockref("LINE OF A JOINT", (0, 20), dxfattribs={"layer": "X7"})
    pen.space.add_blockref("JOINT WITH ITS NUMBER", (384, -20))


def dashes(pen: Pen, dash: float, gap: float, foot: float = 0, head: float = 160) -> None:
    while foot < head:
        pen.line((384, foot), (384, min(foot + dash, head)), "X7")
        foot += dash + gap


def leaning_dashes(pen: Pen) -> None:
    for foot in range(0, 160, 12):
        head = min(foot + 6, 160)
        pen.line((384 + foot / 84, foot), (384 + head / 84, head), "X7")


def a_block_of_dashes(pen: Pen) -> None:
    block = pen.doc.blocks.new("DASHES")
    for foot in range(0, 160, 10):
        block.add_line((0, foot), (0, foot + 5))
    pen.space.add_blockref("DASHES", (384, 0), dxfattribs={"layer": "X7"})


def a_dash_in_an_array(pen: Pen) -> None:
    pen.doc.blocks.new("DASH").add_line((0, 0), (0, 6))
    how = {"layer": "X7", "row_count": 14, "row_spacing": 12}
    pen.space.add_blockref("DASH", (384, 0), dxfattribs=how)


def above_a_door(pen: Pen) -> None:
    pen.box((384, 0, 424, 88))
    pen.line((384, 88), (384, 160), "X7")


def beside_and_below_a_window(pen: Pen) -> None:
    pen.box(WINDOW)
    pen.line((432, 0), (432, 40), "X7")
    pen.line((432, 96), (432, 160), "X7")


@pytest.mark.parametrize(
    "draw",
    [
        lambda pen: pen.line((384, 160), (385, 0), "X7"),
        lambda pen: pen.path([(384, 0), (384, 70), (384, 160)], "X7"),
        lambda pen: (pen.line((384, 0), (384, 80), "X7"), pen.line((384, 80), (384, 160), "X7")),
        lambda pen: pen.box((383.8, 0, 384.2, 160), "X7"),
        lambda pen: (pen.line((384, 0), (384, 160), "X7"), pen.line((384, 0), (384, 160), "X7")),
        lambda pen: (pen.line((384, 0), (384, 160), "X7"), pen.line((380, 162), (388, 162), "X7")),
        in_a_block,
        in_a_nested_block,
        beside_and_below_a_window,
        lambda pen: dashes(pen, 6, 6),
        lambda pen: dashes(pen, 4, 12),
        lambda pen: dashes(pen, 7.625, 0.375),
        leaning_dashes,
        a_block_of_dashes,
        a_dash_in_an_array,
        above_a_door,
    ],
    ids=[
        "leaning",
        "polyline",
        "two-pieces",
        "strip",
        "twice",
        "tick",
        "block",
        "nested",
        "window",
        "dashes",
        "short-dashes",
        "pieces",
        "leaning-dashes",
        "block-of-dashes",
        "array",
        "above-a-door",
    ],
)
def test_one_joint_however_it_is_drawn(tmp_path: Path, draw: Callable[[Pen], object]) -> None:
    pen = walled()
    draw(pen)
    (sentence,) = said(pen, tmp_path)
    assert "Layer X7 has no role, yet 1 upright line on it crosses W1 from edge to edge" in sentence


def in_steps(pen: Pen) -> None:
    pen.path([(384, 0), (384, 80), (392, 80), (392, 160)], "X7")


def in_steps_of_single_lines(pen: Pen) -> None:
    """Drawn in any order and direction."""
    for a, b in (((392, 80), (384, 80)), ((392, 160), (392, 80)), ((384, 0), (384, 80))):
        pen.line(a, b, "X7")


def along_the_teeth_of_the_bond(pen: Pen) -> None:
    pen.path([(384 + 8 * (y // 8 % 2), y + end) for y in range(0, 160, 8) for end in (0, 8)], "X7")


def at_the_jamb_of_a_window(pen: Pen) -> None:
    """Up to its sill, and from its head over the lintel's bearing to the top."""
    pen.box(WINDOW)
    pen.line((400, 0), (400, 40), "X7")
    pen.path([(400, 96), (392, 96), (392, 160)], "X7")


def from_the_head_of_a_door(pen: Pen) -> None:
    pen.box((384, 0, 424, 88))
    pen.path([(384, 88), (376, 88), (376, 160)], "X7")


@pytest.mark.parametrize(
    "draw",
    [
        in_steps,
        in_steps_of_single_lines,
        along_the_teeth_of_the_bond,
        at_the_jamb_of_a_window,
        from_the_head_of_a_door,
    ],
)
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_one_joint_that_steps_aside(tmp_path: Path, draw: Callable[[Pen], object], turn: float) -> None:
    pen = walled(turn)
    draw(pen)
    elevation = reading(pen, tmp_path)
    assert elevation.repaired[0].startswith(
        "Layer X7 has no role, yet 1 line on it crosses W1 from edge to edge: it was not read, and joints"
    )
    assert doubts_of(elevation.walls[0]) == (
        "1 line on layer X7 crosses the wall from edge to edge but was not read as a joint.",
    )


def test_a_joint_that_steps_aside_on_a_layer_whose_name_says_joints_is_told_alike(tmp_path: Path) -> None:
    pen = walled()
    pen.path([(384, 0), (384, 80), (392, 80), (392, 160)], UNREAD)
    (sentence,) = said(pen, tmp_path)
    assert f"Layer {UNREAD} has no role, yet 1 line on it crosses W1 from edge to edge" in sentence


def test_joints_among_the_units_of_a_bond_pattern_on_the_same_layer(tmp_path: Path) -> None:
    pen = marked_wall((0, 0, 2400, 160), (40, 140))
    for row in range(20):
        pen.line((0, 8 * row), (2400, 8 * row), "0")
        for x in range(8 * (row % 2), 2400, 16):
            pen.line((x, 8 * row), (x, 8 * row + 8), "0")
    for x in (604, 1204):
        pen.line((x, 0), (x, 160), "0")
    (sentence,) = said(pen, tmp_path)
    assert "Layer 0 has no role, yet 2 upright lines on it cross W1 from edge to edge" in sentence


def test_an_elevation_that_is_one_block(tmp_path: Path) -> None:
    pen = Pen()
    block = pen.doc.blocks.new("ELEVATION")
    block.add_lwpolyline(zoo.corners_of(WALL_BOX), close=True, dxfattribs={"layer": WALL})
    for x in STATIONS:
        block.add_line((x, 0), (x, 160), dxfattribs={"layer": "X7"})
    pen.space.add_blockref("ELEVATION", (500, 300), dxfattribs={"rotation": 20})
    (sentence,) = said(pen, tmp_path)
    assert "Layer X7 has no role, yet 4 upright lines on it cross wall 1" in sentence


@pytest.mark.parametrize("number", ["nan", "inf", "1e300"])
def test_what_is_no_place_on_a_drawing_is_passed_over(tmp_path: Path, number: str) -> None:
    """Nobody asked for what stands on such a layer: it is no reason to refuse a drawing, or to warn."""
    pen = walled()
    pen.line((384, 0), (384, 160), "X7")
    pen.line((123456, 0), (500, 160), "X7")
    in_a_block(pen, "X8")
    pen.space.add_blockref("CTRL JT", (123456, 0), dxfattribs={"layer": "X8", "yscale": 160})
    path = pen.save(tmp_path / "drawing.dxf")
    text = path.read_text(encoding="utf-8")
    assert text.count("123456.0") == 2
    path.write_text(text.replace("123456.0", number), encoding="utf-8")
    options = ReadingOptions()
    for loaded in (load_drawing(path), load_selected(path, options)):
        told = read_loaded(loaded, options).elevation.repaired
        assert [sentence.split(" on it")[0] for sentence in told] == [
            "Layer X7 has no role, yet 1 upright line",
            "Layer X8 has no role, yet 1 upright line",
        ]


def test_a_reference_without_a_name_within_a_block_is_passed_over(tmp_path: Path) -> None:
    pen = walled()
    inner, outer = pen.doc.blocks.new("INNER"), pen.doc.blocks.new("OUTER")
    inner.add_line((0, 0), (0, 160))
    outer.add_line((0, 0), (0, 160))
    outer.add_blockref("INNER", (100, 0))
    pen.space.add_blockref("OUTER", (384, 0), dxfattribs={"layer": "X7"})
    path = pen.save(tmp_path / "drawing.dxf")
    text = path.read_text(encoding="utf-8")
    named = "AcDbBlockReference\n  2\nINNER\n"
    assert text.count(named) == 1
    path.write_text(text.replace(named, "AcDbBlockReference\n"), encoding="utf-8")
    (sentence,) = read_drawing(path).elevation.repaired
    assert "Layer X7 has no role, yet 1 upright line on it crosses W1" in sentence


def grid_lines(pen: Pen) -> None:
    for x in STATIONS:
        pen.line((x, -20), (x, 240), "X7")


def a_downspout(pen: Pen) -> None:
    for x in (384, 388):
        pen.line((x, 0), (x, 160), "X7")


def a_column(pen: Pen) -> None:
    for a, b in (((300, 0), (300, 160)), ((300, 160), (340, 160)), ((340, 160), (340, 0))):
        pen.line(a, b, "X7")


def cladding(pen: Pen) -> None:
    for x in range(100, 900, 16):
        pen.line((x, 0), (x, 160), "X7")


def stacked_bond(pen: Pen) -> None:
    for x in range(16, 960, 16):
        for y in range(0, 160, 8):
            pen.line((x, y), (x, y + 8), "X7")


def on_a_hidden_layer(pen: Pen) -> None:
    pen.line((384, 0), (384, 160), "X7")
    pen.doc.layers.add("X7").off()


def what_is_no_joint_on_a_hidden_layer(pen: Pen) -> None:
    pen.line((1100, 0), (1100, 160), UNREAD)
    pen.line((200, 80), (400, 80), UNREAD)
    pen.hide(UNREAD, "freeze")


def over_a_joint(pen: Pen) -> None:
    pen.line((384, 0), (384, 160), JOINT)
    pen.line((385, 0), (385, 160), "X7")


def a_dashed_grid_line(pen: Pen) -> None:
    dashes(pen, 12, 4, -40, 240)


def a_stair(pen: Pen) -> None:
    pen.path([(300 + 11 * step, 8 * (step + end)) for step in range(20) for end in (0, 1)], "X7")


def a_pier_that_grows_narrower(pen: Pen) -> None:
    pen.loop([(300, 0), (320, 0), (320, 100), (312, 100), (312, 160), (300, 160)], "X7")


def a_few_units_of_running_bond(pen: Pen) -> None:
    for row in range(20):
        for x in range(200 + 8 * (row % 2), 264, 16):
            pen.line((x, 8 * row), (x, 8 * row + 8), "X7")


def units_drawn_one_by_one(pen: Pen) -> None:
    for row in range(20):
        for x in range(200 + 8 * (row % 2), 264, 16):
            pen.box((x, 8 * row, x + 16, 8 * row + 8), "X7")


def above_a_window_only(pen: Pen) -> None:
    pen.box(WINDOW)
    pen.line((400, 96), (400, 160), "X7")


def coursing(pen: Pen) -> None:
    for row in range(20):
        for x in range(8 + 8 * (row % 2), 960, 16):
            pen.line((x, 8 * row), (x, 8 * row + 8), "MORTAR JOINTS")


@pytest.mark.parametrize(
    "draw",
    [
        grid_lines,
        a_downspout,
        a_column,
        cladding,
        stacked_bond,
        on_a_hidden_layer,
        what_is_no_joint_on_a_hidden_layer,
        over_a_joint,
        coursing,
        a_dashed_grid_line,
        a_stair,
        a_pier_that_grows_narrower,
        a_few_units_of_running_bond,
        units_drawn_one_by_one,
        above_a_window_only,
        lambda pen: pen.box((300, 0, 340, 160), "X7"),
        lambda pen: pen.line((4, 0), (4, 160), "X7"),
        lambda pen: pen.line((384, 0), (384, 120), "X7"),
        lambda pen: pen.line((384, 0), (420, 160), "X7"),
        lambda pen: pen.line((1100, 0), (1100, 160), "X7"),
        lambda pen: pen.line((384, 0), (384, 160), "A-ANNO-NOTE"),
        lambda pen: pen.line((384, 0), (384, 160), "S-GRID"),
        lambda pen: pen.line((384, 0), (384, 160), "CENTER"),
        lambda pen: pen.line((384, 0), (384, 160), "E-COND"),
        lambda pen: pen.line((384, 0), (384, 160), "DOWNSPOUT"),
        lambda pen: pen.line((384, 0), (384, 160), "Defpoints"),
        lambda pen: pen.line((384, 0), (384, 160), "A-JOINT-IDEN"),
        lambda pen: pen.line((384, 0), (384, 160), "X7").dxf.set("invisible", 1),
    ],
    ids=lambda draw: draw.__name__,
)
def test_no_alarm(tmp_path: Path, draw: Callable[[Pen], object]) -> None:
    pen = walled()
    draw(pen)
    assert said(pen, tmp_path) == []


def test_on_a_layer_whose_name_says_joints_steps_symbols_and_short_ones_count_too(tmp_path: Path) -> None:
    pen = walled()
    pen.path([(100, 0), (100, 80), (108, 80), (108, 160)], UNREAD)
    pen.line((300, 0), (300, 120), UNREAD)
    symbol = pen.doc.blocks.new("SYMBOL")
    symbol.add_circle((0, 0), 6)
    pen.space.add_blockref("SYMBOL", (600, 170), dxfattribs={"layer": UNREAD})
    elevation = reading(pen, tmp_path)
    assert (
        f"Layer {UNREAD} has no role, yet 3 lines on it look like joints of W1: they were not"
        in elevation.repaired[0]
    )
    assert doubts_of(elevation.walls[0]) == (
        f"3 lines on layer {UNREAD} look like joints but were not read as joints.",
    )


@pytest.mark.parametrize(
    ("hide", "state", "cure"),
    [
        (("freeze",), "frozen", "thaw the layer"),
        (("off",), "off", "turn the layer on"),
        (("freeze", "off"), "frozen and off", "thaw the layer and turn it on"),
    ],
)
@pytest.mark.parametrize("drawn", ["loose", "in a block"])
def test_joints_on_a_hidden_layer_without_a_role_are_told_with_what_makes_it_show(
    tmp_path: Path, drawn: str, hide: tuple[str, ...], state: str, cure: str
) -> None:
    pen = walled()
    if drawn == "loose":
        pen.line((384, 0), (384, 160), UNREAD)
    else:
        pen.doc.blocks.new("ELEVATION").add_line((0, 0), (0, 160), dxfattribs={"layer": UNREAD})
        pen.space.add_blockref("ELEVATION", (384, 0))
    pen.hide(UNREAD, *hide)
    elevation = reading(pen, tmp_path)
    assert elevation.repaired == (
        f"Layer {UNREAD} ({state}) has no role, yet 1 upright line on it crosses W1 from edge to edge: it "
        f"was not read, and joints are placed and judged as if it was not there. If it is a joint, {cure}, "
        "and name "
        f'it in the settings: [layers] joints = [{DEFAULT}, "{UNREAD}"]; if not, [layers] ignored = '
        f'["{UNREAD}"] keeps this quiet.',
    )
    assert doubts_of(elevation.walls[0]) == (
        f"1 upright line on layer {UNREAD} ({state}) crosses the wall from edge to edge but was not read as "
        "a joint.",
    )


@pytest.mark.parametrize("command", ["annotate", "check"])
def test_the_doubt_is_in_the_results_in_the_index_and_on_the_reviewed_drawing(
    tmp_path: Path, command: Literal["annotate", "check"]
) -> None:
    pen = walled()
    for x in STATIONS:
        pen.line((x, 0), (x, 160), "0")
    source = pen.save(tmp_path / "drawing.dxf")
    done = annotate(source) if command == "annotate" else check(source)
    (wall,) = done.results.walls
    assert (
        "4 upright lines on layer 0 cross the wall from edge to edge but were not read as joints."
        in wall.notes
    )
    assert done.results.repaired[0].startswith("Layer 0 has no role, yet 4 upright lines on it cross W1")
    assert done.output is not None
    layers = layers_of(done.output, "4 upright lines on layer 0 cross the wall from edge to edge")
    assert layers == ({"A-ELEV-JNTC-BASS"} if command == "annotate" else {"A-ELEV-JNTC-VIOL"})
    written = ezdxf.readfile(done.output).layers
    assert [bool(written.get(name).dxf.plot) for name in layers] == [command == "check"]
    (tmp_path / "in").mkdir()
    shutil.copy(source, tmp_path / "in" / "drawing.dxf")
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(check=command == "check"))
    assert report.outcomes[0].remarks >= 1


@pytest.mark.parametrize("sample", sorted((Path(__file__).parents[2] / "sample_drawings").glob("*.dxf")))
def test_the_samples_give_no_alarm(sample: Path) -> None:
    elevation = read_drawing(sample).elevation
    assert not any(sentence.startswith("Layer ") for sentence in elevation.repaired)
