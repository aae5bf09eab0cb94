"""Which files a job may write: its own of the same kind, and never what it reads."""

from __future__ import annotations

import itertools
import os
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from perpend.clean_text import quoted
from perpend.decisions.accepted import SIDECAR_SUFFIX
from perpend.errors import InputError
from perpend.jobs.output_kinds import (
    DRAWING,
    FINDINGS,
    PICTURE,
    RESULTS,
    SARIF,
    SCHEDULE,
    SHEET,
    Kind,
    holds_drawing,
    is_named_for_another,
)
from perpend.jobs.request import Request
from perpend.settings import settings_files, sidecar_of

_KINDS: Final = {
    "results": RESULTS,
    "sheet": SHEET,
    "picture": PICTURE,
    "sarif": SARIF,
    "csv": FINDINGS,
    "schedule": SCHEDULE,
}
"""By field of a request, which is named like its option."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where an output goes.

    Attributes:
        option: the option that names it.
        kind: what it is.
        path: the file.
    """

    option: str
    kind: Kind
    path: Path


def places_of(request: Request, ending: str) -> dict[str, Place]:
    """Return by option where the outputs of a request go, after a look at what is there.

    Args:
        request: what is asked for.
        ending: what the default name of the new drawing adds, such as ``annotated``.

    Raises:
        InputError: as `check_places`, or the new drawing is not named ``.dxf``.
    """
    drawing = request.drawing
    places = [drawing_place(drawing, request.output, ending), *side_places(request, _KINDS)]
    read = read_files(drawing, request.settings, request.waivers)
    if request.decisions_from is not None:
        read[request.decisions_from] = "the drawing from which decisions are carried over"
    check_places(places, read, overwrite=request.overwrite)
    return {place.option: place for place in places}


def side_places(request: object, kinds: Mapping[str, Kind]) -> Iterator[Place]:
    """Yield where what goes beside a drawing is to be written, of what a request asks for.

    Args:
        request: a request of any job.
        kinds: what is written, by the field of the request that says where.
    """
    for name, kind in kinds.items():
        path: Path | None = getattr(request, name)
        if path is not None:
            yield Place(f"--{name}", kind, path)


def drawing_place(drawing: Path, output: Path | None, ending: str) -> Place:
    """Return where a new drawing goes: where the user wants it, or beside the one that is read.

    The default name of a drawing that has the ending already gets a number: ``north-annotated-2.dxf``.

    Raises:
        InputError: the name is none of a drawing.
    """
    target = output or drawing.with_name(f"{_next_stem(drawing.stem, ending)}.dxf")
    if target.suffix.lower() != ".dxf" and not target.is_dir():
        raise InputError(f"{quoted(target)} is no name for a drawing: name a file that ends in .dxf with -o.")
    return Place("-o", DRAWING, target)


def _next_stem(stem: str, ending: str) -> str:
    own = re.fullmatch(rf"(.*-{re.escape(ending)})(?:-(\d+))?", stem, re.IGNORECASE | re.DOTALL)
    return f"{own[1]}-{int(own[2] or 1) + 1}" if own else f"{stem}-{ending}"


def read_files(drawing: Path, settings: Path | None, waivers: Path | None = None) -> dict[Path, str]:
    """Return the files that a run reads, each with what it is in a sentence."""
    found = {drawing: "the drawing that is read"}
    for file in (settings,) if settings else settings_files(drawing):
        found[file] = "the settings that count here"
    held = waivers or sidecar_of(drawing, SIDECAR_SUFFIX)
    return found | ({held: "the waivers that count here"} if held else {})


def check_places(places: Sequence[Place], read: Mapping[Path, str], *, overwrite: bool) -> None:
    """Refuse places where nothing may be written.

    Args:
        places: where the outputs go.
        read: the files that are read, each with what it is.
        overwrite: whether a file may be replaced that perpend did not write, or that was edited since.

    Raises:
        InputError: one is a file that is read (by another name or through a link), a folder, a device, a
            file of another kind or of somebody else's, or in a folder that does not exist or can't be
            written; or two are one file.
    """
    for place in places:
        try:
            _check(place, read, overwrite=overwrite)
        except OSError as error:
            reason = error.strerror or error
            raise InputError(
                f"{quoted(place.path)} can't be written ({reason}): choose another with {place.option}."
            ) from None
    for one, other in itertools.combinations(places, 2):
        if is_same_file(one.path, other.path):
            raise InputError(
                f"{quoted(one.path)} is named for the {one.kind.what} and for the {other.kind.what}: name "
                "two files."
            )


def _check(place: Place, read: Mapping[Path, str], *, overwrite: bool) -> None:
    path, kind, option = place.path, place.kind, place.option
    name, cure = quoted(path), f"name another file with {option}."
    for file, what in read.items():
        if is_same_file(path, file):
            raise InputError(f"{name} is {what}, which is never overwritten: {cure}")
    if path.is_dir():
        raise InputError(f"{name} is a folder: name a file in it with {option}.")
    if is_named_for_another(kind, path):
        raise InputError(
            f"{name} is no name for a {kind.what}: name a file that ends in {kind.endings[0]} with {option}."
        )
    folder = path.parent
    if not folder.is_dir():
        raise InputError(
            f"There is no folder {quoted(folder)} to write {quoted(path.name)} in: make it, or choose "
            "another."
        )
    if not os.access(folder, os.W_OK):
        raise InputError(f"The folder {quoted(folder)} can't be written: choose another with {option}.")
    if not path.exists():
        return
    if not path.is_file():
        raise InputError(f"{name} is no plain file but a device or a pipe: {cure}")
    if kind is not DRAWING and holds_drawing(path):
        raise InputError(f"{name} is a drawing, which is never overwritten by a {kind.what}: {cure}")
    if not overwrite:
        refuse_work_of_others(path, kind, option)


def refuse_work_of_others(path: Path, kind: Kind, option: str) -> None:
    """Refuse to replace a file that perpend did not write, or a drawing that somebody has worked in.

    Raises:
        InputError: it is not one of ours.
    """
    if not holds_work(path, kind):
        return
    told = (
        f"{quoted(path)} was changed since perpend wrote it, or was not written by perpend"
        if kind is DRAWING
        else f"{quoted(path)} is there already and is no {kind.what} that perpend wrote"
    )
    other = ", give that file itself as the drawing," if kind is DRAWING else ""
    raise InputError(f"{told}: move it away, name another file with {option}{other} or pass --overwrite.")


def holds_work(path: Path, kind: Kind = DRAWING) -> bool:
    """Say whether a file is there that is not one of ours of this kind; an empty one holds no work.

    Raises:
        InputError: it can't be read.
    """
    try:
        if not path.is_file() or (kind is not DRAWING and path.stat().st_size == 0):
            return False
        return not kind.is_ours(path)
    except OSError as error:
        raise InputError(
            f"{quoted(path)} is there and can't be read ({error.strerror}): choose another."
        ) from None


def is_same_file(a: Path, b: Path) -> bool:
    """Say whether two paths lead to one file, links followed, whether or not it exists.

    Raises:
        OSError: a path is none that the system can follow.
    """
    try:
        if a.exists() and b.exists():
            return a.samefile(b)
        return a.resolve() == b.resolve()
    except RuntimeError as error:  # a loop of links, as Python 3.11 and 3.12 report it
        raise OSError(None, str(error)) from None
