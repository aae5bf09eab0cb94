"""Which drawings of a folder are to be done, and where their files go."""

from __future__ import annotations

import mmap
import re
from collections.abc import Iterator, Sequence
from fnmatch import fnmatch
from pathlib import Path
from typing import Final

from perpend.batch.orders import Order
from perpend.drawing.style import APP_ID, REVIEW_APP_ID
from perpend.errors import InputError
from perpend.frozen import dataclass

ENDINGS: Final = {"annotate": "annotated", "check": "checked"}
"""What each command adds to a drawing's name."""

_MARK: Final = re.compile(rf"[\r\n\0](?:{APP_ID}|{REVIEW_APP_ID})[\r\n\0]".encode("ascii"))
"""The registered application that every drawing of ours names, near its beginning."""

_MOST_NAMED: Final = 4


@dataclass(frozen=True, slots=True)
class Search:
    """What was found in a folder.

    Attributes:
        orders: one for each drawing, in the order of their names.
        left_out: what was not taken for a drawing though its name fits, and why, one sentence each.
    """

    orders: list[Order]
    left_out: tuple[str, ...] = ()


def find_orders(
    folder: Path, out: Path, *, pattern: str = "*.dxf", recursive: bool = False, check: bool = False
) -> Search:
    """List the drawings of a folder in the order of their names.

    Nothing of ours is taken for a drawing to be done: what lies in the output folder is left out, whoever
    made it, and so are drawings that perpend wrote (annotate: ``*-annotated.dxf`` and ``*-checked.dxf``;
    check: ``*-checked.dxf``). What is left out is told, so that nobody misses a drawing.

    Args:
        folder: where the drawings are.
        out: where the outputs go; folders below ``folder`` are repeated below it.
        pattern: which names count; upper and lower case are alike.
        recursive: whether folders below count.
        check: whether the drawings are checked instead of annotated.

    Raises:
        InputError: the folder does not exist, is the output folder, or holds no drawing that counts.
    """
    if not folder.is_dir():
        raise InputError(f"{folder} is not a folder: name the folder that holds the drawings.")
    if out.resolve() == folder.resolve():
        raise InputError(f"--out {out} is the folder of the drawings itself: name another folder.")
    command = "check" if check else "annotate"
    named = sorted(_named(folder, pattern, recursive), key=lambda path: path.as_posix())
    outside = [path for path in named if not _lies_in(path, out)] if _lies_in(out, folder) else named
    ours = [path for path in outside if _is_ours(path, command)]
    sources = [path for path in outside if path not in set(ours)]
    left_out = (
        *_passed_over(ours, folder),
        *_in_output(named, outside, out),
        *_other_files(folder, recursive),
    )
    if not sources:
        raise InputError(" ".join([_none_found(folder, pattern, recursive, ours, command), *left_out]))
    orders = [_order(source, folder, out, command) for source in sources]
    _refuse_twins(orders)
    return Search(orders, left_out)


def _named(folder: Path, pattern: str, recursive: bool) -> Iterator[Path]:
    for path in folder.rglob("*") if recursive else folder.iterdir():
        if fnmatch(path.name.lower(), pattern.lower()) and not path.is_dir():
            yield path


def _lies_in(path: Path, folder: Path) -> bool:
    return folder.resolve() in path.resolve().parents


def _is_ours(path: Path, command: str) -> bool:
    """Say whether perpend wrote a drawing: by name and mark, so that no drafter's is passed over."""
    endings = "checked" if command == "check" else "annotated|checked"
    if re.search(rf"-({endings})(-[0-9]+)?\.dxf$", path.name.lower()) is None or not path.is_file():
        return False
    try:
        with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
            return _MARK.search(data) is not None
    except (OSError, ValueError):
        return False  # empty, or not to be read: it is told as a drawing that can't be used


def _passed_over(ours: Sequence[Path], folder: Path) -> list[str]:
    if not ours:
        return []
    return [f"Passed over, as perpend wrote them: {_listed([_name(path, folder) for path in ours])}."]


def _in_output(named: Sequence[Path], outside: Sequence[Path], out: Path) -> list[str]:
    """Say what lies in the output folder and is nothing that perpend wrote."""
    inside = [path for path in named if path not in set(outside)]
    strange = [path for path in inside if not _is_ours(path, "annotate")]
    said = [f"Left out: {out}, where the outputs go."] if inside else []
    if strange:
        names = _listed([_name(path, out) for path in strange])
        said = [
            f"Left out: {out}, where the outputs go, with drawings in it that perpend did not write "
            f"({names}): name another folder with --out to have them done."
        ]
    return said


def _other_files(folder: Path, recursive: bool) -> list[str]:
    """Say which drawings are in a form that can't be read, so that nobody takes them for done."""
    found = sorted(_named(folder, "*.dwg", recursive), key=lambda path: path.as_posix())
    if not found:
        return []
    names = _listed([_name(path, folder) for path in found])
    return [f"Left out, as only DXF is read: {names}. Save them as DXF to have them done."]


def _none_found(folder: Path, pattern: str, recursive: bool, ours: Sequence[Path], command: str) -> str:
    """Say why nothing was found, and what to do."""
    if ours and command == "annotate":
        cure = "name the folder of the originals, or pass --check to have these judged"
        return f"Every drawing in {folder} that matches {pattern!r} was written by perpend: {cure}."
    below = 0 if recursive else sum(1 for _ in _named(folder, pattern, True))
    if below:
        return f"No drawing in {folder} itself matches {pattern!r}, but {below} below it: add --recursive."
    cure = "look at --pattern" if recursive else "look at --pattern and --recursive"
    return f"No drawing in {folder} matches {pattern!r}: {cure}."


def _name(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else path.name


def _listed(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names) if more <= 0 else f"{', '.join(names[:_MOST_NAMED])} and {more} more"


def _order(source: Path, folder: Path, out: Path, command: str) -> Order:
    relative = source.relative_to(folder)
    stem = out / relative.with_name(f"{relative.stem}-{ENDINGS[command]}")
    return Order(
        name=relative.as_posix(),
        source=source,
        target=stem.with_name(stem.name + ".dxf"),
        results=stem.with_name(stem.name + ".json"),
        sheet=stem.with_name(stem.name + ".html"),
        command=command,
    )


def _refuse_twins(orders: list[Order]) -> None:
    """Refuse two drawings whose outputs would be one file where upper and lower case are alike."""
    seen: dict[str, str] = {}
    for order in orders:
        key = order.target.as_posix().lower()
        if key in seen:
            raise InputError(
                f"{seen[key]} and {order.name} would both be written to {order.target.name}: rename one."
            )
        seen[key] = order.name
