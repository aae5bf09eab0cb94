"""Which files a job may write, and how a text is written whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from perpend.errors import InputError


def output_path(drawing: Path, output: Path | None, ending: str) -> Path:
    """Return where the new drawing goes.

    Args:
        drawing: the drawing that is read.
        output: where the user wants it; None puts it beside the drawing.
        ending: what the default name adds, such as ``annotated``.

    Raises:
        InputError: the place is the drawing itself, a folder, or in a folder that does not exist.
    """
    target = output or drawing.with_name(f"{drawing.stem}-{ending}.dxf")
    check_place(target, drawing, "-o")
    return target


def check_place(target: Path, drawing: Path, option: str) -> None:
    """Refuse a place where nothing may be written.

    Raises:
        InputError: it is the drawing that is read (by another name or through a link), a folder, or
            in a folder that does not exist or can't be written.
    """
    if is_same_file(target, drawing):
        raise InputError(
            f"{target} is the drawing that is read, which is never overwritten: name another file with "
            f"{option}."
        )
    if target.is_dir():
        raise InputError(f"{target} is a folder: name a file in it with {option}.")
    folder = target.parent
    if not folder.is_dir():
        raise InputError(
            f"There is no folder {folder} to write {target.name} in: make it, or choose another."
        )
    if not os.access(folder, os.W_OK):
        raise InputError(f"The folder {folder} can't be written: choose another with {option}.")


def is_same_file(a: Path, b: Path) -> bool:
    """Say whether two paths lead to one file, links followed, whether or not it exists."""
    if a.exists() and b.exists():
        return a.samefile(b)
    return a.resolve() == b.resolve()


class Slot:
    """A place for a text, already made sure of; `fill` puts the text there in one step."""

    def __init__(self, target: Path, temporary: Path) -> None:
        self.target = target
        self._temporary = temporary

    def fill(self, text: str) -> None:
        """Write the text beside its place, then move it there.

        Raises:
            OSError: the disk is full or gone; the place then holds what it held before.
        """
        with self._temporary.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        self._temporary.replace(self.target)


@contextlib.contextmanager
def reserved(target: Path) -> Iterator[Slot]:
    """Make sure that a file can be written before the work starts.

    Raises:
        InputError: nothing can be written there.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    except OSError as error:
        raise InputError(f"{target} can't be written ({error.strerror}): choose another place.") from None
    os.close(handle)
    temporary = Path(name)
    try:
        temporary.chmod(0o666 & ~_umask())
        yield Slot(target, temporary)
    finally:
        temporary.unlink(missing_ok=True)


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
