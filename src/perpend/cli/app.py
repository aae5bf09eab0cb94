"""The command ``perpend`` and its commands, each in a module of its own.

The packages that do the work are imported inside the commands, so that ``--help`` is quick.
"""

from __future__ import annotations

from typing import Annotated

import typer

from perpend import __version__
from perpend.cli import annotate, batch, check, compare, layers, limits
from perpend.cli.options import examples

app = typer.Typer(
    name="perpend",
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
app.command(epilog=annotate.EPILOG)(annotate.annotate)
app.command(epilog=check.EPILOG)(check.check)
app.command(epilog=batch.EPILOG)(batch.batch)
app.command(epilog=compare.EPILOG)(compare.compare)
app.command(epilog=layers.EPILOG)(layers.layers)
app.command(epilog=limits.EPILOG)(limits.limits)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"perpend {__version__}")
        raise typer.Exit


@app.callback(
    epilog=examples(
        "perpend annotate shopfront-south.dxf",
        "perpend check shopfront-south-annotated.dxf",
        "perpend batch elevations --out annotated",
        "perpend layers shopfront-south.dxf",
        'perpend limits --height "16\'-8\\""',
        "",
        "Exit codes: 0 clean, 1 violations found, 2 input or usage error, 3 a fault of perpend.",
    )
)
def perpend(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and exit."),
    ] = False,
) -> None:
    """Control joints for masonry wall elevations in DXF.

    An aid, not a design: local codes and the licensed professional of record decide.
    """
