"""One run at a time in an output folder."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from perpend.errors import InputError

LOCK_NAME: Final = ".perpend-batch.lock"


@contextlib.contextmanager
def locked(out: Path) -> Iterator[None]:
    """Hold the output folder for this run; the system lets go of it when the process ends, however it ends.

    Raises:
        InputError: another run holds the folder, or it can't be made or written.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        handle = os.open(out / LOCK_NAME, os.O_RDWR | os.O_CREAT, 0o666)
    except OSError as error:
        raise InputError(
            f"--out {out} can't be written ({error.strerror or error}): name another folder."
        ) from None
    try:
        if not _take(handle):
            raise InputError(
                f"Another run is writing to {out}: wait until it has ended, or name another folder."
            )
        yield
    finally:
        os.close(handle)


def _take(handle: int) -> bool:
    """Take the lock at once or not at all."""
    try:
        import fcntl
    except ImportError:
        return _take_windows(handle)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _take_windows(handle: int) -> bool:
    import importlib

    msvcrt = importlib.import_module("msvcrt")
    try:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    except OSError:
        return False
    return True
