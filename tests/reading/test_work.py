"""How much is done for drawings with very many lines that nobody asked for: counted, not timed."""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from perpend.dxf.entity_points import Stroke
from perpend.dxf.load import load_drawing
from perpend.errors import InputError
from perpend.reading.gather.load_by_role import load_selected
from perpend.reading.outlines.polygonize import Chain, faces_among
from perpend.reading.reader import read_loaded
from perpend.reading.reading_options import ReadingOptions
from reading.zoo import marked_wall

MOST_FOR_TWICE = 2.6
"""Twice as many frames take at most so many times as many calls."""

MOST_FOR_A_LINE = 150
"""Calls that one line more takes at most, among lines that cross each other everywhere."""


def calls_of(action: Callable[[], object]) -> int:
    """Count the functions that are called, those written in C too."""
    count = 0

    def note(_: object, event: str, __: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(note)
    try:
        action()
    finally:
        sys.setprofile(None)
    return count


def scattered(path: Path, lines: int) -> Path:
    """A wall with lines all over it, on one layer, that cross each other at random."""
    chance = random.Random(5)
    pen = marked_wall((0, 0, 960, 160), (40, 140))
    for _ in range(lines):
        x, y = chance.uniform(0, 960), chance.uniform(0, 160)
        pen.line((x, y), (x + chance.uniform(-40, 40), y + chance.uniform(-40, 40)), "X1")
    return pen.save(path)


@pytest.mark.usefixtures("small_ones_too")
@pytest.mark.parametrize("load", [lambda path, _: load_drawing(path), load_selected])
def test_a_line_on_a_silent_layer_is_little_work_however_many_others_it_crosses(
    tmp_path: Path, load: Callable[..., object]
) -> None:
    options = ReadingOptions()

    def work(lines: int) -> int:
        source = load(scattered(tmp_path / f"{lines}.dxf", lines), options)
        return calls_of(lambda: read_loaded(source, options))

    assert work(1600) - work(800) <= MOST_FOR_A_LINE * 800


def frames_that_stop_short(count: int) -> list[Chain]:
    """Frames of single lines, each closed by a line whose ends stop half an inch short of its sides."""
    chains = []
    for number in range(count):
        x = 100.0 * number
        for points in (
            ((x, 80), (x, 0), (x + 40, 0), (x + 40, 80)),
            ((x + 0.5, 60), (x + 39.5, 60)),
        ):
            chains.append(Chain(points, (Stroke(f"{number}", "LINE", "X1", points),)))
    return chains


def test_twice_as_many_frames_are_twice_the_work_and_each_knows_its_gaps() -> None:
    faces, rest = faces_among(frames_that_stop_short(3), 1.0, 1 / 64, outer_only=False)
    assert [face.gaps for face in faces] == [(0.5, 0.5)] * 3
    assert rest == []

    def work(count: int) -> int:
        chains = frames_that_stop_short(count)
        return calls_of(lambda: faces_among(chains, 1.0, 1 / 64, outer_only=False))

    assert work(200) <= MOST_FOR_TWICE * work(100)


def lines_among(points: list[tuple[tuple[float, float], tuple[float, float]]]) -> list[Chain]:
    return [
        Chain(pair, (Stroke(f"{number:X}", "LINE", "A-ELEV-OPNG", pair),))
        for number, pair in enumerate(points)
    ]


def test_lines_drawn_many_times_over_count_once_and_all_belong_to_the_outline() -> None:
    sides = [((0.0, 0.0), (40.0, 0.0)), ((40.0, 0.0), (40.0, 80.0)), ((0.0, 80.0), (40.0, 80.0))]
    sides.append(((0.0, 80.0), (0.0, 0.0)))
    chains = lines_among([side if n % 2 else side[::-1] for n in range(300) for side in sides])
    faces, rest = faces_among(chains, 1.0, 1 / 64, outer_only=True)
    assert [sorted(face.points) for face in faces] == [[(0, 0), (0, 80), (40, 0), (40, 80)]]
    assert len(faces[0].strokes) == len(chains)
    assert rest == []


def test_a_pattern_of_crossing_lines_is_refused_where_it_has_a_role_and_left_alone_elsewhere() -> None:
    crossing = [((0.0, 0.1 * n), (100.0, 0.1 * n)) for n in range(400)]
    crossing += [((0.1 * n, -1.0), (0.1 * n, 101.0)) for n in range(400)]
    chains = lines_among(crossing)
    assert faces_among(chains, 1.0, 1 / 64, outer_only=True) == ([], chains)
    with pytest.raises(InputError, match=r"d\.dxf: the loose lines on layer A-ELEV-OPNG .* 125,000 places"):
        faces_among(chains, 1.0, 1 / 64, outer_only=True, file="d.dxf")
    few = lines_among(crossing[:20] + crossing[400:420])
    assert len(faces_among(few, 1e-3, 1e-4, outer_only=False)[0]) == 1
