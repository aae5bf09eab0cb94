"""Where the sections, tables, counts and handles of an ASCII DXF text lie, in bytes.

The writer adds to a drawing without touching what is there, so it must know its text to the byte.
This scanner looks at the bytes alone, never builds an object per entity, and is strict: whatever it
does not know for certain raises `IrregularText`, and the drawing then goes through a plain save.

Glossary:
    tag: two lines, a group code (an integer) and a value.
    record: the tags from one code 0 up to the next.
    body: what stands between the head of a section or table and its closing record.

Why single words can be looked for in the bytes: tags alternate code and value lines, and a code is an
integer. ``ENDSEC`` is none, so a line that reads ``ENDSEC`` is a value, the line before it its code.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final

UTF8_BOM: Final = b"\xef\xbb\xbf"
INSERTABLE_VERSIONS: Final = ("AC1015", "AC1018", "AC1021", "AC1024", "AC1027", "AC1032")
"""Releases R2000, R2004, R2007, R2010, R2013, R2018: they have handles, owners and subclasses throughout."""

_TAG: Final = re.compile(rb"[ \t]*([+-]?\d+)[ \t]*\r?\n([^\n]*?)[ \t]*\r?(?:\n|\Z)")
_TAGS: Final = re.compile(rb"(?:[ \t]*-?[0-9]+[ \t]*\r?\n[^\n]*\n)*+")
_HANDLE: Final = re.compile(rb"\n[ \t]*(?:5|105)[ \t]*\r?\n[ \t]*([0-9A-Fa-f]+)[ \t]*\r?(?=\n)")
_RECORD_HEAD: Final = re.compile(
    rb"^[ \t]*0+[ \t]*\r?\n[ \t]*([0-9]*[A-Za-z_][^\r\n]*?)[ \t]*\r?$", re.MULTILINE
)
_HEX: Final = re.compile(rb"[0-9A-Fa-f]{1,16}")
_REQUIRED: Final = ("HEADER", "TABLES", "ENTITIES")


class IrregularText(Exception):  # noqa: N818 - it is a finding about the text, not a failure
    """The text is not laid out as the scanner knows it; the sentence says where."""


@dataclass(frozen=True, slots=True)
class Tag:
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


@dataclass(frozen=True, slots=True)
class SectionText:
    """One section: `start` is its first byte, `body` the first behind its name, `end` its ENDSEC."""

    name: str
    start: int
    body: int
    end: int


@dataclass(frozen=True, slots=True)
class TableText:
    """One table: `start` is its first byte, `end` its ENDTAB, `count` the value span of its group 70."""

    name: str
    start: int
    end: int
    count: tuple[int, int] | None
    names: tuple[bytes, ...] = field(repr=False)


@dataclass(frozen=True)
class TextMap:
    """The map of one ASCII DXF text.

    Attributes:
        data: the text.
        version: ``$ACADVER``.
        codepage: ``$DWGCODEPAGE``, empty when there is none.
        newline: line end of most lines.
        handseed: span of the value line of ``$HANDSEED``.
        sections: by name.
        tables: by name.
    """

    data: bytes = field(repr=False)
    version: str
    codepage: str
    newline: bytes
    handseed: tuple[int, int]
    sections: dict[str, SectionText]
    tables: dict[str, TableText]

    @cached_property
    def handles(self) -> frozenset[int]:
        """Every handle in the text (groups 5 and 105 behind the header).

        A value ``5`` followed by a code such as ``330`` reads like a handle too; one handle too many
        does no harm, as new ones start above the largest.
        """
        found = _HANDLE.findall(self.data, self.sections["HEADER"].end)
        return frozenset(int(text, 16) for text in set(found))

    @property
    def handseed_value(self) -> int:
        """The next free handle as the header states it."""
        return int(self.data[slice(*self.handseed)], 16)

    @property
    def free_handle(self) -> int:
        """The first handle above every one in the text, and not below ``$HANDSEED``."""
        return max(self.handseed_value, max(self.handles, default=0) + 1)


def map_text(data: bytes, *, lines_known: bool = False) -> TextMap:
    """Find sections, tables, counts and the handle seed of an ASCII DXF text.

    Args:
        data: the whole file.
        lines_known: whether it is known already that codes and values alternate in it.

    Raises:
        IrregularText: it is no plain ASCII DXF, or its layout leaves any doubt.
    """
    newline = _newline(data)
    if not lines_known:
        _every_second_line_is_a_code(data)
    sections = _sections(data)
    missing = [name for name in _REQUIRED if name not in sections]
    if missing:
        raise IrregularText(f"it has no {missing[0]} section")
    variables = _header(data, sections["HEADER"])
    for name in ("$ACADVER", "$HANDSEED"):
        if name not in variables:
            raise IrregularText(f"its header has no {name}")
    seed = variables["$HANDSEED"]
    if seed.code != 5 or not _HEX.fullmatch(seed.value):
        raise IrregularText("its $HANDSEED is not a handle")
    codepage = variables["$DWGCODEPAGE"].value if "$DWGCODEPAGE" in variables else b""
    return TextMap(
        data=data,
        version=variables["$ACADVER"].value.decode("ascii", "replace").upper(),
        codepage=codepage.decode("ascii", "replace"),
        newline=newline,
        handseed=(seed.value_start, seed.value_end),
        sections=sections,
        tables=_tables(data, sections["TABLES"]),
    )


def iter_tags(data: bytes, start: int, end: int) -> Iterator[Tag]:
    """Yield the tags between two offsets.

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


def line_number(data: bytes, offset: int) -> int:
    """Return the line in which an offset lies, counted from 1."""
    return data.count(b"\n", 0, offset) + 1


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
        word: value to look for; blanks around it in the text do not matter.
        codes: group codes that count.
        start: first offset to look at.
        end: offset to stop at; the text's end when absent.
    """
    stop = len(data) if end is None else end
    first = _first(data)
    at = data.find(word, start, stop)
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


def _newline(data: bytes) -> bytes:
    lines, pairs = data.count(b"\n"), data.count(b"\r\n")
    if data.count(b"\r") != pairs:
        raise IrregularText("some of its lines end with a lone carriage return")
    if b"\x00" in data[:4096]:
        raise IrregularText("it is not plain text")
    return b"\r\n" if 2 * pairs > lines else b"\n"


def _every_second_line_is_a_code(data: bytes) -> None:
    """Make sure that codes and values alternate all the way to the EOF record."""
    match = _TAGS.match(data, _first(data))
    end = match.end() if match else 0
    rest = data[end : end + 200].split(b"\n")
    if data.rfind(b"EOF", 0, end) == -1 and [line.strip() for line in rest[:2]] != [b"0", b"EOF"]:
        raise IrregularText(f"line {line_number(data, end)} should be a group code and is not")


def _first(data: bytes) -> int:
    return len(UTF8_BOM) if data.startswith(UTF8_BOM) else 0


def _sections(data: bytes) -> dict[str, SectionText]:
    first = _first(data)
    starts, ends = list(find_records(data, b"SECTION")), list(find_records(data, b"ENDSEC"))
    if not starts or len(starts) != len(ends):
        raise IrregularText(f"it has {len(starts)} section starts and {len(ends)} section ends")
    sections: dict[str, SectionText] = {}
    position = first
    for start, end in zip(starts, ends, strict=True):
        if not position <= start < end:
            raise IrregularText(f"a section starts inside another at line {line_number(data, start)}")
        _only_comments(data, position, start)
        head = list(_take(iter_tags(data, start, end), 2))
        if len(head) < 2 or head[1].code != 2:
            raise IrregularText(f"the section at line {line_number(data, start)} has no name")
        name = head[1].value.decode("ascii", "replace")
        if name in sections:
            raise IrregularText(f"it has two {name} sections")
        sections[name] = SectionText(name, start, head[1].end, end)
        position = next(iter_tags(data, end, len(data))).end
    tail = list(_take((tag for tag in iter_tags(data, position, len(data)) if tag.code != 999), 1))
    if not tail or (tail[0].code, tail[0].value) != (0, b"EOF"):
        raise IrregularText("no EOF follows its last section")
    return sections


def _only_comments(data: bytes, start: int, end: int) -> None:
    if any(tag.code != 999 for tag in iter_tags(data, start, end)):
        raise IrregularText(f"something stands outside of the sections at line {line_number(data, start)}")


def _take(tags: Iterator[Tag], count: int) -> Iterator[Tag]:
    for _, tag in zip(range(count), tags, strict=False):
        yield tag


def _header(data: bytes, section: SectionText) -> dict[str, Tag]:
    """Return the first value tag of each header variable."""
    variables: dict[str, Tag] = {}
    name = ""
    for tag in iter_tags(data, section.body, section.end):
        if tag.code == 9:
            name = tag.value.decode("ascii", "replace")
            if name in variables:
                raise IrregularText(f"its header has {name} twice")
        elif name and tag.code != 999:
            variables.setdefault(name, tag)
    return variables


def _tables(data: bytes, section: SectionText) -> dict[str, TableText]:
    tables: dict[str, TableText] = {}
    open_table: _OpenTable | None = None
    for tag in iter_tags(data, section.body, section.end):
        if tag.code == 0 and tag.value == b"TABLE":
            if open_table:
                raise IrregularText(f"a table starts inside another at line {line_number(data, tag.start)}")
            open_table = _OpenTable(tag.start)
        elif open_table is None:
            if tag.code != 999:
                raise IrregularText(f"something stands between tables at line {line_number(data, tag.start)}")
        elif tag.code == 0 and tag.value == b"ENDTAB":
            table = open_table.close(data, tag.start)
            if table.name in tables:
                raise IrregularText(f"it has two {table.name} tables")
            tables[table.name] = table
            open_table = None
        else:
            open_table.take(data, tag)
    if open_table:
        raise IrregularText("a table does not end")
    return tables


class _OpenTable:
    """A table while its tags go by."""

    def __init__(self, start: int) -> None:
        self.start = start
        self.name = ""
        self.count: tuple[int, int] | None = None
        self.names: list[bytes] = []
        self._in_head = True
        self._wants_name = False

    def take(self, data: bytes, tag: Tag) -> None:
        if tag.code == 0:
            if tag.value.decode("ascii", "replace") != self.name:
                kind, line = tag.value.decode("ascii", "replace"), line_number(data, tag.start)
                raise IrregularText(f"a {kind} record stands in the {self.name} table at line {line}")
            self._in_head, self._wants_name = False, True
        elif self._in_head:
            if tag.code == 2 and not self.name:
                self.name = tag.value.decode("ascii", "replace")
            elif tag.code == 70 and self.count is None:
                if not tag.value.isdigit():
                    raise IrregularText(f"the count of the {self.name} table is not a number")
                self.count = (tag.value_start, tag.value_end)
        elif tag.code == 2 and self._wants_name:
            self.names.append(tag.value)
            self._wants_name = False

    def close(self, data: bytes, end: int) -> TableText:
        if not self.name:
            raise IrregularText(f"the table at line {line_number(data, self.start)} has no name")
        return TableText(self.name, self.start, end, self.count, tuple(self.names))
