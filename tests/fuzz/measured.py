"""What drawings cost: ``python -m fuzz.measured DRAWING ... [--command NAME ...]``, run in ``tests``.

Every drawing goes through every command with all its side outputs, each in a copy of a process that has all
loaded. Prints a line for each: the exit code, seconds of processor time, most memory in MB. A program that is
started for one drawing needs about a second more.
"""

from __future__ import annotations

import argparse
import os
import resource
import sys
import tempfile
from pathlib import Path

from fuzz.originals import drawings
from perpend.cli.exit_codes import run
from perpend.gc_tuning import collect_rarely

COMMANDS: dict[str, tuple[str, ...]] = {
    "annotate": ("annotate", "-o new.dxf", "--results r.json", "--sheet s.html", "--picture p.svg"),
    "annotate --picture p.png": ("annotate", "-o new.dxf", "--picture p.png"),
    "check": (
        *("check", "--propose", "-o new.dxf", "--results r.json", "--sheet s.html", "--picture p.svg"),
        *("--csv t.csv", "--sarif l.sarif"),
    ),
    "check --picture p.png": ("check", "-o new.dxf", "--picture p.png"),
    "annotate --clean": ("annotate", "--clean", "-o new.dxf"),
    "layers": ("layers", "--write draft.toml"),
    "compare": ("compare", "--csv t.csv"),
    "spec": ("spec", "-o spec.md"),
}
MOST_BYTES = 4_000_000_000


def measure(drawing: Path, command: str) -> tuple[int, float, float]:
    """Run a command on a drawing.

    Returns:
        The exit code (negative: the signal that ended it), seconds of processor time, most memory in MB.
    """
    with tempfile.TemporaryDirectory() as out:
        copy = os.fork()
        if copy == 0:
            os._exit(_end_of(drawing.absolute(), command, Path(out)))
        _, state, used = os.wait4(copy, 0)
    return os.waitstatus_to_exitcode(state), used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def _end_of(drawing: Path, command: str, out: Path) -> int:
    os.chdir(out)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    name, *options = COMMANDS[command]
    for stream in (1, 2):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
    return run([name, str(drawing), *(word for option in options for word in option.split())])


def main() -> None:
    """Measure as the command line says."""
    parser = argparse.ArgumentParser()
    parser.add_argument("drawings", nargs="+", type=Path)
    parser.add_argument("--command", nargs="*", default=list(COMMANDS), choices=list(COMMANDS))
    given = parser.parse_args()
    collect_rarely()
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder) / "sound.dxf"
        sound.write_bytes(drawings(Path(folder))[0])
        saved = os.dup(1), os.dup(2)
        for command in COMMANDS:
            here = Path(folder) / str(len(list(Path(folder).iterdir())))
            here.mkdir()
            _end_of(sound, command, here)
        os.dup2(saved[0], 1), os.dup2(saved[1], 2)
    for drawing in given.drawings:
        for command in given.command:
            code, seconds, megabytes = measure(drawing, command)
            print(f"{drawing.stem:24} {command:26} {code:3} {seconds:7.2f} s {megabytes:6.0f} MB", flush=True)


if __name__ == "__main__":
    sys.exit(main())
