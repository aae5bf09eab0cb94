"""Replacing spans of a byte string."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Edit(NamedTuple):
    """Bytes from `start` up to `end` give way to `new`; an insertion has start equal to end."""

    start: int
    end: int
    new: bytes


def apply_edits(data: bytes, edits: Iterable[Edit]) -> bytes:
    """Return the data with every span replaced.

    Raises:
        ValueError: two spans overlap, or one lies outside of the data.
    """
    pieces: list[bytes] = []
    position = 0
    for edit in sorted(edits, key=lambda edit: (edit.start, edit.end)):
        if not position <= edit.start <= edit.end <= len(data):
            raise ValueError(f"the spans overlap at offset {edit.start}")
        pieces += (data[position : edit.start], edit.new)
        position = edit.end
    pieces.append(data[position:])
    return b"".join(pieces)
