"""The command ``perpend`` and its commands, each in a module of its own.

The packages that do the work are imported inside the commands, so that ``--help`` is quick; and a command is
made ready only when it is called, or when there is help to give on all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import Annotated, Final

import typer

from perpend.cli.shared_options import examples
from perpend.version import __version__

COMMANDS: Final = (
    *("annotate", "check", "batch", "changes", "watch"),
    *("compare", "layers", "limits", "details", "spec"),
)
"""Each is a function in the module of its name, beside the end of its help."""


def make_app(commands: Sequence[str] = COMMANDS) -> typer.Typer:
    """Return the command line with some of the commands."""
    app = typer.Typer(
        name="perpend",
        add_completion=False,
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    )
    for name in commands:
        module = import_module(f"perpend.cli.{name}_command")
        app.command(epilog=module.EPILOG)(getattr(module, name))
    app.callback(epilog=_EPILOG)(perpend)
    return app


def commands_for(arguments: Sequence[str]) -> Sequence[str]:
    """Return the commands that a command line can lead to: the one it starts with, else any."""
    return arguments[:1] if arguments and arguments[0] in COMMANDS else COMMANDS


_EPILOG: Final = examples(
    "perpend annotate shopfront-south.dxf",
    "perpend check shopfront-south-annotated.dxf",
    "perpend batch elevations --out annotated",
    "perpend changes issued.dxf revised.dxf",
    "perpend watch elevations --check",
    "perpend layers shopfront-south.dxf",
    'perpend limits --height "16\'-8\\""',
    "",
    "Exit codes: 0 clean, 1 violations found or a look needed, 2 input or usage error, 3 a fault of perpend.",
)


def _print_version(wanted: bool) -> None:
    if wanted:
        print(f"perpend {__version__}")
        raise typer.Exit


def perpend(
    version: Annotated[
        bool,
        typer.Option("--version", callback=_print_version, is_eager=True, help="Print the version and exit."),
    ] = False,
) -> None:
    """Control joints for masonry wall elevations in DXF.

    An aid, not a design: local codes and the licensed professional of record decide.
    """
