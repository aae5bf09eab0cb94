"""The text of a drawing as records, for taking ours out of it one by one.

Glossary:
    marked: a record that carries our XDATA.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from perpend.dxf.insert.tag_spans import Tag, find_values, iter_tags, record_heads
from perpend.dxf.insert.text_map import PAPER, TextMap
from perpend.dxf.xdata import together

_XDATA_OF: Final = 1001
_FIRST_XDATA: Final = 1000


@dataclass(slots=True)
class RecordSpan:
    """A record of the text; `end` is the offset of the next one."""

    kind: bytes
    start: int
    end: int


@dataclass
class RecordText:
    """The text as records; ``marked`` holds the indices of those that carry our XDATA."""

    map: TextMap
    records: list[RecordSpan]
    starts: list[int]
    marked: set[int]
    app_id: bytes

    def section(self, name: str) -> range:
        """Return the indices of the records of a section."""
        section = self.map.sections.get(name)
        if section is None:
            return range(0)
        first = bisect_right(self.starts, section.body - 1)
        return range(first, bisect_right(self.starts, section.end - 1))

    @cached_property
    def placed(self) -> tuple[int, ...]:
        """The indices of what is on a layout: modelspace, or paper space, active or not."""
        found, in_paper = [*self.section("ENTITIES")], False
        for index in self.section("BLOCKS"):
            record = self.records[index]
            if record.kind == b"BLOCK":
                in_paper = self.values(record).get(2, b"").upper().startswith(PAPER.encode("ascii"))
            elif in_paper and record.kind != b"ENDBLK":
                found.append(index)
        return tuple(found)

    @cached_property
    def block_words(self) -> dict[bytes, str]:
        """What the texts of each block say, by its name."""
        said: dict[bytes, list[str]] = {}
        name = b""
        for index in self.section("BLOCKS"):
            record = self.records[index]
            if record.kind == b"BLOCK":
                name = self.values(record).get(2, b"")
            elif record.kind == b"TEXT":
                said.setdefault(name, []).append(self.values(record).get(1, b"").decode("ascii", "ignore"))
        return {name: together(words) for name, words in said.items()}

    def tags(self, record: RecordSpan) -> Iterator[Tag]:
        """Yield the tags of a record."""
        return iter_tags(self.map.data, record.start, record.end)

    def values(self, record: RecordSpan) -> dict[int, bytes]:
        """Return the first value of each code before the XDATA."""
        values: dict[int, bytes] = {}
        for tag in self.tags(record):
            if tag.code >= _FIRST_XDATA:
                break
            values.setdefault(tag.code, tag.value)
        return values


def read_records(text: TextMap, app_id: bytes) -> RecordText:
    """Cut a text into records, and find which of them carry the XDATA of an application."""
    heads = list(record_heads(text.data, text.sections["HEADER"].end, len(text.data)))
    starts = [start for start, _ in heads]
    ends = [*starts[1:], len(text.data)]
    records = [RecordSpan(kind, start, end) for (start, kind), end in zip(heads, ends, strict=True)]
    marks = find_values(text.data, app_id, (_XDATA_OF,), text.sections["HEADER"].end)
    marked = {bisect_right(starts, code_line) - 1 for code_line, _ in marks}
    return RecordText(text, records, starts, marked, app_id)
