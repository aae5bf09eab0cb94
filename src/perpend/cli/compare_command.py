"""The command ``perpend compare``."""

from __future__ import annotations

from typing import Annotated

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with

EPILOG = opt.examples(
    "perpend compare shopfront-south.dxf",
    "perpend compare shopfront-south.dxf --csv options.csv --veneer",
    "perpend compare shopfront-south.dxf --rulebooks us-cmu,us-clay,en-uk",
)
_RULEBOOKS = "Lay every wall out by these rule books too, such as us-cmu,us-clay,en-uk."
_VENEER = "Show every wall as a concrete masonry veneer too."


def compare(
    drawing: opt.Drawing,
    settings: opt.SettingsFile = None,
    csv: opt.Csv = None,
    veneer: Annotated[bool, opt.option("--veneer", help=_VENEER)] = False,
    rulebooks: Annotated[str | None, opt.option("--rulebooks", metavar="KEYS", help=_RULEBOOKS)] = None,
    units_of_drawing: opt.UnitsOfDrawing = None,
    layout: opt.Layout = None,
    overwrite: opt.Overwrite = False,
    as_json: opt.AsJson = False,
) -> None:
    """Lay each wall out by every method and opening treatment, and show them side by side.

    Nothing is drawn. The exit code is 1 when what the settings ask for can't be met.
    """
    found = perpend.compare(
        drawing,
        settings=settings,
        csv=csv,
        veneer=veneer,
        rulebooks=[key.strip() for key in (rulebooks or "").split(",") if key.strip()],
        units_of_drawing=units_of_drawing,
        layout=layout,
        overwrite=overwrite,
    )
    end_with(found, as_json)
