"""The command ``perpend limits``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import end_with
from perpend.errors import InputError

EPILOG = opt.examples(
    'perpend limits --height "16\'-8\\""',
    "perpend limits --height 5080mm --method engineered --ccc 0.0015",
    "perpend limits --height 12ft --method engineered --shrinkage 0.00045 --temperature-drop 140",
    "perpend limits --height 13.5ft --units half-high --json",
    "perpend limits --height 6m --rulebook en-uk --material clay",
    "perpend limits --unverified",
)
_HEIGHT = "Height of the wall: 16'-8\", 16.67ft, 200in, 5.08m or 5080mm."
_METHOD = "Default: the settings', or empirical."
_UNITS = "Height of the units. Default: the settings', or full-height."
_CCC = "Crack control coefficient, in/in, for the engineered method: 0.0010 to 0.0015."
_SHRINKAGE = "Drying shrinkage of the units, in/in; with --temperature-drop it adds the coefficient up."
_DROP = "Greatest drop of temperature, degrees Fahrenheit; with --shrinkage."
_THERMAL = "Thermal coefficient: printed with the method, or the building code's (not verified)."
_MATERIAL = "Material of the units, in rule books that tell several apart."
_UNVERIFIED = "List what was typed from memory, for an office to look up."
_RULEBOOK = "Rule book. Default: the settings', or us-cmu."
_SETTINGS = "Settings file whose defaults count."


def limits(
    height: Annotated[str | None, opt.option("--height", metavar="LENGTH", help=_HEIGHT)] = None,
    method: Annotated[opt.Method | None, opt.option("--method", help=_METHOD)] = None,
    units: Annotated[opt.Units | None, opt.option("--units", help=_UNITS)] = None,
    material: Annotated[str | None, opt.option("--material", metavar="NAME", help=_MATERIAL)] = None,
    ccc: Annotated[float | None, opt.option("--ccc", help=_CCC)] = None,
    shrinkage: Annotated[float | None, opt.option("--shrinkage", metavar="STRAIN", help=_SHRINKAGE)] = None,
    temperature_drop: Annotated[
        float | None, opt.option("--temperature-drop", metavar="DEGREES", help=_DROP)
    ] = None,
    thermal: Annotated[opt.Thermal, opt.option("--thermal", help=_THERMAL)] = opt.Thermal.PRINTED,
    rulebook: Annotated[str | None, opt.option("--rulebook", metavar="KEY", help=_RULEBOOK)] = None,
    settings: Annotated[Path | None, opt.option("--settings", metavar="FILE.toml", help=_SETTINGS)] = None,
    unverified: Annotated[bool, opt.option("--unverified", help=_UNVERIFIED)] = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show how far apart joints may be in a wall of a given height, and by which source."""
    if unverified:
        end_with(perpend.unverified(rulebook, settings), as_json)
    if height is None:
        raise InputError("The height of the wall is missing: give --height, or --unverified for the list.")
    found = perpend.limits(
        height,
        method=method,
        units=units,
        material=material,
        ccc=ccc,
        shrinkage=shrinkage,
        temperature_drop_f=temperature_drop,
        thermal="code" if thermal is opt.Thermal.CODE else "printed",
        rulebook=rulebook,
        settings=settings,
    )
    end_with(found, as_json)
