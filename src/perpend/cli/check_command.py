"""The command ``perpend check``."""

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

EPILOG = examples(
    "perpend check north-wing.dxf",
    "perpend check north-wing.dxf --propose --sheet north-wing.html",
    "perpend check north-wing.dxf --waivers agreed.toml --sarif findings.sarif --csv findings.csv",
)


def check(
    drawing: Annotated[
        Path,
        typer.Argument(metavar="DRAWING.dxf", help="The elevation with its joints; it is never changed."),
    ],
    output: Annotated[
        Path | None,
        typer.Option(
            "--output",
            "-o",
            metavar="OUT.dxf",
            help="The new drawing. Default: NAME-checked.dxf beside the old one.",
        ),
    ] = None,
    settings: SettingsOption = None,
    results: ResultsOption = None,
    sheet: SheetOption = None,
    sarif: Annotated[
        Path | None,
        typer.Option("--sarif", metavar="FILE.sarif", help="Write the findings as SARIF 2.1.0 as well."),
    ] = None,
    csv: Annotated[
        Path | None,
        typer.Option(
            "--csv", metavar="FILE.csv", help="Write the table of findings as comma-separated values as well."
        ),
    ] = None,
    propose: Annotated[
        bool,
        typer.Option(
            "--propose", help="Show the nearest layout that satisfies the rules, in every wall with findings."
        ),
    ] = False,
    waivers: WaiversOption = None,
    picture: PictureOption = None,
    units_of_drawing: UnitsOfDrawingOption = None,
    layout: LayoutOption = None,
    overwrite: OverwriteOption = False,
    as_json: JsonOption = False,
) -> None:
    """Judge the joints that stand in a drawing, and mark in a new one what is wrong.

    Joints of an earlier annotate are judged too, moved by hand or not. Nothing but marks is added.
    """
    from perpend.cli.terminal import show, show_written
    from perpend.jobs.check import check as check_drawing
    from perpend.report import summary

    outcome = check_drawing(
        drawing,
        output=output,
        settings=settings,
        results=results,
        sheet=sheet,
        picture=picture,
        sarif=sarif,
        csv=csv,
        propose=propose,
        waivers=waivers,
        units_of_drawing=units_of_drawing.value if units_of_drawing else None,
        layout=layout,
        overwrite=overwrite,
    )
    if as_json:
        sys.stdout.write(outcome.results.to_json())
    else:
        show(summary(outcome.results))
        show_written(results, sheet, picture, sarif, csv)
    raise typer.Exit(VIOLATIONS if outcome.results.violated else CLEAN)
