"""Time and memory limits of one drawing, inside a worker process.

Two nets: a timer signal, which ends work in Python with a sentence; and a limit on the process's address
space, which turns a memory bomb into a MemoryError. They need a process whose main thread does the drawing:
on Windows, and in a cluster's worker that does several drawings in threads, a drawing is not limited here.
What slips through the watchdog of the parent ends, on every system (`perpend.folders.watchdog`).
"""

from __future__ import annotations

import contextlib
import signal
import sys
import threading
from collections.abc import Iterator
from types import FrameType
from typing import Final

from perpend.errors import InputError

_RING_AGAIN_S: Final = 5.0
"""A ring may fall into code that lets no exception out; then it rings again."""


class _TimeIsUpError(BaseException):
    """Rung by the clock; no Exception, so that no reader's safety net takes it for a damaged file."""


def too_long(seconds: float) -> str:
    """Say that a drawing took more time than it may."""
    most = f"the {seconds:g} s that one drawing may take"
    return f"it takes longer than {most}: raise --time-limit, or look at what is in the drawing."


def too_much(megabytes: int) -> str:
    """Say that a drawing needed more memory than it may."""
    most = f"the {megabytes} MB that one drawing may use"
    return f"it needs more than {most}: raise --memory-limit, or look at what is in the drawing."


@contextlib.contextmanager
def confined(seconds: float, megabytes: int) -> Iterator[None]:
    """Run the body within a time limit and a memory limit.

    Args:
        seconds: longest time by the clock. 0: no limit.
        megabytes: most address space that the process may hold. 0: no limit.

    Raises:
        InputError: the time is up, or the memory did not suffice.
    """
    if sys.platform == "win32" or threading.current_thread() is not threading.main_thread():
        yield
        return
    try:
        with _memory(megabytes), _clock(seconds):
            yield
    except _TimeIsUpError:
        raise InputError(too_long(seconds)) from None
    except MemoryError:
        raise InputError(too_much(megabytes)) from None


@contextlib.contextmanager
def _clock(seconds: float) -> Iterator[None]:
    if sys.platform == "win32" or seconds <= 0:
        yield
        return

    def ring(_number: int, _frame: FrameType | None) -> None:
        raise _TimeIsUpError

    before = signal.signal(signal.SIGALRM, ring)
    signal.setitimer(signal.ITIMER_REAL, seconds, _RING_AGAIN_S)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@contextlib.contextmanager
def _memory(megabytes: int) -> Iterator[None]:
    if megabytes <= 0:
        yield
        return
    with _soft_limit("RLIMIT_AS", megabytes << 20):
        yield


@contextlib.contextmanager
def _soft_limit(name: str, value: int) -> Iterator[None]:
    """Lower a soft limit of the process for a while; the hard limit is never touched."""
    if sys.platform == "win32":
        yield
        return
    import resource

    which = getattr(resource, name)
    soft, hard = resource.getrlimit(which)
    ceilings = [limit for limit in (soft, hard) if limit != resource.RLIM_INFINITY]
    resource.setrlimit(which, (min([value, *ceilings]), hard))
    try:
        yield
    finally:
        resource.setrlimit(which, (soft, hard))
