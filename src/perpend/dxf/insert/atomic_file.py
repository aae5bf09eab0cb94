"""Writing a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from perpend.errors import InputError


def refuse_same_file(source: Path, target: Path) -> None:
    """Refuse to write a drawing over itself, by whatever name it is called.

    Links are followed, and where upper and lower case do not matter, the file system says so itself.

    Raises:
        InputError: both paths lead to one file, or the target is a folder.
    """
    same = source.resolve() == target.resolve()
    if not same and source.exists() and target.exists():
        same = source.samefile(target)
    if same:
        raise InputError(
            f"{target} is the drawing that is read, which is never overwritten: name another file."
        )
    if target.is_dir():
        raise InputError(f"{target} is a folder: name a file in it.")


@contextlib.contextmanager
def whole_file(target: Path) -> Iterator[Path]:
    """Give a temporary file in the target's folder, and move it to the target if all goes well.

    A link is followed, so that what it points at is replaced and not the link. An existing file keeps its
    permissions.

    Raises:
        InputError: the file can't be written.
    """
    place = target.resolve()
    temporary = place.with_name(f".{place.name}.{os.urandom(4).hex()}.part")
    try:
        os.close(os.open(temporary, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
        try:
            yield temporary
            flush(temporary)
            with contextlib.suppress(FileNotFoundError):
                temporary.chmod(place.stat().st_mode & 0o7777)
            os.replace(temporary, place)  # noqa: PTH105 - one name for tests and readers: the rename itself
        finally:
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
        flush(place.parent)
    except OSError as error:
        raise not_written(target, str(target), error) from None


def not_written(target: Path, name: str, error: OSError) -> InputError:
    """Return the sentence for a file that can't be written; one that is there may be open elsewhere.

    Args:
        target: the file.
        name: what it is called in the sentence.
        error: what the system says.
    """
    held = isinstance(error, PermissionError) and os.path.exists(target)  # noqa: PTH110 - it never raises
    cure = "close it in the program that has it open, or choose" if held else "choose"
    return InputError(f"{name} can't be written ({error.strerror or error}): {cure} another place.")


def flush(path: Path) -> None:
    """Make the system write a file or a folder to the disk; systems that can't flush folders skip it."""
    if not path.is_dir():
        with path.open("rb+") as file:
            os.fsync(file.fileno())
        return
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
