"""Drawings of any size, and fresh processes that say what they cost."""

from __future__ import annotations

import json
import os
import random
import resource
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from ezdxf.document import Drawing

from cli.drawings import add_box, add_text, new_drawing

ROUNDS: Final = 3
_MEASURED: Final = """
import json, resource, sys, time
{setup}
start = time.process_time()
{work}
spent = time.process_time() - start
print(json.dumps([spent, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a fresh process cost: the work in seconds of processor time, peak in MB."""

    work_s: float
    peak_mb: float


def cost_of(work: str, *arguments: str | Path, setup: str = "") -> Cost:
    """Run Python code in a process of its own; ``sys.argv[1:]`` are the arguments."""
    code = _MEASURED.format(setup=setup, work=work)
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=300,
        check=True,
    )
    return Cost(*json.loads(done.stdout.splitlines()[-1]))


def process_s(*command: str | Path) -> float:
    """Return the processor seconds of a process, from its start to its very end, as the system counts."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, timeout=300, check=True, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def cheapest_in_turn(*commands: tuple[str | Path, ...], rounds: int) -> list[float]:
    """Run commands in turn, so that each meets the same machine; return the cheapest round of each."""
    seconds = [[process_s(*command) for command in commands] for _ in range(rounds)]
    return [min(each) for each in zip(*seconds, strict=True)]


def paired(ours: tuple[str, str], bare: tuple[str, str], *arguments: str | Path) -> tuple[Cost, Cost]:
    """Measure two pieces of work (code, setup) in turn; return the cheapest round of each."""
    rounds = [
        (cost_of(ours[0], *arguments, setup=ours[1]), cost_of(bare[0], *arguments, setup=bare[1]))
        for _ in range(ROUNDS)
    ]
    return min((r[0] for r in rounds), key=_work), min((r[1] for r in rounds), key=_work)


def _work(cost: Cost) -> float:
    return cost.work_s


def add_wall_with_doors(doc: Drawing) -> None:
    """Draw one wall with six openings, and their marks."""
    add_box(doc, (0, 0, 1440, 192), "A-ELEV-WALL")
    add_text(doc, "W1", (6, 177))
    for i in range(6):
        x = 120 + i * 210
        add_box(doc, (x, 0, x + 40, 88), "A-ELEV-OPNG")
        add_text(doc, f"D{i + 1}", (x + 6, 70))


def save_sheet(path: Path, entities: int) -> Path:
    """Write an elevation of one wall with six openings on a sheet with this many other entities.

    Seven in ten are lines, the rest polylines, arcs and texts, on layers without a role, scattered above
    the wall and to both sides as details and a site plan would be.
    """
    doc = new_drawing()
    for name in ("A-DETL", "A-FURN", "A-SITE"):
        doc.layers.add(name)
    add_wall_with_doors(doc)
    chance, msp = random.Random(entities), doc.modelspace()
    for i in range(entities):
        x, y = chance.uniform(-2000, 4000), chance.uniform(400, 4000)
        if i % 10 < 7:
            end = (x + chance.uniform(1, 50), y + chance.uniform(1, 50))
            msp.add_line((x, y), end, dxfattribs={"layer": "A-DETL"})
        elif i % 10 == 7:
            corners = [(x, y), (x + 5, y), (x + 5, y + 5), (x, y + 9)]
            msp.add_lwpolyline(corners, dxfattribs={"layer": "A-FURN"})
        elif i % 10 == 8:
            msp.add_arc((x, y), 5, 0, 90, dxfattribs={"layer": "A-SITE"})
        else:
            add_text(doc, f"NOTE {i}", (x, y))
    doc.saveas(path)
    return path


def save_office_sheet(path: Path, entities: int) -> Path:
    """Write the same wall amid what an office's elevation is full of: most of it no plain lines.

    Of a hundred: 30 lines, 15 hatches, 15 references of ten blocks, 10 dimensions, 10 texts, 10 paragraphs,
    5 splines and 5 polylines with bulges, on layers without a role, around the wall and in front of it.
    """
    doc = new_drawing()
    for name in ("A-DETL", "A-FURN", "A-SITE", "A-ANNO"):
        doc.layers.add(name)
    add_wall_with_doors(doc)
    names = [add_symbol(doc, i) for i in range(10)]
    chance = random.Random(entities)
    for i in range(entities):
        x, y = chance.uniform(-2000, 4000), chance.uniform(-1500, 4000)
        _OFFICE[_SHARES[i % len(_SHARES)]](doc, x, y, i, names)
    doc.saveas(path)
    return path


def add_symbol(doc: Drawing, number: int) -> str:
    """Define a block of eight lines, an arc and a circle; return its name."""
    block = doc.blocks.new(f"SYMBOL-{number}")
    for k in range(8):
        block.add_line((k, 0), (k + number, 9), dxfattribs={"layer": "0" if k % 2 else "A-DETL"})
    block.add_circle((4, 4), 3)
    block.add_arc((4, 4), 2, 0, 120)
    return block.name


def _line(doc: Drawing, x: float, y: float, i: int, _: list[str]) -> None:
    doc.modelspace().add_line((x, y), (x + 5 + i % 40, y + i % 7), dxfattribs={"layer": "A-DETL"})


def _hatch(doc: Drawing, x: float, y: float, i: int, _: list[str]) -> None:
    hatch = doc.modelspace().add_hatch(dxfattribs={"layer": "A-SITE"})
    if i % 2:
        hatch.set_pattern_fill("ANSI31", scale=4)
    hatch.paths.add_polyline_path([(x, y), (x + 20, y), (x + 20, y + 8), (x + 4, y + 9)])


def _insert(doc: Drawing, x: float, y: float, i: int, names: list[str]) -> None:
    look = {"layer": "A-FURN", "rotation": 90 * (i % 4), "xscale": 1 + i % 2, "yscale": 1 + i % 2}
    doc.modelspace().add_blockref(names[i % len(names)], (x, y), dxfattribs=look)


def _dimension(doc: Drawing, x: float, y: float, i: int, _: list[str]) -> None:
    look = {"layer": "A-ANNO"}
    doc.modelspace().add_linear_dim((x, y + 9), (x, y), (x + 10 + i % 90, y), dxfattribs=look).render()


def _text(doc: Drawing, x: float, y: float, i: int, _: list[str]) -> None:
    add_text(doc, f"NOTE {i}", (x, y))


def _mtext(doc: Drawing, x: float, y: float, i: int, _: list[str]) -> None:
    look = {"layer": "A-ANNO", "char_height": 4, "width": 60, "insert": (x, y)}
    mark = "\\P" if i % 2 else " "
    doc.modelspace().add_mtext(f"SEE DETAIL {i}{mark}OF THE SPECIFICATION", dxfattribs=look)


def _spline(doc: Drawing, x: float, y: float, _: int, __: list[str]) -> None:
    points = [(x, y), (x + 9, y + 5), (x + 20, y - 4), (x + 30, y)]
    doc.modelspace().add_open_spline(points, dxfattribs={"layer": "A-SITE"})


def _bulged(doc: Drawing, x: float, y: float, _: int, __: list[str]) -> None:
    corners = [(x, y, 0, 0, 0.5), (x + 8, y, 0, 0, 0), (x + 8, y + 6, 0, 0, -0.3)]
    doc.modelspace().add_lwpolyline(corners, close=True, dxfattribs={"layer": "A-FURN"})


_OFFICE: Final = {
    "line": _line,
    "hatch": _hatch,
    "insert": _insert,
    "dimension": _dimension,
    "text": _text,
    "mtext": _mtext,
    "spline": _spline,
    "bulged": _bulged,
}
_SHARES: Final = (
    *("line", "hatch", "insert", "line", "dimension", "text", "mtext", "line", "hatch", "insert"),
    *("line", "dimension", "text", "mtext", "line", "hatch", "insert", "line", "spline", "bulged"),
)
