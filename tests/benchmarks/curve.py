"""The cost of every command by the size of a drawing, beside ezdxf's load and save and GDAL's conversion.

``python -m tests.benchmarks.curve [plain|office] [rounds] entities ...``, such as ``plain 5 1000 10000``.
Whole processes in turn, imports counted: processor seconds, seconds by the clock, peak memory; least of the
rounds.
"""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Final, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.material import save_office_sheet, save_sheet

_MATERIAL: Final[dict[str, Callable[[Path, int], Path]]] = {"plain": save_sheet, "office": save_office_sheet}
_PERPEND: Final = (sys.executable, "-m", "perpend")
_BARE: Final = "import ezdxf, sys; ezdxf.readfile(sys.argv[1]).saveas(sys.argv[2])"


class Cost(NamedTuple):
    """What a process cost, the cheapest of several by each measure."""

    cpu_s: float
    wall_s: float
    peak_mb: float

    def least(self, other: Cost) -> Cost:
        """Return the less of two by each measure."""
        return Cost(*map(min, self, other))


def commands(folder: Path, drawing: Path) -> dict[str, tuple[str, ...]]:
    """Return what is measured, in the order in which it has to run."""
    plate, other = str(folder / "plate.dxf"), str(folder / "other.dxf")
    found = {
        "annotate": (*_PERPEND, "annotate", str(drawing), "-o", plate, "--overwrite"),
        "annotate again": (*_PERPEND, "annotate", plate, "-o", other, "--overwrite"),
        "check": (*_PERPEND, "check", plate, "-o", other, "--overwrite"),
        "annotate --clean": (*_PERPEND, "annotate", plate, "--clean", "-o", other, "--overwrite"),
        "layers": (*_PERPEND, "layers", str(drawing)),
        "ezdxf load + save": (sys.executable, "-c", _BARE, str(drawing), other),
    }
    if gdal := shutil.which("ogr2ogr"):
        found["ogr2ogr"] = (gdal, "-f", "DXF", str(folder / "gdal.dxf"), str(drawing))
    if copy := shutil.which("cp"):
        found["copy"] = (copy, str(drawing), other)
    return found


def cost_of(command: tuple[str, ...], folder: Path) -> Cost:
    """Run a command; the system says what it has used."""
    (folder / "gdal.dxf").unlink(missing_ok=True)
    start = time.monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    if status not in (0, 256):  # findings are no failure
        raise SystemExit(f"{' '.join(command)} failed")
    return Cost(used.ru_utime + used.ru_stime, time.monotonic() - start, used.ru_maxrss / 1024)


def main(kind: str, rounds: int, sizes: list[int]) -> None:
    """Print a row for every command and size, and how each command grows from size to size."""
    with tempfile.TemporaryDirectory() as name:
        folder, before = Path(name), dict[str, tuple[int, Cost]]()
        for size in sizes:
            drawing = _MATERIAL[kind](folder / f"{size}.dxf", size)
            best: dict[str, Cost] = {}
            for _ in range(rounds):
                for called, command in commands(folder, drawing).items():
                    cost = cost_of(command, folder)
                    best[called] = cost.least(best.get(called, cost))
            for called, cost in best.items():
                grown = ""
                if called in before:
                    smaller, less = before[called]
                    grown = f", exponent {math.log(cost.cpu_s / less.cpu_s) / math.log(size / smaller):.2f}"
                before[called] = size, cost
                said = f"{cost.cpu_s:.2f} s, {cost.wall_s:.2f} s by the clock, {cost.peak_mb:.0f} MB"
                print(f"{size:>9,} {called:<18} {said}{grown}", flush=True)
            drawing.unlink()


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]), [int(size) for size in sys.argv[3:]])
