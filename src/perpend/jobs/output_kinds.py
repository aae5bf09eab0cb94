"""The kinds of files that perpend writes, and how it knows one of its own again.

Every kind carries a mark of ours near its beginning. A file without that mark is somebody else's, and is
replaced only by who asks for it. A drawing is ours only to the last byte: people work in drawings.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from perpend.dxf.insert.output_seal import is_untouched
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION

_HEAD: Final = 16_384
"""Bytes in which a mark of ours has to come."""

_RESULTS: Final = re.compile(
    rb'\s*\{\s*"schema_version": "[^"]*",\s*"perpend_version": "[^"]*",\s*"command": "[a-z]+",\s*"drawing"'
)
_SARIF: Final = re.compile(rb'\s*\{\s*"\$schema": "[^"]*",.*?"driver": \{\s*"name": "perpend"', re.DOTALL)
_PAGE: Final = re.compile(rb'<meta name="generator" content="perpend')
_FINDINGS: Final = re.compile(rb"(?:\xef\xbb\xbf)?drawing,number,wall,opening,code,")
_SCHEDULE: Final = re.compile(rb"(?:\xef\xbb\xbf)?schedule_wall,joint,station_in,")
_COMPARISON: Final = re.compile(rb"(?:\xef\xbb\xbf)?(?:drawing,wall,wall_length_in,|wall\s*$)")
_CHANGES: Final = re.compile(rb"(?:\xef\xbb\xbf)?old_drawing,new_drawing,number,thing,")
_SVG_MARK: Final = b"<metadata>perpend</metadata>"
_PNG_MARK: Final = b"Software\0perpend"
_PNG_HEAD: Final = 8 + 25
"""Bytes of a PNG's signature and its first chunk, IHDR."""

_DXF: Final = re.compile(
    rb"AutoCAD Binary DXF|(?:\xef\xbb\xbf)?\s*(?:999\s*\r?\n[^\n]*\n\s*)*0\s*\r?\n\s*SECTION"
)


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of output.

    Attributes:
        what: what it is called in a sentence.
        endings: how a file of this kind may be named, the usual one first.
        is_ours: says whether a file that is there is one that perpend wrote and may write again.
    """

    what: str
    endings: tuple[str, ...]
    is_ours: Callable[[Path], bool]


def _with_mark(mark: re.Pattern[bytes]) -> Callable[[Path], bool]:
    return lambda place: mark.match(_head(place)) is not None


def _head(place: Path) -> bytes:
    with place.open("rb") as file:
        return file.read(_HEAD)


def _is_page(place: Path) -> bool:
    return _PAGE.search(_head(place)) is not None


def _is_picture(place: Path) -> bool:
    head = _head(place)
    return _SVG_MARK in head or _PNG_MARK in head


def _is_drawing(place: Path) -> bool:
    return is_untouched(place.read_bytes(), (APPLICATION, REVIEW_APPLICATION))


DRAWING: Final = Kind("drawing", (".dxf",), _is_drawing)
RESULTS: Final = Kind("results document", (".json",), _with_mark(_RESULTS))
SHEET: Final = Kind("review sheet", (".html", ".htm"), _is_page)
PICTURE: Final = Kind("picture", (".svg", ".png"), _is_picture)
SARIF: Final = Kind("SARIF file", (".sarif", ".json"), _with_mark(_SARIF))
FINDINGS: Final = Kind("table of findings", (".csv",), _with_mark(_FINDINGS))
COMPARISON: Final = Kind("table of options", (".csv",), _with_mark(_COMPARISON))
SCHEDULE: Final = Kind("joint schedule", (".csv",), _with_mark(_SCHEDULE))
SPECIFICATION: Final = Kind("specification text", (".md", ".txt"), lambda _: False)
"""It is there to be edited: whatever is found in its place may hold work."""
CHANGES: Final = Kind("table of changes", (".csv",), _with_mark(_CHANGES))
SETTINGS: Final = Kind("draft of settings", (".toml",), lambda _: False)
"""A draft is there to be edited: whatever is found in its place may hold work."""

_TAKEN: Final = {
    *(".dxf", ".dwg", ".json", ".html", ".htm", ".svg", ".png", ".sarif", ".csv", ".toml", ".md", ".txt"),
}
"""Endings that mean something: a file so named is of that kind, or it is a slip."""


def is_named_for_another(kind: Kind, place: Path) -> bool:
    """Say whether a file's name says that it is of another kind, as when an option takes a drawing's name."""
    ending = place.suffix.lower()
    return ending in _TAKEN and ending not in kind.endings


def holds_drawing(place: Path) -> bool:
    """Say whether a file is a DXF drawing, by its content."""
    return _DXF.match(_head(place)) is not None


def marked_picture(image: bytes) -> bytes:
    """Put our mark into a picture: metadata of an SVG, a text chunk of a PNG."""
    if image.startswith(b"\x89PNG"):
        chunk = b"tEXt" + _PNG_MARK
        packed = struct.pack(">I", len(_PNG_MARK)) + chunk + struct.pack(">I", zlib.crc32(chunk))
        return image[:_PNG_HEAD] + packed + image[_PNG_HEAD:]
    start = image.index(b">", image.index(b"<svg")) + 1
    return image[:start] + _SVG_MARK + image[start:]
