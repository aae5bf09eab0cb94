"""Replacing spans of a byte string."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import BinaryIO, Final, NamedTuple

_CHUNK: Final = 1 << 20
"""Bytes that are read from the disk at once."""


class Edit(NamedTuple):
    """Bytes from `start` up to `end` give way to `new`; an insertion has start equal to end."""

    start: int
    end: int
    new: bytes


def edited(data: bytes, edits: Iterable[Edit]) -> Iterator[memoryview]:
    """Yield the data with every span replaced, piece by piece and without a copy of any.

    Raises:
        ValueError: two spans overlap, or one lies outside of the data.
    """
    whole, position = memoryview(data), 0
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.end)):
        if not position <= edit.start <= edit.end <= len(data):
            raise ValueError(f"the spans overlap at offset {edit.start}")
        yield whole[position : edit.start]
        yield memoryview(edit.new)
        position = edit.end
    yield whole[position:]


def apply_edits(data: bytes, edits: Iterable[Edit]) -> bytes:
    """Return the data with every span replaced.

    Raises:
        ValueError: two spans overlap, or one lies outside of the data.
    """
    return b"".join(edited(data, edits))


def reads_as(file: BinaryIO, pieces: Iterable[memoryview]) -> bool:
    """Tell whether a file holds these pieces, one behind the other and nothing else; it is not held whole."""
    for piece in pieces:
        for at in range(0, len(piece), _CHUNK):
            part = piece[at : at + _CHUNK]
            if file.read(len(part)) != part:
                return False
    return not file.read(1)


def consists_of(data: bytes, pieces: Iterable[memoryview]) -> bool:
    """Tell whether the data are these pieces, one behind the other and nothing else; no copy is made."""
    position = 0
    for piece in pieces:
        if not data.startswith(piece, position):
            return False
        position += len(piece)
    return position == len(data)
