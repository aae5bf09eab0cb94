"""Which files a job may write."""

from __future__ import annotations

import itertools
import os
from collections.abc import Mapping
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


def check_places(drawing: Path, extras: Mapping[str, Path | None]) -> None:
    """Refuse a place where nothing may be written, among those that the options name.

    Raises:
        InputError: as `check_place`.
    """
    for option, place in extras.items():
        if place is not None:
            check_place(place, drawing, option)


def is_same_file(a: Path, b: Path) -> bool:
    """Say whether two paths lead to one file, links followed, whether or not it exists."""
    if a.exists() and b.exists():
        return a.samefile(b)
    return a.resolve() == b.resolve()


def refuse_twins(**places: Path | None) -> None:
    """Refuse two outputs in one file.

    Args:
        places: what each is for, and where it goes.

    Raises:
        InputError: two of them are the same file.
    """
    named = [(name, place) for name, place in places.items() if place is not None]
    for (name, place), (other, twin) in itertools.combinations(named, 2):
        if is_same_file(place, twin):
            raise InputError(f"{twin} is named for the {name} and for the {other}: name two files.")
