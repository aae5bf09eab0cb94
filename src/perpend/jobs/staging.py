"""Outputs that come into place together, or not at all.

Everything that a run writes is put into a hidden folder beside its place first. When all of it is there it is
flushed to the disk and moved, one rename after the other; if one fails the earlier ones are taken back. A
folder whose run was killed is known by its name and by its lock, which nobody holds any more, and goes when
the next run writes beside it.
"""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from perpend.clean_text import quoted, visible
from perpend.dxf.insert.atomic_file import flush, not_written
from perpend.errors import InputError
from perpend.file_lock import try_lock

_PREFIX, _SUFFIX = ".perpend-", ".part"
_LOCK: Final = "lock"


@contextlib.contextmanager
def staged(targets: Mapping[str, Path]) -> Iterator[dict[str, Path]]:
    """Give a path to write to for each output; when the body ends well they all get their places.

    Links are followed, so that what they point at is replaced and not the link. A file that is replaced keeps
    its permissions.

    Args:
        targets: where each output goes, by any key.

    Yields:
        Where to write each, by the same key.

    Raises:
        InputError: something can't be written; every place is as it was then.
    """
    rooms: dict[Path, Path] = {}
    moves: dict[Path, Path] = {}
    where: dict[str, Path] = {}
    with contextlib.ExitStack() as stack:
        for number, (key, target) in enumerate(targets.items()):
            with _told_as(target):
                place = target.resolve()
                if place.parent not in rooms:
                    rooms[place.parent] = stack.enter_context(_room(place.parent))
            where[key] = rooms[place.parent] / f"{number}{place.suffix}"
            moves[where[key]] = place
        try:
            yield where
        except InputError as error:
            raise _renamed(error, dict(zip(where.values(), targets.values(), strict=True))) from None
        except OSError as error:
            names = ", ".join(quoted(target) for target in targets.values())
            raise InputError(
                f"{names} can't be written ({error.strerror or error}): choose another place."
            ) from None
        _move_all(moves)


def sweep(folder: Path) -> None:
    """Take away what killed runs have left in a folder; what a run still works in stays."""
    with contextlib.suppress(OSError):
        for room in list(folder.iterdir()):
            if room.name.startswith(_PREFIX) and room.name.endswith(_SUFFIX) and not room.is_symlink():
                with contextlib.suppress(OSError):
                    _sweep(room)


def _sweep(room: Path) -> None:
    """Take away a hidden folder whose lock nobody holds.

    One that is empty is just being made, and whoever makes it makes another one then; or its run was killed
    before it had a lock, or when the lock was all that was left to take away.
    """
    try:
        handle = os.open(room / _LOCK, os.O_RDWR)
    except FileNotFoundError:
        room.rmdir()
        return
    try:
        if not try_lock(handle):
            return
        _empty(room)
    finally:
        os.close(handle)
    shutil.rmtree(room, ignore_errors=True)


def _empty(room: Path) -> None:
    """Take away what is in a hidden folder; the lock stays, which says whose it is, and goes last."""
    for file in room.iterdir():
        if file.name != _LOCK:
            file.unlink()


@contextlib.contextmanager
def _room(folder: Path) -> Iterator[Path]:
    """Make a hidden folder in a folder, with a lock that lasts as long as this process."""
    sweep(folder)
    room, handle = _made(folder)
    try:
        yield room
    finally:
        with contextlib.suppress(OSError):
            _empty(room)
        os.close(handle)
        shutil.rmtree(room, ignore_errors=True)


def _made(folder: Path) -> tuple[Path, int]:
    """Make and lock a hidden folder; once more where another run has swept it away before it was locked."""
    while True:
        room = folder / f"{_PREFIX}{os.urandom(8).hex()}{_SUFFIX}"
        room.mkdir()
        with contextlib.suppress(FileNotFoundError):
            handle = os.open(room / _LOCK, os.O_RDWR | os.O_CREAT, 0o666)
            ours = True
            with contextlib.suppress(OSError):  # a file system without locks: then nothing is swept either
                ours = try_lock(handle)
            if ours and (room / _LOCK).exists():
                return room, handle
            os.close(handle)


def _move_all(moves: Mapping[Path, Path]) -> None:
    """Move every file to its place; if one can't be moved the others go back.

    Raises:
        InputError: one can't be moved.
    """
    for written, place in moves.items():
        with _told_as(place):
            with contextlib.suppress(FileNotFoundError):
                written.chmod(place.stat().st_mode & 0o7777)
            flush(written)
    moved: list[tuple[Path, Path | None]] = []
    try:
        for written, place in moves.items():
            with _told_as(place):
                kept = _kept(written, place) if len(moves) > 1 else None
                os.replace(written, place)  # noqa: PTH105 - one name for tests and readers: the rename itself
                moved.append((place, kept))
    except BaseException:
        for place, kept in reversed(moved):
            with contextlib.suppress(OSError):
                if kept is None:
                    place.unlink()
                else:
                    os.replace(kept, place)  # noqa: PTH105
        raise
    for folder in {place.parent for place in moves.values()}:
        flush(folder)


def _kept(written: Path, place: Path) -> Path | None:
    """Keep what is in a place under another name as well, until all is done."""
    if not place.exists():
        return None
    kept = written.with_name(f"{written.name}.old")
    try:
        os.link(place, kept)
    except OSError:
        shutil.copy2(place, kept)
    return kept


@contextlib.contextmanager
def _told_as(target: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise not_written(target, quoted(target), error) from None


def _renamed(error: InputError, names: Mapping[Path, Path]) -> InputError:
    """Return the error with the names that the user knows."""
    sentence = str(error)
    for hidden, known in names.items():
        sentence = sentence.replace(str(hidden), quoted(known))
    return type(error)(sentence)


def write_text(place: Path, text: str, *, table: bool = False) -> None:
    """Write a text; what is no text to be seen becomes visible, except line ends and tabs.

    Args:
        place: the file.
        text: all of it.
        table: True for comma-separated values: with a byte-order mark, without which a spreadsheet takes an
            ä for letters of its own system.
    """
    place.write_bytes(visible(text, keep="\r\n\t").encode("utf-8-sig" if table else "utf-8"))
