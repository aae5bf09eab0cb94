"""The command ``perpend layers``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from perpend.cli.shared_options import (
    JsonOption,
    LayoutOption,
    SettingsOption,
    UnitsOfDrawingOption,
    examples,
)

EPILOG = examples(
    "perpend layers shopfront-south.dxf",
    "perpend layers shopfront-south.dxf --write perpend.toml",
)


def layers(
    drawing: Annotated[
        Path, typer.Argument(metavar="DRAWING.dxf", help="The elevation; it is never changed.")
    ],
    write: Annotated[
        Path | None,
        typer.Option(
            "--write", metavar="FILE.toml", help="Draft a settings file to start from; never over an old one."
        ),
    ] = None,
    settings: SettingsOption = None,
    units_of_drawing: UnitsOfDrawingOption = None,
    layout: LayoutOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show what is on which layer, and which role each layer probably plays and why."""
    from perpend.cli.terminal import show
    from perpend.jobs.layers import layers_of
    from perpend.report.layer_table import layers_text

    found = layers_of(
        drawing,
        settings=settings,
        write=write,
        units_of_drawing=units_of_drawing.value if units_of_drawing else None,
        layout=layout,
    )
    if as_json:
        sys.stdout.write(found.to_json())
    else:
        show(layers_text(found))
