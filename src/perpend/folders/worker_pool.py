"""Orders through an executor: whatever dies, every order gets an outcome.

The pool is any `concurrent.futures.Executor`. When a worker process dies, the executor breaks and takes
every order that was under way with it; none of them is known to be the cause. These suspects are then
done one at a time, each in an executor of its own, so that the one that kills its worker is found and the
others are done.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
import tempfile
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from pathlib import Path
from typing import Any, Final, TypeVar

from perpend.folders.interrupts import StopWish
from perpend.folders.one_drawing import do_order
from perpend.folders.orders import Order, Outcome, State
from perpend.folders.watchdog import Watchdog, noted
from perpend.gc_tuning import collect_rarely

MakeExecutor = Callable[[int], Executor]
"""Makes an executor with this many workers."""

T = TypeVar("T")

_LOOK_UP_S: Final = 0.2
"""How often the run looks up from waiting: whether it is to stop."""


class LocalProcesses(ProcessPoolExecutor):
    """Worker processes on this machine, started afresh (spawn), the same on every system."""

    def __init__(self, workers: int) -> None:
        super().__init__(workers, mp_context=multiprocessing.get_context("spawn"), initializer=_settle_in)
        self._folder = tempfile.TemporaryDirectory(prefix="perpend-", ignore_cleanup_errors=True)
        self._notes = Path(self._folder.name)
        self.watchdog = Watchdog(self._notes)

    def submit(self, work: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:  # noqa: ANN401
        """Hand out an order; see `concurrent.futures.Executor.submit`."""
        return super().submit(noted, self._notes, work, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the workers; see `concurrent.futures.Executor.shutdown`."""
        super().shutdown(wait, cancel_futures=cancel_futures)
        self._folder.cleanup()


def do_all(
    orders: Sequence[Order], jobs: int, make: MakeExecutor = LocalProcesses, wish: StopWish | None = None
) -> Generator[Outcome]:
    """Do every order, at most ``2 * jobs`` handed out at a time, and yield outcomes as they come.

    Args:
        orders: what is to be done.
        jobs: how many at once.
        make: makes the executor; called again when one broke.
        wish: the wish that all this stop, looked at between two steps.

    Yields:
        One outcome for each order, in the order of completion. Closed before its end, it stops the workers.

    Raises:
        KeyboardInterrupt: it was wished; the workers are stopped.
    """
    wish = wish or StopWish()
    waiting = deque(orders)
    while waiting:
        suspects: list[Order] = []
        with _hired(make, jobs) as executor:
            yield from _drain(waiting, executor, 2 * jobs, suspects, wish)
        for order in suspects:
            yield from _alone(order, make, wish)


@contextlib.contextmanager
def _hired(make: MakeExecutor, workers: int) -> Iterator[Executor]:
    """Make an executor and shut it down; what is under way is not waited for when the body ends early."""
    before = set(multiprocessing.active_children())
    executor = make(workers)
    try:
        yield executor
    except BaseException:
        for child in set(multiprocessing.active_children()) - before:
            child.kill()
        raise
    finally:
        executor.shutdown(wait=True, cancel_futures=True)


def _drain(
    waiting: deque[Order], executor: Executor, window: int, suspects: list[Order], wish: StopWish
) -> Iterator[Outcome]:
    """Hand out orders until none waits or the executor breaks; what was under way then is suspect."""
    under_way: dict[Future[Outcome], Order] = {}
    ended: dict[str, str] = {}
    watchdog = getattr(executor, "watchdog", None)
    while waiting or under_way:
        wish.heed()
        if watchdog is not None:
            ended.update(watchdog.look({order.name: order for order in under_way.values()}))
        try:
            while waiting and len(under_way) < window:
                under_way[_submit(executor, waiting[0])] = waiting[0]
                waiting.popleft()
        except BrokenExecutor:
            yield from _sorted_out(under_way.values(), ended, suspects)
            return
        finished, _ = wait(under_way, timeout=_LOOK_UP_S, return_when=FIRST_COMPLETED)
        for future in finished:
            order, error = under_way.pop(future), future.exception()
            if error is None:
                yield future.result()
            elif isinstance(error, BrokenExecutor):
                yield from _sorted_out([order, *under_way.values()], ended, suspects)
                return
            else:
                yield _lost(order, f"{type(error).__name__}: {error}")


def _sorted_out(
    broken_off: Iterable[Order], ended: Mapping[str, str], suspects: list[Order]
) -> Iterator[Outcome]:
    """Yield the outcomes of what the watchdog has ended; the rest of what was under way is suspect."""
    for order in broken_off:
        if order.name in ended:
            yield Outcome(order.name, State.REFUSED, ended[order.name])
        else:
            suspects.append(order)


def _alone(order: Order, make: MakeExecutor, wish: StopWish) -> Iterator[Outcome]:
    """Do one order in an executor of its own."""
    waiting, died = deque([order]), list[Order]()
    with _hired(make, 1) as executor:
        yield from _drain(waiting, executor, 1, died, wish)
    if waiting or died:
        yield _lost(
            order,
            "the worker process died twice at this drawing (ended by the system); the "
            "others were done. Look at what is in it.",
        )


def _lost(order: Order, sentence: str) -> Outcome:
    return Outcome(order.name, State.FAULT, sentence)


def _submit(executor: Executor, order: Order) -> Future[Outcome]:
    """Hand an order out; a worker started meanwhile never hears the terminal's interrupt.

    The parent alone hears it and stops the workers; the mask is inherited, a pending interrupt comes after.
    """
    if sys.platform == "win32" or threading.current_thread() is not threading.main_thread():
        return executor.submit(do_order, order)
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        return executor.submit(do_order, order)
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _settle_in() -> None:
    """In a worker: set its pace, and end when the parent is gone, however it went."""
    collect_rarely()
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def watch() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()
