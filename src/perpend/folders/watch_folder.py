"""A folder watched: every drawing in it is annotated or checked whenever it is saved.

The folder is looked at again and again, which works on network shares too, where no system tells of changes.
A CAD program saves in steps: a drawing is done only when neither it nor its settings have changed for a
moment, it can be opened, and it ends as a DXF file does.

Glossary:
    stamp: size and time of a drawing and of every settings file that counts for it.
    settled: with the same stamp for a moment.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final, Protocol

from perpend.clean_text import quoted
from perpend.errors import InputError
from perpend.folders.find_drawings import HIDDEN, MOST_NAMED, order_for, written_by_perpend
from perpend.folders.interrupts import StopWish, listening
from perpend.folders.one_drawing import do_order
from perpend.folders.orders import EXIT_CODES, Order, Outcome, State
from perpend.jobs.output_places import read_files
from perpend.wording import listed

_PATIENCE_S: Final = 10.0
"""A file that does not end as a DXF does is taken to be on its way this long, and is then done as it is."""

_SLICE_S: Final = 0.2
"""Sleep is taken in slices, so that Ctrl-C is heard soon."""

_OURS: Final = {"annotate": ("annotated", "checked", "changes"), "check": ("checked", "changes")}

Stamp = tuple[tuple[str, int, int], ...]


class Clock(Protocol):
    """What tells the time and waits; tests have one of their own."""

    def now(self) -> float:
        """Return seconds since some moment."""

    def sleep(self, seconds: float) -> None:
        """Wait."""


class SystemClock:
    """The clock of the machine."""

    def now(self) -> float:
        """Return seconds since some moment."""
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        """Wait."""
        time.sleep(seconds)


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchOptions:
    """How a folder is watched: the arguments of `perpend.watch`."""

    check: bool = False
    settings: Path | None = None
    overwrite: bool = False
    every_s: float = 1.0
    settle_s: float = 1.5
    once: bool = False

    @property
    def command(self) -> str:
        """``annotate`` or ``check``."""
        return "check" if self.check else "annotate"


@dataclass(slots=True)
class _Seen:
    """What is known of one drawing."""

    stamp: Stamp
    since: float
    done: Stamp | None = None
    last: Outcome | None = None


@dataclass(slots=True)
class Watcher:
    """Looks at a folder and does what has settled; knows no loop and no signal.

    Attributes:
        folder: the folder.
        out: where the outputs go; it may be the same folder.
        options: how it is watched.
        do: does one drawing; it never raises but for Ctrl-C.
    """

    folder: Path
    out: Path
    options: WatchOptions
    do: Callable[[Order], Outcome] = do_order
    seen: dict[Path, _Seen] = field(default_factory=dict)
    lost: bool = False

    def look(self, now: float) -> Iterator[tuple[Order, Outcome]]:
        """Look at the folder once.

        Args:
            now: the time, seconds.

        Yields:
            Every drawing that was done, with what became of it.
        """
        for path in self._drawings():
            stamp = self._stamp(path)
            if stamp is None:
                continue
            seen = self.seen.get(path)
            if seen is None:
                seen = self.seen[path] = _Seen(stamp, now)
                if self._is_up_to_date(path, stamp):
                    seen.done = stamp
            elif seen.stamp != stamp:
                seen.stamp, seen.since = stamp, now
            if seen.done != stamp and self._is_settled(path, seen, now):
                order = self._order(path, seen.last)
                outcome = self.do(order)
                seen.done = stamp
                if not outcome.reused:
                    seen.last = outcome
                yield order, outcome

    @property
    def idle(self) -> bool:
        """True when nothing that was seen waits to be done."""
        return all(seen.done == seen.stamp for seen in self.seen.values())

    def _drawings(self) -> list[Path]:
        """List the drawings; a folder that is away for a while, as on a share, has none."""
        try:
            with os.scandir(self.folder) as entries:
                names = sorted(e.name for e in entries if e.name.lower().endswith(".dxf"))
        except OSError:
            self.lost = True
            return []
        self.lost = False
        paths = [self.folder / name for name in names if not name.startswith(HIDDEN)]
        for gone in self.seen.keys() - set(paths):
            del self.seen[gone]
        ours = _OURS[self.options.command]
        return [path for path in paths if not written_by_perpend(path, ours)]

    def _stamp(self, path: Path) -> Stamp | None:
        """Return the stamp of a drawing; None while it, or a file that counts for it, can't be looked at."""
        try:
            files = read_files(path, self.options.settings)
            found = ((str(file), file.stat()) for file in files)
            return tuple((name, stat.st_mtime_ns, stat.st_size) for name, stat in found)
        except OSError:
            return None

    def _is_settled(self, path: Path, seen: _Seen, now: float) -> bool:
        waited = now - seen.since
        if waited < self.options.settle_s:
            return False
        try:
            with path.open("rb") as file:
                end = file.seek(0, os.SEEK_END)
                file.seek(max(end - 64, 0))
                whole = b"EOF" in file.read()
        except OSError:  # another program holds it
            return self.options.once and waited >= _PATIENCE_S
        return whole or waited >= max(_PATIENCE_S, self.options.settle_s)

    def _is_up_to_date(self, path: Path, stamp: Stamp) -> bool:
        """Say whether the outputs of an earlier run are younger than all that counts for a drawing."""
        order = self._order(path, None)
        try:
            made = min(file.stat().st_mtime_ns for file in (order.target, order.sheet))
        except OSError:
            return False
        return made >= max(time_ns for _, time_ns, _ in stamp)

    def _order(self, path: Path, last: Outcome | None) -> Order:
        order = order_for(Path(path.name), self.folder, self.out, self.options.command)
        return replace(
            order,
            settings=self.options.settings,
            known=last.fingerprint if last else "",
            written=last.written if last else "",
            seconds=0.0,
            megabytes=0,
            overwrite=self.options.overwrite,
        )


def watch_folder(
    folder: Path,
    out: Path | None,
    options: WatchOptions,
    *,
    tell: Callable[[Order, Outcome], None] = lambda _order, _outcome: None,
    note: Callable[[str], None] = lambda _: None,
    clock: Clock | None = None,
    do: Callable[[Order], Outcome] = do_order,
) -> int:
    """Watch a folder until Ctrl-C, or do once what has to be done.

    Args:
        folder: where the drawings are.
        out: where the outputs go; None: beside the drawings.
        options: how it is watched.
        tell: called with every drawing that was done.
        note: called with a sentence on what is passed over, when the watch begins.
        clock: what tells the time and waits; None: the machine's.
        do: does one drawing.

    Returns:
        With `once`, the worst exit code of all drawings that were done.

    Raises:
        InputError: the folder does not exist, or the outputs can't go where they are to go.
        KeyboardInterrupt: Ctrl-C, between two drawings.
    """
    if not folder.is_dir():
        raise InputError(f"{quoted(folder)} is not a folder: name the folder that holds the drawings.")
    target = out or folder
    try:
        target.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"{quoted(target)} can't be made ({error.strerror or error}): name another folder with --out."
        ) from None
    for sentence in _passed_over(folder):
        note(sentence)
    time_of = clock or SystemClock()
    watcher = Watcher(folder, target, options, do)
    gravest = EXIT_CODES[State.CLEAN]
    with listening() as wish:
        while True:
            for order, outcome in watcher.look(time_of.now()):
                gravest = max(gravest, EXIT_CODES[outcome.state])
                tell(order, outcome)
                wish.heed()
            if options.once and watcher.lost:
                raise InputError(f"{quoted(folder)} can't be read any more: check the connection to it.")
            if options.once and watcher.idle:
                return gravest
            _wait(time_of, options.every_s, wish)


def _passed_over(folder: Path) -> Iterator[str]:
    """Say which DWG drawings lie in a folder without the same drawing as DXF."""
    names = sorted(path.name for path in folder.iterdir())
    dxf = {Path(name).stem.lower() for name in names if name.lower().endswith(".dxf")}
    lone = [name for name in names if name.lower().endswith(".dwg") and Path(name).stem.lower() not in dxf]
    if lone:
        yield (
            f"Passed over, as only DXF is read: {listed(lone, MOST_NAMED)}. Save them as DXF, or have the "
            "batch publishing or a script of your CAD program write the folder as DXF."
        )


def _wait(clock: Clock, seconds: float, wish: StopWish) -> None:
    """Wait, and stop where that is wished."""
    end = clock.now() + seconds
    wish.heed()
    while (left := end - clock.now()) > 0:
        clock.sleep(min(left, _SLICE_S))
        wish.heed()
