"""Time and memory limits of drawings, kept from outside by the process that hands them out.

The limits inside a worker (`perpend.folders.resource_limits`) end a drawing with a sentence, but not on every
system, and not where compiled code hangs. The watchdog looks at every worker of this machine several times a
second and ends one that is over its limits; the same on Linux, macOS and Windows.

A worker leaves a note while it does a drawing: a file with its process number as name and the drawing's
name in it. Nothing is shared that a dying worker could leave locked.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Final, TypeVar

from perpend.folders.orders import Order
from perpend.folders.resource_limits import too_long, too_much

_AT_LEAST_S: Final = 10.0
"""Time above the limit that a worker has to load what it needs, and to end by itself."""

R = TypeVar("R")


def noted(notes: Path, work: Callable[[Order], R], order: Order) -> R:
    """Do an order in a worker, with a note of it for the watchdog."""
    note = notes / str(os.getpid())
    with contextlib.suppress(OSError):
        note.write_text(order.name, encoding="utf-8", errors="surrogatepass")
    try:
        return work(order)
    finally:
        with contextlib.suppress(OSError):
            note.unlink()


class Watchdog:
    """Looks after the workers of one pool."""

    def __init__(self, notes: Path) -> None:
        """Look after the workers that leave notes in a folder."""
        self._notes = notes
        self._since: dict[tuple[int, str], float] = {}

    def look(self, orders: Mapping[str, Order]) -> Iterator[tuple[str, str]]:
        """End the workers that are over their limits.

        Args:
            orders: by name, what is under way.

        Yields:
            The name of each drawing that was ended, and why, as a sentence beside its name.
        """
        now, running = time.monotonic(), dict(self._running())
        self._since = {key: self._since.get(key, now) for key in running.items()}
        for (number, name), since in self._since.items():
            order = orders.get(name)
            why = _over(order, number, now - since) if order else ""
            if why and _ended(number):
                yield name, why

    def _running(self) -> Iterator[tuple[int, str]]:
        for note in self._notes.iterdir():
            with contextlib.suppress(OSError, ValueError):
                yield int(note.name), note.read_text(encoding="utf-8", errors="surrogatepass")


def _over(order: Order, number: int, seconds: float) -> str:
    """Say which limit a worker is over, or nothing."""
    import psutil

    if order.seconds > 0 and seconds > order.seconds + max(_AT_LEAST_S, order.seconds / 2):
        return too_long(order.seconds)
    with contextlib.suppress(psutil.Error):
        if order.megabytes > 0 and psutil.Process(number).memory_info().rss > order.megabytes << 20:
            return too_much(order.megabytes)
    return ""


def _ended(number: int) -> bool:
    import psutil

    try:
        psutil.Process(number).kill()
    except psutil.Error:
        return False
    return True
