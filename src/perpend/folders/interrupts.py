"""The wish that a run end: heard at any moment, heeded where nothing is half done.

Python lets Ctrl-C out as a KeyboardInterrupt wherever the program happens to be: in the middle of writing a
file, or in a place that swallows it (a finalizer, a callback), and then the run goes on as if nothing had
been. Here the signal only leaves a note; the run looks at it between two steps and on its way out.
"""

from __future__ import annotations

import contextlib
import math
import signal
import threading
import time
from collections.abc import Iterator
from types import FrameType
from typing import Final

_ONE_WISH_S: Final = 2.0
"""Signals within this time are one wish: a terminal and a wrapper around the program often send one each."""


class StopWish:
    """Whether somebody wants the run to end."""

    def __init__(self) -> None:
        self._since = math.inf

    @property
    def heard(self) -> bool:
        """True once it was wished."""
        return self._since < math.inf

    def note(self) -> None:
        """Take down that the run is to end."""
        self._since = min(self._since, time.monotonic())

    def heed(self) -> None:
        """Stop here, where nothing is half done, if that is wished.

        Raises:
            KeyboardInterrupt: it is.
        """
        if self.heard:
            raise KeyboardInterrupt

    def hear(self, number: int, _frame: FrameType | None) -> None:
        """Take a signal; who asks by Ctrl-C once more, a while later, is not made to wait.

        Raises:
            KeyboardInterrupt: asked once more.
        """
        self.note()
        if number == signal.SIGINT and time.monotonic() > self._since + _ONE_WISH_S:
            raise KeyboardInterrupt


@contextlib.contextmanager
def listening() -> Iterator[StopWish]:
    """Take Ctrl-C, and the system's wish that the process end (SIGTERM), as the wish that the run stop.

    A signal that the process was started to ignore, as a shell starts what goes to its background, stays
    ignored. In a thread signals can't be taken; there the run is stopped by whoever started it.
    """
    wish, before = StopWish(), {}
    if threading.current_thread() is threading.main_thread():
        for number in (signal.SIGINT, signal.SIGTERM):
            if signal.getsignal(number) not in (signal.SIG_IGN, None):
                before[number] = signal.signal(number, wish.hear)
    try:
        yield wish
    finally:
        for number, handler in reversed(before.items()):
            signal.signal(number, handler)
