"""Writing a drawing that is the drafter's to the byte, plus ours.

`write_drawing` tries to insert; what can't be inserted into is saved by ezdxf, and the report says what that
changed. Either way the new file is proven before it gets its name. What only a save needs is imported then.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import Final, Literal, TypeVar

from ezdxf.document import Drawing

from perpend.dxf.insert.atomic_file import refuse_same_file, whole_file
from perpend.dxf.insert.insertion import Insertion, insert
from perpend.dxf.insert.new_records import Fresh, Ledger
from perpend.dxf.insert.proof import prove_insertion
from perpend.dxf.insert.tag_spans import IrregularText
from perpend.dxf.insert.take_out import StripResult, carries_ours, note_on_theirs, strip_all
from perpend.dxf.insert.text_map import INSERTABLE_VERSIONS, TextMap, map_text
from perpend.dxf.load import LoadedDrawing, load_bytes, load_drawing
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.xdata import APPLICATION
from perpend.errors import InputError, InternalError

_OLD_RELEASES: Final = {"AC1009": "R12", "AC1012": "R13", "AC1014": "R14"}
_LAST_HANDLE: Final = 16**16 - 1
_ROOM: Final = 16**5
"""How many handles must be free above the highest: more than any plate takes."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class WriteReport:
    """How a drawing was written.

    Attributes:
        method: ``inserted``: the original's bytes with ours between them; ``saved``: written anew by ezdxf.
        added_entities: entities of ours in the layouts.
        added_records: records of ours in the tables, blocks included.
        bytes_added: size of the new file less that of the original.
        changes: what a save changed in the original, one sentence each; empty for ``inserted``.
        reason: why nothing could be inserted; None for ``inserted``.
        notes: what else a user should know, one sentence each.
    """

    method: Literal["inserted", "saved"]
    added_entities: int
    added_records: int
    bytes_added: int
    changes: tuple[str, ...] = ()
    reason: str | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OpenedDrawing:
    """A drawing without what we drew in it before.

    Attributes:
        loaded: the drawing; its `data` are the bytes without ours.
        removed: how many records of ours were taken out.
        exact: True when `loaded.data` are what they were before we first wrote.
        notes: what a user should know, one sentence each.
    """

    loaded: LoadedDrawing
    removed: int
    exact: bool
    notes: tuple[str, ...] = ()


def open_without_ours(
    data: bytes,
    load: Callable[[bytes], LoadedDrawing],
    app_ids: Sequence[str] = (APPLICATION,),
    copies: Collection[str] = (),
    known: LoadedDrawing | None = None,
) -> OpenedDrawing:
    """Load a drawing without what earlier runs of ours drew.

    Args:
        data: the bytes of the DXF file.
        load: loads the bytes that are left; it may leave out what does not matter.
        app_ids: registered applications whose XDATA marks what is ours, the one that drew last first.
        copies: handles of copies of ours that are left out as well.
        known: the drawing as it was loaded already; it is not loaded again if there is nothing to take out.

    Raises:
        InputError: see `perpend.dxf.load.load_drawing`.
    """
    steps = strip_all(data, app_ids, copies)
    rest = steps[-1].data
    loaded = known if known is not None and rest is data else load(rest)
    removed, notes, exact = 0, list[str](), True
    for app_id, (before, step) in zip(app_ids, pairwise([StripResult(data), *steps]), strict=True):
        if step.exact or step.data is not before.data:
            removed, notes, exact = removed + step.removed, [*notes, *step.notes], exact and step.exact
            continue
        from perpend.dxf.insert.take_out_loaded import remove_ours, theirs_in

        loaded = loaded.whole()
        notes += note_on_theirs(theirs_in(loaded.doc, app_id, copies))
        found = remove_ours(loaded.doc, app_id, copies)
        removed, exact = removed + found, exact and not found
    return OpenedDrawing(loaded, removed, exact, tuple(notes))


def write_drawing(
    source: Path | LoadedDrawing, target: Path, draw: Callable[[Drawing], T], *, app_id: str = APPLICATION
) -> tuple[WriteReport, T]:
    """Draw in a drawing and write the result as a new file.

    Whatever an earlier run drew under the same application id is replaced.

    Args:
        source: the drawing's path, or the drawing as it was loaded.
        target: the new file; it must not be the source by any name.
        draw: makes entities in the document's layouts, and the records they need; it changes nothing that is
            there. What it returns is handed on.
        app_id: registered application whose XDATA marks what is ours.

    Returns:
        How the drawing was written, and what `draw` returned.

    Raises:
        InputError: the drawing can't be read, its handles are used up, or the target can't be written.
        InternalError: the new drawing could not be proven right. No target is left in either case, and an
            older file of that name stays as it was.
    """
    loaded = load_drawing(source) if isinstance(source, Path) else source
    refuse_same_file(loaded.path, target)
    return _write(loaded, target, draw, app_id)


def _write(
    source: LoadedDrawing, target: Path, draw: Callable[[Drawing], T], app_id: str
) -> tuple[WriteReport, T]:
    path = source.path
    opened = open_without_ours(source.data, partial(load_bytes, path), (app_id,), known=source)
    job = _Job(opened.loaded, target, app_id, opened.notes)
    try:
        text = _insertable(job.loaded, app_id)
    except IrregularText as error:
        if job.loaded.selected:  # a save needs all of it
            return _write(job.loaded.whole(), target, draw, app_id)
        from perpend.dxf.insert.full_save import drawn_as_r2000

        _refuse_if_full(path, _highest_handle(job.loaded.doc))
        with drawn_as_r2000(job.loaded.doc):
            drawn = draw(job.loaded.doc)
        return job.save(str(error)), drawn
    _refuse_if_full(path, max(text.highest_handle, text.handseed_value))
    free = max(text.free_handle, text.handseed_value + left_out_of(job.loaded.doc).phantoms)
    job.loaded.doc.entitydb.handles.reset(f"{free:X}")
    drawn = draw(job.loaded.doc)
    try:
        fresh = job.ledger.export(text)
        insertion = insert(text, fresh, app_id)
    except IrregularText as error:
        if job.loaded.selected:
            return _write(job.loaded.whole(), target, draw, app_id)
        return job.save(str(error)), drawn
    return job.insert(text, fresh, insertion), drawn


def _insertable(loaded: LoadedDrawing, app_id: str) -> TextMap:
    """Map a drawing's text, or say why nothing can be inserted into it."""
    if loaded.binary:
        raise IrregularText("it is a binary DXF file")
    if loaded.recovered:
        raise IrregularText("it is damaged and had to be rescued")
    text = map_text(loaded.data, lines_known=True)
    if text.version not in INSERTABLE_VERSIONS:
        raise IrregularText(f"it is of release {_OLD_RELEASES.get(text.version, text.version)}")
    if carries_ours(loaded.data, app_id):
        raise IrregularText("what an earlier run drew is in it and can't be taken out of its text")
    return text


def _highest_handle(doc: Drawing) -> int:
    """Return the highest handle in a document; its handle seed, if that is beyond all handles."""
    with contextlib.suppress(ValueError):
        seed = int(str(doc.header.get("$HANDSEED", "0")), 16)
        if seed > _LAST_HANDLE:
            return seed
    return max((int(handle, 16) for handle in doc.entitydb._database), default=0)


def _refuse_if_full(path: Path, highest: int) -> None:
    """Refuse a drawing in which no handles are left for ours.

    Raises:
        InputError: its highest handle has more than 16 digits, or next to none are free above it.
    """
    if highest <= _LAST_HANDLE - _ROOM:
        return
    if highest > _LAST_HANDLE:
        what = "is longer than the 16 digits that a handle may have"
    else:
        what = "leaves no handles above it for what is to be added"
    raise InputError(
        f"{path} is damaged: its handle #{highest:X} {what}. Run AUDIT or RECOVER on it in your CAD program, "
        "save it as DXF, and run again; nothing was written."
    )


class _Job:
    """One drawing on its way into a new file."""

    def __init__(self, loaded: LoadedDrawing, target: Path, app_id: str, notes: tuple[str, ...]) -> None:
        self.loaded = loaded
        self.target = target
        self.app_id = app_id
        self.notes = notes
        self.ledger = Ledger(loaded.doc, app_id)

    def insert(self, text: TextMap, fresh: Fresh, insertion: Insertion) -> WriteReport:
        """Write the text that was put together, prove it, and give it its name."""
        with whole_file(self.target) as temporary:
            with temporary.open("wb") as file:
                file.writelines(insertion.pieces())
            prove_insertion(text, fresh, insertion, temporary, self.app_id, self.loaded.doc)
        return WriteReport(
            method="inserted",
            added_entities=len(fresh.entities),
            added_records=len(fresh.table_records),
            bytes_added=insertion.growth,
            notes=self.notes,
        )

    def save(self, reason: str) -> WriteReport:
        """Have ezdxf save the document, prove it, give it its name, and say what that changed."""
        from perpend.dxf.insert.full_save import drawn_by_us, expect, prove_save, save_whole, suit_r12
        from perpend.dxf.insert.output_seal import leave_room, seal
        from perpend.dxf.insert.save_changes import measure_changes

        loaded, doc = self.loaded, self.loaded.doc
        _, records = self.ledger.sign()
        suit_r12(doc, self.app_id)
        expected = expect(loaded.path, loaded.data, doc, self.app_id)
        drawn = drawn_by_us(doc, self.app_id)
        ours = Counter(entity.dxftype() for entity in drawn)
        leave_room(drawn, self.app_id)
        with whole_file(self.target) as temporary:
            written = seal(save_whole(loaded, temporary))
            temporary.write_bytes(written)
            try:
                prove_save(loaded.path, written, ours, expected, self.app_id)
            except InternalError as error:
                if not loaded.recovered:
                    raise
                raise InputError(
                    f"{loaded.path} is damaged and can't be written whole: {error} Open it in a CAD program, "
                    "repair and save it there, and run again."
                ) from None
        names = [(record.dxftype(), record.dxf.name) for record in records]
        return WriteReport(
            method="saved",
            added_entities=ours.total(),
            added_records=len(records),
            bytes_added=len(written) - len(loaded.data),
            changes=measure_changes(loaded.data, written, names),
            reason=f"Nothing could be inserted into {loaded.path.name}, as {reason}.",
            notes=self.notes,
        )
