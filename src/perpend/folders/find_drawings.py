"""Which drawings of a folder are to be done, and where their files go.

Glossary:
    left out: a file whose name fits and that is not done; every one is told of, with the reason.
"""

from __future__ import annotations

import mmap
import os
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum, auto
from fnmatch import fnmatch
from pathlib import Path
from typing import Final

from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.errors import InputError
from perpend.folders.orders import Order
from perpend.wording import listed

ENDINGS: Final = {"annotate": "annotated", "check": "checked"}
"""What each command adds to a drawing's name."""

_MARK: Final = re.compile(rf"[\r\n\0](?:{APPLICATION}|{REVIEW_APPLICATION})[\r\n\0]".encode("ascii"))
"""The registered application that every drawing of ours names, near its beginning."""

HIDDEN: Final = (".", "~$")
"""How the names of hidden files begin (``._A-201.dxf`` too), and those of locks."""

MOST_NAMED: Final = 4


@dataclass(frozen=True, slots=True)
class Search:
    """What was found in a folder.

    Attributes:
        orders: one for each drawing, in the order of their names.
        left_out: what was not taken for a drawing though its name fits, and why, one sentence each; and the
            patterns that were to leave something out and don't.
    """

    orders: list[Order]
    left_out: tuple[str, ...] = ()


class _Why(Enum):
    """Why a file is left out."""

    OURS = auto()
    OUTPUT = auto()
    HIDDEN = auto()
    EXCLUDED = auto()
    NO_DXF = auto()
    BELOW = auto()


def find_orders(
    folder: Path,
    out: Path,
    *,
    pattern: str = "*.dxf",
    exclude: Sequence[str] = (),
    recursive: bool = False,
    check: bool = False,
) -> Search:
    """List the drawings of a folder in the order of their names.

    Nothing of ours is taken for a drawing to be done: what lies in the output folder is left out, whoever
    made it, and so are drawings that perpend wrote (annotate: ``*-annotated.dxf`` and ``*-checked.dxf``;
    check: ``*-checked.dxf``). What is left out is told, so that nobody misses a drawing.

    Args:
        folder: where the drawings are.
        out: where the outputs go; folders below ``folder`` are repeated below it.
        pattern: which names count; upper and lower case are alike.
        exclude: which names, or paths below the folder, do not.
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
    sieve = _Sieve(folder, out, pattern, tuple(exclude), recursive, command)
    unread: list[OSError] = []
    files = sorted(sieve.files(unread), key=_in_order)
    sources, left = sieve.sift(files)
    told = (sentence for why in _Why for sentence in sieve.told(why, left.get(why, [])))
    left_out = (*told, *_unread(unread, folder), *sieve.idle(files))
    if not sources:
        raise InputError(" ".join([sieve.none_found(left), *left_out]))
    orders = [order_for(source.relative_to(folder), folder, out, command) for source in sources]
    _refuse_twins(orders)
    return Search(orders, left_out)


def order_for(name: Path, folder: Path, out: Path, command: str) -> Order:
    """Return the order of a drawing.

    Args:
        name: its path below the folder.
        folder: where the drawings are.
        out: where the outputs go.
        command: ``annotate`` or ``check``.
    """
    stem = out / name.with_name(f"{name.stem}-{ENDINGS[command]}")
    return Order(
        name=name.as_posix(),
        source=folder / name,
        target=stem.with_name(stem.name + ".dxf"),
        results=stem.with_name(stem.name + ".json"),
        sheet=stem.with_name(stem.name + ".html"),
        command=command,
    )


@dataclass(frozen=True, slots=True)
class _Sieve:
    """Tells drawings to be done from what is left out; the attributes are those of `find_orders`."""

    folder: Path
    out: Path
    pattern: str
    exclude: tuple[str, ...]
    recursive: bool
    command: str

    def sift(self, files: Sequence[Path]) -> tuple[list[Path], Mapping[_Why, list[Path]]]:
        """Return the drawings to be done, and by the reason what is left out, in the order of names."""
        sources: list[Path] = []
        left: dict[_Why, list[Path]] = defaultdict(list)
        among = _lies_in(self.out, self.folder)
        for path in files:
            why = _Why.OUTPUT if among and _lies_in(path, self.out) else self._why(path)
            if self.recursive or path.parent == self.folder:
                (sources if why is None else left[why]).append(path)
            elif why is None:
                left[_Why.BELOW].append(path)
        return sources, left

    def files(self, unread: list[OSError]) -> Iterator[Path]:
        """Yield every file whose name fits, and every DWG; take down the folders that can't be looked into.

        Only `recursive` goes all the way down; else a look into the folders right below is enough to tell
        that drawings lie there, and an archive of many thousand folders is not walked for a sentence.
        """
        for where, below, names in os.walk(self.folder, onerror=unread.append):
            if not (self.recursive or Path(where) == self.folder):
                below.clear()
            for name in names:
                if fnmatch(name.lower(), self.pattern.lower()) or _is_dwg(name):
                    yield Path(where, name)

    def _why(self, path: Path) -> _Why | None:
        """Say why a file outside of the output folder is left out; None: it is to be done."""
        if any(part.startswith(HIDDEN) for part in path.relative_to(self.folder).parts):
            return _Why.HIDDEN
        if any(self._fits(path, pattern) for pattern in self.exclude):
            return _Why.EXCLUDED
        if _is_dwg(path.name):
            return _Why.NO_DXF
        return _Why.OURS if _is_ours(path, self.command) else None

    def _fits(self, path: Path, pattern: str) -> bool:
        """Say whether a file's name, or its path below the folder, fits a pattern."""
        called = (path.name.lower(), path.relative_to(self.folder).as_posix().lower())
        return any(fnmatch(name, pattern.lower()) for name in called)

    def idle(self, files: Sequence[Path]) -> Iterator[str]:
        """Name the patterns of ``--exclude`` that fit nothing, here or below: rather misspelt."""
        for pattern in self.exclude:
            if not any(self._fits(path, pattern) for path in files):
                yield f"--exclude {pattern!r} leaves nothing out: no drawing in {self.folder} fits it."

    def told(self, why: _Why, paths: Sequence[Path]) -> Iterator[str]:
        """Say what was left out for a reason, in one sentence if there is anything to say."""
        if not paths:
            return
        names = listed((path.relative_to(self.folder).as_posix() for path in paths), MOST_NAMED)
        match why:
            case _Why.OURS:
                yield f"Passed over, as perpend wrote them: {names}."
            case _Why.HIDDEN:
                yield f"Passed over, as hidden files or locks: {names}."
            case _Why.EXCLUDED:
                yield f"Left out by --exclude: {names}."
            case _Why.NO_DXF:
                yield (
                    f"Left out, as only DXF is read: {names}. Save them as DXF to have them done, or have "
                    "the batch publishing or a script of your CAD program write the folder as DXF."
                )
            case _Why.BELOW:
                yield (
                    f"{len(paths)} DXF in the sub-folders right below not looked at: --recursive has them "
                    f"done, and what lies deeper ({names})."
                )
            case _Why.OUTPUT:
                yield self._in_output(paths)

    def _in_output(self, inside: Sequence[Path]) -> str:
        """Say what lies in the output folder and is nothing that perpend wrote."""
        strange = [path for path in inside if not (_is_dwg(path.name) or _is_ours(path, "annotate"))]
        if not strange:
            return f"Left out: {self.out}, where the outputs go."
        names = listed((_name(path, self.out) for path in strange), MOST_NAMED)
        return (
            f"Left out: {self.out}, where the outputs go, with drawings in it that perpend did not write "
            f"({names}): name another folder with --out to have them done."
        )

    def none_found(self, left: Mapping[_Why, Sequence[Path]]) -> str:
        """Say why nothing is to be done, and what to do."""
        matching = f"in {self.folder} that matches {self.pattern!r}"
        if left.get(_Why.OURS) and self.command == "annotate":
            cure = "name the folder of the originals, or pass --check to have these judged"
            return f"Every drawing {matching} was written by perpend: {cure}."
        if left.get(_Why.BELOW):
            return f"No drawing {matching} lies in the folder itself."
        if left.get(_Why.HIDDEN) or left.get(_Why.EXCLUDED):
            return f"Every drawing {matching} is hidden or excluded."
        cure = "look at --pattern" if self.recursive else "look at --pattern and --recursive"
        return f"No drawing in {self.folder} matches {self.pattern!r}: {cure}."


def _unread(errors: Sequence[OSError], folder: Path) -> Iterator[str]:
    """Say which folders could not be looked into."""
    if errors:
        names = listed([f"{_name(Path(str(e.filename)), folder)} ({e.strerror})" for e in errors])
        yield f"Not looked into, and whatever is in there is not done: {names}."


def _in_order(path: Path) -> tuple[str, str]:
    """Sort key: by name as a person looks it up, upper and lower case alike."""
    return path.as_posix().casefold(), path.as_posix()


def _is_dwg(name: str) -> bool:
    return name.lower().endswith(".dwg")


def _lies_in(path: Path, folder: Path) -> bool:
    return folder.resolve() in path.resolve().parents


def _is_ours(path: Path, command: str) -> bool:
    """Say whether perpend wrote a drawing that this command does not take for its input."""
    marked = ("checked", "changes")
    return written_by_perpend(path, marked if command == "check" else ("annotated", *marked))


def written_by_perpend(path: Path, endings: Sequence[str]) -> bool:
    """Say whether perpend wrote a drawing: by name and mark, so that no drafter's is passed over.

    Args:
        path: the drawing.
        endings: what its name may add, such as ``annotated``.
    """
    if re.search(rf"-({'|'.join(endings)})(-[0-9]+)?\.dxf$", path.name.lower()) is None or not path.is_file():
        return False
    try:
        with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
            return _MARK.search(data) is not None
    except (OSError, ValueError):
        return False  # empty, or not to be read: it is told as a drawing that can't be used


def _name(path: Path, folder: Path) -> str:
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else path.name


def _refuse_twins(orders: Iterable[Order]) -> None:
    """Refuse two drawings whose outputs would be one file where upper and lower case are alike."""
    seen: dict[str, str] = {}
    for order in orders:
        key = order.target.as_posix().lower()
        if key in seen:
            raise InputError(
                f"{seen[key]} and {order.name} would both be written to {order.target.name}: rename one."
            )
        seen[key] = order.name
