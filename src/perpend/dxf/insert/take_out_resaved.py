"""Taking our records out of a drawing that another program has saved since, one by one.

Glossary:
    marked: a record that carries our XDATA.
    ours: a marked record whose XDATA names its own handle, and whose words are as we wrote them; see
        `perpend.dxf.xdata`. A copy, or a text with other words, is the drafter's.
    candidate: a marked table record, or a block that a marked BLOCK_RECORD or a marked DIMENSION names; it
        goes unless something that stays refers to it. What stays loses our XDATA and is the drafter's.

Our entities go, on whatever layout they are. Inside a block of the drafter's they stay, as they are part of
something of theirs by now, and only lose our XDATA.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Final

from perpend.dxf.insert.byte_edits import Edit, apply_edits
from perpend.dxf.insert.record_text import RecordSpan, RecordText, read_records
from perpend.dxf.insert.tag_spans import find_values
from perpend.dxf.insert.text_map import TextMap, map_text
from perpend.dxf.insert.undo_record import Imprint
from perpend.dxf.xdata import CLAIM, WORDED, Claim, claim_of, ours_among

_XDATA_OF: Final = 1001
_FIRST_XDATA: Final = 1000
_FIRST_VERSION: Final = "version=1"
"""What our XDATA says that names no handle."""
_STRING: Final = 1000
_HANDLE: Final = 5
_LAYER: Final = 8
_WORDS: Final = (1, 3)
_FOLLOWERS: Final = (b"VERTEX", b"ATTRIB", b"SEQEND")
_NAME_CODES: Final[dict[bytes, tuple[int, ...]]] = {
    b"LAYER": (8, 1003),
    b"LTYPE": (6,),
    b"STYLE": (7,),
    b"DIMSTYLE": (3,),
    b"APPID": (1001,),
    b"BLOCK_RECORD": (1, 2, 3, 4, 5, 6, 7),
}
_LISTS: Final = {b"GROUP": 340, b"SORTENTSTABLE": 331}
"""Objects that list entities, and the code of a listed handle; a sort table pairs each with a code 5."""
_SORT_HANDLE: Final = 5
_POINTER_CODES: Final = (*range(320, 370), *range(390, 400), 480, 481, 1005)


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """What was taken out, and what stayed.

    Attributes:
        data: the text without ours.
        removed: number of records taken out.
        kept: our table records that the drawing uses now.
        theirs: entities that carry our mark and are the drafter's: copies, and texts with other words.
    """

    data: bytes = field(repr=False)
    removed: int
    kept: tuple[str, ...]
    theirs: tuple[str, ...] = ()


@dataclass(slots=True)
class _Candidate:
    """A table record of ours and, for a block, its definition."""

    kind: bytes
    name: bytes
    handle: bytes
    spans: list[tuple[int, int]]
    records: int = 1


def withdraw_records(
    text: TextMap, imprint: Imprint | None, app_id: str, copies: Collection[str] = ()
) -> Withdrawal:
    """Take every marked record out of a text, and keep what the drawing has come to use.

    Args:
        text: the drawing.
        imprint: what the insertion noted about handle seed and counts, if that is still there.
        app_id: registered application whose XDATA marks what is ours.
        copies: handles of copies of ours that go as well.

    Raises:
        IrregularText: a record can't be read.
    """
    records = read_records(text, app_id.encode("ascii"))
    ours = _ours(records, imprint) | _copied(records, copies)
    gone, dimension_blocks = _our_entities(records, ours)
    candidates = _candidates(records, dimension_blocks)
    kept = _settle(records, candidates, [(r.start, r.end) for r in gone])
    leaving = [candidate for candidate in candidates if candidate not in kept]
    edits = [Edit(record.start, record.end, b"") for record in gone]
    edits += [Edit(*span, b"") for candidate in leaving for span in candidate.spans]
    edits += _forget(records, {records.values(record).get(5, b"") for record in gone}, edits)
    unmarked = _unmark(records, edits)
    edits += unmarked
    edits = _merged(edits)
    edits += _counts(text, imprint, leaving)
    edits += _handseed(records, imprint, edits, keeps_some=bool(unmarked))
    removed = len(gone) + sum(candidate.records for candidate in leaving)
    names = sorted(_shown(candidate) for candidate in kept if candidate.kind != b"APPID")
    placed = (*records.placed, *records.section("OBJECTS"))
    theirs = tuple(_described(records, i) for i in placed if i in records.marked and i not in ours)
    return Withdrawal(apply_edits(text.data, edits), removed, tuple(names), theirs)


def without_entities(text: TextMap, handles: Collection[str], prefix: str) -> bytes:
    """Cut entities of layouts out of a text by their handles, and layers and blocks that nothing uses then.

    Args:
        text: the drawing.
        handles: of the entities.
        prefix: what the names of our layers begin with.

    Raises:
        IrregularText: a record can't be read.
    """
    records, names = read_records(text, b""), {handle.upper().encode("ascii") for handle in handles}
    named = {
        i for i in records.placed if records.values(records.records[i]).get(_HANDLE, b"").upper() in names
    }
    gone, blocks = _our_entities(records, named)
    of_ours = re.compile(
        rb"%b(-[A-Z]+)?(-\d+)?|PERPEND-[A-Z-]+(-\d+)?" % re.escape(prefix.encode()), re.IGNORECASE
    )
    tables = [
        r for i in records.section("TABLES") if (r := records.records[i]).kind in (b"LAYER", b"BLOCK_RECORD")
    ]
    ours = {r.start for r in tables if of_ours.fullmatch(records.values(r).get(2, b""))}
    candidates = _candidates(records, blocks, ours)
    kept = _settle(records, candidates, [(record.start, record.end) for record in gone])
    leaving = [candidate for candidate in candidates if candidate not in kept]
    edits = [Edit(record.start, record.end, b"") for record in gone]
    edits += [Edit(*span, b"") for candidate in leaving for span in candidate.spans]
    edits += _forget(records, {records.values(record).get(_HANDLE, b"") for record in gone}, edits)
    return apply_edits(text.data, [*_merged(edits), *_counts(text, None, leaving)])


def _merged(cuts: list[Edit]) -> list[Edit]:
    """Return cuts that do not overlap: a damaged drawing can name one block twice."""
    merged: list[Edit] = []
    for cut in sorted(cuts, key=lambda edit: (edit.start, edit.end)):
        if merged and cut.start < merged[-1].end:
            merged[-1] = Edit(merged[-1].start, max(merged[-1].end, cut.end), b"")
        else:
            merged.append(cut)
    return merged


def _shown(candidate: _Candidate) -> str:
    return f"{candidate.kind.decode('ascii')} {candidate.name.decode('utf-8', 'replace')}"


def _ours(text: RecordText, imprint: Imprint | None) -> set[int]:
    """Return the indices of the entities and objects that are ours."""
    placed = (*text.placed, *text.section("OBJECTS"))
    given = range(0)
    if imprint is not None:
        given = range(int(imprint.handseed.old, 16), int(imprint.handseed.new, 16))
    return ours_among(
        (index, _claim(text, text.records[index], given)) for index in placed if index in text.marked
    )


def _copied(text: RecordText, handles: Collection[str]) -> set[int]:
    """Return the indices of the marked entities that have one of some handles."""
    if not handles:
        return set()
    names = {handle.encode("ascii") for handle in handles}
    placed = (index for index in text.placed if index in text.marked)
    return {i for i in placed if text.values(text.records[i]).get(_HANDLE, b"").upper() in names}


def _claim(text: RecordText, record: RecordSpan, given: range) -> Claim:
    """Read what a record claims; one of the first version claims its handle if that insertion gave it."""
    handle, words, strings, is_ours = "", "", [], False
    kind = record.kind.decode("ascii", "replace")
    if kind == "INSERT":
        words = text.block_words.get(text.values(record).get(2, b""), "")
    for tag in text.tags(record):
        if tag.code == _XDATA_OF:
            is_ours = tag.value == text.app_id
        elif tag.code == _STRING and is_ours:
            strings.append(tag.value.decode("ascii", "replace"))
        elif tag.code == _HANDLE and not handle:
            handle = tag.value.decode("ascii", "replace")
        elif kind != "INSERT" and tag.code in _WORDS:
            words += tag.value.decode("ascii", "ignore")
    if _FIRST_VERSION in strings and int(handle or "0", 16) in given:
        strings.append(f"{CLAIM}{handle}")
    return claim_of(handle, strings, words if kind in WORDED else None)


def _described(text: RecordText, index: int) -> str:
    """Name an entity for a sentence: kind, handle, layer."""
    record = text.records[index]
    values = text.values(record)
    handle, layer = (values.get(code, b"").decode("utf-8", "replace") for code in (_HANDLE, _LAYER))
    return f"{record.kind.decode('ascii', 'replace')} #{handle}{f' on {layer}' if layer else ''}"


def _our_entities(text: RecordText, ours: set[int]) -> tuple[list[RecordSpan], set[bytes]]:
    """Return our entities and objects, and the names of the blocks of our dimensions."""
    gone: list[RecordSpan] = []
    blocks: set[bytes] = set()
    follows = False
    for index in text.placed:
        record = text.records[index]
        follows = follows and record.kind in _FOLLOWERS
        if follows or index in ours:
            gone.append(record)
            if record.kind == b"DIMENSION" and (name := text.values(record).get(2)):
                blocks.add(name)
        if index in ours and record.kind in (b"POLYLINE", b"INSERT"):
            follows = True
        elif record.kind == b"SEQEND":
            follows = False
    gone += [text.records[index] for index in text.section("OBJECTS") if index in ours]
    return gone, blocks


def _candidates(
    text: RecordText, dimension_blocks: set[bytes], ours: Collection[int] = ()
) -> list[_Candidate]:
    """Return the table records that may go: marked ones, blocks of dimensions, ours by where they begin."""
    found: list[_Candidate] = []
    definitions = _block_definitions(text)
    for index in text.section("TABLES"):
        record = text.records[index]
        if record.kind not in _NAME_CODES:
            continue
        values = text.values(record)
        name = values.get(2, b"")
        if (
            index not in text.marked
            and record.start not in ours
            and not (
                record.kind == b"BLOCK_RECORD" and name in dimension_blocks and name[:2].upper() == b"*D"
            )
        ):
            continue
        handle = values.get(105 if record.kind == b"DIMSTYLE" else 5, b"")
        candidate = _Candidate(record.kind, name, handle, [(record.start, record.end)])
        if record.kind == b"BLOCK_RECORD" and name in definitions:
            span, count = definitions[name]
            candidate.spans.append(span)
            candidate.records += count
        found.append(candidate)
    return found


def _block_definitions(text: RecordText) -> dict[bytes, tuple[tuple[int, int], int]]:
    """Return the span from BLOCK to behind ENDBLK and the number of records, by block name."""
    definitions: dict[bytes, tuple[tuple[int, int], int]] = {}
    name, start, first = b"", 0, 0
    for index in text.section("BLOCKS"):
        record = text.records[index]
        if record.kind == b"BLOCK":
            name, start, first = text.values(record).get(2, b""), record.start, index
        elif record.kind == b"ENDBLK":
            definitions[name] = ((start, record.end), index - first + 1)
    return definitions


def _settle(text: RecordText, candidates: list[_Candidate], gone: list[tuple[int, int]]) -> list[_Candidate]:
    """Return the candidates that something which stays refers to."""
    uses = {id(candidate): _uses(text, candidate) for candidate in candidates}
    kept: list[_Candidate] = []
    while True:
        out = sorted(gone + [span for c in candidates if c not in kept for span in c.spans])
        firsts = [start for start, _ in out]

        def stays(offset: int, out: list[tuple[int, int]] = out, firsts: list[int] = firsts) -> bool:
            at = bisect_right(firsts, offset) - 1
            return at < 0 or offset >= out[at][1]

        more = [c for c in candidates if c not in kept and any(stays(use) for use in uses[id(c)])]
        if not more:
            return kept
        kept += more


def _uses(text: RecordText, candidate: _Candidate) -> list[int]:
    """Return the offsets of the tags that refer to a candidate by name or handle."""
    if candidate.kind == b"APPID" and candidate.name == text.app_id:
        return []
    data, start = text.map.data, text.map.sections["TABLES"].body
    found = list(find_values(data, candidate.name, _NAME_CODES[candidate.kind], start))
    if candidate.handle:
        found += find_values(data, candidate.handle, _POINTER_CODES, start)
    return [offset for offset, _ in found if not _is_own_name(text, offset, candidate)]


def _is_own_name(text: RecordText, offset: int, candidate: _Candidate) -> bool:
    """Tell whether an offset lies in the candidate itself, or in a record that only names itself so."""
    if any(start <= offset < end for start, end in candidate.spans):
        return True
    record = text.records[bisect_right(text.starts, offset) - 1]
    return candidate.kind == b"BLOCK_RECORD" and record.kind not in (
        b"INSERT",
        b"DIMENSION",
        b"DIMSTYLE",
        b"LEADER",
        b"BLOCK_RECORD",
        b"MLEADERSTYLE",
        b"MULTILEADER",
        b"ACAD_TABLE",
    )


def _forget(text: RecordText, handles: set[bytes], out: list[Edit]) -> list[Edit]:
    """Cut what is gone out of the drafter's groups and of his order of drawing."""
    edits: list[Edit] = []
    dropped = {edit.start for edit in out}
    for index in text.section("OBJECTS"):
        record = text.records[index]
        if record.kind not in _LISTS or record.start in dropped:
            continue
        in_pair = False
        for tag in text.tags(record):
            leaves = tag.code == _LISTS[record.kind] and tag.value in handles
            if leaves or (in_pair and tag.code == _SORT_HANDLE):
                edits.append(Edit(tag.start, tag.end, b""))
            in_pair = leaves and record.kind == b"SORTENTSTABLE"
    return edits


def _unmark(text: RecordText, out: list[Edit]) -> list[Edit]:
    """Cut our XDATA from the marked records that stay."""
    spans = sorted((edit.start, edit.end) for edit in out)
    firsts = [start for start, _ in spans]
    edits: list[Edit] = []
    for index in sorted(text.marked):
        record = text.records[index]
        at = bisect_right(firsts, record.start) - 1
        if at >= 0 and record.start < spans[at][1]:
            continue
        ours = False
        for tag in text.tags(record):
            ours = tag.value == text.app_id if tag.code == _XDATA_OF else ours and tag.code >= _FIRST_XDATA
            if ours:
                edits.append(Edit(tag.start, tag.end, b""))
    return edits


def _counts(text: TextMap, imprint: Imprint | None, leaving: list[_Candidate]) -> list[Edit]:
    edits: list[Edit] = []
    for name, table in text.tables.items():
        less = sum(candidate.kind.decode("ascii") == name for candidate in leaving)
        if not less or table.count is None:
            continue
        old = text.data[slice(*table.count)]
        change = imprint.counts.get(name) if imprint else None
        if not old.strip().isdigit():
            continue
        if (
            change
            and change.new == old
            and change.old.strip().isdigit()
            and int(old) - int(change.old) == less
        ):
            edits.append(Edit(*table.count, change.old))
        elif int(old) >= less:
            edits.append(Edit(*table.count, b"%*d" % (len(old), int(old) - less)))
    return edits


def _handseed(text: RecordText, imprint: Imprint | None, out: list[Edit], keeps_some: bool) -> list[Edit]:
    """Restore the handle seed if it is as we wrote it, and no record of ours that stays needs the new one.

    A program that gives a new handle writes a new seed; as long as the seed is ours, nobody has.
    """
    if imprint is None or text.map.data[slice(*text.map.handseed)] != imprint.handseed.new:
        return []
    if keeps_some:
        staying = map_text(apply_edits(text.map.data, out), lines_known=True)
        if staying.highest_handle >= int(imprint.handseed.old, 16):
            return []
    return [Edit(*text.map.handseed, imprint.handseed.old)]
