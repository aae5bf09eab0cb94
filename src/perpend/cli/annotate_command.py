"""The command ``perpend annotate``."""

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
    OverwriteOption,
    PictureOption,
    ResultsOption,
    SettingsOption,
    SheetOption,
    UnitsOfDrawingOption,
    WaiversOption,
    examples,
)
from perpend.errors import InputError

EPILOG = examples(
    "perpend annotate shopfront-south.dxf",
    "perpend annotate shopfront-south.dxf -o out.dxf --settings office.toml --results out.json",
    "perpend annotate shopfront-south-annotated.dxf --clean -o shopfront-south.dxf",
)


def annotate(
    drawing: Annotated[
        Path, typer.Argument(metavar="DRAWING.dxf", help="The elevation; it is never changed.")
    ],
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="OUT.dxf",
            help="The new drawing. Default: NAME-annotated.dxf beside the old one.",
        ),
    ] = None,
    settings: SettingsOption = None,
    results: ResultsOption = None,
    sheet: SheetOption = None,
    picture: PictureOption = None,
    waivers: WaiversOption = None,
    units_of_drawing: UnitsOfDrawingOption = None,
    layout: LayoutOption = None,
    overwrite: OverwriteOption = False,
    clean: Annotated[
        bool,
        typer.Option("--clean", help="Take out again what perpend drew; goes with -o and --overwrite alone."),
    ] = False,
    details: Annotated[
        bool, typer.Option("--details", help="Draw the typical details below the drawing as well.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Place the control joints of an elevation and write a new drawing that carries them.

    The original stays as it is; everything that is added stands on layers of its own.
    """
    if clean:
        others = (
            settings,
            results,
            sheet,
            picture,
            waivers,
            units_of_drawing,
            layout,
            details or as_json or None,
        )
        _clean(drawing, output, overwrite=overwrite, alone=all(other is None for other in others))
        return
    from perpend.cli.terminal import show, show_written
    from perpend.jobs.annotate import annotate as annotate_drawing
    from perpend.report import summary

    outcome = annotate_drawing(
        drawing,
        output=output,
        settings=settings,
        results=results,
        sheet=sheet,
        picture=picture,
        waivers=waivers,
        units_of_drawing=units_of_drawing.value if units_of_drawing else None,
        layout=layout,
        overwrite=overwrite,
        details=details,
    )
    if as_json:
        sys.stdout.write(outcome.results.to_json())
    else:
        show(summary(outcome.results))
        show_written(results, sheet, picture)
    raise typer.Exit(VIOLATIONS if outcome.results.violated else CLEAN)


def _clean(drawing: Path, output: Path | None, *, overwrite: bool, alone: bool) -> None:
    from perpend.jobs.clean import clean

    if not alone:
        raise InputError(
            "--clean takes out what perpend drew and goes with -o and --overwrite alone: leave the other "
            "options out."
        )
    outcome = clean(drawing, output=output, overwrite=overwrite)
    how = "the file is to the byte what it was before" if outcome.exact else "the rest is as it was"
    print(f"Written: {outcome.output}")
    print(f"  {outcome.removed} records of ours were taken out; {how}")
    for remark in outcome.remarks:
        print(f"  {remark}")
