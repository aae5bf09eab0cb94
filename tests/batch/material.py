"""Folders of small elevations, and the command run on them as a user runs it."""

from __future__ import annotations

import contextlib
import json
import signal
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from cli.drawings import add_box, add_text, new_drawing, save_elevation
from perpend.folders import Order, Outcome, State

GOOD = ("east", "north", "south", "west")


def save_good(folder: Path, *names: str) -> list[Path]:
    """Write elevations of one wall, 40 ft by 12 ft, with a door; eight lengths in turn."""
    folder.mkdir(parents=True, exist_ok=True)
    return [
        save_elevation(
            folder / f"{name}.dxf",
            [("W1", (0, 0, 480 + 16 * (i % 8), 144))],
            [("D1", (200, 0, 240, 88))],
        )
        for i, name in enumerate(names or GOOD)
    ]


def save_doubtful(path: Path) -> Path:
    """Write a wall of 40 ft with a pane of 5'-4" on a layer X7: a window, gravely in doubt."""
    doc = new_drawing()
    add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
    add_box(doc, (200, 40, 264, 96), "X7")
    add_text(doc, "W1", (20, 120))
    doc.saveas(path)
    return path


def save_title_sheet(path: Path) -> Path:
    """Write a sheet as an office has them: a border that holds a table, texts, a referenced title block."""
    doc = new_drawing()
    add_box(doc, (0, 0, 1000, 700), "G-ANNO-TTLB")
    add_box(doc, (50, 50, 450, 650), "G-ANNO-SCHD")
    add_text(doc, "LIST OF DRAWINGS", (60, 620))
    doc.add_xref_def("title.dwg", "TITLE-BLOCK")
    doc.modelspace().add_blockref("TITLE-BLOCK", (0, 0))
    doc.saveas(path)
    return path


def rows_of(out: Path) -> dict[str, dict[str, Any]]:
    """Return the rows of the index by drawing."""
    document = json.loads((out / "index.json").read_text(encoding="utf-8"))
    return {row["drawing"]: row for row in document["drawings"]}


def stamps(out: Path) -> dict[str, int]:
    """Return when each drawing in an output folder was written, ns."""
    return {path.name: path.stat().st_mtime_ns for path in sorted(out.rglob("*.dxf"))}


def half_written(out: Path) -> list[str]:
    """Return what a stopped write has left."""
    return [path.name for path in out.rglob("*.part")]


@contextlib.contextmanager
def hearing_interrupts() -> Iterator[None]:
    """Let Ctrl-C do here, and in what is started here, what it does for somebody at a terminal.

    A suite that a shell has started in its background ignores it, and so would its child processes.
    """
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def hang(order: Order) -> Outcome:
    """Stand in for a drawing on which compiled code hangs: no net inside the worker ends it."""
    if order.name == "south.dxf":
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGALRM})
        time.sleep(3600)
    return Outcome(order.name, State.CLEAN, fingerprint="of it")


def devour(order: Order) -> Outcome:
    """Stand in for a drawing that takes memory where nothing inside the worker limits it."""
    held = []
    while order.name == "south.dxf" and len(held) < 60:
        held.append(bytearray(b"x" * 10_000_000))
        time.sleep(0.05)
    return Outcome(order.name, State.CLEAN, fingerprint="of it")
