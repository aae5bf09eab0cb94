"""The command ``perpend limits``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from perpend.cli.shared_options import JsonOption, Method, Units, examples
from perpend.errors import InputError

EPILOG = examples(
    'perpend limits --height "16\'-8\\""',
    "perpend limits --height 5080mm --method engineered --ccc 0.0015",
    "perpend limits --height 13.5ft --units half-high --json",
    "perpend limits --height 6m --rulebook en-uk --material clay",
    "perpend limits --unverified",
)


def limits(
    height: Annotated[
        str | None,
        typer.Option(
            "--height", metavar="LENGTH", help="Height of the wall: 16'-8\", 16.67ft, 200in, 5.08m or 5080mm."
        ),
    ] = None,
    method: Annotated[
        Method | None, typer.Option("--method", help="Default: the settings', or empirical.")
    ] = None,
    units: Annotated[
        Units | None,
        typer.Option("--units", help="Height of the units. Default: the settings', or full-height."),
    ] = None,
    material: Annotated[
        str | None,
        typer.Option(
            "--material", metavar="NAME", help="Material of the units, in rule books that tell several apart."
        ),
    ] = None,
    ccc: Annotated[
        float | None,
        typer.Option(
            "--ccc", help="Crack control coefficient, in/in, for the engineered method: 0.0010 to 0.0015."
        ),
    ] = None,
    rulebook: Annotated[
        str | None,
        typer.Option("--rulebook", metavar="KEY", help="Rule book. Default: the settings', or us-cmu."),
    ] = None,
    settings: Annotated[
        Path | None,
        typer.Option("--settings", metavar="FILE.toml", help="Settings file whose defaults count."),
    ] = None,
    unverified: Annotated[
        bool,
        typer.Option("--unverified", help="List what was typed from memory, for an office to look up."),
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Show how far apart joints may stand in a wall of a given height, and by which source."""
    from perpend.cli.terminal import show

    if unverified:
        from perpend.jobs.limits import unverified_of
        from perpend.report.unverified_list import unverified_text

        listed = unverified_of(rulebook, settings)
        if as_json:
            sys.stdout.write(listed.to_json())
        else:
            show(unverified_text(listed))
        return
    if height is None:
        raise InputError("The height of the wall is missing: give --height, or --unverified for the list.")
    from perpend.jobs.limits import limits_at
    from perpend.report.limit_table import limits_text

    found = limits_at(
        height,
        method=method.value if method else None,
        units=units.value if units else None,
        material=material,
        ccc=ccc,
        rulebook=rulebook,
        settings=settings,
    )
    if as_json:
        sys.stdout.write(found.to_json())
    else:
        show(limits_text(found))
