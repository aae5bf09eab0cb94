"""Our text put into the drafter's: at the ends of tables, blocks and entities, and nowhere else.

Beside the insertions, two kinds of fields change: ``$HANDSEED``, which names the next free handle, and the
counts that some tables carry (group 70 in their heads). An imprint of it all goes in as XDATA of our first
record, so that the next run, or a user who wants the drawing back, can undo it to the byte.
"""

from __future__ import annotations

import codecs
import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from perpend.dxf.insert.byte_edits import Edit, edited
from perpend.dxf.insert.new_records import Fresh, Record, encoding_of
from perpend.dxf.insert.tag_spans import IrregularText
from perpend.dxf.insert.text_map import PAPER, TextMap
from perpend.dxf.insert.undo_record import Change, Imprint, hash_of

_STRING: Final = 1000
_APP: Final = 1001
_ESCAPE: Final = "perpend-dxf-escape"


@dataclass(frozen=True, slots=True)
class Insertion:
    """A drawing with our text in it, as what to change in the drawing's: a large text is not copied.

    Attributes:
        original: the drawing's text.
        edits: what is put in and what is changed.
        texts: what was put in, encoded, by place.
        imprint: what the insertion writes down about itself.
    """

    original: bytes = field(repr=False)
    edits: tuple[Edit, ...] = field(repr=False)
    texts: Mapping[str, bytes] = field(repr=False)
    imprint: Imprint

    def pieces(self) -> Iterator[memoryview]:
        """Yield the new text, piece by piece."""
        return edited(self.original, self.edits)


def insert(text: TextMap, fresh: Fresh, app_id: str) -> Insertion:
    """Put what is ours into a drawing's text.

    Args:
        text: the drawing as it was loaded, without ours.
        fresh: what is ours.
        app_id: registered application whose XDATA marks it.

    Raises:
        IrregularText: the text lacks a table or a section that we need.
    """
    ends = {place: _end(text, place) for place in fresh.places}
    counts = _counts(text, fresh.places)
    handseed = _handseed(text, fresh.places)
    imprint = Imprint(hash_of(text.data), handseed, counts, dict.fromkeys(fresh.places, 0))
    texts = _encode(text, fresh.places, imprint, app_id)
    imprint = Imprint(imprint.sha256, handseed, counts, {place: len(blob) for place, blob in texts.items()})
    for place, records in itertools.islice(fresh.places.items(), 1):
        texts[place] = _encode(text, {place: records}, imprint, app_id)[place]
    edits = [Edit(ends[place], ends[place], blob) for place, blob in texts.items()]
    edits.append(Edit(*text.handseed, handseed.new))
    for name, change in counts.items():
        span = text.tables[name].count
        assert span is not None
        edits.append(Edit(*span, change.new))
    return Insertion(text.data, tuple(edits), texts, imprint)


def _end(text: TextMap, place: str) -> int:
    end = text.end_of(place)
    if end is None:
        section = f"{place[1:]} section" if place.startswith("*") else f"{place} table"
        raise IrregularText(f"it has no {f'block {place}' if place.startswith(PAPER) else section}")
    return end


def _counts(text: TextMap, places: Mapping[str, list[Record]]) -> dict[str, Change]:
    changes: dict[str, Change] = {}
    for place, records in places.items():
        table = text.tables.get(place)
        if table is not None and table.count is not None:
            old = text.data[slice(*table.count)]
            changes[place] = Change(old, b"%*d" % (len(old), int(old) + len(records)))
    return changes


def _handseed(text: TextMap, places: Mapping[str, list[Record]]) -> Change:
    handles = [int(record.handle, 16) for records in places.values() for record in records if record.handle]
    seed = max(text.free_handle, max(handles, default=0) + 1)
    old = text.data[slice(*text.handseed)]
    blank = old[: len(old) - len(old.lstrip())]
    return Change(old, blank + b"%X" % seed)


def _encode(
    text: TextMap, places: Mapping[str, list[Record]], imprint: Imprint, app_id: str
) -> dict[str, bytes]:
    """Return the text of each place; the very first record carries the imprint at the end of its XDATA."""
    encoding, newline = encoding_of(text), text.newline.decode("ascii")
    strings = imprint.strings(app_id)
    texts: dict[str, bytes] = {}
    for place, records in places.items():
        if not texts:
            records = [_imprinted(records[0], strings, app_id), *records[1:]]
        lines = "".join(record.text() for record in records)
        texts[place] = lines.replace("\n", newline).encode(encoding, _ESCAPE)
    return texts


def _imprinted(record: Record, strings: list[str], app_id: str) -> Record:
    own = record.tags.index((_APP, app_id))
    end = next(
        (index for index, (code, _) in enumerate(record.tags) if index > own and code == _APP),
        len(record.tags),
    )
    return Record([*record.tags[:end], *((_STRING, string) for string in strings), *record.tags[end:]])


def _escape(error: UnicodeError) -> tuple[str | bytes, int]:
    r"""Write what a code page lacks as ``\U+XXXX``, in two halves beyond the basic plane."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\U+{units[i]:02X}{units[i + 1]:02X}" for i in range(0, len(units), 2)), error.end


codecs.register_error(_ESCAPE, _escape)
