"""Records with more points than are ever drawn by hand, refused by their bytes before anything is loaded.

A polyline of a million vertices is a small file, but a gigabyte in memory. Points are counted only in records
that are long enough to have too many; the ends of all others are jumped over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import islice
from pathlib import Path
from typing import Final

from perpend.errors import InputError

_LEAST_BYTES: Final = 8
"""No point takes fewer bytes: two codes, two values, and the ends of four lines."""
_STEP: Final = 8192
_START: Final = re.compile(rb"[\r\n][ \t]*0+[ \t]*\r?[\r\n][ \t]*([A-Z0-9_]*[A-Z_])")
_TAG: Final = re.compile(rb"[ \t]*(?:(10)|[0-9]+)[ \t]*\r?[\r\n][^\r\n]*\r?(?:[\r\n]|\Z)")
_NAMED: Final = re.compile(rb"[\r\n][ \t]*(5|8)[ \t]*\r?[\r\n][ \t]*([^\r\n]*)")
_HEAD_BYTES: Final = 2000
_CHAIN: Final = re.compile(rb"[\r\n][ \t]*0+[ \t]*\r?[\r\n][ \t]*(?:(POLYLINE)|SEQEND)\b")


def refuse_long_records(path: Path, data: bytes, most_points: int) -> None:
    """Refuse an ASCII drawing in which one entity has too many points, on whatever layer it is.

    Args:
        path: the drawing, for the sentence.
        data: its bytes.
        most_points: of one entity.

    Raises:
        InputError: there is such an entity.
    """
    for start, end in _long_records(data, most_points * _LEAST_BYTES):
        points = (tag for tag in _TAG.finditer(data, start, end) if tag[1])
        if next(islice(points, most_points, None), None):
            raise _refusal(path, data, start, most_points)
    if data.count(b"VERTEX") > most_points:
        first = None
        for record in _CHAIN.finditer(data):
            if first is not None and data.count(b"VERTEX", first, record.start()) > most_points:
                raise _refusal(path, data, first, most_points)
            first = record.start() + 1 if record[1] else None


def _long_records(data: bytes, most_bytes: int) -> Iterator[tuple[int, int]]:
    """Yield where each record of more than so many bytes begins and ends."""
    start = 0
    while start + most_bytes < len(data):
        upto = start + most_bytes
        last, step = start, _STEP
        low = upto
        while last == start and low > start + 1:
            low = max(upto - step, start + 1)
            for found in _START.finditer(data, low, upto):
                last = found.start() + 1
            step *= 4
        if last == start:
            following = _START.search(data, max(upto - _STEP, start + 1))
            last = following.start() + 1 if following else len(data)
            if last - start > most_bytes:
                yield start, last
        start = last


def _refusal(path: Path, data: bytes, start: int, most_points: int) -> InputError:
    kind = _START.match(data, max(start - 1, 0))
    said = dict(_NAMED.findall(data, start, start + _HEAD_BYTES)[::-1])
    name = " ".join(
        (
            "the" if kind else "a record",
            (kind[1] if kind else b"").decode(errors="replace"),
            f"with handle {said.get(b'5', b'').decode(errors='replace')}",
            f"on layer {said.get(b'8', b'').decode(errors='replace')}",
        )
    )
    return InputError(
        f"{path}: {name} has more than {most_points:,} points, ten times what points under [bounds] in the "
        "settings lets one entity have: simplify it."
    )
