"""The command ``perpend watch``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

import perpend
from perpend.cli import shared_options as opt
from perpend.cli.terminal import say, while_somebody_reads

EPILOG = opt.examples(
    "perpend watch elevations",
    "perpend watch elevations --check --out reviewed",
    "perpend watch elevations --once",
    "",
    "Exit code: 130 after Ctrl-C; with --once the worst of all drawings' (0, 1, 2, 3 as everywhere).",
)
_OUT = "Where the new drawings and sheets go. Default: beside the drawings."
_CHECK = "Check the drawings instead of annotating them."
_ONCE = "Do what has to be done now, then end: for tests and schedulers."
_NO_PAGE = "No page in the browser that reloads the sheets."
_PORT = "Port of this machine for the page. Default: a free one."


def watch(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the drawings are.")],
    check: Annotated[bool, opt.option("--check", help=_CHECK)] = False,
    out: Annotated[Path | None, opt.option("--out", metavar="FOLDER", help=_OUT)] = None,
    settings: opt.SettingsFile = None,
    overwrite: opt.Overwrite = False,
    once: Annotated[bool, opt.option("--once", help=_ONCE)] = False,
    no_page: Annotated[bool, opt.option("--no-page", help=_NO_PAGE)] = False,
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help=_PORT, show_default=False)
    ] = 0,
) -> None:
    """Annotate or check every drawing of a folder whenever it is saved, until Ctrl-C.

    Its sheet reloads in the browser beside it. A drawing that can't be done is reported; the watch goes on.
    """
    if not once:
        _say(f"Watching {folder}: save a drawing to have it done. Ctrl-C ends it.")
    code = perpend.watch(
        folder,
        out,
        check=check,
        settings=settings,
        overwrite=overwrite,
        once=once,
        page=not (once or no_page),
        port=port,
        at=lambda address: _say(f"Sheets: {address}"),
        note=_say,
        tell=lambda outcome: _say(perpend.text_of(outcome)[0].text),
    )
    raise typer.Exit(code)


def _say(line: str) -> None:
    with while_somebody_reads():
        say(line)
