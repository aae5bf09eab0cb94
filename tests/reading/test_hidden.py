"""Layers of joints and of openings that are frozen or off: what is on them is not read, and that is told."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from perpend.batch import BatchOptions, run_batch
from perpend.jobs.annotate import annotate
from reading.test_shapes import read
from reading.zoo import JOINT, OPENING, WALL, Pen, marked_wall

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
    assert elevation.walls[0].doubts == (f"Joint layer {JOINT} is {state}: 4 entities on it were not read.",)


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
    assert elevation.walls[0].doubts[-1] == (
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
    assert elevation.walls[0].doubts[0].endswith(f"layer {layer} is hidden: 1 entity on it was not read.")


def test_an_invisible_opening_beside_others_that_were_read_is_a_state_of_a_block_that_does_not_show(
    tmp_path: Path,
) -> None:
    pen = with_windows()
    pen.box((400, 0, 440, 88)).dxf.set("invisible", 1)
    elevation = read(pen, tmp_path)
    assert (elevation.repaired, elevation.walls[0].doubts) == ((), ())
    assert [left.kind for left in elevation.ignored] == ["1 hidden"]


def test_beside_a_wall_whose_openings_were_read_no_doubt_stands(tmp_path: Path) -> None:
    pen = with_windows("A-ELEV-OPNG-NEWW")
    pen.box((1200, 0, 1600, 120), WALL)
    pen.box((1300, 0, 1340, 88))
    pen.hide(OPENING, "freeze")
    elevation = read(pen, tmp_path)
    assert elevation.repaired[0].startswith(f"Layer {OPENING} is an opening layer, but frozen: 1 entity")
    assert [len(wall.doubts) for wall in elevation.walls] == [0, 1]


def test_the_doubt_stands_on_the_plate_in_the_results_and_in_the_index(tmp_path: Path) -> None:
    pen = with_windows()
    pen.hide(OPENING, "off")
    (tmp_path / "in").mkdir()
    source = pen.save(tmp_path / "in" / "drawing.dxf")
    done = annotate(source, output=tmp_path / "annotated.dxf")
    doubt = f"Opening layer {OPENING} is off: 2 entities on it were not read."
    assert doubt in done.results.walls[0].notes
    assert done.output is not None
    drawn = " ".join(
        text.plain_text().replace("\n", " ") if text.dxftype() == "MTEXT" else text.dxf.text
        for text in ezdxf.readfile(done.output).modelspace().query("MTEXT TEXT")
    )
    assert doubt.lower() in " ".join(drawn.lower().split())
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions())
    assert report.outcomes[0].worst == f"W1: {doubt}"
