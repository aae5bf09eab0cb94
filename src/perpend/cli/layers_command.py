"""The command ``perpend layers``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with

EPILOG = opt.examples(
    "perpend layers shopfront-south.dxf",
    "perpend layers shopfront-south.dxf --write perpend.toml",
)
_WRITE = "Draft a settings file to start from."


def layers(
    drawing: opt.Drawing,
    write: Annotated[Path | None, opt.option("--write", metavar="FILE.toml", help=_WRITE)] = None,
    settings: opt.SettingsFile = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show what is on which layer, and which role each layer probably plays and why."""
    found = perpend.layers(
        drawing,
        settings=settings,
        write=write,
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
    )
    end_with(found, as_json)
