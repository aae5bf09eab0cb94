"""Locks that the system lets go of when the process that holds them ends, however it ends."""

from __future__ import annotations

import sys


def try_lock(handle: int) -> bool:
    """Take the lock of an open file at once, or not at all.

    Args:
        handle: descriptor of a file that is open for writing; closing it lets go of the lock.

    Returns:
        False when another process, or another handle, holds it.
    """
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
