"""The command ``perpend spec``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import say, while_somebody_reads

EPILOG = opt.examples(
    "perpend spec shopfront-south.dxf",
    "perpend spec shopfront-south.dxf -o joints.md --settings office.toml",
    "perpend spec shopfront-south.dxf -o joints.txt",
)
_OUTPUT = "Where the text goes. Default: the terminal."


def spec(
    drawing: opt.Drawing,
    output: Annotated[Path | None, opt.option("--output", "-o", metavar="OUT.md|txt", help=_OUTPUT)] = None,
    settings: opt.SettingsFile = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
) -> None:
    """Write the joints of an elevation as three-part specification text, to be edited.

    Only what the elevation uses is in it. Brackets mark what the project has to decide; the licensed
    professional of record decides.
    """
    text = perpend.spec(
        drawing,
        output,
        settings=settings,
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
    )
    with while_somebody_reads():
        if output is None:
            say(text.rstrip("\n"), keep="\n")
        else:
            say(f"Written: {output}")
