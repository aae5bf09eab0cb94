"""Most of a drawing is not ours: what is plain and on layers without a role is kept from ezdxf.

It matters only as something that a label should not lie on, and texts as marks that may stand at a wall; so
what it shows is taken from the text and the rest of the drawing is loaded without it. What is left out is a
record of modelspace that is, code for code, as every program writes it
(`perpend.dxf.partial.record_grammar`); whatever has anything more to say goes to ezdxf. Where the text leaves
any doubt nothing is left out.
"""

from __future__ import annotations

import contextlib
import re
from array import array
from collections import Counter
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import numpy as np

from perpend.dxf.insert.handles import Handles
from perpend.dxf.partial.block_records import BlockTexts, Interest
from perpend.dxf.partial.dimension_blocks import DimensionBlocks
from perpend.dxf.partial.record_columns import Flags, Ints, IrregularPartError, Part, Scanner, find_end
from perpend.dxf.partial.record_geometry import (
    ADDERS,
    REACHES,
    THINGS,
    Line,
    Paragraph,
    Rows,
    Shown,
    Thing,
    add_things,
    add_vertices,
    are_visible,
    boxes_of,
)
from perpend.dxf.partial.record_spans import Text
from perpend.dxf.partial.skipped_records import LateTexts, LeftOut, Records, remember

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_RELEASES: Final = re.compile(rb"\$ACADVER\r?\n[ \t]*1\r?\nAC10(?:15|18|21|24|27|32)\r?\n")
_SEED: Final = re.compile(rb"\$HANDSEED\r?\n[ \t]*5\r?\n[ \t]*([0-9A-Fa-f]{1,15})[ \t]*\r?\n")
_ENTITIES: Final = re.compile(rb"SECTION\r?\n[ \t]*2\r?\nENTITIES\r?\n")
_LAYER: Final = re.compile(rb"[!-\[\]-~](?:[ -\[\]-~]*[!-\[\]-~])?")
_FOLLOWERS: Final = {b"VERTEX", b"ATTRIB", b"SEQEND"}
_NOT_ALONE: Final = _FOLLOWERS | {b"POLYLINE", b"DIMENSION", b"BLOCK", b"ENDBLK", b"BLOCK_RECORD"}
"""Types of records that go with others, or do not belong among entities."""

_COLUMNS: Final = b"ACAD_MTEXT_COLUMN"
_LINKED_COLUMNS: Final = b"ACAD_MTEXT_COLUMNS"
"""Paragraphs in columns are loaded; where one is linked to others that hold its next columns, all are."""


def without_plain_records(data: bytes, interest: Interest) -> tuple[bytes, LeftOut] | None:
    """Leave the plain records of layers without a role out of a drawing's text.

    Args:
        data: an ASCII DXF text.
        interest: says what is to be read.

    Returns:
        The rest of the text and what was left out; None where nothing can be left out, or there is doubt.
    """
    newline = _newline_of(data)
    span = _entities_of(data) if newline else None
    if newline is None or span is None:
        return None
    try:
        blanks = data[span[0] : data.index(b"0", span[0])]
        selection = _Selection(data, newline, blanks, interest)
        out, spans = selection.run(*span), selection.spans
    except IrregularPartError:
        return None
    seed = _SEED.search(data, 0, span[0])
    if not spans or seed is None or max(out.handles) >= int(seed[1], 16):
        return None
    if len(np.unique(np.array(out.handles))) != len(out.handles) or len(out.owners) != 1:
        return None
    out.phantoms += sum(len(shown.references) for shown in (*out.shown.values(), *out.dimensions.values()))
    head = data[: seed.start(1)] + b"%X" % (int(seed[1], 16) + out.phantoms)
    return head + _rest(data, spans, seed.end(1)), out


def proven(doc: Drawing, out: LeftOut) -> bool:
    """Say whether a document, loaded without them, is what it would be with them; then remember them."""
    owner = doc.modelspace().layout_key.encode("ascii")
    if out.owners != {owner.upper()}:
        return False
    left_out = Handles(np.sort(np.array(out.handles)), frozenset())
    for handle in doc.entitydb._database:
        with contextlib.suppress(ValueError):  # a damaged drawing has handles that are no numbers
            if int(handle, 16) in left_out:
                return False
    if any(name in doc.blocks for name in out.blocks):
        return False
    remember(doc, out)
    return True


class _Selection:
    """One pass over the entities of a text."""

    def __init__(self, data: bytes, newline: bytes, blanks: bytes, interest: Interest) -> None:
        self.data = data
        self.interest = interest
        self.scanner = Scanner(data, newline)
        self.blocks = BlockTexts(Text(data, newline, newline + blanks + b"0" + newline), interest)
        self.dimensions = DimensionBlocks(self.scanner)
        self.out = LeftOut()
        self.spans: array[int] = array("q")
        self.layers: dict[bytes, int] = {}
        self.names: list[str] = []
        self.read: Counter[tuple[int, str]] = Counter()
        self.has_columns = _COLUMNS in data
        self.linked_columns = _LINKED_COLUMNS in data

    def run(self, start: int, end: int) -> LeftOut:
        """Look at every record between two offsets."""
        for part in self.scanner.parts(start, end, _FOLLOWERS):
            _PartSelection(self, part).run()
        self.dimensions.leave_out(self.out, self.spans)
        return self.out

    def layer(self, name: bytes) -> int:
        """Return a layer's number if what is on it need not be read; -1 otherwise."""
        try:
            return self.layers[name]
        except KeyError:
            dull = _LAYER.fullmatch(name) and not self.interest.has_role(name.decode("ascii"))
            found = self.layers[name] = len(self.names) if dull else -1
            if dull:
                self.names.append(name.decode("ascii"))
            return found


class _PartSelection:
    """One pass over a part."""

    def __init__(self, whole: _Selection, part: Part) -> None:
        self.whole = whole
        self.part = part
        self.out = whole.out
        self.kinds = part.kinds()
        self.layer = self._layers()
        self.sound: Flags = part.sound & (self.layer >= 0)
        if whole.interest.first_of:
            self._keep_first(whole.interest.first_of)
        self.things: dict[int, Thing] = {}
        self.visible: set[int] = set()
        self.corners = np.zeros((len(part.first), 2))
        self.flags: dict[int, int] = {}

    def run(self) -> None:
        """Look at every record."""
        single, whole = self.sound.copy(), self.whole
        for plan, records in self.part.groups(self.sound):
            rows = Rows(self.part, plan, records)
            if plan.kind in THINGS:
                self._look(rows)
            elif plan.kind == b"VERTEX":
                self.corners[records] = rows.corners()[:, 0]
            elif plan.kind == b"POLYLINE":
                self.flags.update(zip(records.tolist(), rows.column(70).astype(int).tolist(), strict=True))
            elif plan.kind == b"DIMENSION":
                layers = [whole.names[number] for number in self.layer[records].tolist()]
                whole.dimensions.note(rows, layers)
            if plan.kind in _NOT_ALONE or 66 in plan.at:
                single[records] = False
        single &= self.sound
        for plan, records in self.part.groups(single):
            on = self.layer[records]
            for layer in np.unique(on).tolist():
                self._leave_out(Rows(self.part, plan, records[on == layer]), whole.names[layer])
        self._sequences()

    def _keep_first(self, first_of: Callable[[str], int]) -> None:
        """Have the first records of every type and layer read, as many as somebody asks for."""
        layer, kinds, read = self.layer, self.kinds, self.whole.read
        for kind in np.unique(kinds[self.sound]).tolist():
            name, records = kind.decode("ascii"), np.flatnonzero(self.sound & (kinds == kind))
            for number in np.unique(layer[records]).tolist():
                on = records[layer[records] == number]
                kept = on[: max(0, first_of(name) - read[number, name])]
                self.sound[kept] = False
                read[number, name] += len(kept)

    def _layers(self) -> Ints:
        """Return the number of each record's layer; -1 for one that is not sound or has to be read."""
        part = self.part
        place = np.array([plan.layer if plan else -1 for plan in part.plans])[part.signature]
        records = np.flatnonzero(part.sound & (place >= 0))
        names, which = part.named(records, place[records])
        layers = np.full(len(part.first), -1)
        layers[records] = np.array([self.whole.layer(name) for name in names], np.int64)[which]
        return layers

    def _look(self, rows: Rows) -> None:
        """Look at what records show that is not numbers alone."""
        kind, found = rows.plan.kind, THINGS[rows.plan.kind](rows)
        if kind == b"INSERT":
            names = rows.texts(2)
            dull = map(self.whole.blocks.is_dull, names)
            found = [thing if is_dull else None for thing, is_dull in zip(found, dull, strict=True)]
        elif kind == b"MTEXT" and self.whole.has_columns:
            spans = self.part.spans[rows.records].tolist()
            columns = [self.whole.linked_columns or self._find(_COLUMNS, span) for span in spans]
            found = [None if told else thing for thing, told in zip(found, columns, strict=True)]
        elif kind == b"ATTRIB":
            shown = np.array(are_visible(rows), bool)
            self.visible.update(rows.records[shown].tolist())
        for record, thing in zip(rows.records.tolist(), found, strict=True):
            if thing is None:
                self.sound[record] = False
            else:
                self.things[record] = thing

    def _find(self, word: bytes, span: tuple[int, int]) -> bool:
        return self.whole.data.find(word, *span) != -1

    def _leave_out(self, rows: Rows, layer: str) -> None:
        """Leave out records of one order and one layer that stand alone."""
        kind, records = rows.plan.kind, rows.records
        shown = self.out.shown.setdefault(layer, Shown())
        if kind in ADDERS:
            ADDERS[kind](shown, rows)
        else:
            things = [self.things[record] for record in records.tolist()]
            add_things(shown, kind, things)
            if kind == b"INSERT":
                self._note_references(records, layer, things)
            elif kind != b"ELLIPSE":
                self._note_texts(records, layer, things)
        if kind in REACHES:
            self._note(layer, kind, "", REACHES[kind](rows), self.part.spans[records])
        self.out.counts[layer, kind.decode("ascii")] += len(records)
        self._drop(records)
        self._own(rows.records, rows.plan.owner)

    def _note(self, layer: str, kind: bytes, block: str, reaches: np.ndarray, spans: Ints) -> None:
        """Note what an opening may be drawn of, for the case that it stands in a wall."""
        known = self.out.outlines.setdefault((layer, kind, block), Records())
        known.reaches.frombytes(reaches.tobytes())
        known.spans.frombytes(spans.tobytes())

    def _note_references(self, records: Ints, layer: str, things: list[Thing]) -> None:
        places: dict[str, list[tuple[float, ...]]] = {}
        which: dict[str, list[int]] = {}
        for record, thing in zip(records.tolist(), things, strict=True):
            assert not isinstance(thing, (Line, Paragraph, dict))
            name, *place, _ = thing
            places.setdefault(name, []).append(tuple(place))
            which.setdefault(name, []).append(record)
        for name, reaches in places.items():
            self._note(layer, b"INSERT", name, np.array(reaches), self.part.spans[which[name]])

    def _note_texts(self, records: Ints, layer: str, things: list[Thing]) -> None:
        texts = self._texts_of(layer, layer)
        texts.spans.frombytes(self.part.spans[records].tobytes())
        texts.handles += [handle.decode("ascii") for handle in self.part.texts(records, 1)]
        for thing in things:
            assert isinstance(thing, (Line, Paragraph))
            texts.places.extend(thing.insert)

    def _texts_of(self, layer: str, host: str) -> LateTexts:
        return self.out.texts.setdefault((layer, host), LateTexts(self.whole.data, layer, host))

    def _drop(self, records: Ints) -> None:
        self.out.handles.frombytes(self.part.handles[records].tobytes())
        self.whole.spans.frombytes(self.part.spans[records].tobytes())

    def _own(self, records: Ints, place: int) -> None:
        self.out.owners.update(owner.upper() for owner in self.part.named(records, place)[0])

    def _sequences(self) -> None:
        """Leave out records with what belongs to them, up to the record that ends them, or none of it."""
        has_more = np.array([plan is not None and 66 in plan.at for plan in self.part.plans])
        heads = (self.kinds == b"POLYLINE") | ((self.kinds == b"INSERT") & has_more[self.part.signature])
        for head in np.flatnonzero(heads & self.sound).tolist():
            follower = b"VERTEX" if self.kinds[head] == b"POLYLINE" else b"ATTRIB"
            end = head + 1
            while end < len(self.kinds) and self.kinds[end] == follower:
                end += 1
            whole = np.arange(head, end + 1)
            if end < len(self.kinds) and self.kinds[end] == b"SEQEND" and self.sound[whole].all():
                self._sequence(whole, follower)

    def _sequence(self, whole: Ints, follower: bytes) -> None:
        head, layer, shown = int(whole[0]), self.whole.names[self.layer[whole[0]]], Shown()
        parts = whole[1:-1]
        if follower == b"VERTEX":
            corners = self.corners[parts]
            if not add_vertices(shown, corners, self.flags[head]):
                return
            span = np.array([self.part.spans[head, 0], self.part.spans[whole[-1], 1]])
            self._note(layer, b"POLYLINE", "", boxes_of(corners[None]), span)
            self.out.phantoms += 1
        else:
            reference = self.things[head]
            add_things(shown, b"INSERT", [reference])
            add_things(shown, b"ATTRIB", [self.things[i] for i in parts.tolist() if i in self.visible])
            self._note_references(whole[:1], layer, [reference])
            host = self.part.texts(whole[:1], 1)[0].decode("ascii")
            for i in parts.tolist():
                thing, texts = self.things[i], self._texts_of(self.whole.names[self.layer[i]], layer)
                assert isinstance(thing, Line)
                texts.handles.append(host)
                texts.places.extend(thing.insert)
                texts.spans.extend(self.part.spans[i].tolist())
        self.out.shown.setdefault(layer, Shown()).extend(shown)
        self.out.counts[layer, self.kinds[head].decode("ascii")] += 1
        self._drop(whole)
        plan = self.part.plans[self.part.signature[head]]
        assert plan is not None
        self._own(whole[:1], plan.owner)


def _newline_of(data: bytes) -> bytes | None:
    """Return the one line end of a text; None for one that has several, or is no plain text."""
    pairs = data.count(b"\r\n")
    if data.count(b"\r") != pairs or pairs not in (0, data.count(b"\n")) or b"\x00" in data:
        return None
    return b"\r\n" if pairs else b"\n"


def _entities_of(data: bytes) -> tuple[int, int] | None:
    """Return where the records of the ENTITIES section lie, if the text is what we know."""
    starts = list(_ENTITIES.finditer(data))
    if len(starts) != 1 or len(_RELEASES.findall(data, 0, starts[0].start())) != 1:
        return None
    end = find_end(data, b"ENDSEC", starts[0].end())
    return None if end is None else (starts[0].end(), end)


def _rest(data: bytes, spans: array[int], at: int) -> bytes:
    """Return the text from an offset on without spans that do not overlap."""
    rows = np.array(spans).reshape(-1, 2)
    rows = rows[np.argsort(rows[:, 0])]
    starts = np.append(at, rows[:, 1])
    ends = np.append(rows[:, 0], len(data))
    stays = ends > starts
    view = memoryview(data)
    pieces = zip(starts[stays].tolist(), ends[stays].tolist(), strict=True)
    return b"".join([view[start:end] for start, end in pieces])
