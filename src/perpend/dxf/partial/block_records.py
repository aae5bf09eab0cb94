"""What the blocks of a DXF text hold, as far as it decides which references ezdxf has to see.

A block is dull when nobody looks into it: it is in the file, holds no text and nothing on a layer with a
role, neither here nor below, and its name is not that of an opening. The block of a dimension can be left
out with the dimension when its content is plain and nothing else names it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Final

from perpend.dxf.partial.record_geometry import ADDERS, Shown
from perpend.dxf.partial.record_grammar import Plans
from perpend.dxf.partial.record_spans import Piece, Text

_BLOCKS: Final = re.compile(rb"SECTION\r?\n[ \t]*2\r?\nBLOCKS(?=\r?\n)")
_RECORDS: Final = re.compile(rb"TABLE\r?\n[ \t]*2\r?\nBLOCK_RECORD(?=\r?\n)")
_NAME: Final = re.compile(rb"\*[Dd][0-9]+")
_NAMINGS: Final = re.compile(rb"\n(\*[Dd][0-9]+)(?=\r?\n)")
_HANDLE: Final = re.compile(rb"[0-9A-Fa-f]{1,15}")
_TEXTS: Final = frozenset({b"TEXT", b"MTEXT", b"ATTRIB"})
_NAMED_BY: Final = 4
"""Lines that name the block of a dimension: its record, its head twice, and the dimension."""

_HARMLESS_FLAGS: Final = (0, 2)
"""Of a block: none, or that it has attribute definitions."""


@dataclass(frozen=True, slots=True)
class Interest:
    """What of a drawing is to be read.

    Attributes:
        has_role: says whether what is on a layer is to be read or looked at.
        is_opening: says whether a block of this name is an opening.
    """

    has_role: Callable[[str], bool]
    is_opening: Callable[[str], bool]


@dataclass(slots=True)
class DimensionBlock:
    """The block of a dimension, to be left out with it.

    Attributes:
        name: its name, in small letters.
        shown: what it shows.
        handles: of its records.
        spans: where these stand.
    """

    name: str
    shown: Shown = field(default_factory=Shown)
    handles: list[int] = field(default_factory=list)
    spans: list[tuple[int, int]] = field(default_factory=list)


@dataclass(slots=True)
class _Known:
    """A block: where its definition starts and ends, and what is known of it."""

    span: tuple[int, int]
    dull: bool | None = None


class BlockTexts:
    """The blocks of a text, indexed when the first one is asked for."""

    def __init__(self, text: Text, interest: Interest, plans: Plans) -> None:
        """Remember where to look."""
        self.text = text
        self.interest = interest
        self.plans = plans
        self._index: dict[bytes, _Known | None] | None = None
        self._records: dict[bytes, Piece | None] | None = None
        self._named: Counter[bytes] = Counter()

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

    def of_dimension(self, name: bytes) -> DimensionBlock | None:
        """Return the block of a dimension if it can be left out."""
        known = self._blocks().get(name.lower()) if _NAME.fullmatch(name) else None
        record = self._block_records().get(name.lower())
        if known is None or record is None or self._named[name] != _NAMED_BY:
            return None
        found = DimensionBlock(name.decode("ascii").lower())
        head, *content = self.text.pieces(known.span[0], known.span[1] + 1)
        for piece in content[:-1]:
            if not self._add(found.shown, piece):
                return None
        for piece in (record, head, content[-1]):
            plan = self.plans.of(piece.kind, piece.codes)
            if plan is None or not plan.agrees(piece.values):
                return None
        for piece in (record, head, *content):
            handle = piece.values[0]
            if not _HANDLE.fullmatch(handle):
                return None
            found.handles.append(int(handle, 16))
        found.spans += (record.span, (head.span[0], content[-1].span[1]))
        return found

    def _add(self, shown: Shown, piece: Piece) -> bool:
        """Add what a record in the block of a dimension shows."""
        add = ADDERS.get(piece.kind)
        plan = self.plans.of(piece.kind, piece.codes) if add else None
        if add is None or plan is None or not plan.agrees(piece.values):
            return False
        if piece.kind == b"INSERT" and (66 in plan.at or piece.values[plan.at[2]][:1] == b"*"):
            return False
        return add(shown, plan, piece.values)

    def _blocks(self) -> dict[bytes, _Known | None]:
        """Index the blocks by their names in small letters; None for a name that occurs twice."""
        if self._index is None:
            self._index = {}
            self._named = Counter(_NAMINGS.findall(self.text.data))
            starts = list(_BLOCKS.finditer(self.text.data))
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
            piece = next(self.text.pieces(at, at + 1))
            name = _value(piece, b"2")
            if name is None:
                return
            yield name.lower(), (at, end)
            at = after

    def _block_records(self) -> dict[bytes, Piece | None]:
        """Index the records of the blocks of dimensions by their names in small letters."""
        if self._records is None:
            self._records = {}
            starts = list(_RECORDS.finditer(self.text.data))
            end = self.text.data.find(self.text.cut + b"ENDTAB", starts[0].end()) if len(starts) == 1 else -1
            for piece in self.text.pieces(starts[0].end(), end) if end != -1 else ():
                name = _value(piece, b"2")
                if piece.kind == b"BLOCK_RECORD" and name and name[:2] in (b"*D", b"*d"):
                    key = name.lower()
                    belongs = _value(piece, b"340")
                    fine = key not in self._records and (belongs is None or belongs.strip() == b"0")
                    self._records[key] = piece if fine else None
        return self._records


def _value(piece: Piece, code: bytes) -> bytes | None:
    """Return the first value of a code."""
    for found, value in zip(piece.codes, piece.values, strict=True):
        if found.strip() == code:
            return value
    return None
