"""What every job that writes a drawing writes beside it, and how it tells of it."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from perpend.drawing import Document, DraftingReport
from perpend.dxf.insert.atomic_file import whole_file
from perpend.dxf.insert.drawing_writer import WriteReport
from perpend.errors import InputError
from perpend.report import WrittenEntry


@contextlib.contextmanager
def side_files(target: Path, extras: Mapping[str, Path | None]) -> Iterator[dict[str, Path]]:
    """Open a temporary file for each thing that goes beside a drawing; they get their names at the end.

    They come before anything is drawn, so that a place that can't be written is found first.

    Args:
        target: the drawing; a new one is taken away again when something can't be written.
        extras: by option, where each goes, or None.

    Yields:
        The temporary file of each option that has a place.
    """
    was_there = target.exists()
    try:
        with contextlib.ExitStack() as stack:
            yield {o: stack.enter_context(whole_file(p)) for o, p in extras.items() if p is not None}
    except InputError:
        if not was_there:
            target.unlink(missing_ok=True)
        raise


def picture_maker(picture: Path) -> Callable[[Document, Path], bytes]:
    """Return what draws pictures; its packages come with the extra ``picture`` alone.

    Raises:
        InputError: the packages are not installed, or there is no such kind of picture.
    """
    try:
        from perpend.drawing.picture import KINDS, picture_of
    except ImportError as error:
        raise InputError(
            f"A picture needs a package that is not installed ({error.name}): install perpend[picture]."
        ) from None
    if picture.suffix.lower() not in KINDS:
        raise InputError(f"{picture.name} is no picture that can be drawn: name it .svg or .png.")
    return picture_of


def written_entry(
    target: Path, written: WriteReport, drafted: DraftingReport, layer_prefix: str
) -> WrittenEntry:
    """Tell how a drawing was written, what was drawn in it, and which layers had to take another name."""
    return WrittenEntry(
        path=str(target),
        method=written.method,
        reason=written.reason,
        changes=list(written.changes),
        notes=list(written.notes),
        entities=written.added_entities,
        pieces=dict(sorted(drafted.entities.items())),
        remarks=[*drafted.remarks, *_renamed(drafted.layers, layer_prefix)],
    )


def _renamed(layers: Iterable[str], prefix: str) -> Iterator[str]:
    for name in layers:
        numbered = re.fullmatch(rf"({re.escape(prefix)}(?:-[A-Z]+)?)-[0-9]+", name)
        if numbered:
            yield f"The drawing has a layer {numbered[1]} that looks otherwise, so that ours is {name}."
