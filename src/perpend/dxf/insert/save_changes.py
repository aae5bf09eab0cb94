"""What a save through ezdxf changes in a drawing, measured on the two files and said in sentences."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from ezdxf.lldxf.tagger import ascii_tags_loader, binary_tags_loader
from ezdxf.lldxf.types import DXFTag

from perpend.wording import listed

BINARY_SENTINEL: Final = b"AutoCAD Binary DXF\r\n\x1a\x00"
_RELEASES: Final = {
    "AC1006": "R10",
    "AC1009": "R12",
    "AC1012": "R13",
    "AC1014": "R14",
    "AC1015": "R2000",
    "AC1018": "R2004",
    "AC1021": "R2007",
    "AC1024": "R2010",
    "AC1027": "R2013",
    "AC1032": "R2018",
}
_SHOWN: Final = 6
_FLOAT: Final = 40


@dataclass(slots=True)
class _Content:
    """What a drawing's file holds, as far as a save may change it."""

    variables: dict[str, list[str]] = field(default_factory=dict)
    sections: list[str] = field(default_factory=list)
    records: dict[str, set[str]] = field(default_factory=dict)
    objects: Counter[str] = field(default_factory=Counter)


def measure_changes(before: bytes, after: bytes, ours: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Compare a drawing with what a save made of it.

    Args:
        before: the file that was read.
        after: the file that was written.
        ours: (table, name) of each record that we added on purpose.

    Returns:
        One sentence for each kind of change; empty when nothing but our entities differs.
    """
    old, new = _content(before), _content(after)
    sentences = [
        *_form(before, after),
        *_releases(old, new),
        *_sections(old, new),
        *_records(old, new, set(ours)),
        *_objects(old, new),
        *_variables(old, new),
    ]
    return tuple(sentences)


def creation_date(data: bytes) -> float | None:
    """Return the date in a drawing's header that says when it was made (Julian), or None."""
    try:
        awaited = False
        for code, value in _tags(data):
            if awaited and code == _FLOAT:
                return float(value)
            if (code, value) == (0, "ENDSEC"):
                break
            awaited = (code, value) == (9, "$TDCREATE")
    except Exception:  # a damaged file: it has no date that could be kept
        return None
    return None


def _form(before: bytes, after: bytes) -> Iterator[str]:
    was_binary, is_binary = (data.startswith(BINARY_SENTINEL) for data in (before, after))
    if was_binary and not is_binary:
        yield "The file was binary and is text now."
    if was_binary or is_binary:
        return
    comments = _comments(before) - _comments(after)
    if comments > 0:
        yield f"{comments} comment{'s' if comments > 1 else ''} (group 999) dropped."
    names = {b"\r\n": "CR LF", b"\n": "LF", b"\r": "CR"}
    old, new = _line_end(before), _line_end(after)
    if old != new:
        yield f"Line ends were {names[old]} and are {names[new]} now."


def _comments(data: bytes) -> int:
    return len(re.findall(rb"(?:^|[\r\n])[ \t]*999[ \t]*\r?[\r\n]", data))


def _line_end(data: bytes) -> bytes:
    pairs = data.count(b"\r\n")
    counts = {b"\r\n": pairs, b"\n": data.count(b"\n") - pairs, b"\r": data.count(b"\r") - pairs}
    return max(counts, key=lambda end: counts[end])


def _releases(old: _Content, new: _Content) -> Iterator[str]:
    was, now = (content.variables.get("$ACADVER", ["AC1009"])[0] for content in (old, new))
    if was != now:
        yield f"The release was {_RELEASES.get(was, was)} and is {_RELEASES.get(now, now)} now."
    was, now = (content.variables.get("$DWGCODEPAGE", ["none"])[0] for content in (old, new))
    if was.lower() != now.lower():
        yield f"The code page was {was} and is {now} now."


def _sections(old: _Content, new: _Content) -> Iterator[str]:
    for name in old.sections:
        if name not in new.sections:
            what = "preview picture (THUMBNAILIMAGE)" if name == "THUMBNAILIMAGE" else f"section {name}"
            yield f"The {what} dropped."
    yield from (f"The section {name} added." for name in new.sections if name not in old.sections)


def _records(old: _Content, new: _Content, ours: set[tuple[str, str]]) -> Iterator[str]:
    mine = {(table, name.lower()) for table, name in ours}
    for table in sorted({*old.records, *new.records}):
        was, now = old.records.get(table, set()), new.records.get(table, set())
        lower_was, lower_now = {name.lower() for name in was}, {name.lower() for name in now}
        added = [n for n in now if n.lower() not in lower_was and (table, n.lower()) not in mine]
        dropped = [n for n in was if n.lower() not in lower_now]
        yield from _lists(f"{table} records", added=added, dropped=dropped)


def _objects(old: _Content, new: _Content) -> Iterator[str]:
    both = {"added": new.objects - old.objects, "dropped": old.objects - new.objects}
    named = {what: [f"{n} {kind}" for kind, n in counts.items()] for what, counts in both.items()}
    yield from _lists("Objects", **named)


def _variables(old: _Content, new: _Content) -> Iterator[str]:
    apart = {"$HANDSEED", "$ACADVER", "$DWGCODEPAGE"}
    was = {name: value for name, value in old.variables.items() if name not in apart}
    now = {name: value for name, value in new.variables.items() if name not in apart}
    changed = [name for name in was if name in now and not _same(was[name], now[name])]
    dropped = [name for name in was if name not in now]
    added = [name for name in now if name not in was]
    yield from _lists("Header variables", changed=changed, dropped=dropped, added=added)


def _same(was: list[str], now: list[str]) -> bool:
    if was == now:
        return True
    try:
        old, new = [float(text) for text in was], [float(text) for text in now]
    except ValueError:
        return [text.upper() for text in was] == [text.upper() for text in now]
    return old == new or old == new[: len(old)]


def _lists(things: str, **names_by_what: Sequence[str]) -> Iterator[str]:
    """Say of things which were added, dropped or changed, a sentence each."""
    for what, names in names_by_what.items():
        if names:
            yield f"{things} {what}: {listed(sorted(names), _SHOWN)}."


def _tags(data: bytes) -> Iterator[DXFTag]:
    if data.startswith(BINARY_SENTINEL):
        yield from binary_tags_loader(data, errors="surrogateescape")
    else:
        text = io.StringIO(data.decode("latin-1").replace("\r\n", "\n").replace("\r", "\n"))
        yield from ascii_tags_loader(text)


def _content(data: bytes) -> _Content:
    content = _Content()
    try:
        _read(_tags(data), content)
    except Exception:  # a damaged file: what was read until then is all there is to compare
        return content
    return content


def _read(tags: Iterator[DXFTag], content: _Content) -> None:
    section, variable, record = "", "", ""
    expects_section = False
    for code, value in tags:
        if code == 0:
            record = value
            expects_section = value == "SECTION"
            if section == "OBJECTS" and value not in ("SECTION", "ENDSEC"):
                content.objects[value] += 1
        elif expects_section and code == 2:
            section, expects_section = value, False
            content.sections.append(section)
        elif section == "HEADER":
            if code == 9:
                variable = value
                content.variables[variable] = []
            elif variable:
                content.variables[variable].append(_shown(value))
        elif section == "TABLES" and code == 2 and record not in ("", "TABLE"):
            content.records.setdefault(record, set()).add(value)
            record = ""


def _shown(value: object) -> str:
    if isinstance(value, bytes):
        return value.hex()
    return str(value).strip()
