"""Taking everything of ours out of a drawing's text.

Two ways, the first tried first:

exact: the imprint of our last insertion says how long our text is at each place and what the handle seed
    and the counts were. Undone, the bytes must have the hash that the imprint names. That holds for any
    output of ours that nobody has edited since, and gives back the input byte for byte.
record by record: a drawing that was edited and saved by another program after we wrote it. What carries
    our XDATA is taken out; see `perpend.dxf.insert.take_out_resaved`.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from perpend.dxf.insert.byte_edits import Edit, apply_edits, edited
from perpend.dxf.insert.tag_spans import IrregularText, find_values, record_heads
from perpend.dxf.insert.text_map import INSERTABLE_VERSIONS, TextMap, map_text
from perpend.dxf.insert.undo_record import Imprint, find_imprint, hash_of

_XDATA_OF = 1001
_MOST_NAMED = 12


@dataclass(frozen=True, slots=True)
class StripResult:
    """A drawing's text without ours.

    Attributes:
        data: the text.
        removed: number of records taken out.
        exact: True when `data` is what it was before we ever wrote into it, byte for byte; True too
            when there was nothing of ours in it.
        notes: what a user should know, one sentence each.
    """

    data: bytes = field(repr=False)
    removed: int = 0
    exact: bool = True
    notes: tuple[str, ...] = ()


def carries_ours(data: bytes, app_id: str = "PERPEND") -> bool:
    """Tell whether anything in a text carries our XDATA."""
    return next(find_values(data, app_id.encode("ascii"), (_XDATA_OF,)), None) is not None


def strip_ours(data: bytes, app_id: str = "PERPEND", copies: Collection[str] = ()) -> StripResult:
    """Take every entity, block and table record of ours out of a drawing's text.

    Args:
        data: the bytes of a DXF file; a binary one is returned as it is, `exact` False if it holds ours.
        app_id: registered application whose XDATA marks what is ours.
        copies: handles of copies of ours that go as well, as they are drawn anew.
    """
    if app_id.encode("ascii") not in data:
        return StripResult(data)
    if not carries_ours(data, app_id):
        is_binary = b"\x00" in data[:32]
        return StripResult(data, exact=not is_binary)
    try:
        imprint = find_imprint(data, app_id)
        if imprint and (undone := _undone(data, imprint)):
            return undone
        text = map_text(data)
        if text.version not in INSERTABLE_VERSIONS:
            raise IrregularText(f"it is of release {text.version}")
        return _strip_edited(text, imprint, app_id, copies)
    except IrregularText as error:
        note = f"What an earlier run drew could not be taken out of the text, as {error}."
        return StripResult(data, exact=False, notes=(note,))


def strip_all(data: bytes, app_ids: Sequence[str], copies: Collection[str] = ()) -> list[StripResult]:
    """Take what several applications of ours drew out of a text, one after the other; see `strip_ours`.

    Args:
        data: the bytes of a DXF file.
        app_ids: the application that drew last comes first.
        copies: handles of copies of ours that go as well.

    Returns:
        What each of them came to; the last one has the text without any.
    """
    steps: list[StripResult] = []
    for app_id in app_ids:
        steps.append(strip_ours(steps[-1].data if steps else data, app_id, copies))
    return steps


def _undone(data: bytes, imprint: Imprint) -> StripResult | None:
    """Undo an insertion to the byte; None where its hash does not prove that. Lines need not be looked at."""
    undoing = _undoing(map_text(data, lines_known=True), imprint)
    if undoing is None or hash_of(*edited(data, undoing.edits)) != undoing.sha256:
        return None
    return StripResult(apply_edits(data, undoing.edits), removed=undoing.records)


class Undoing(NamedTuple):
    """What takes our last insertion out of a text.

    Attributes:
        edits: what is cut and changed back.
        sha256: hash that the text must have then, as the imprint has it.
        records: number of records cut.
    """

    edits: tuple[Edit, ...]
    sha256: str
    records: int


def undoing_of(text: TextMap, app_id: str = "PERPEND") -> Undoing | None:
    """Return what takes our last insertion out of a text; None when its imprint does not fit the text."""
    imprint = find_imprint(text.data, app_id)
    return _undoing(text, imprint) if imprint else None


def _undoing(text: TextMap, imprint: Imprint) -> Undoing | None:
    if text.data[slice(*text.handseed)] != imprint.handseed.new:
        return None
    edits = [Edit(*text.handseed, imprint.handseed.old)]
    for name, change in imprint.counts.items():
        table = text.tables.get(name)
        if table is None or table.count is None or text.data[slice(*table.count)] != change.new:
            return None
        edits.append(Edit(*table.count, change.old))
    records = 0
    for place, length in imprint.lengths.items():
        end = text.end_of(place)
        if end is None or length > end:
            return None
        edits.append(Edit(end - length, end, b""))
        records += sum(1 for _ in record_heads(text.data, end - length, end))
    in_order = sorted(edits, key=lambda edit: edit.start)
    if any(before.end > after.start for before, after in pairwise(in_order)):
        return None
    return Undoing(tuple(in_order), imprint.sha256, records)


def _strip_edited(
    text: TextMap, imprint: Imprint | None, app_id: str, copies: Collection[str]
) -> StripResult:
    from perpend.dxf.insert.take_out_resaved import withdraw_records

    withdrawal = withdraw_records(text, imprint, app_id, copies)
    notes = ["The drawing was changed after an earlier run wrote it; what that run drew was taken out."]
    if withdrawal.kept:
        kept = ", ".join(withdrawal.kept)
        notes.append(f"Kept, because the drawing uses them now: {kept}.")
    notes += note_on_theirs(withdrawal.theirs)
    return StripResult(withdrawal.data, withdrawal.removed, exact=False, notes=tuple(notes))


def note_on_theirs(theirs: Sequence[str]) -> list[str]:
    """Say what carries our mark and stays, as it is the drafter's; nothing where there is none."""
    if not theirs:
        return []
    more = len(theirs) - _MOST_NAMED
    named = ", ".join(theirs[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
    return [f"Kept as the drafter's, as copies of what an earlier run drew or edited since: {named}."]
