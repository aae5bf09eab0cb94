"""Which files a job may write."""

from __future__ import annotations

import itertools
import os
import re
from collections.abc import Mapping
from pathlib import Path

from perpend.dxf.insert.output_seal import is_untouched
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.errors import InputError


def output_path(drawing: Path, output: Path | None, ending: str, *, overwrite: bool = False) -> Path:
    """Return where the new drawing goes.

    A file that perpend wrote there and nobody has touched since is replaced.

    Args:
        drawing: the drawing that is read.
        output: where the user wants it; None puts it beside the drawing.
        ending: what the default name adds, such as ``annotated``. The default name of a drawing that has
            it already gets a number: ``north-annotated-2.dxf``.
        overwrite: replace whatever is there.

    Raises:
        InputError: the place is the drawing itself, a folder, or in a folder that does not exist, is not
            named ``.dxf``, or holds a file with somebody's work in it.
    """
    target = output or drawing.with_name(f"{_next_stem(drawing.stem, ending)}.dxf")
    check_place(target, drawing, "-o")
    if target.suffix.lower() != ".dxf":
        raise InputError(f"{target} is no name for a drawing: name a file that ends in .dxf with -o.")
    if not overwrite:
        refuse_work_of_others(target)
    return target


def _next_stem(stem: str, ending: str) -> str:
    own = re.fullmatch(rf"(.*-{re.escape(ending)})(?:-(\d+))?", stem, re.IGNORECASE)
    return f"{own[1]}-{int(own[2] or 1) + 1}" if own else f"{stem}-{ending}"


def refuse_work_of_others(target: Path) -> None:
    """Refuse to replace a file that is not, to the byte, what perpend wrote.

    Raises:
        InputError: somebody has worked in the file since, or it was not written by perpend.
    """
    if holds_work(target):
        raise InputError(
            f"{target} was changed since perpend wrote it, or was not written by perpend: move it away, name "
            "another file with -o, give that file itself as the drawing, or pass --overwrite."
        )


def holds_work(target: Path) -> bool:
    """Say whether a file is there that is not, to the byte, what perpend wrote.

    Raises:
        InputError: it can't be read.
    """
    if not target.is_file():
        return False
    try:
        data = target.read_bytes()
    except OSError as error:
        raise InputError(f"{target} is there and can't be read ({error.strerror}): choose another.") from None
    return not is_untouched(data, (APPLICATION, REVIEW_APPLICATION))


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
