"""What reading costs beside `ezdxf.readfile` alone, paired in one run.

Run with ``pytest -n 0 -m benchmark tests/reading/test_cost.py -s``. Most entities are not ours: patterns,
furniture blocks, notes and dimensions on other layers.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pytest

from perpend.reading import read_drawing
from reading import zoo

MOST_TIMES_READFILE = 1.25


def crowded(path: Path, entities: int) -> Path:
    """A drawing of about so many entities: 60 % lines, 20 % polylines, 10 % texts, 10 % blocks."""
    pen = zoo.Pen()
    pen.face(zoo.Face("W1", zoo.rectangle(4800, 144), tuple(openings(40))))
    tree = pen.doc.blocks.new("TREE")
    for size in range(5):
        tree.add_circle((0, 0), size + 1, dxfattribs={"layer": "L-PLNT"})
    for number in range(entities // 10):
        x, y = number % 400 * 12.0, 200.0 + number // 400
        for step in range(6):
            pen.line((x + step, y), (x + step, y + 8), "A-ELEV-PATT")
        for step in range(2):
            pen.loop(zoo.corners_of((x + step, y, x + step + 4, y + 4)), "A-FURN")
        pen.text(f"NOTE {number}", (x, -2000 - y), "A-ANNO-NOTE")
        pen.space.add_blockref("TREE", (x, -500 - y), dxfattribs={"layer": "L-PLNT"})
    return pen.save(path)


def openings(count: int) -> list[zoo.Hole]:
    return [zoo.Hole(f"D{i}", (40 + 110 * i, 0, 80 + 110 * i, 88)) for i in range(count)]


def least_time(action: Callable[[], object], runs: int) -> float:
    times = []
    for _ in range(runs):
        start = time.process_time()
        action()
        times.append(time.process_time() - start)
    return min(times)


@pytest.mark.benchmark
@pytest.mark.parametrize(("entities", "runs"), [(10_000, 5), (100_000, 3)])
def test_reading_costs_little_more_than_loading(tmp_path: Path, entities: int, runs: int) -> None:
    path = crowded(tmp_path / "crowded.dxf", entities)
    (wall,) = read_drawing(path).elevation.walls
    assert len(wall.openings) == 40
    alone = least_time(lambda: ezdxf.readfile(path), runs)
    ours = least_time(lambda: read_drawing(path), runs)
    print(
        f"\n{entities} entities: readfile {alone:.2f} s, read_drawing {ours:.2f} s, ratio {ours / alone:.3f}"
    )
    assert ours <= MOST_TIMES_READFILE * alone
