"""Runs that are killed (SIGKILL) at random moments: ``python -m hostile.kills COUNT [--seed N]``.

Run in ``tests``. All commands that write are taken in turn, with all their outputs, into an empty place or
over the outputs of an earlier run. Each runs in a copy of this process and is killed at a moment between its
start and somewhat after its usual end. After every kill the outputs of a drawing must be all there or none,
and either all those of the earlier run or all new ones; the drawing is as it was. Scraps must go with the
next run.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import itertools
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from cli.drawings import save_elevation
from perpend.cli import run

SCRAPS = ".perpend-*.part"
COMMANDS = {
    "annotate": "annotate DRAWING -o OUT/o.dxf --results OUT/r.json --sheet OUT/s.html --picture OUT/p.svg",
    "check": (
        "check DRAWING --propose -o OUT/o.dxf --results OUT/r.json --sheet OUT/s.html --picture OUT/p.png "
        "--csv OUT/t.csv --sarif OUT/l.sarif"
    ),
    "clean": "annotate MARKED --clean -o OUT/o.dxf",
    "changes": "changes DRAWING NEWER -o OUT/o.dxf --csv OUT/t.csv --sheet OUT/s.html",
    "layers": "layers DRAWING --write OUT/draft.toml --overwrite",
    "compare": "compare DRAWING --csv OUT/t.csv",
    "spec": "spec DRAWING -o OUT/s.md",
    "details": "details -o OUT/d.dxf",
    "batch": "batch FOLDER --out OUT --jobs 1",
    "watch": "watch FOLDER --out OUT --once --no-page",
}


@dataclass
class Kills:
    """Kills runs and keeps count.

    Args:
        folder: an empty folder to work in.
        seed: of the moments.
        commands: which; None is all.
    """

    folder: Path
    seed: int
    commands: Sequence[str] | None = None
    endings: Counter[str] = field(default_factory=Counter)
    killed: int = 0
    scraps: int = 0

    def __post_init__(self) -> None:
        """Draw what is worked on, and learn how long each command takes and what it writes."""
        self.chance = random.Random(self.seed)
        self.named = self._drawn("now", 288)
        earlier = self._drawn("earlier", 296)
        self.before = {place: place.read_bytes() for place in self._inputs()}
        self.usual: dict[str, float] = {}
        self.written: dict[str, dict[str, bytes]] = {}
        self.commands = self.commands or list(COMMANDS)
        for command in self.commands:
            _wait(self._start(command, self._new(f"earlier-{command}"), earlier))
            out, start = self._new("out"), time.monotonic()
            _wait(self._start(command, out))
            self.usual[command] = time.monotonic() - start
            self.written[command] = _contents(out)
            assert self.written[command], command

    def _drawn(self, name: str, x1: float) -> dict[str, Path]:
        """Draw what a run works on; a door ends at x1."""
        folder = self._new(name)
        drawings = self._new(f"{name}/in")
        wall, other = ("W1", (0, 0, 624, 200)), ("D1", (240, 0, 280, 88))
        named = {
            "DRAWING": save_elevation(drawings / "a.dxf", [wall], [("D1", (240, 0, x1, 88))]),
            "NEWER": save_elevation(drawings / "b.dxf", [wall], [other]),
            "MARKED": folder / "marked.dxf",
            "FOLDER": drawings,
        }
        assert _ends(["annotate", str(named["DRAWING"]), "-o", str(named["MARKED"])]) < 2
        return named

    def _new(self, name: str) -> Path:
        place = self.folder / name
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        return place

    def _inputs(self) -> list[Path]:
        return [self.named["MARKED"], *sorted(self.named["FOLDER"].iterdir())]

    def _start(self, command: str, out: Path, named: dict[str, Path] | None = None) -> int:
        """Run a command in a copy of this process, with a group of its own, and return its number."""
        words = [str((named or self.named).get(word, word)) for word in COMMANDS[command].split()]
        child = os.fork()
        if child == 0:
            os.setpgid(0, 0)
            os._exit(_ends([word.replace("OUT", str(out)) for word in words]))
        with contextlib.suppress(OSError):  # it has done so itself by now
            os.setpgid(child, child)
        return child

    def kill_one(self, number: int) -> None:
        """Kill a run of the next command and look at what it left; every second round over earlier ones."""
        assert self.commands
        again, place = divmod(number, len(self.commands))
        command, over_earlier = self.commands[place], again % 2 == 1
        out = self._new("out")
        if over_earlier:
            shutil.copytree(self.folder / f"earlier-{command}", out, dirs_exist_ok=True)
        older = _contents(out)
        child = self._start(command, out)
        time.sleep(self.chance.uniform(0.0, 1.2 * self.usual[command]))
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)
        killed = os.waitstatus_to_exitcode(_wait(child)) == -signal.SIGKILL
        self.killed += killed
        self.scraps += len(list(out.glob(SCRAPS)))
        assert {place: place.read_bytes() for place in self._inputs()} == self.before
        left = _contents(out)
        for group in _groups(set(self.written[command])):
            there = group & left.keys()
            assert there in (set(), group), f"{command}: only {there} of {group}"
            new = {name for name in there if left[name] != older.get(name)}
            differ = {name for name in there if self.written[command][name] != older.get(name)}
            assert new in (set(), differ), f"{command}: only {new} of {differ} are new"
            self.endings[
                f"killed, {'new' if new else 'old' if there else 'none'}" if killed else "ended"
            ] += 1
        self._end_well(command, out)

    def _end_well(self, command: str, out: Path) -> None:
        """The next run clears what is left and brings all outputs."""
        if any(out.glob(SCRAPS)):
            child = self._start(command, out)
            assert os.waitstatus_to_exitcode(_wait(child)) < 2, command
            assert list(out.glob(SCRAPS)) == [], f"{command} left scraps"
            assert _contents(out).keys() >= self.written[command].keys()


def _ends(arguments: list[str]) -> int:
    nothing = io.StringIO()
    with contextlib.redirect_stdout(nothing), contextlib.redirect_stderr(nothing):
        return run(arguments)


def _wait(child: int) -> int:
    return os.waitpid(child, 0)[1]


def _contents(folder: Path) -> dict[str, bytes]:
    return {place.name: place.read_bytes() for place in folder.iterdir() if not place.name.startswith(".")}


def _groups(names: set[str]) -> list[set[str]]:
    """Return the outputs that come together: all of a command, in a folder those of each drawing."""
    found: dict[str, set[str]] = {}
    of_drawings = any("-annotated" in name for name in names)
    for name in names:
        key = name.split(".")[0] if "-annotated" in name else "index"
        found.setdefault(key if of_drawings else "", set()).add(name)
    return list(found.values())


def main() -> None:
    """Run as the command line says."""
    parser = argparse.ArgumentParser()
    parser.add_argument("count", type=int)
    parser.add_argument("--seed", type=int, default=0)
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        kills = Kills(Path(folder), given.seed)
        for number in itertools.count():
            if kills.killed == given.count:
                break
            kills.kill_one(number)
        print(json.dumps({"runs": number, "killed": kills.killed, "scraps": kills.scraps, **kills.endings}))


if __name__ == "__main__":
    sys.exit(main())
