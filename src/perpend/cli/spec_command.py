"""The command ``perpend spec``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from perpend.cli.shared_options import LayoutOption, SettingsOption, UnitsOfDrawingOption, examples

EPILOG = examples(
    "perpend spec shopfront-south.dxf",
    "perpend spec shopfront-south.dxf -o joints.md --settings office.toml",
    "perpend spec shopfront-south.dxf -o joints.txt",
)


def spec(
    drawing: Annotated[
        Path, typer.Argument(metavar="DRAWING.dxf", help="The elevation; it is never changed.")
    ],
    output: Annotated[
        Path | None,
        typer.Option(
            "--output", "-o", metavar="OUT.md|txt", help="Where the text goes. Default: the terminal."
        ),
    ] = None,
    settings: SettingsOption = None,
    units_of_drawing: UnitsOfDrawingOption = None,
    layout: LayoutOption = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Replace the file that is there.")] = False,
) -> None:
    """Write the joints of an elevation as three-part specification text, to be edited.

    Only what the elevation uses is in it. Brackets mark what the project has to decide; the licensed
    professional of record decides.
    """
    from perpend.jobs.write_spec import check_text_place, specify, write_text
    from perpend.report.spec_text import plain_text

    if output is not None:
        check_text_place(output, drawing, overwrite=overwrite)
    text = specify(
        drawing,
        settings=settings,
        units_of_drawing=units_of_drawing.value if units_of_drawing else None,
        layout=layout,
    )
    if output is None:
        sys.stdout.write(plain_text(text))
        return
    write_text(text, output)
    print(f"Written: {output}")
