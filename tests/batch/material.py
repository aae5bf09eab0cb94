"""Folders of small elevations, and the command run on them as a user runs it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from cli.drawings import save_elevation

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
