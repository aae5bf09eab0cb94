"""A whole batch: find, lock, do, record, index."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from perpend.errors import INTERRUPTED, InputError
from perpend.folders.batch_index import INDEX_FILES, write_index, write_sarif
from perpend.folders.find_drawings import find_orders
from perpend.folders.folder_lock import LOCK_NAME, locked
from perpend.folders.interrupts import StopWish, listening
from perpend.folders.leftovers import left_behind, sweep_all
from perpend.folders.one_drawing import look_up
from perpend.folders.orders import EXIT_CODES, Order, Outcome, State
from perpend.folders.run_record import counts, growing_record, load_record, record_place, save_record
from perpend.folders.worker_pool import LocalProcesses, MakeExecutor, do_all
from perpend.jobs.output_kinds import SARIF
from perpend.jobs.output_places import Place, check_places

Watch = Callable[[Outcome], None]
"""Told of each outcome as it comes."""

_NOT_DONE: Final = "the run was stopped before it was done: run the same command again to go on."


@dataclass(frozen=True, slots=True)
class BatchOptions:
    """How a batch runs: the arguments of `perpend.batch`; `seconds` and `megabytes` limit one drawing."""

    check: bool = False
    propose: bool = False
    jobs: int = 1
    pattern: str = "*.dxf"
    exclude: tuple[str, ...] = ()
    recursive: bool = False
    settings: Path | None = None
    force: bool = False
    seconds: float = 120.0
    megabytes: int = 2048
    overwrite: bool = False
    sarif: Path | None = None


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What a batch did.

    Attributes:
        outcomes: one for each drawing, in the order of their names.
        index: the index page; None when it could not be written.
        stopped: True when it was stopped before the end.
        trouble: why index or record could not be written, or why the whole run is in doubt; or empty.
        left_out: what was not taken for a drawing though its name fits, and why.
        left_behind: outputs of earlier runs that this one did not make anew, and why.
    """

    outcomes: tuple[Outcome, ...]
    index: Path | None
    stopped: bool = False
    trouble: str = ""
    left_out: tuple[str, ...] = ()
    left_behind: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """The worst of all that happened; 130 when it was stopped."""
        if self.stopped:
            return INTERRUPTED
        codes = [max(EXIT_CODES[o.state], int(o.grave_doubt)) for o in self.outcomes]
        return max([*codes, InputError.exit_code if self.trouble else 0])

    def count(self, state: State) -> int:
        """Count the drawings in a state."""
        return sum(outcome.state is state for outcome in self.outcomes)


def run_batch(
    folder: Path,
    out: Path,
    options: BatchOptions,
    *,
    watch: Watch = lambda _: None,
    start: Callable[[Sequence[str]], None] = lambda _: None,
    make: MakeExecutor = LocalProcesses,
) -> BatchReport:
    """Do every drawing of a folder.

    Args:
        folder: where the drawings are.
        out: where the outputs go.
        options: how it runs.
        watch: told of each outcome as it comes, in any order.
        start: told the names of all drawings, in order, before the first is done.
        make: makes the executor that does the work.

    Returns:
        What became of each drawing. A failure of one drawing is in its outcome.

    Raises:
        InputError: the folder, the output folder or an option is wrong, or another run holds the output
            folder.
    """
    if options.propose and not options.check:
        raise InputError("--propose shows what would cure the findings of a check: pass --check as well.")
    if options.sarif is not None and not options.check:
        raise InputError("--sarif holds the findings of a check: pass --check as well.")
    found = find_orders(
        folder,
        out,
        pattern=options.pattern,
        exclude=options.exclude,
        recursive=options.recursive,
        check=options.check,
    )
    _refuse_strange_folder(out, options)
    if options.sarif is not None:
        read = {order.source: "a drawing that is read" for order in found.orders}
        settings = {options.settings: "the settings that count here"} if options.settings else {}
        place = Place("--sarif", SARIF, options.sarif)
        check_places([place], read | settings, overwrite=options.overwrite)
    with listening() as wish, locked(out):
        record = record_place(out, found.orders[0].command)
        earlier = load_record(record)
        orders = [_completed(order, options, earlier) for order in found.orders]
        start([order.name for order in orders])
        with growing_record(record) as add:
            done = _followed(do_all(orders, options.jobs, make, wish), wish, earlier, add, watch)
        sweep_all(orders, record)
        outcomes = [done.get(order.name) or _passed_over(order, earlier) for order in orders]
        behind = left_behind(orders, outcomes, earlier, folder, out)
        index, trouble = None, _without_any_elevation(outcomes, folder)
        try:
            kept = {name: outcome for name, outcome in done.items() if counts(outcome)}
            save_record(record, {**earlier, **kept}.values())
            index = write_index(
                out, outcomes, orders, folder=folder, left_out=found.left_out, left_behind=behind
            )
            if options.sarif is not None:
                write_sarif(options.sarif, outcomes, orders, folder=folder)
        except InputError as error:
            trouble = str(error)
    return BatchReport(tuple(outcomes), index, wish.heard, trouble, found.left_out, behind)


def _without_any_elevation(outcomes: Sequence[Outcome], folder: Path) -> str:
    """Say that a whole folder without an elevation is a mistake rather than a folder of title sheets."""
    if any(outcome.state is not State.NO_ELEVATION for outcome in outcomes):
        return ""
    return f"No drawing in {folder} is an elevation: name another folder, or look at the settings' [layers]."


def _refuse_strange_folder(out: Path, options: BatchOptions) -> None:
    """Refuse to write an index over one that this command did not write, or over files of the same names.

    Raises:
        InputError: the output folder holds one.
    """
    if record_place(out, "annotate" if options.check else "check").exists():
        there, now = ("annotating", "checking") if options.check else ("checking", "annotating")
        raise InputError(
            f"--out {out} holds the index of {there} runs, and {now} ones would replace it: name a folder "
            "of their own."
        )
    found = [name for name in INDEX_FILES if (out / name).is_file()]
    if found and not options.overwrite and not (out / LOCK_NAME).exists():
        raise InputError(
            f"--out {out} holds {', '.join(found)}, which no batch wrote: name another folder, or pass "
            "--overwrite to replace them."
        )


def _completed(order: Order, options: BatchOptions, earlier: dict[str, Outcome]) -> Order:
    known = None if options.force else earlier.get(order.name)
    return replace(
        _knowing(order, known),
        propose=options.propose,
        settings=options.settings,
        seconds=options.seconds,
        megabytes=options.megabytes,
        overwrite=options.overwrite,
    )


def _knowing(order: Order, known: Outcome | None) -> Order:
    """Return an order with what an earlier run has left to know."""
    return replace(order, known=known.fingerprint, written=known.written) if known else order


def _passed_over(order: Order, earlier: dict[str, Outcome]) -> Outcome:
    """Tell of a drawing whose turn never came as an earlier run did it, if that still holds."""
    kept = look_up(_knowing(order, earlier.get(order.name)))
    return _earlier(earlier, kept) if kept else Outcome(order.name, State.NOT_DONE, _NOT_DONE)


def _followed(
    stream: Generator[Outcome], wish: StopWish, earlier: dict[str, Outcome], *tell: Callable[[Outcome], None]
) -> dict[str, Outcome]:
    """Take outcomes as they come, and return them by name; interrupted, those that came so far."""
    done: dict[str, Outcome] = {}
    try:
        with contextlib.closing(stream):
            for outcome in stream:
                told = _earlier(earlier, outcome) if outcome.reused else outcome
                done[outcome.name] = told
                for listener in tell:
                    listener(told)
    except KeyboardInterrupt:
        wish.note()
    return done


def _earlier(earlier: dict[str, Outcome], now: Outcome) -> Outcome:
    """Return the outcome of the run that did it, with what this one saw of its files."""
    return replace(earlier[now.name], reused=True, worked_in=now.worked_in)
