"""The tags of an ASCII DXF text and where they lie, from the bytes alone.

Glossary:
    tag: two lines, a group code (an integer) and a value.
    record: the tags from one code 0 up to the next.

Why single words can be looked for in the bytes: tags alternate code and value lines, and a code is an
integer. ``ENDSEC`` is none, so a line that reads ``ENDSEC`` is a value, the line before it its code.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from dataclasses import field
from functools import cached_property
from itertools import accumulate
from typing import Final, NamedTuple

UTF8_BOM: Final = b"\xef\xbb\xbf"
COMMENT: Final = 999
"""Group code of a comment."""

_TAG: Final = re.compile(rb"[ \t]*([+-]?\d+)[ \t]*\r?\n([^\n]*?)[ \t]*\r?(?:\n|\Z)")
_RECORD_HEAD: Final = re.compile(
    rb"^[ \t]*0+[ \t]*\r?\n[ \t]*([0-9]*[A-Za-z_][^\r\n]*?)[ \t]*\r?$", re.MULTILINE
)


class IrregularText(Exception):  # noqa: N818 - it is a finding about the text, not a failure
    """The text is not laid out as we know it; the sentence says where."""


class Tag(NamedTuple):
    """One tag and where it lies.

    Attributes:
        code: group code.
        value: the value line, blanks around it removed.
        start: offset of the code line.
        value_start: offset of the value line.
        value_end: offset behind the value line, its line end not counted.
        end: offset of the next tag.
    """

    code: int
    value: bytes
    start: int
    value_start: int
    value_end: int
    end: int


@dataclasses.dataclass(frozen=True)
class Tags:
    """All tags of a stretch of text, as columns.

    Attributes:
        codes: group codes.
        values: the value lines, blanks around them removed.
        lines: the lines as they are, two for each tag, without their line feeds.
        start: offset of the first line in the text.
    """

    codes: list[int]
    values: list[bytes]
    lines: list[bytes] = field(repr=False)
    start: int

    @cached_property
    def offsets(self) -> list[int]:
        """Where each line starts in the text, and where the last one ends."""
        return list(accumulate((len(line) + 1 for line in self.lines), initial=self.start))

    @cached_property
    def heads(self) -> list[int]:
        """The indices of the tags of code 0, with which records start."""
        return [index for index, code in enumerate(self.codes) if code == 0]

    def records(self) -> Iterator[tuple[int, int]]:
        """Yield the indices of the first tag of each record and of the next one."""
        yield from zip(self.heads, [*self.heads[1:], len(self.codes)], strict=True)

    def find(self, code: int, start: int, end: int) -> int | None:
        """Return the index of the first tag of a code from one index up to another."""
        try:
            return self.codes.index(code, start, end)
        except ValueError:
            return None

    def start_of(self, index: int) -> int:
        """Return the offset of a tag's code line."""
        return self.offsets[2 * index]

    def value_span(self, index: int) -> tuple[int, int]:
        """Return where a tag's value line lies, its line end not counted."""
        start = self.offsets[2 * index + 1]
        return start, start + len(self.lines[2 * index + 1].removesuffix(b"\r"))


def iter_tags(data: bytes, start: int, end: int) -> Iterator[Tag]:
    """Yield the tags between two offsets, one at a time.

    Raises:
        IrregularText: a group code is not an integer, or the last tag crosses the end.
    """
    position = start
    while position < end:
        match = _TAG.match(data, position)
        if match is None or match.end() > end:
            raise IrregularText(f"line {line_number(data, position)} should be a group code and is not")
        line_end = match.end() - 1 if data[match.end() - 1 : match.end()] == b"\n" else match.end()
        if data[line_end - 1 : line_end] == b"\r":
            line_end -= 1
        value_start, value_end = match.start(2), max(line_end, match.start(2))
        code, value = int(match[1]), match[2].strip()
        yield Tag(code, value, position, value_start, value_end, match.end())
        position = match.end()


def read_tags(data: bytes, start: int, end: int) -> Tags:
    """Return the tags between two offsets, all at once: a tenth of what `iter_tags` costs.

    Raises:
        IrregularText: a group code is not an integer, or the last tag crosses the end.
    """
    lines = data[start:end].split(b"\n")
    is_whole = lines.pop() == b"" and len(lines) % 2 == 0
    try:
        codes = [int(line) for line in lines[::2]]
    except ValueError:
        is_whole = False
    if not is_whole:
        for _ in iter_tags(data, start, end):  # says where it is wrong
            pass
        raise IrregularText(f"line {line_number(data, end)} does not start with a whole tag")
    return Tags(codes, [line.strip() for line in lines[1::2]], lines, start)


def line_number(data: bytes, offset: int) -> int:
    """Return the line in which an offset lies, counted from 1."""
    return data.count(b"\n", 0, offset) + 1


def first_line(data: bytes) -> int:
    """Return where the first line starts: behind a byte-order mark, if there is one."""
    return len(UTF8_BOM) if data.startswith(UTF8_BOM) else 0


def record_heads(data: bytes, start: int, end: int) -> Iterator[tuple[int, bytes]]:
    """Yield (offset, type name) of the records between two offsets, the first of which starts a line.

    A type name holds a letter, a group code does not: so a value ``0`` is never taken for a code.
    """
    for match in _RECORD_HEAD.finditer(data, start, end):
        yield match.start(), match[1]


def find_records(data: bytes, word: bytes, start: int = 0, end: int | None = None) -> Iterator[int]:
    """Yield the offset of each record head (code 0) whose value is the word, which must not be a number."""
    yield from (code for code, _ in find_values(data, word, (0,), start, end))


def find_values(
    data: bytes, word: bytes, codes: tuple[int, ...], start: int = 0, end: int | None = None
) -> Iterator[tuple[int, int]]:
    """Yield (offset of the code line, offset of the value line) of each tag with this value.

    Args:
        data: the text.
        word: value to look for; blanks around it in the text do not matter. An empty one is never found.
        codes: group codes that count.
        start: first offset to look at.
        end: offset to stop at; the text's end when absent.
    """
    stop = len(data) if end is None else end
    first = first_line(data)
    at = data.find(word, start, stop) if word else -1  # an empty word is found everywhere
    while at != -1:
        line = data.rfind(b"\n", first, at) + 1
        line_end = data.find(b"\n", at)
        line_end = len(data) if line_end == -1 else line_end
        if line > first and data[line:line_end].strip() == word:
            code_line = max(data.rfind(b"\n", first, line - 1) + 1, first)
            code = data[code_line:line].strip()
            if code.isdigit() and int(code) in codes:
                yield code_line, line
        at = data.find(word, at + len(word), stop)
