"""A DXF text in pieces: one for each record, cut where ``0`` stands in a line of its own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(slots=True)
class Piece:
    """A record of a text.

    Attributes:
        span: where it stands, from the line end before it to that before the next one.
        kind: its type name.
        codes: its group codes, as they stand there; none where a code has no value.
        values: their values.
        record: all of it, from its type name on.
    """

    span: tuple[int, int]
    kind: bytes
    codes: list[bytes]
    values: list[bytes]
    record: bytes


@dataclass(frozen=True, slots=True)
class Text:
    """A DXF text.

    Attributes:
        data: all of it.
        newline: its one line end.
        cut: the lines between two records, with the line ends before and behind.
    """

    data: bytes
    newline: bytes
    cut: bytes

    def pieces(self, start: int, end: int) -> Iterator[Piece]:
        """Yield the records that start between two offsets, the first of which is before a line end."""
        data, cut, newline = self.data, self.cut, self.newline
        at = data.find(cut, start)
        while -1 < at < end:
            after = data.find(cut, at + len(cut))
            if after == -1:
                return
            record = data[at + len(cut) : after]
            lines = record.split(newline)
            if len(lines) % 2:
                yield Piece((at, after), lines[0], lines[1::2], lines[2::2], record)
            else:
                yield Piece((at, after), lines[0], [], [], record)
            at = after
