"""The command ``perpend layers``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Final

import typer

import perpend
from perpend.clean_text import visible
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with
from perpend.errors import InputError

EPILOG = opt.examples(
    "perpend layers shopfront-south.dxf",
    "perpend layers shopfront-south.dxf --write perpend.toml",
    "perpend layers shopfront-south.dxf --ask",
)
_WRITE = "Draft a settings file to start from."
_ASK = "Ask three questions with defaults, then draft the settings (NAME.perpend.toml without --write)."
_NONE: Final = "none"


def layers(
    drawing: opt.Drawing,
    write: Annotated[Path | None, opt.option("--write", metavar="FILE.toml", help=_WRITE)] = None,
    ask: Annotated[bool, opt.option("--ask", help=_ASK)] = False,
    settings: opt.SettingsFile = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show what is on which layer, and which role each layer probably plays and why."""
    walls: list[str] | None = None
    openings: list[str] | None = None
    unit: str | None = units_of_drawing
    if ask:
        if not (sys.stdin.isatty() and sys.stdout.isatty()):
            raise InputError("--ask needs a terminal to ask on: use --write, and edit the file.")
        found = perpend.layers(drawing, settings=settings, units_of_drawing=unit, layout=layout)
        walls = _asked("Layers of the walls' outlines", _playing(found, "walls"))
        openings = _asked("Layers of openings, or none", _playing(found, "openings") or [_NONE])
        openings = [] if openings == [_NONE] else openings
        unit = _asked_unit(found)
        write = write or drawing.with_name(f"{drawing.stem}.perpend.toml")
    end_with(
        perpend.layers(
            drawing,
            settings=settings,
            write=write,
            units_of_drawing=unit,
            layout=layout,
            overwrite=overwrite,
            walls=walls,
            openings=openings,
        ),
        as_json,
    )


def _playing(found: perpend.LayersResults, role: str) -> list[str]:
    """Return the layers that play a role, in words that can be typed."""
    return [x.name for x in found.layers if x.role == role or (x.shared and role == "openings")]


def _asked(question: str, names: list[str]) -> list[str]:
    """Ask for names of layers; what is only entered is the default."""
    default = visible(", ".join(names)) or None
    answer = _answer(f"{question} (with commas between)", default)
    if answer == default:
        return names
    return [name for part in answer.split(",") if (name := part.strip())]


def _asked_unit(found: perpend.LayersResults) -> str:
    """Ask for the unit of the drawing until it is one."""
    units = [unit.value for unit in opt.DrawingUnits]
    while True:
        answer = _answer(f"Length unit of the drawing ({', '.join(units)})", found.units).strip().lower()
        if answer in units:
            return answer


def _answer(question: str, default: str | None) -> str:
    """Ask one question; where the answers end, so does the run, as after Ctrl-C."""
    try:
        return str(typer.prompt(question, default=default))
    except typer.Abort:
        raise KeyboardInterrupt from None
