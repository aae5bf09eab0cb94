"""What the blocks of a DXF text hold, as far as it decides which references ezdxf has to see.

A block is dull when nobody looks into it: it is in the file, holds no text and nothing on a layer with a
role, neither here nor below, and its name is not that of an opening.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from perpend.dxf.partial.dimension_blocks import BLOCKS
from perpend.dxf.partial.record_spans import Piece, Text

_ANONYMOUS: Final = re.compile(rb"BLOCK\r?\n(?:[^\n]*\n){2,12}?[ \t]*2\r?\n\*")
_TEXTS: Final = frozenset({b"TEXT", b"MTEXT", b"ATTRIB"})
_HARMLESS_FLAGS: Final = (0, 2)
"""Of a block: none, or that it has attribute definitions."""


@dataclass(frozen=True, slots=True)
class Interest:
    """What of a drawing is to be read.

    Attributes:
        has_role: says whether what is on a layer is to be read or looked at.
        is_opening: says whether a block of this name is an opening.
        first_of: how many records of a type are to be read on every layer, whatever it is; None for none.
    """

    has_role: Callable[[str], bool]
    is_opening: Callable[[str], bool]
    first_of: Callable[[str], int] | None = None


@dataclass(slots=True)
class _Known:
    """A block: where its definition starts and ends, and what is known of it."""

    span: tuple[int, int]
    dull: bool | None = None


class BlockTexts:
    """The blocks of a text, indexed when the first one is asked for."""

    def __init__(self, text: Text, interest: Interest) -> None:
        """Remember where to look."""
        self.text = text
        self.interest = interest
        self._index: dict[bytes, _Known | None] | None = None

    def is_dull(self, name: bytes) -> bool:
        """Say whether nobody looks into a block."""
        if name[:1] == b"*" or not name.isascii():
            return False
        known = self._blocks().get(name.lower())
        if known is None:
            return False
        if known.dull is None:
            known.dull = False  # what a block that holds itself is until it is known
            known.dull = not self.interest.is_opening(name.decode("ascii")) and self._holds_nothing(known)
        return known.dull

    def _holds_nothing(self, known: _Known) -> bool:
        head, *content = self.text.pieces(*known.span)
        flags = _value(head, b"70")
        if flags is None or not flags.strip().isdigit() or int(flags) not in _HARMLESS_FLAGS:
            return False
        for piece in content:
            layer = _value(piece, b"8")
            if piece.kind in _TEXTS or layer is None or not layer.isascii():
                return False
            if self.interest.has_role(layer.decode("ascii")):
                return False
            if piece.kind == b"INSERT":
                inner = _value(piece, b"2")
                if inner is None or not self.is_dull(inner):
                    return False
        return True

    def _blocks(self) -> dict[bytes, _Known | None]:
        """Index the blocks by their names in small letters; None for a name that occurs twice."""
        if self._index is None:
            self._index = {}
            starts = list(BLOCKS.finditer(self.text.data))
            if len(starts) == 1:
                for name, span in self._definitions(starts[0].end()):
                    self._index[name] = None if name in self._index else _Known(span)
        return self._index

    def _definitions(self, start: int) -> Iterator[tuple[bytes, tuple[int, int]]]:
        """Yield name and span of every block, from its head to before the record that ends it."""
        data, cut = self.text.data, self.text.cut
        head, tail = cut + b"BLOCK" + self.text.newline, cut + b"ENDBLK" + self.text.newline
        section_end = data.find(cut + b"ENDSEC", start)
        at = data.find(head, start, section_end)
        while at != -1:
            end = data.find(tail, at, section_end)
            after = data.find(head, at + len(head), section_end)
            if end == -1 or -1 < after < end:
                return
            if not _ANONYMOUS.match(data, at + len(cut), end):  # nobody asks for one
                name = _value(next(self.text.pieces(at, at + 1)), b"2")
                if name is None:
                    return
                yield name.lower(), (at, end)
            at = after


def _value(piece: Piece, code: bytes) -> bytes | None:
    """Return the first value of a code."""
    for found, value in zip(piece.codes, piece.values, strict=True):
        if found.strip() == code:
            return value
    return None
