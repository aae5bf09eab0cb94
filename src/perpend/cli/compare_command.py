"""The command ``perpend compare``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from perpend.cli.shared_options import (
    CLEAN,
    VIOLATIONS,
    JsonOption,
    LayoutOption,
    SettingsOption,
    UnitsOfDrawingOption,
    examples,
)

EPILOG = examples(
    "perpend compare shopfront-south.dxf",
    "perpend compare shopfront-south.dxf --csv options.csv --veneer",
    "perpend compare shopfront-south.dxf --rulebooks us-cmu,us-clay,en-uk",
)


def compare(
    drawing: Annotated[
        Path, typer.Argument(metavar="DRAWING.dxf", help="The elevation; it is never changed.")
    ],
    settings: SettingsOption = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE.csv", help="Write the table as comma-separated values as well."),
    ] = None,
    veneer: Annotated[
        bool, typer.Option("--veneer", help="Show every wall as a concrete masonry veneer too.")
    ] = False,
    rulebooks: Annotated[
        str | None,
        typer.Option(
            "--rulebooks",
            metavar="KEYS",
            help="Lay every wall out by these rule books too, such as us-cmu,us-clay,en-uk.",
        ),
    ] = None,
    units_of_drawing: UnitsOfDrawingOption = None,
    layout: LayoutOption = None,
    as_json: JsonOption = False,
) -> None:
    """Lay each wall out by every method and opening treatment, and show them side by side.

    Nothing is drawn. The exit code is 1 when what the settings ask for can't be met.
    """
    from perpend.cli.terminal import show
    from perpend.jobs.compare import compare as compare_drawing
    from perpend.report.compare_text import compare_text

    found = compare_drawing(
        drawing,
        settings=settings,
        csv=csv,
        veneer=veneer,
        rulebooks=[key.strip() for key in (rulebooks or "").split(",") if key.strip()],
        units_of_drawing=units_of_drawing.value if units_of_drawing else None,
        layout=layout,
    )
    if as_json:
        sys.stdout.write(found.to_json())
    else:
        show(compare_text(found))
    raise typer.Exit(VIOLATIONS if found.violated else CLEAN)
