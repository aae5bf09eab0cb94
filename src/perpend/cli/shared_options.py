"""Words and options that several commands share, each option declared once."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated, Any, Final

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


class Thermal(StrEnum):
    """Which thermal coefficient adds to a crack control coefficient."""

    PRINTED = "printed"
    CODE = "code"


class DrawingUnits(StrEnum):
    """Length unit of a drawing."""

    IN = "in"
    FT = "ft"
    MM = "mm"
    CM = "cm"
    M = "m"


def option(*names: str, help: str, metavar: str | None = None) -> Any:  # noqa: ANN401 - typer's own word and type
    """Declare an option."""
    return typer.Option(*names, metavar=metavar, help=help)


_SETTINGS = (
    "Settings file. Without it perpend.toml beside the drawing or above it counts, and NAME.perpend.toml "
    "beside NAME.dxf over that."
)
_OUTPUT = "The new drawing. Default: NAME-annotated.dxf or NAME-checked.dxf beside the old one."
_PICTURE = "Draw a picture of the new drawing, on one sheet."
_WAIVERS = "Accepted findings. Without it NAME.waivers.toml beside the drawing counts."
_UNITS = "Length unit of the drawing; overrules header and settings."
_OVERWRITE = "Replace files that perpend did not write, or that somebody worked in since."
_SARIF = "Write the findings as SARIF 2.1.0 as well; of a batch, those of all drawings in one file."
_PROPOSE = "Show the nearest layout that satisfies the rules, in every wall with findings."

Drawing = Annotated[Path, typer.Argument(metavar="DRAWING.dxf", help="The elevation; it is never changed.")]
Output = Annotated[Path | None, option("--output", "-o", metavar="OUT.dxf", help=_OUTPUT)]
SettingsFile = Annotated[Path | None, option("--settings", metavar="FILE.toml", help=_SETTINGS)]
ResultsFile = Annotated[
    Path | None, option("--results", metavar="FILE.json", help="Write the results document as well.")
]
Sheet = Annotated[Path | None, option("--sheet", metavar="FILE.html", help="Write the review sheet as well.")]
Picture = Annotated[Path | None, option("--picture", metavar="FILE.svg|png", help=_PICTURE)]
Sarif = Annotated[Path | None, option("--sarif", metavar="FILE.sarif", help=_SARIF)]
Csv = Annotated[
    Path | None,
    option("--csv", metavar="FILE.csv", help="Write the table as comma-separated values as well."),
]
Propose = Annotated[bool, option("--propose", help=_PROPOSE)]
Waivers = Annotated[Path | None, option("--waivers", metavar="FILE.toml", help=_WAIVERS)]
UnitsOfDrawing = Annotated[DrawingUnits | None, option("--units-of-drawing", help=_UNITS)]
Layout = Annotated[
    str | None,
    option("--layout", metavar="NAME", help="Layout to read. Default: modelspace, or the only one drawn on."),
]
Overwrite = Annotated[bool, option("--overwrite", help=_OVERWRITE)]
AsJson = Annotated[bool, option("--json", help="Print the result as JSON instead of text.")]


def examples(*lines: str) -> str:
    """Return command lines as the closing part of a command's help, kept line by line."""
    return "\n".join(["\b", "Examples:", *(f"  {line}" for line in lines)])
