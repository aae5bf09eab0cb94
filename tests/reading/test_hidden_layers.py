"""Layers of joints and of openings that are frozen or off: what is on them is not read, and that is told."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from perpend import annotate
from perpend.folders import BatchOptions, run_batch
from reading.test_shapes import read
from reading.zoo import JOINT, OPENING, WALL, Pen, corners_of, doubts_of, layers_of, marked_wall

WALL_BOX = (0, 0, 960, 160)
WINDOWS = ((200, 40, 248, 88), (600, 40, 648, 88))
JOINTS = (96, 384, 672, 880)
STATES = [
    (("freeze",), "frozen", "Thaw the layer"),
    (("off",), "off", "Turn the layer on"),
    (("freeze", "off"), "frozen and off", "Thaw the layer and turn it on"),
]


def walled() -> Pen:
    return marked_wall(WALL_BOX, (40, 140))


def with_windows(layer: str = OPENING) -> Pen:
    pen = walled()
    for box in WINDOWS:
        pen.box(box, layer)
    return pen


@pytest.mark.parametrize(("ways", "state", "cure"), STATES)
def test_a_hidden_joint_layer_is_a_remark(
    tmp_path: Path, ways: tuple[str, ...], state: str, cure: str
) -> None:
    pen = walled()
    for x in JOINTS:
        pen.line((x, 0), (x, 160), JOINT)
    pen.hide(JOINT, *ways)
    elevation = read(pen, tmp_path)
    assert elevation.repaired == (
        f"Layer {JOINT} is a joint layer, but {state}: 4 entities on it were not read, and joints are placed "
        f"and judged as if they were not there. {cure} if they count.",
    )
    assert doubts_of(elevation.walls[0]) == (
        f"Joint layer {JOINT} is {state}: 4 entities on it were not read.",
    )


@pytest.mark.parametrize(("ways", "state", "cure"), STATES)
def test_a_hidden_opening_layer_is_the_first_remark(
    tmp_path: Path, ways: tuple[str, ...], state: str, cure: str
) -> None:
    pen = with_windows()
    pen.line((384, 0), (384, 160), "X7")
    pen.hide(OPENING, *ways)
    elevation = read(pen, tmp_path)
    assert elevation.repaired[0] == (
        f"Layer {OPENING} is an opening layer, but {state}: 2 entities on it were not read, and joints are "
        f"placed and judged as if they were not there. {cure} if they count."
    )
    assert elevation.walls[0].openings == ()
    assert elevation.walls[0].doubts[0].words == (
        f"Opening layer {OPENING} is {state}: 2 entities on it were not read."
    )


@pytest.mark.parametrize("layer", [JOINT, OPENING])
def test_what_is_invisible_on_a_layer_that_shows_is_told_as_that(tmp_path: Path, layer: str) -> None:
    pen = walled()
    pen.box(WINDOWS[0], layer).dxf.set("invisible", 1)
    elevation = read(pen, tmp_path)
    (sentence,) = elevation.repaired
    assert "layer, but what is on it is invisible: 1 entity on it was not read, and joints" in sentence
    assert sentence.endswith("as if it was not there. Make it visible if it counts.")
    assert (
        elevation.walls[0].doubts[0].words.endswith(f"layer {layer} is hidden: 1 entity on it was not read.")
    )


def test_an_invisible_opening_beside_others_that_were_read_is_a_state_of_a_block_that_does_not_show(
    tmp_path: Path,
) -> None:
    pen = with_windows()
    pen.box((400, 0, 440, 88)).dxf.set("invisible", 1)
    elevation = read(pen, tmp_path)
    assert (elevation.repaired, elevation.walls[0].doubts) == ((), ())
    assert [left.place.kind for left in elevation.ignored] == ["1 hidden"]


def test_beside_a_wall_whose_openings_were_read_no_doubt_stands(tmp_path: Path) -> None:
    pen = with_windows("A-ELEV-OPNG-NEWW")
    pen.box((1200, 0, 1600, 120), WALL)
    pen.box((1300, 0, 1340, 88))
    pen.hide(OPENING, "freeze")
    elevation = read(pen, tmp_path)
    assert elevation.repaired[0].startswith(f"Layer {OPENING} is an opening layer, but frozen: 1 entity")
    assert [len(wall.doubts) for wall in elevation.walls] == [0, 1]


def in_a_reference(pen: Pen, layer: str) -> None:
    pen.doc.blocks.new("T-11").add_lwpolyline(corners_of((0, 0, 48, 48)), close=True)
    for x, y, _, _ in WINDOWS:
        pen.space.add_blockref("T-11", (x, y), dxfattribs={"layer": layer})


def in_a_nested_reference(pen: Pen, layer: str) -> None:
    in_a_reference(pen, layer)
    outer = pen.doc.blocks.new("FRONT")
    for reference in list(pen.space.query("INSERT")):
        outer.add_blockref("T-11", reference.dxf.insert, dxfattribs={"layer": layer})
        pen.space.delete_entity(reference)
    pen.space.add_blockref("FRONT", (0, 0))


def loose(pen: Pen, layer: str) -> None:
    for box in WINDOWS:
        pen.box(box, layer)


@pytest.mark.parametrize("draw", [loose, in_a_reference, in_a_nested_reference])
@pytest.mark.parametrize(("ways", "state", "cure"), STATES)
def test_a_hidden_layer_whose_name_says_openings_is_told_with_what_makes_it_show(
    tmp_path: Path, ways: tuple[str, ...], state: str, cure: str, draw: Callable[[Pen, str], None]
) -> None:
    pen = walled()
    draw(pen, "A-GLAZ")
    pen.hide("A-GLAZ", *ways)
    (sentence,) = read(pen, tmp_path).repaired
    assert sentence.startswith(
        f"Layer A-GLAZ ({state}) has no role, yet 2 shapes on it in W1 look like openings (handle"
    )
    assert (
        f"If they are openings, {cure[0].lower()}{cure[1:]}, and name it in the settings: [layers] openings "
        '= ["A-ELEV-OPNG*", "A-GLAZ"]; if not, [layers] ignored = ["A-GLAZ"] keeps this quiet.'
    ) in sentence
    assert doubts_of(read(pen, tmp_path).walls[0]) == (
        f"2 shapes on layer A-GLAZ ({state}) look like openings but were not read: joints are placed as if "
        "they were not there.",
    )


def test_of_a_hidden_layer_by_name_nothing_is_told_where_an_opening_was_read(tmp_path: Path) -> None:
    pen = with_windows()
    loose(pen, "A-GLAZ")
    pen.hide("A-GLAZ", "off")
    assert read(pen, tmp_path).repaired == ()


@pytest.mark.parametrize("draw", [loose, in_a_reference, in_a_nested_reference])
@pytest.mark.parametrize("turn", [0.0, 33.0])
def test_what_is_hidden_is_told_beside_the_wall_that_it_stands_in_and_no_other(
    tmp_path: Path, turn: float, draw: Callable[[Pen, str], None]
) -> None:
    pen = marked_wall(WALL_BOX, (40, 140), angle=turn if draw is loose else 0.0)
    pen.box((0, -300, 960, -180), WALL)
    pen.text("W2", (40, -190))
    draw(pen, OPENING)
    pen.box((1000, 40, 1048, 88))
    pen.hide(OPENING, "freeze")
    elevation = read(pen, tmp_path)
    assert elevation.repaired[0].startswith(f"Layer {OPENING} is an opening layer, but frozen: 2 entities on")
    assert {wall.tag: len(wall.doubts) for wall in elevation.walls} == {"W1": 1, "W2": 0}


@pytest.mark.parametrize("layer", [JOINT, OPENING])
def test_what_is_hidden_beside_every_wall_is_only_counted(tmp_path: Path, layer: str) -> None:
    pen = walled()
    pen.box((2000, 40, 2048, 88), layer)
    pen.hide(layer, "freeze")
    elevation = read(pen, tmp_path)
    assert (elevation.repaired, elevation.walls[0].doubts) == ((), ())
    assert [left.place.kind for left in elevation.ignored] == ["1 hidden"]


def test_the_doubt_is_in_the_results_and_the_index_and_on_the_layer_that_does_not_plot(
    tmp_path: Path,
) -> None:
    pen = with_windows()
    pen.hide(OPENING, "off")
    (tmp_path / "in").mkdir()
    source = pen.save(tmp_path / "in" / "drawing.dxf")
    done = annotate(source, output=tmp_path / "annotated.dxf")
    doubt = f"Opening layer {OPENING} is off: 2 entities on it were not read."
    assert doubt in done.results.walls[0].notes
    assert done.output is not None
    assert layers_of(done.output, doubt.lower()) == {"A-ELEV-JNTC-BASS"}, "it does not plot"
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions())
    assert report.outcomes[0].worst == f"W1: {doubt}"
