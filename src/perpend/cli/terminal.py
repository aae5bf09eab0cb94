"""Lines on the screen: coloured on a terminal, plain everywhere else."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from perpend.report import Line

_STYLES: Final = {
    "title": "bold",
    "required": "bold red",
    "advisory": "yellow",
    "good": "green",
    "quiet": "dim",
}


def show(lines: Iterable[Line]) -> None:
    """Print lines; in colour only on a terminal that wants it (``NO_COLOR`` and ``TERM`` are heeded)."""
    if not _in_colour():
        sys.stdout.writelines(f"{line.text}\n" for line in lines)
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    for line in lines:
        console.print(Text(line.text, style=_STYLES.get(line.tone, "")))


def show_written(*places: Path | None) -> None:
    """Print where things went that stand beside the new drawing."""
    for place in places:
        if place is not None:
            print(f"Written: {place}")


def _in_colour() -> bool:
    return sys.stdout.isatty() and "NO_COLOR" not in os.environ and os.environ.get("TERM") != "dumb"
