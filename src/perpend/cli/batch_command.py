"""The command ``perpend batch``."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

import perpend
from perpend.clean_text import visible
from perpend.cli import shared_options as opt
from perpend.cli.terminal import raw, say, show, warn, while_somebody_reads

if TYPE_CHECKING:
    from perpend import BatchOutcome, BatchReport

EPILOG = opt.examples(
    "perpend batch elevations --out annotated",
    "perpend batch elevations --out checked --check --recursive --jobs 8",
    "perpend batch elevations --out annotated --pattern 'A-2*.dxf' --exclude '*detail*' --time-limit 600",
    "",
    "Exit code: the worst of all drawings' (0, 1, 2, 3 as everywhere; a sheet without an elevation counts",
    "as 0, a folder without any as 2); 130 after Ctrl-C.",
)


_OUT = "Where the new drawings and the index go."
_EXCLUDE = "Names or paths that don't count; may be repeated."
_SCHEDULER = "Run on the Dask cluster of this scheduler; its workers must see the same folders."


def batch(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the drawings are.")],
    out: Annotated[Path, opt.option("--out", metavar="FOLDER", help=_OUT)],
    check: Annotated[
        bool, opt.option("--check", help="Check the drawings instead of annotating them.")
    ] = False,
    propose: opt.Propose = False,
    sarif: opt.Sarif = None,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", metavar="N", min=1, help="Drawings at once. Default: one for each core."),
    ] = None,
    pattern: Annotated[
        str, opt.option("--pattern", metavar="PATTERN", help="Names that count, * and ? as usual.")
    ] = "*.dxf",
    exclude: Annotated[list[str] | None, opt.option("--exclude", metavar="PATTERN", help=_EXCLUDE)] = None,
    recursive: Annotated[bool, opt.option("--recursive", help="Folders below count too.")] = False,
    settings: opt.SettingsFile = None,
    force: Annotated[bool, opt.option("--force", help="Do unchanged drawings again.")] = False,
    overwrite: opt.Overwrite = False,
    time_limit: Annotated[
        float, typer.Option("--time-limit", metavar="SECONDS", min=0, help="For one drawing; 0: none.")
    ] = 120.0,
    memory_limit: Annotated[
        int, typer.Option("--memory-limit", metavar="MB", min=0, help="For one drawing; 0: none.")
    ] = 2048,
    scheduler: Annotated[str | None, opt.option("--scheduler", metavar="ADDRESS", help=_SCHEDULER)] = None,
    as_json: opt.AsJson = False,
) -> None:
    """Annotate or check every drawing of a folder, and write an index of them all.

    A drawing that can't be done is passed over and reported. Unchanged drawings are not done again.
    """
    with _progress(raw(sys.stderr) if as_json else sys.stdout) as lines:
        report = perpend.batch(
            folder,
            out,
            check=check,
            propose=propose,
            jobs=jobs,
            pattern=pattern,
            exclude=exclude or (),
            recursive=recursive,
            settings=settings,
            force=force,
            time_limit_s=time_limit,
            memory_limit_mb=memory_limit,
            overwrite=overwrite,
            sarif=sarif,
            scheduler=scheduler,
            start=lines.start,
            watch=lines.tell,
        )
    with while_somebody_reads():
        _print(report, as_json)
    if report.trouble:
        warn(report.trouble)
    raise typer.Exit(report.exit_code)


def _print(report: BatchReport, as_json: bool) -> None:
    if as_json and report.index is not None:
        say(report.index.with_suffix(".json").read_text(encoding="utf-8").rstrip("\n"), keep="\n")
    else:
        show(perpend.text_of(report))


class _Lines:
    """One line for each drawing, in the order of their names, whichever is done first."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._names: Sequence[str] = ()
        self._held: dict[str, BatchOutcome] = {}
        self._next = 0

    def start(self, names: Sequence[str]) -> None:
        """Take the names of all drawings, in order."""
        self._names = names

    def tell(self, outcome: BatchOutcome) -> None:
        """Take an outcome, and print every line whose turn it is."""
        self._held[outcome.name] = outcome
        while self._next < len(self._names) and self._names[self._next] in self._held:
            self._say(_text(self._held.pop(self._names[self._next])))
            self._next += 1

    def finish(self) -> None:
        """Print the lines that still wait for an earlier one, which never came."""
        for name in self._names[self._next :]:
            if name in self._held:
                self._say(_text(self._held.pop(name)))

    def _say(self, line: str) -> None:
        try:
            say(line, self._stream)
            self._stream.flush()
        except BrokenPipeError:  # nobody listens any more, as after | head: the run ends as by Ctrl-C
            raise KeyboardInterrupt from None


class _Bar(_Lines):
    """The same lines above a progress bar."""

    def __init__(self, stream: TextIO) -> None:
        super().__init__(stream)
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
        self.progress = Progress(*columns, console=Console(file=stream, highlight=False, soft_wrap=True))

    def start(self, names: Sequence[str]) -> None:
        super().start(names)
        self._task = self.progress.add_task("Drawings", total=len(names))

    def tell(self, outcome: BatchOutcome) -> None:
        super().tell(outcome)
        self.progress.advance(self._task)

    def _say(self, line: str) -> None:
        self.progress.console.print(visible(line), markup=False)


@contextmanager
def _progress(stream: TextIO) -> Iterator[_Lines]:
    """Show a bar on a terminal, plain lines elsewhere."""
    if stream.isatty() and os.environ.get("TERM") != "dumb":
        bar = _Bar(stream)
        with bar.progress:
            yield bar
            bar.finish()
        return
    lines = _Lines(stream)
    yield lines
    lines.finish()


def _text(outcome: BatchOutcome) -> str:
    return perpend.text_of(outcome)[0].text
