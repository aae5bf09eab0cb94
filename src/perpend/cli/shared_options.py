"""Words and options that several commands share."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

import typer

CLEAN: Final = 0
VIOLATIONS: Final = 1
INPUT_ERROR: Final = 2
OUR_FAULT: Final = 3


class Method(StrEnum):
    """How the spacing of joints is found."""

    EMPIRICAL = "empirical"
    ENGINEERED = "engineered"
    VENEER = "veneer"
    NO_JOINTS = "no-joints"


class Units(StrEnum):
    """Height of the masonry units."""

    FULL_HEIGHT = "full-height"
    HALF_HIGH = "half-high"


class DrawingUnits(StrEnum):
    """Length unit of a drawing."""

    IN = "in"
    FT = "ft"
    MM = "mm"
    CM = "cm"
    M = "m"


SettingsOption = Annotated[
    Path | None,
    typer.Option(
        "--settings",
        metavar="FILE.toml",
        help="Settings file. Without it perpend.toml beside the drawing or above it counts, and "
        "NAME.perpend.toml beside NAME.dxf over that.",
    ),
]
ResultsOption = Annotated[
    Path | None,
    typer.Option("--results", metavar="FILE.json", help="Write the results document as well."),
]
SheetOption = Annotated[
    Path | None,
    typer.Option("--sheet", metavar="FILE.html", help="Write the review sheet as well."),
]
PictureOption = Annotated[
    Path | None,
    typer.Option(
        "--picture", metavar="FILE.svg|png", help="Draw a picture of the new drawing, on one sheet."
    ),
]
WaiversOption = Annotated[
    Path | None,
    typer.Option(
        "--waivers",
        metavar="FILE.toml",
        help="Accepted findings. Without it NAME.waivers.toml beside the drawing counts.",
    ),
]
UnitsOfDrawingOption = Annotated[
    DrawingUnits | None,
    typer.Option("--units-of-drawing", help="Length unit of the drawing; overrules header and settings."),
]
LayoutOption = Annotated[
    str | None,
    typer.Option("--layout", metavar="NAME", help="Layout to read. Default: modelspace."),
]
OverwriteOption = Annotated[
    bool,
    typer.Option(
        "--overwrite",
        help="Replace the file that stands where the new drawing goes, even if somebody worked in it since.",
    ),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the result as JSON instead of text.")]


def examples(*lines: str) -> str:
    """Return command lines as the closing part of a command's help, kept line by line."""
    return "\n".join(["\b", "Examples:", *(f"  {line}" for line in lines)])
