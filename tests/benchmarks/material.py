"""Drawings of any size, and fresh processes that say what they cost."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from cli.drawings import add_box, add_text, new_drawing

ROUNDS: Final = 3
_MEASURED: Final = """
import json, resource, sys, time
{setup}
start = time.process_time()
{work}
spent = time.process_time() - start
print(json.dumps([spent, time.process_time(), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a fresh process cost: the work and the whole process in seconds of processor time, peak in MB."""

    work_s: float
    whole_s: float
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


def paired(ours: tuple[str, str], bare: tuple[str, str], *arguments: str | Path) -> tuple[Cost, Cost]:
    """Measure two pieces of work (code, setup) in turn; return the cheapest round of each."""
    rounds = [
        (cost_of(ours[0], *arguments, setup=ours[1]), cost_of(bare[0], *arguments, setup=bare[1]))
        for _ in range(ROUNDS)
    ]
    return min((r[0] for r in rounds), key=_work), min((r[1] for r in rounds), key=_work)


def _work(cost: Cost) -> float:
    return cost.work_s


def save_sheet(path: Path, entities: int) -> Path:
    """Write an elevation of one wall with six openings on a sheet with this many other entities.

    Seven in ten are lines, the rest polylines, arcs and texts, on layers without a role, scattered above
    the wall and to both sides as details and a site plan would be.
    """
    doc = new_drawing()
    for name in ("A-DETL", "A-FURN", "A-SITE"):
        doc.layers.add(name)
    add_box(doc, (0, 0, 1440, 192), "A-ELEV-WALL")
    add_text(doc, "W1", (6, 177))
    for i in range(6):
        x = 120 + i * 210
        add_box(doc, (x, 0, x + 40, 88), "A-ELEV-OPNG")
        add_text(doc, f"D{i + 1}", (x + 6, 70))
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
