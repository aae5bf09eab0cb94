"""Where the sections, tables, counts and handles of an ASCII DXF text lie, in bytes.

The writer adds to a drawing without touching what is there, so it must know its text to the byte.
This scanner looks at the bytes alone, never builds an object per entity, and is strict: whatever it
does not know for certain raises `IrregularText`, and the drawing then goes through a plain save.

Glossary (see also `perpend.dxf.insert.tag_spans`):
    body: what stands between the head of a section or table and its closing record.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Final, NamedTuple

from perpend.dxf.insert.handles import Handles
from perpend.dxf.insert.tag_spans import (
    COMMENT,
    IrregularText,
    Tag,
    Tags,
    find_records,
    first_line,
    iter_tags,
    line_number,
    read_tags,
)

INSERTABLE_VERSIONS: Final = ("AC1015", "AC1018", "AC1021", "AC1024", "AC1027", "AC1032")
"""Releases R2000, R2004, R2007, R2010, R2013, R2018: they have handles, owners and subclasses throughout."""

BLOCKS: Final = "*BLOCKS"
ENTITIES: Final = "*ENTITIES"
OBJECTS: Final = "*OBJECTS"
PAPER: Final = "*PAPER_SPACE"
"""Places at whose ends ours goes in: sections; any other is named like its table, or a layout's block."""

_TAGS: Final = re.compile(rb"(?:[ \t]*+-?[0-9]++[ \t]*+\r?\n[^\n]*+\n)*+")
_HEX: Final = re.compile(rb"[0-9A-Fa-f]{1,16}")
_REQUIRED: Final = ("HEADER", "TABLES", "ENTITIES")
_VARIABLE: Final = 9
_NAME: Final = 2
_COUNT: Final = 70
_HANDLE_CODES: Final = {b"DIMSTYLE": 105}


class SectionText(NamedTuple):
    """One section: `start` is its first byte, `body` the first behind its name, `end` its ENDSEC."""

    name: str
    start: int
    body: int
    end: int


@dataclass(frozen=True, slots=True)
class TableText:
    """One table.

    Attributes:
        name: its name.
        start: its first byte.
        end: its ENDTAB.
        count: the value span of its group 70, which says how many records it has.
        handle: its own handle; empty when it has none.
        entries: name and handle of each record, as they stand.
    """

    name: str
    start: int
    end: int
    count: tuple[int, int] | None
    handle: bytes
    entries: tuple[tuple[bytes, bytes], ...] = field(repr=False)


@dataclasses.dataclass(frozen=True)
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
    def handles(self) -> Handles:
        """Every handle in the text (groups 5 and 105 outside of the header).

        A value ``5`` followed by a code such as ``330`` reads like a handle too; one handle too many
        does no harm, as new ones start above the largest.
        """
        header = self.sections["HEADER"]
        return Handles.among(self.data, ((0, header.start), (header.end, len(self.data))))

    @property
    def handseed_value(self) -> int:
        """The next free handle as the header states it."""
        return int(self.data[slice(*self.handseed)], 16)

    @cached_property
    def highest_handle(self) -> int:
        """The highest handle in the text; 0 when it has none."""
        return self.handles.highest

    def end_of(self, place: str) -> int | None:
        """Return the offset at which ours goes in at a place; None where the text has no such place."""
        if place in (BLOCKS, ENTITIES, OBJECTS):
            section = self.sections.get(place[1:])
            return section.end if section else None
        if place.startswith(PAPER):
            return self._end_of_block(place)
        table = self.tables.get(place)
        return table.end if table else None

    def _end_of_block(self, name: str) -> int | None:
        """Return the offset of a block's ENDBLK; None where there is no block of that name, in any case."""
        section = self.sections.get("BLOCKS")
        if section is None:
            return None
        for start in find_records(self.data, b"BLOCK", section.body, section.end):
            end = next(find_records(self.data, b"ENDBLK", start, section.end), None)
            named = next(
                (tag for tag in iter_tags(self.data, start, end or start) if tag.code == _NAME), None
            )
            if named is not None and named.value.decode("ascii", "replace").upper() == name:
                return end
        return None

    @property
    def free_handle(self) -> int:
        """The first handle above every one in the text, and not below ``$HANDSEED``."""
        return max(self.handseed_value, self.highest_handle + 1)


def map_text(data: bytes, *, lines_known: bool = False) -> TextMap:
    """Find sections, tables, counts and the handle seed of an ASCII DXF text.

    Args:
        data: the whole file.
        lines_known: whether it is known already that codes and values alternate in it, as ezdxf has read
            it without a fault or it is put together from texts of which that is known.

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
    header, variables = _header(data, sections["HEADER"])
    for name in ("$ACADVER", "$HANDSEED"):
        if name not in variables:
            raise IrregularText(f"its header has no {name}")
    seed = variables["$HANDSEED"]
    if header.codes[seed] != 5 or not _HEX.fullmatch(header.values[seed]):
        raise IrregularText("its $HANDSEED is not a handle")
    codepage = header.values[variables["$DWGCODEPAGE"]] if "$DWGCODEPAGE" in variables else b""
    return TextMap(
        data=data,
        version=header.values[variables["$ACADVER"]].decode("ascii", "replace").upper(),
        codepage=codepage.decode("ascii", "replace"),
        newline=newline,
        handseed=header.value_span(seed),
        sections=sections,
        tables=_tables(data, sections["TABLES"]),
    )


def _newline(data: bytes) -> bytes:
    if b"\x00" in data[:4096]:
        raise IrregularText("it is not plain text")
    returns = data.count(b"\r")
    if not returns:
        return b"\n"
    pairs = data.count(b"\r\n")
    if returns != pairs:
        raise IrregularText("some of its lines end with a lone carriage return")
    return b"\r\n" if 2 * pairs > data.count(b"\n") else b"\n"


def _every_second_line_is_a_code(data: bytes) -> None:
    """Make sure that codes and values alternate all the way to the EOF record."""
    match = _TAGS.match(data, first_line(data))
    end = match.end() if match else 0
    rest = data[end : end + 200].split(b"\n")
    if data.rfind(b"EOF", 0, end) == -1 and [line.strip() for line in rest[:2]] != [b"0", b"EOF"]:
        raise IrregularText(f"line {line_number(data, end)} should be a group code and is not")


def _sections(data: bytes) -> dict[str, SectionText]:
    starts, ends = list(find_records(data, b"SECTION")), list(find_records(data, b"ENDSEC"))
    if not starts or len(starts) != len(ends):
        raise IrregularText(f"it has {len(starts)} section starts and {len(ends)} section ends")
    sections: dict[str, SectionText] = {}
    position = first_line(data)
    for start, end in zip(starts, ends, strict=True):
        if not position <= start < end:
            raise IrregularText(f"a section starts inside another at line {line_number(data, start)}")
        _only_comments(data, position, start)
        head = list(_take(iter_tags(data, start, end), 2))
        if len(head) < 2 or head[1].code != _NAME:
            raise IrregularText(f"the section at line {line_number(data, start)} has no name")
        name = head[1].value.decode("ascii", "replace")
        if name in sections:
            raise IrregularText(f"it has two {name} sections")
        sections[name] = SectionText(name, start, head[1].end, end)
        position = next(iter_tags(data, end, len(data))).end
    tail = list(_take((tag for tag in iter_tags(data, position, len(data)) if tag.code != COMMENT), 1))
    if not tail or (tail[0].code, tail[0].value) != (0, b"EOF"):
        raise IrregularText("no EOF follows its last section")
    return sections


def _only_comments(data: bytes, start: int, end: int) -> None:
    if any(tag.code != COMMENT for tag in iter_tags(data, start, end)):
        raise IrregularText(f"something stands outside of the sections at line {line_number(data, start)}")


def _take(tags: Iterator[Tag], count: int) -> Iterator[Tag]:
    for _, tag in zip(range(count), tags, strict=False):
        yield tag


def _header(data: bytes, section: SectionText) -> tuple[Tags, dict[str, int]]:
    """Return the tags of the header, and the index of the first value of each variable."""
    tags = read_tags(data, section.body, section.end)
    variables: dict[str, int] = {}
    names: set[str] = set()
    name = ""
    for index, code in enumerate(tags.codes):
        if code == _VARIABLE:
            name = tags.values[index].decode("ascii", "replace")
            if name in names:
                raise IrregularText(f"its header has {name} twice")
            names.add(name)
        elif name and code != COMMENT:
            variables[name] = index
            name = ""
    return tags, variables


def _tables(data: bytes, section: SectionText) -> dict[str, TableText]:
    tags = read_tags(data, section.body, section.end)
    tables: dict[str, TableText] = {}
    opened: _OpenTable | None = None
    _only_comments_between_tables(data, tags, 0, tags.heads[0] if tags.heads else len(tags.codes))
    for first, end in tags.records():
        kind = tags.values[first]
        if kind == b"TABLE":
            if opened:
                line = line_number(data, tags.start_of(first))
                raise IrregularText(f"a table starts inside another at line {line}")
            opened = _OpenTable(tags, first, end)
        elif opened is None:
            _only_comments_between_tables(data, tags, first, end)
        elif kind == b"ENDTAB":
            table = opened.close(data, tags, first)
            if table.name in tables:
                raise IrregularText(f"it has two {table.name} tables")
            tables[table.name] = table
            opened = None
            _only_comments_between_tables(data, tags, first + 1, end)
        else:
            opened.take(data, tags, first, end)
    if opened:
        raise IrregularText("a table does not end")
    return tables


def _only_comments_between_tables(data: bytes, tags: Tags, first: int, end: int) -> None:
    for index in range(first, end):
        if tags.codes[index] != COMMENT:
            line = line_number(data, tags.start_of(index))
            raise IrregularText(f"something stands between tables at line {line}")


class _OpenTable:
    """A table while its records go by."""

    def __init__(self, tags: Tags, first: int, end: int) -> None:
        name, count = tags.find(_NAME, first, end), tags.find(_COUNT, first, end)
        self.start = tags.start_of(first)
        self.kind = b"" if name is None else tags.values[name]
        self.name = self.kind.decode("ascii", "replace")
        self.count = None if count is None else tags.value_span(count)
        if count is not None and not tags.values[count].isdigit():
            raise IrregularText(f"the count of the {self.name} table is not a number")
        self.handle = _value(tags, 5, first, end)
        self.entries: list[tuple[bytes, bytes]] = []

    def take(self, data: bytes, tags: Tags, first: int, end: int) -> None:
        if tags.values[first] != self.kind:
            kind, line = (
                tags.values[first].decode("ascii", "replace"),
                line_number(data, tags.start_of(first)),
            )
            raise IrregularText(f"a {kind} record stands in the {self.name} table at line {line}")
        handle = _value(tags, _HANDLE_CODES.get(self.kind, 5), first, end)
        self.entries.append((_value(tags, _NAME, first, end), handle))

    def close(self, data: bytes, tags: Tags, end: int) -> TableText:
        if not self.name:
            raise IrregularText(f"the table at line {line_number(data, self.start)} has no name")
        if self.handle and not _HEX.fullmatch(self.handle):
            raise IrregularText(f"the {self.name} table has no hexadecimal handle")
        return TableText(
            self.name, self.start, tags.start_of(end), self.count, self.handle, tuple(self.entries)
        )


def _value(tags: Tags, code: int, first: int, end: int) -> bytes:
    """Return the first value of a code; nothing when there is none."""
    index = tags.find(code, first, end)
    return b"" if index is None else tags.values[index]
