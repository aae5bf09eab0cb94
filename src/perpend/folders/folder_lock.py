"""One run at a time in an output folder."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from perpend.errors import InputError
from perpend.file_lock import try_lock

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
        if not try_lock(handle):
            raise InputError(
                f"Another run is writing to {out}: wait until it has ended, or name another folder."
            )
        yield
    finally:
        os.close(handle)
