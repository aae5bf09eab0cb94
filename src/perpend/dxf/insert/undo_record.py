"""What one insertion writes down about itself, so that it can be undone to the byte.

The imprint is a run of strings in the XDATA of the first record that was inserted: the handle seed and
the table counts as they were and as they are now, the length of the text at each place, and the hash of
the drawing before. It is read from the bytes alone.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from perpend.dxf.insert.tag_spans import Tag, find_values, iter_tags

_LENGTH_DIGITS: Final = 12
_HASH: Final = re.compile(rb"base sha256 ([0-9a-f]{64})")
_SEED: Final = re.compile(rb"handseed <([^<>]*)> <([^<>]*)>")
_COUNT: Final = re.compile(rb"count ([A-Z_]+) <([^<>]*)> <([^<>]*)>")
_LENGTH: Final = re.compile(rb"bytes (\*?[A-Z_]+[0-9]*) ([0-9]+)")
_STRING: Final = 1000


class Change(NamedTuple):
    """The value line of a field, before and after."""

    old: bytes
    new: bytes


@dataclass(frozen=True, slots=True)
class Imprint:
    """What an insertion did.

    Attributes:
        sha256: hash of the drawing before, hexadecimal.
        handseed: the handle seed.
        counts: group 70 of each table that has one and grew.
        lengths: bytes inserted at the end of each table and section, by place.
    """

    sha256: str
    handseed: Change
    counts: Mapping[str, Change] = field(default_factory=dict)
    lengths: Mapping[str, int] = field(default_factory=dict)

    def strings(self, app_id: str) -> list[str]:
        """Return the imprint as strings of fixed length for given places, whatever the lengths are."""
        return [
            marker(app_id),
            f"base sha256 {self.sha256}",
            f"handseed {_both(self.handseed)}",
            *(f"count {name} {_both(change)}" for name, change in self.counts.items()),
            *(f"bytes {place} {length:0{_LENGTH_DIGITS}d}" for place, length in self.lengths.items()),
        ]


def marker(app_id: str) -> str:
    """Return the string that opens an imprint."""
    return f"{app_id} insertion 1"


def hash_of(*pieces: bytes | memoryview) -> str:
    """Return the hash by which a drawing's bytes, whole or in pieces, are known again."""
    found = hashlib.sha256()
    for piece in pieces:
        found.update(piece)
    return found.hexdigest()


def find_imprint(data: bytes, app_id: str) -> Imprint | None:
    """Read the first whole imprint in a text; None when there is none."""
    for start, _ in find_values(data, marker(app_id).encode("ascii"), (_STRING,)):
        imprint = _read(iter_tags(data, start, len(data)))
        if imprint:
            return imprint
    return None


def _both(change: Change) -> str:
    return f"<{change.old.decode('ascii')}> <{change.new.decode('ascii')}>"


def _read(tags: Iterator[Tag]) -> Imprint | None:
    sha256, handseed = "", None
    counts: dict[str, Change] = {}
    lengths: dict[str, int] = {}
    next(tags)
    for tag in tags:
        if tag.code != _STRING:
            break
        if match := _HASH.fullmatch(tag.value):
            sha256 = match[1].decode()
        elif match := _SEED.fullmatch(tag.value):
            handseed = Change(match[1], match[2])
        elif match := _COUNT.fullmatch(tag.value):
            counts[match[1].decode()] = Change(match[2], match[3])
        elif match := _LENGTH.fullmatch(tag.value):
            lengths[match[1].decode()] = int(match[2])
        else:
            break
    return Imprint(sha256, handseed, counts, lengths) if sha256 and handseed else None
