"""The command ``perpend changes``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with

EPILOG = opt.examples(
    "perpend changes bid-set/A-201.dxf addendum/A-201.dxf",
    "perpend changes A-201-issued.dxf A-201.dxf --sheet changes.html -o A-201-changes.dxf",
    "perpend changes bid-set addendum --csv changes.csv",
    "",
    "Exit code: 0 nothing changed, 1 changes found, 2 input error.",
)
_OLD = "The older issue, or the folder of the older drawings."
_NEW = "The newer issue, or the folder of the newer drawings."
_OUTPUT = "Write the new drawing with a mark at every change; of two folders, the folder for these."
_SHEET = "Write a page with both elevations over each other as well."
_SETTINGS = "Settings file for both. Without it each drawing's own count."
_OLD_SETTINGS = "Settings file for the older issue, where that had another."


def changes(
    old: Annotated[Path, typer.Argument(metavar="OLD", help=_OLD)],
    new: Annotated[Path, typer.Argument(metavar="NEW", help=_NEW)],
    output: Annotated[Path | None, opt.option("--output", "-o", metavar="OUT", help=_OUTPUT)] = None,
    csv: opt.Csv = None,
    sheet: Annotated[Path | None, opt.option("--sheet", metavar="FILE.html", help=_SHEET)] = None,
    settings: Annotated[Path | None, opt.option("--settings", metavar="FILE.toml", help=_SETTINGS)] = None,
    old_settings: Annotated[
        Path | None, opt.option("--old-settings", metavar="FILE.toml", help=_OLD_SETTINGS)
    ] = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    as_json: opt.AsJson = False,
) -> None:
    """List what changed from one issue of a drawing to the next: joints, openings, walls, limits.

    Two folders are compared drawing by drawing, by file name.
    """
    compare = perpend.folder_changes if old.is_dir() or new.is_dir() else perpend.changes
    found = compare(
        old,
        new,
        output,
        settings=settings,
        old_settings=old_settings,
        csv=csv,
        sheet=sheet,
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
    )
    end_with(found, as_json, sheet, csv)
