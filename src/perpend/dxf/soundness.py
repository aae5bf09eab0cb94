"""Whether a drawing is sound by itself: what ezdxf alone says of it, before anything of ours is in it.

Asked only where something went wrong. A drawing that ezdxf can't audit clean, or can't save and read back
whole, is damaged, and what went wrong is its fault; otherwise it is ours.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING, Final

from perpend.dxf.insert.tag_spans import IrregularText
from perpend.dxf.insert.text_map import map_text
from perpend.dxf.load import load_bytes
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_LONGEST: Final = 120
_NO_NUMBER: Final = re.compile(
    rb"\n[ \t]*(?:1[0-9]|[2-5][0-9]|210|220|230)[ \t]*\r?\n[ \t]*[-+]?"
    rb"(?:nan|inf|infinity|[0-9.]+e\+?[0-9]{3,})\s",
    re.IGNORECASE,
)
"""A code of coordinates, lengths or angles, and a value that is not finite or beyond all drawings."""
_REPAIR: Final = (
    "Run AUDIT or RECOVER on it in your CAD program, save it as DXF, and run again; nothing was written."
)


def refuse_damaged(path: Path, error: Exception) -> None:
    """Say that a drawing is damaged by itself, if it is.

    Args:
        path: the drawing.
        error: what went wrong with it.

    Raises:
        InputError: the drawing is damaged.
    """
    damage = damage_in(path, path.read_bytes())
    if damage:
        raise InputError(f"{path} is damaged ({damage}). {_REPAIR}") from error


def damage_in(path: Path, data: bytes) -> str:
    """Say in a few words what is wrong with a drawing by itself; empty where it is sound.

    Args:
        path: the drawing's name.
        data: its bytes.
    """
    try:
        loaded = load_bytes(path, data)
        if loaded.recovered:
            return "it can only be rescued"
        audit = loaded.doc.audit()
        faults = [*audit.errors, *audit.fixes]
        if faults:
            return _in_short(str(faults[0].message))
        before = load_bytes(path, data).doc
        if _NO_NUMBER.search(data):
            return "a coordinate in it is no number"
        if not loaded.binary and _has_no_modelspace(data):
            return "its table of blocks has no *Model_Space"
        return _lost_by_a_save(before, binary=loaded.binary)
    except Exception as error:
        return _in_short(str(error) or type(error).__name__)


def _has_no_modelspace(data: bytes) -> bool:
    """Say whether the records of blocks leave out the one that owns what is drawn; ezdxf makes a new one."""
    try:
        table = map_text(data).tables.get("BLOCK_RECORD")
    except IrregularText:
        return False
    return table is not None and b"*MODEL_SPACE" not in {name.upper() for name, _ in table.entries}


def _lost_by_a_save(doc: Drawing, *, binary: bool) -> str:
    """Say what a save by ezdxf alone loses."""
    expected = _inventory(doc)
    if binary:
        stream = io.BytesIO()
        doc.write(stream, fmt="bin")
        written = stream.getvalue()
    else:
        text = io.StringIO()
        doc.write(text)
        written = text.getvalue().encode(doc.output_encoding, "dxfreplace")
    saved = load_bytes(Path(doc.filename or "drawing"), written)
    lost = expected - _inventory(saved.doc)
    if lost:
        kind, layout = next(iter(lost))
        return f"{lost.total()} entities of {layout} get lost when it is saved, a {kind} first"
    audit = saved.doc.audit()
    faults = [*audit.errors, *audit.fixes]
    return _in_short(str(faults[0].message)) if faults else ""


def _inventory(doc: Drawing) -> Counter[tuple[str, str]]:
    layouts = (*doc.layouts, *doc.blocks)
    return Counter((entity.dxftype(), layout.name.lower()) for layout in layouts for entity in layout)


def _in_short(text: str) -> str:
    line = " ".join(text.split()).rstrip(".")
    return line if len(line) <= _LONGEST else f"{line[: _LONGEST - 3]}..."
