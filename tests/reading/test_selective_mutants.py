"""Damaged drawings are read alike with and without what is left out: same walls and obstacles, or refused.

Whatever the mutation makes of a record, leaving it out must never read what the full reading refuses.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from cli.drawings import add_box, new_drawing
from perpend.drawing.page.obstacles import survey
from perpend.dxf.load import LoadedDrawing
from perpend.errors import InputError
from perpend.reading import ReadingOptions, load_drawing, read_loaded
from perpend.reading.gather.load_by_role import load_selected
from reading.clutter import add_clutter

pytestmark = pytest.mark.usefixtures("small_ones_too")

MUTANTS: Final = 120
OPTIONS: Final = ReadingOptions()
VALUES: Final = (
    *(b"0", b"  0", b"", b"abc", b"1e5", b"nan", b"-1", b"1.5", b"99999999999", b" 7 ", b"LINE", b"ENDSEC"),
    *(b"*D1", b"CLUTTER-OUTER", b"A-ELEV-WALL", b"{", b"}", b"DEADBEEF", b"AcDbText", b"W1\\P{", b"\xff\xfe"),
)
CODES: Final = (
    *(b"  0", b" 10", b" 40", b"  1", b"100", b"102", b"330", b"1001", b"210", b" 66", b"999", b" 62"),
    *(b" 67", b"  8", b"  2", b"  5", b" 42", b" 72"),
)
Outcome = tuple[object, ...]


def mutants(lines: list[bytes], count: int, seed: int) -> Iterator[bytes]:
    """Yield a text with some of its blocks and entities changed, lost, doubled or swapped."""
    chance = random.Random(seed)
    first, last = lines.index(b"BLOCKS") // 2, lines.index(b"OBJECTS") // 2
    for _ in range(count):
        text = list(lines)
        for _ in range(chance.choice((1, 1, 2, 5))):
            k, other = 2 * chance.randrange(first, last), 2 * chance.randrange(first, last)
            match chance.randrange(7):
                case 0:
                    text[k + 1] = chance.choice(VALUES)
                case 1:
                    text[k] = chance.choice(CODES)
                case 2:
                    del text[k : k + 2]
                case 3:
                    text[k:k] = [chance.choice(CODES), chance.choice(VALUES)]
                case 4:
                    text[k : k + 2], text[other : other + 2] = text[other : other + 2], text[k : k + 2]
                case 5:
                    text[k:k] = text[k : k + 2 * chance.randrange(1, 15)]
                case _:
                    del text[k]
        yield b"\n".join(text)


def outcome(load: Callable[[Path], LoadedDrawing], path: Path) -> tuple[Outcome, bool]:
    """Return what was read of walls and of obstacles, and whether something was left out."""
    try:
        loaded = load(path)
    except InputError as error:
        return ("refused", str(error)), False
    try:
        walls = repr(read_loaded(loaded, OPTIONS).elevation)
    except InputError:
        walls = "refused"
    found = survey(loaded.doc)
    rows = [
        sorted(map(tuple, part.reshape(len(part), int(np.prod(part.shape[1:]))).tolist()))
        for part in (found.quads, found.lines, found.dimension_lines, found.areas)
    ]
    return (loaded.recovered, walls, rows), loaded.selected


@pytest.mark.parametrize("seed", range(3))
def test_mutants_are_read_alike(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "d.dxf"
    doc = new_drawing()
    add_box(doc, (0, 0, 960, 144), "A-ELEV-WALL")
    add_box(doc, (200, 0, 240, 88), "A-ELEV-OPNG")
    add_clutter(doc, seed=seed, rounds=2)
    doc.saveas(path)
    selected = 0
    for text in mutants(path.read_bytes().split(b"\n"), MUTANTS // 3, seed):
        path.write_bytes(text)
        whole, _ = outcome(load_drawing, path)
        part, left_out = outcome(lambda p: load_selected(p, OPTIONS), path)
        assert part == whole
        selected += left_out
    assert selected >= MUTANTS // 12, "otherwise it would show nothing"
