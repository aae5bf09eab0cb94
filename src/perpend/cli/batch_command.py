"""The command ``perpend batch``."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO

import typer

from perpend.cli.shared_options import JsonOption, OverwriteOption, SettingsOption, examples

if TYPE_CHECKING:
    from perpend.batch import BatchReport, Outcome

EPILOG = examples(
    "perpend batch elevations --out annotated",
    "perpend batch elevations --out checked --check --recursive --jobs 8",
    "perpend batch elevations --out annotated --pattern 'A-2*.dxf' --exclude '*detail*' --time-limit 600",
    "",
    "Exit code: the gravest of all drawings' (0, 1, 2, 3 as everywhere; a sheet without an elevation counts",
    "as 0, a folder without any as 2); 130 after Ctrl-C.",
)


def batch(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the drawings are.")],
    out: Annotated[
        Path, typer.Option("--out", metavar="FOLDER", help="Where the new drawings and the index go.")
    ],
    check: Annotated[
        bool, typer.Option("--check", help="Check the drawings instead of annotating them.")
    ] = False,
    propose: Annotated[
        bool,
        typer.Option("--propose", help="With --check: show the nearest layout that satisfies the rules."),
    ] = False,
    sarif: Annotated[
        Path | None,
        typer.Option(
            "--sarif",
            metavar="FILE.sarif",
            help="With --check: write the findings of all drawings as one SARIF 2.1.0 file.",
        ),
    ] = None,
    jobs: Annotated[
        int | None,
        typer.Option("--jobs", metavar="N", min=1, help="Drawings at once. Default: one for each core."),
    ] = None,
    pattern: Annotated[
        str, typer.Option("--pattern", metavar="PATTERN", help="Names that count, * and ? as usual.")
    ] = "*.dxf",
    exclude: Annotated[
        list[str] | None,
        typer.Option(
            "--exclude",
            metavar="PATTERN",
            help="Names or paths that don't count; may be repeated.",
        ),
    ] = None,
    recursive: Annotated[bool, typer.Option("--recursive", help="Folders below count too.")] = False,
    settings: SettingsOption = None,
    force: Annotated[bool, typer.Option("--force", help="Do unchanged drawings again.")] = False,
    overwrite: OverwriteOption = False,
    time_limit: Annotated[
        float, typer.Option("--time-limit", metavar="SECONDS", min=0, help="For one drawing; 0: none.")
    ] = 120.0,
    memory_limit: Annotated[
        int, typer.Option("--memory-limit", metavar="MB", min=0, help="For one drawing; 0: none.")
    ] = 2048,
    scheduler: Annotated[
        str | None,
        typer.Option(
            "--scheduler",
            metavar="ADDRESS",
            help="Run on the Dask cluster of this scheduler; its workers must see the same folders.",
        ),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Annotate or check every drawing of a folder, and write an index of them all.

    A drawing that can't be done is passed over and told. Unchanged drawings are not done again.
    """
    from perpend.batch import BatchOptions, LocalProcesses, MakeExecutor, run_batch

    make: MakeExecutor = LocalProcesses
    places = os.cpu_count() or 1
    if scheduler is not None:
        from perpend.batch.dask_cluster import on_cluster

        make, places = on_cluster(scheduler)
        folder, out, settings = folder.absolute(), out.absolute(), settings and settings.absolute()
    options = BatchOptions(
        check=check,
        propose=propose,
        jobs=jobs or places,
        pattern=pattern,
        exclude=tuple(exclude or ()),
        recursive=recursive,
        settings=settings,
        force=force,
        seconds=time_limit,
        megabytes=memory_limit,
        overwrite=overwrite,
        sarif=sarif,
    )
    with _progress(sys.stderr if as_json else sys.stdout) as lines:
        report = run_batch(folder, out, options, start=lines.start, watch=lines.tell, make=make)
    if as_json and report.index is not None:
        sys.stdout.write(report.index.with_suffix(".json").read_text(encoding="utf-8"))
    else:
        print("\n".join(_closing(report)))
    if report.trouble:
        print(f"perpend: {report.trouble}", file=sys.stderr)
    raise typer.Exit(report.exit_code)


class _Lines:
    """One line for each drawing, in the order of their names, whichever is done first."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._names: Sequence[str] = ()
        self._held: dict[str, Outcome] = {}
        self._next = 0

    def start(self, names: Sequence[str]) -> None:
        """Take the names of all drawings, in order."""
        self._names = names

    def tell(self, outcome: Outcome) -> None:
        """Take an outcome, and print every line whose turn it is."""
        self._held[outcome.name] = outcome
        while self._next < len(self._names) and self._names[self._next] in self._held:
            self._say(_line(self._held.pop(self._names[self._next])))
            self._next += 1

    def finish(self) -> None:
        """Print the lines that still wait for an earlier one, which never came."""
        for name in self._names[self._next :]:
            if name in self._held:
                self._say(_line(self._held.pop(name)))

    def _say(self, line: str) -> None:
        print(line, file=self._stream, flush=True)


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

    def tell(self, outcome: Outcome) -> None:
        super().tell(outcome)
        self.progress.advance(self._task)

    def _say(self, line: str) -> None:
        self.progress.console.print(line, markup=False)


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


def _line(outcome: Outcome) -> str:
    if outcome.sentence:
        return f"{outcome.name}: {outcome.state}: {outcome.sentence}"
    found = f"{_counted(outcome.walls, 'wall')}, {_counted(outcome.joints, 'joint')}"
    if outcome.violations:
        found += f", {_counted(outcome.violations, 'violation')}: {outcome.worst}"
    elif outcome.remarks:
        found += f", {_counted(outcome.remarks, 'remark')}{_in_doubt(outcome)}: {outcome.worst}"
    return f"{outcome.name}: {outcome.state}: {found}{_unchanged(outcome)}"


def _in_doubt(outcome: Outcome) -> str:
    """Say how many of the remarks are doubts of the reading."""
    return f" ({_counted(outcome.doubts, 'doubt')} of the reading)" if outcome.doubts else ""


def _unchanged(outcome: Outcome) -> str:
    if not outcome.worked_in:
        return " (unchanged)" if outcome.reused else ""
    return " (unchanged; somebody has worked in the new drawing since: it is kept, --overwrite replaces it)"


def _closing(report: BatchReport) -> Iterator[str]:
    from perpend.batch import State

    done = report.count(State.CLEAN) + report.count(State.VIOLATIONS)
    unchanged = sum(outcome.reused for outcome in report.outcomes)
    if report.stopped:
        yield "Stopped by hand or from outside; what is done is kept, and the same command goes on from here."
    yield from report.left_out
    yield from report.left_behind
    found = ", ".join(_tally(report))
    yield f"{done} of {len(report.outcomes)} drawings done ({unchanged} unchanged): {found}"
    if report.index is not None:
        yield f"Index: {report.index}"


def _tally(report: BatchReport) -> Iterator[str]:
    """Say how many drawings there are of a kind, the gravest first: ``2 with 7 violations``, ``9 clean``."""
    from perpend.batch import State
    from perpend.batch.orders import GRAVEST_FIRST

    violations = sum(outcome.violations for outcome in report.outcomes)
    clean = [o for o in report.outcomes if o.state is State.CLEAN]
    doubts = [o.doubts for o in clean if o.in_doubt]
    remarks = [o.remarks for o in clean if o.remarks and not o.in_doubt]
    words = {
        State.VIOLATIONS: f"with {_counted(violations, 'violation')}",
        State.FAULT: "failed by a fault of perpend",
        State.NO_ELEVATION: "without an elevation",
    }
    for state in GRAVEST_FIRST:
        count = report.count(state)
        if state is State.CLEAN and doubts:
            yield f"{len(doubts)} with {_counted(sum(doubts), 'doubt')} of the reading"
            count -= len(doubts)
        if state is State.CLEAN and remarks:
            yield f"{len(remarks)} with {_counted(sum(remarks), 'remark')}"
            count -= len(remarks)
        if count:
            yield f"{count} {words.get(state, state)}"


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"
