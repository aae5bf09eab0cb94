"""The records of a stretch of DXF text as columns of numbers; nothing is done once per record.

Lines are found at once, group codes read through two tables, and records grouped by their signature. Only
that is looked at by itself, once; it says where in a record the values lie that matter. Numbers are read by
numpy's own cast, which is ``float()`` and ``int()``, and so are what ezdxf reads.

Glossary:
    signature: type, group codes, markers and names of programs of a record, in their order.
    part: a piece of the text that is read at once; it ends between two records.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.partial.record_grammar import IS_FLOAT, IS_INT, NAMED, Plan, plan_of

Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Words = npt.NDArray[np.uint64]
Flags = npt.NDArray[np.bool_]

_PART: Final = 1 << 21
"""Bytes that are read at once; twice as many, and so on, where a record is longer."""

_U: Final = np.uint64
_LONGEST: Final = 24
"""Bytes of a number that is read with the others; a longer one is read by itself."""

_FIRST: Final = np.array([2 ** (8 * k) - 1 for k in range(9)], _U)
"""Keeps the first bytes of a word."""
_FIRST_OF_24: Final = np.array(
    [[_FIRST[min(max(k - 8 * i, 0), 8)] for i in range(3)] for k in range(_LONGEST + 1)], _U
)
_MIX, _MIX2 = _U(0x9E3779B97F4A7C15), _U(0xD6E8FEB86659FD93)
_ZERO: Final = _U(0x302E30)
"""``0.0``, which most heights are."""
_EXACT: Final = 2.0**53
_NO_HANDLE: Final = _U(0)

_HEX: Final = np.full(256, 255, np.uint8)
for _value, _character in enumerate(b"0123456789ABCDEF"):
    _HEX[[_character, ord(chr(_character).lower())]] = _value

_BAD, _HALF = 1 << 20, 1 << 16
"""No number; and half of what makes one: a blank before the last digit, and a digit before that."""


class IrregularPartError(Exception):
    """A stretch of text that is not laid out as we know it."""


def _code_tables() -> tuple[npt.NDArray[np.int32], npt.NDArray[np.int32]]:
    """Return the values of the last two characters of a code line, and of the two before."""
    low, high = np.full(1 << 16, _BAD, np.int32), np.full(1 << 16, _BAD, np.int32)
    digit = {ord(str(k)): k for k in range(10)}
    for a in (10, 32, *digit):
        for b in digit:
            low[a | b << 8] = 10 * digit.get(a, 0) + digit[b] + _HALF * (a == 32)
            high[a | b << 8] = 1000 * digit.get(a, 0) + 100 * digit[b] + _HALF
        high[a | 32 << 8] = _BAD if a in digit else 0
    behind = np.arange(1 << 16) >> 8 == 10  # the line before ends there
    high[behind] = 0
    return low, high


_LOW, _HIGH = _code_tables()


@dataclass(frozen=True, slots=True)
class Part:
    """The records of a part of a text, and their tags.

    Attributes:
        data: the whole text.
        start: where the value of each tag starts.
        end: where it ends.
        numbers: the value of each tag that is a number; 0 for what is none.
        first: the number of the first tag of each record.
        spans: where each record starts and ends in the text, shape (n, 2).
        signature: of each record, by its number.
        plans: what is known of each signature; None for one that is not plain.
        sound: whether a record has a plan, a handle, and numbers where there should be.
        handles: as numbers.
    """

    data: bytes
    start: Ints
    end: Ints
    numbers: Floats
    first: Ints
    spans: Ints
    signature: Ints
    plans: list[Plan | None]
    sound: Flags
    handles: Words

    def groups(self, which: Flags) -> Iterator[tuple[Plan, Ints]]:
        """Yield the plans of the records that are asked for, and those records' numbers."""
        chosen = np.flatnonzero(which)
        order = chosen[np.argsort(self.signature[chosen], kind="stable")]
        cuts = np.flatnonzero(np.diff(self.signature[order])) + 1
        groups = sorted(np.split(order, cuts), key=lambda group: int(group[0])) if len(order) else []
        for group in groups:
            plan = self.plans[self.signature[group[0]]]
            if plan is not None:
                yield plan, group

    def kinds(self) -> npt.NDArray[np.bytes_]:
        """Return the type of each record that has a plan; an empty one for what has none."""
        return np.array([plan.kind if plan else b"" for plan in self.plans])[self.signature]

    def texts(self, records: Ints, place: int) -> list[bytes]:
        """Return the values at one place of some records."""
        tags, data = self.first[records] + place, self.data
        ends = zip(self.start[tags].tolist(), self.end[tags].tolist(), strict=True)
        return [data[start:end] for start, end in ends]

    def named(self, records: Ints, places: Ints | int) -> tuple[list[bytes], Ints]:
        """Return the different values at a place of some records, and which of them each has."""
        tags = self.first[records] + places
        start, end = self.start[tags], self.end[tags]
        _, at, which = np.unique(
            _keys(words_of(self.data), start, end), return_index=True, return_inverse=True
        )
        return [self.data[start[i] : end[i]] for i in at.tolist()], which


def words_of(data: bytes) -> Words:
    """Return the eight bytes from every offset on, as numbers; nothing is copied."""
    return np.ndarray((max(len(data) - 7, 0),), "<u8", buffer=data, strides=(1,))


def _keys(words: Words, start: Ints, end: Ints) -> Words:
    """Return a number for every text; the same for the same, and as good as surely another for another."""
    size = end - start
    out = size.astype(_U) * _MIX2
    for k in range(0, int(size.max(initial=0)), 8):
        word = words[np.minimum(start + k, len(words) - 1)] & _FIRST[np.clip(size - k, 0, 8)]
        out = (out ^ word) * _MIX
        out ^= out >> _U(29)
    return out


def _read_numbers(data: bytes, start: Ints, end: Ints, kind: Callable[[Any], float]) -> tuple[Floats, Flags]:
    """Read numbers as `kind` does, and say which are some."""
    texts = np.ndarray((max(len(data) - _LONGEST + 1, 0),), f"S{_LONGEST}", buffer=data, strides=(1,))
    size = end - start
    if size.max(initial=0) <= _LONGEST and start.max(initial=0) < len(texts):
        cut = texts[start].view(_U).reshape(-1, 3) & _FIRST_OF_24[size]
        try:
            return cut.view(f"S{_LONGEST}").ravel().astype(kind).astype(np.float64), np.ones(len(size), bool)
        except (ValueError, OverflowError):
            pass
    values, good = np.zeros(len(start)), np.zeros(len(start), bool)
    for i, (a, b) in enumerate(zip(start.tolist(), end.tolist(), strict=True)):
        try:
            values[i], good[i] = kind(data[a:b]), True
        except (ValueError, OverflowError):
            continue
    return values, good


@dataclass(slots=True)
class _Marks:
    """What every signature is made of, one behind the other, to tell that a record has just that."""

    flat: Words = field(default_factory=lambda: np.zeros(64, _U))
    used: int = 0
    sizes: list[int] = field(default_factory=list)
    offsets: list[int] = field(default_factory=list)

    def append(self, row: Words) -> None:
        """Add the marks of a signature."""
        while self.used + len(row) > len(self.flat):
            self.flat = np.concatenate([self.flat, np.zeros_like(self.flat)])
        self.flat[self.used : self.used + len(row)] = row
        self.sizes.append(len(row))
        self.offsets.append(self.used)
        self.used += len(row)

    def are(self, signature: Ints, count: Ints, marks: Words) -> bool:
        """Say whether records have the marks of their signatures."""
        if (np.array(self.sizes)[signature] != count).any():
            return False
        ends = np.cumsum(count)
        places = np.arange(ends[-1]) + np.repeat(np.array(self.offsets)[signature] - (ends - count), count)
        return bool((marks == self.flat[places]).all())


class Scanner:
    """Reads stretches of one text; what it knows of signatures serves all of them."""

    def __init__(self, data: bytes, newline: bytes) -> None:
        """Remember the text, and that all its lines end with `newline`."""
        self.data, self.newline = data, newline
        self._bytes = np.frombuffer(data, np.uint8)
        self._words = words_of(data)
        self._fours = np.ndarray((max(len(data) - 3, 0),), "<u4", buffer=data, strides=(1,))
        self._power: Words = np.ones(1, _U)
        self._inverse: Words = np.ones(1, _U)
        self._known: dict[int, int] = {}
        self._marks = _Marks()
        self.plans: list[Plan | None] = []

    def parts(
        self, start: int, end: int, heads: Collection[bytes], *, inside: bool = False
    ) -> Iterator[Part]:
        """Yield the records between two offsets, both of which lie between records.

        Args:
            start: offset of the first code line.
            end: offset behind the last tag.
            heads: types of records before which no part may end, as they belong to the one before.
            inside: the other way round: a part may end before such records alone.

        Raises:
            IrregularPartError: the lines there are no tags.
        """
        size = _PART
        while start < end:
            part, behind = self._part(start, min(start + size, end), end, heads, inside)
            size = _PART if part else 2 * size
            if part:
                yield part
            start = behind

    def _part(
        self, begin: int, stop: int, end: int, heads: Collection[bytes], inside: bool
    ) -> tuple[Part | None, int]:
        line_ends = np.flatnonzero(self._bytes[begin:stop] == 10) + begin
        line_ends = line_ends[: len(line_ends) & ~1]
        ends = line_ends - (len(self.newline) - 1)
        if stop == end and (not len(line_ends) or line_ends[-1] != end - 1):
            raise IrregularPartError("the last tag is not whole")
        if len(line_ends) < 4:
            return None, begin
        tags = np.append(begin, line_ends[1::2] + 1)
        starts, stops = line_ends[0::2] + 1, ends[1::2]
        codes = self._codes(tags[:-1], ends[0::2])
        first = np.flatnonzero(codes == 0)
        if not len(first) or first[0]:
            raise IrregularPartError("it does not start with a record")
        n = len(codes) if stop == end else self._cut(starts, stops, first, heads, inside)
        if not n:
            return None, begin
        first = first[first < n]
        part = self._columns(tags[: n + 1], starts[:n], stops[:n], codes[:n], first)
        return part, int(tags[n])

    def _cut(self, starts: Ints, stops: Ints, first: Ints, heads: Collection[bytes], inside: bool) -> int:
        """Return the number of the tag before which a part may end; 0 for none."""
        for tag in first[:0:-1].tolist():
            if (self.data[starts[tag] : stops[tag]] in heads) == inside:
                return int(tag)
        return 0

    def _codes(self, start: Ints, end: Ints) -> Ints:
        word = self._fours[end - 4]
        high = _HIGH[word & np.uint32(0xFFFF)]
        size = end - start
        if size.min() < 2:
            high[size < 2] = 0
        code = _LOW[word >> np.uint32(16)] + high
        if size.min() < 1 or code.max() >= 2 * _HALF:
            raise IrregularPartError("a group code is no number")
        long = np.flatnonzero(size > 4)
        for k in range(int(size.max()) - 4):
            long = long[size[long] > 4 + k]
            if (self._bytes[start[long] + k] != 32).any():
                raise IrregularPartError("a group code is too long")
        codes: Ints = code.astype(np.int64) & (_HALF - 1)
        return codes

    def _columns(self, tags: Ints, start: Ints, end: Ints, codes: Ints, first: Ints) -> Part:
        count = np.diff(first, append=len(codes))
        signature = self._signatures(start, end, codes, first, count)
        numbers, good = self._numbers(start, end, codes)
        known = np.array([plan is not None for plan in self.plans])[signature]
        handle = np.minimum(first + 1, len(codes) - 1)  # every plan has it there
        handles = self._handles(start[handle], end[handle])
        sound = np.logical_and.reduceat(good, first) & known & (handles != _NO_HANDLE)
        spans = np.stack([tags[first], tags[np.append(first[1:], len(codes))]], axis=1)
        part = Part(self.data, start, end, numbers, first, spans, signature, self.plans, sound, handles)
        for plan, records in part.groups(sound):
            for place, mask, expected in plan.flags:
                flags = numbers[first[records] + place].astype(np.int64)
                sound[records[(flags & mask) != expected]] = False
        return part

    def _numbers(self, start: Ints, end: Ints, codes: Ints) -> tuple[Floats, Flags]:
        numbers, good = np.zeros(len(codes)), np.ones(len(codes), bool)
        near = np.minimum(start, len(self._words) - 1)
        at = np.flatnonzero(IS_FLOAT[codes])
        at = at[((self._words[near[at]] & _FIRST[3]) != _ZERO) | (end[at] - start[at] != 3)]
        numbers[at], is_number = _read_numbers(self.data, start[at], end[at], float)
        good[at] = is_number & np.isfinite(numbers[at])
        at = np.flatnonzero(IS_INT[codes])
        numbers[at], is_number = _read_numbers(self.data, start[at], end[at], int)
        good[at] = is_number & (np.abs(numbers[at]) < _EXACT)
        numbers[~good] = 0.0
        return numbers, good

    def _signatures(self, start: Ints, end: Ints, codes: Ints, first: Ints, count: Ints) -> Ints:
        """Number every record by its signature; look at the new ones."""
        if len(self._power) <= len(codes):
            size, inverse = 2 * len(codes) + 2, _U(pow(int(_MIX), -1, 1 << 64))
            self._power = np.cumprod(np.full(size, _MIX, _U), dtype=_U) * _MIX2
            self._inverse = np.cumprod(np.full(size, inverse, _U), dtype=_U)
        marks = codes.astype(_U)
        named = np.flatnonzero(NAMED[codes])
        marks[named] += _keys(self._words, start[named], end[named]) << _U(11)
        sums = np.add.reduceat(marks * self._power[: len(codes)], first) * self._inverse[first]
        keys, at, which = np.unique(sums + count.astype(_U), return_index=True, return_inverse=True)
        numbers = np.empty(len(keys), np.int64)
        for k, (key, i) in enumerate(zip(keys.tolist(), at.tolist(), strict=True)):
            if key not in self._known:
                whole = slice(int(first[i]), int(first[i] + count[i]))
                self._known[key] = len(self.plans)
                self.plans.append(self._plan(start[whole], end[whole], codes[whole]))
                self._marks.append(marks[whole])
            numbers[k] = self._known[key]
        signature = numbers[which]
        if not self._marks.are(signature, count, marks):
            raise IrregularPartError("two signatures with the same sum")
        return signature

    def _plan(self, start: Ints, end: Ints, codes: Ints) -> Plan | None:
        names = {k: self.data[int(start[k]) : int(end[k])] for k in np.flatnonzero(NAMED[codes]).tolist()}
        return plan_of(tuple(codes.tolist()), names)

    def _handles(self, start: Ints, end: Ints) -> Words:
        """Read hexadecimal numbers; 0 where there is none."""
        size = end - start
        fine = (size > 0) & (size < 16)
        values = np.zeros(len(start), _U)
        for k in range(int(size[fine].max(initial=0))):
            digits, inside = _HEX[self._bytes[end - 1 - k]], k < size
            fine &= ~inside | (digits < 16)
            values += np.where(inside, digits, 0).astype(_U) << _U(4 * k)
        return np.where(fine, values, _NO_HANDLE)


def find_end(data: bytes, word: bytes, start: int) -> int | None:
    """Return where the record of a word such as ``ENDSEC`` starts; None where the word is no record.

    Args:
        data: the text.
        word: its type; the first place where it stands in the text counts.
        start: where to look from.
    """
    at = data.find(word, start)
    line = data.rfind(b"\n", start, at) if at != -1 else -1
    code = data.rfind(b"\n", start - 1, line) if line != -1 else -1
    if code == -1 or not re.compile(rb"[ \t]*0\r?\n" + word + rb"\r?\n").match(data, code + 1):
        return None
    return code + 1
