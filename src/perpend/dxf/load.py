"""From a file's bytes to an ezdxf document, or to a sentence that says why not.

What is mended, what is reported and what is refused stands in docs/reading.md. A drawing is never
half read in silence: whatever recovery brings back is counted against the records in the file.
"""

from __future__ import annotations

import contextlib
import gc
import io
import logging
import re
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from perpend.dxf.expansion_budget import Budget
from perpend.dxf.long_records import refuse_long_records
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

    from perpend.dxf.partial.block_records import Interest

SMALL_BYTES: Final = 250_000
"""Below this size, some 1,000 entities, a drawing is loaded whole."""

_BINARY_SENTINEL: Final = b"AutoCAD Binary DXF\r\n\x1a\x00"
_DWG: Final = re.compile(rb"^(?:AC10\d\d|AC1\.\d|AC2\.\d|MC0\.0)")
_UTF8_BOM: Final = b"\xef\xbb\xbf"
_UTF16_BOMS: Final = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}
_FIRST_SECTION: Final = re.compile(rb"(?:\s*999[ \t]*[\r\n]+[^\r\n]*[\r\n]+)*\s*0[ \t]*[\r\n]+\s*SECTION\b")
_END: Final = re.compile(rb"[\r\n][ \t]*0+[ \t]*\r?[\r\n][ \t]*EOF[ \t\x00\x1a]*(?:[\r\n]|\Z)")
_PADDED_RELEASE: Final = re.compile(
    rb"\$ACADVER\s*\n[ \t]*1[ \t]*\r?\n([ \t]+AC[0-9]+[ \t]*|AC[0-9]+[ \t]+)\r?\n"
)
_HEAD_BYTES: Final = 20_000
_NOT_COUNTED: Final = {b"VERTEX", b"SEQEND", b"ATTRIB", b"ENDSEC", b"SECTION", b"ENTITIES"}
_OTHER_FORMATS: Final = {
    b"%PDF": "a PDF",
    b"PK\x03\x04": "a ZIP archive",
    b"{\\rtf": "a text document",
    b"<?xml": "an XML file",
    b"<svg": "an SVG picture",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
}


@dataclass(frozen=True, slots=True)
class LoadedDrawing:
    """A drawing as it was loaded.

    Attributes:
        path: as given.
        data: the file's bytes, untouched.
        doc: the document ezdxf made of them.
        recovered: True when the file was damaged and had to be rescued.
        binary: True for a binary DXF file.
        notes: what was odd about the file, one sentence each.
        selected: True when the document lacks plain records that are in the file.
    """

    path: Path
    data: bytes = field(repr=False)
    doc: Drawing = field(repr=False)
    recovered: bool = False
    binary: bool = False
    notes: tuple[str, ...] = ()
    selected: bool = False

    def whole(self) -> LoadedDrawing:
        """Return it with everything in the document that is in the file."""
        return load_bytes(self.path, self.data) if self.selected else self

    def mentions(self, name: str) -> bool:
        """Say whether the file itself, not ezdxf's defaults, has a header variable."""
        return name.encode("ascii") in self.data or name.encode("utf-16-le") in self.data


def load_drawing(path: Path, budget: Budget = Budget()) -> LoadedDrawing:  # noqa: B008 - it is frozen
    """Load a DXF file of any release, ASCII or binary.

    Args:
        path: the DXF file.
        budget: a larger file is refused, or one with an entity of too many points.

    Raises:
        InputError: there is no such file, it is too large or no DXF, it ends in the middle, or it is damaged
            beyond what can be read whole.
    """
    return load_bytes(path, read_bytes(path, budget))


def is_binary(data: bytes) -> bool:
    """Say whether bytes are those of a binary DXF file."""
    return data.startswith(_BINARY_SENTINEL)


def load_bytes(path: Path, data: bytes) -> LoadedDrawing:
    """Load a drawing from bytes that were read already; see `load_drawing`."""
    logging.getLogger("ezdxf").setLevel(logging.CRITICAL)
    if not data.strip():
        raise InputError(f"{path} is empty: export the drawing as DXF again.")
    if is_binary(data):
        return LoadedDrawing(path, data, _load_binary(path, data), binary=True)
    plain, notes = _plain_text(path, data)
    doc, recovered = _load_text(path, plain)
    if recovered:
        notes = [*notes, "The file is damaged; it was rescued, and every entity record came back."]
    return LoadedDrawing(path, data, doc, recovered=recovered, notes=tuple(notes))


def load_partial(
    path: Path,
    data: bytes,
    is_of_interest: Callable[[str], bool],
    is_opened: Callable[[str], bool],
    layout: str | None = None,
    first_of: Callable[[str], int] | None = None,
) -> LoadedDrawing:
    """Load what matters of a drawing; plain records on other layers are left out where that is safe.

    All is loaded of a small drawing, where leaving out costs more than it saves, and where a layout is
    asked for. The drawing's bytes are whole in any case, and what was left
    out is known to `perpend.dxf.partial.skipped_records.left_out_of`.

    Args:
        path: the DXF file.
        data: its bytes.
        is_of_interest: whether what stands on a layer of that name matters.
        is_opened: whether a block of that name matters on whatever layer it is.
        layout: name of the layout to read; None is modelspace.
        first_of: how many entities of a type are loaded on every layer, whatever it is; None for none.

    Raises:
        InputError: see `load_drawing`.
    """
    from perpend.dxf.paperspace import is_modelspace

    if len(data) < SMALL_BYTES or not is_modelspace(layout):
        return load_bytes(path, data)
    from perpend.dxf.partial.block_records import Interest

    return _load_without_plain(path, data, Interest(is_of_interest, is_opened, first_of))


def _load_without_plain(path: Path, data: bytes, interest: Interest) -> LoadedDrawing:
    from perpend.dxf.partial.partial_load import proven, without_plain_records

    selected = without_plain_records(data, interest)
    if selected is not None:
        rest, out = selected
        try:
            loaded = load_bytes(path, rest)
        except InputError:
            return load_bytes(path, data)
        if not loaded.recovered and proven(loaded.doc, out):
            return replace(loaded, data=data, selected=True)
    return load_bytes(path, data)


def read_bytes(path: Path, budget: Budget = Budget()) -> bytes:  # noqa: B008 - it is frozen
    """Return the bytes of a drawing's file.

    Args:
        path: the DXF file.
        budget: a larger file is refused, or one with an entity of too many points.

    Raises:
        InputError: there is no such file, it is too large, or it can't be read.
    """
    if path.is_dir():
        raise InputError(f"{path} is a folder: name a DXF file in it, or use the batch command.")
    try:
        state = path.stat()
        if not stat.S_ISREG(state.st_mode):
            raise InputError(f"{path} is a device or a pipe: name a DXF file.")
        if state.st_size > budget.megabytes * 1_000_000:
            raise InputError(
                f"{path} has {state.st_size / 1e6:,.0f} MB, more than the {budget.megabytes:,} that are "
                "read: purge it, or raise megabytes under [bounds] in the settings."
            )
        data = path.read_bytes()
    except FileNotFoundError:
        raise InputError(f"There is no file {path}: check the name and the folder.") from None
    except OSError as error:
        raise InputError(
            f"{path} cannot be read ({error.strerror or error}): close it in the program that has it open, "
            "or check its permissions."
        ) from None
    if not is_binary(data):
        refuse_long_records(path, data, budget.most_points)
    return data


def _load_binary(path: Path, data: bytes) -> Drawing:
    from ezdxf.document import Drawing
    from ezdxf.lldxf.tagger import binary_tags_loader

    if not data.rstrip(b"\x00\x1a\r\n ").endswith(b"EOF"):
        raise InputError(f"{path} is a binary DXF file that was cut (it has no EOF record): export it again.")
    try:
        return Drawing.load(binary_tags_loader(data, errors="surrogateescape"))
    except MemoryError:
        raise
    except Exception as error:
        raise InputError(
            f"{path} is a binary DXF file that is cut or damaged ({_reason(error)}): export it again, "
            "as ASCII DXF if you can."
        ) from None


def _plain_text(path: Path, data: bytes) -> tuple[bytes, list[str]]:
    """Strip byte-order marks and foreign encodings; refuse what is no whole ASCII DXF."""
    notes: list[str] = []
    if _DWG.match(data):
        called = " with the name of a DXF" if path.suffix.lower() == ".dxf" else ""
        raise InputError(
            f"{path} is a DWG file{called}; only DXF is read. There are two ways to get DXF out of your CAD "
            "program: open the drawing and save or export it as DXF, or have the program's batch publishing "
            "or a script of it write a whole folder as DXF."
        )
    for start, name in _OTHER_FORMATS.items():
        if data.startswith(start):
            raise InputError(f"{path} is {name}, not a DXF drawing: export the drawing as DXF.")
    if data.startswith(_UTF8_BOM):
        data = data[len(_UTF8_BOM) :]
        notes.append("The file starts with a byte-order mark, which was skipped.")
    elif data[:2] in _UTF16_BOMS:
        data = data[2:].decode(_UTF16_BOMS[data[:2]], errors="replace").encode("utf-8")
        notes.append("The file is in UTF-16, which no DXF should be; it was read all the same.")
    padded = _PADDED_RELEASE.search(data, 0, _HEAD_BYTES)
    if padded:  # ezdxf takes a release with spaces around it for R12
        data = data[: padded.start(1)] + padded[1].strip() + data[padded.end(1) :]
    if not _FIRST_SECTION.match(data):
        raise InputError(f"{path} is not a DXF file (it does not start with a section): export it as DXF.")
    if not _END.search(data[-2000:]):
        raise InputError(
            f"{path} ends in the middle (there is no EOF record at its end): the file was cut; export or "
            "copy "
            "it again."
        )
    return data, notes


def _load_text(path: Path, data: bytes) -> tuple[Drawing, bool]:
    from ezdxf.filemanagement import read

    try:
        encoding = _encoding(data)
        with _without_collector():
            return read(io.TextIOWrapper(io.BytesIO(data), encoding, errors="surrogateescape")), False
    except MemoryError:
        raise
    except Exception as error:
        first_failure = _reason(error)
    return _recover(path, data, first_failure), True


@contextlib.contextmanager
def _without_collector() -> Iterator[None]:
    """Hold garbage collection off: a loading makes a million objects, and garbage next to none."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _encoding(data: bytes) -> str:
    import codecs

    from ezdxf.filemanagement import dxf_stream_info

    head = io.TextIOWrapper(io.BytesIO(data), "utf-8", errors="ignore")
    name = dxf_stream_info(head).encoding
    codecs.lookup(name)
    return name


def _recover(path: Path, data: bytes, first_failure: str) -> Drawing:
    from ezdxf import recover

    unix_lines = data if b"\n" in data else data.replace(b"\r", b"\n")
    try:
        doc, _ = recover.read(io.BytesIO(unix_lines))
        found = sum(len(layout) for layout in doc.layouts)
    except MemoryError:
        raise
    except Exception:
        raise InputError(
            f"{path} is damaged ({first_failure}): export it again from your CAD program."
        ) from None
    expected = count_entity_records(unix_lines)
    if _entities(unix_lines)[1] is False:
        raise InputError(
            f"{path} is damaged: its entities end in the middle of the section: export it again from your "
            "CAD program."
        )
    if found < expected or expected == 0:
        raise InputError(
            f"{path} is damaged ({first_failure}): only {found} of its {expected} entities can be rescued; "
            "export it again from your CAD program."
        )
    return doc


def count_entity_records(data: bytes) -> int:
    """Count the entity records in the text of the ENTITIES section (vertices and the like apart)."""
    names = re.findall(rb"(?:^|\n)[ \t]*0+[ \t]*\r?\n[ \t]*([A-Z0-9_]+)", _entities(data)[0])
    return sum(name not in _NOT_COUNTED for name in names)


def _entities(data: bytes) -> tuple[bytes, bool]:
    """Return the text of the ENTITIES section, and whether the section has an end."""
    start = re.search(rb"[\r\n]\s*2\s*[\r\n]+\s*ENTITIES\b", data)
    if start is None:
        return b"", True
    end = re.compile(rb"[\r\n][ \t]*0[ \t]*[\r\n]+[ \t]*ENDSEC\b").search(data, start.end())
    return data[start.end() : end.start() if end else len(data)], end is not None


def _reason(error: Exception) -> str:
    text = " ".join(str(error).split()) or type(error).__name__
    return text if len(text) <= 120 else text[:117] + "..."
