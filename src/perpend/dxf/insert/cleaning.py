"""Taking out of a drawing what we drew in it, into a new file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from perpend.dxf.insert.atomic_file import refuse_same_file, whole_file
from perpend.dxf.insert.take_out import carries_ours, note_on_theirs, strip_all
from perpend.dxf.load import is_binary, load_bytes, load_partial, read_bytes
from perpend.dxf.xdata import APPLICATION


@dataclass(frozen=True, slots=True)
class CleanReport:
    """How our things were taken out.

    Attributes:
        removed: records, or entities where the drawing was saved.
        exact: True when the file is to the byte what it was before we first wrote into it.
        changes: what a save changed beyond that, one sentence each.
        notes: what else a user should know, one sentence each.
    """

    removed: int
    exact: bool
    changes: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def clean_drawing(source: Path, target: Path, *, app_ids: Sequence[str] = (APPLICATION,)) -> CleanReport:
    """Write a drawing without what we drew in it.

    Args:
        source: a drawing that we wrote, perhaps edited since.
        target: the new file; it must not be the source by any name.
        app_ids: registered applications whose XDATA marks what is ours, the one that drew last first.

    Raises:
        InputError: the drawing can't be read, or the target can't be written.
        InternalError: the new drawing could not be proven right; nothing is written then.
    """
    refuse_same_file(source, target)
    original = read_bytes(source)
    steps = strip_all(original, app_ids)
    data, exact = steps[-1].data, all(step.exact for step in steps)
    removed = sum(step.removed for step in steps)
    if exact or not (is_binary(data) or any(carries_ours(data, app_id) for app_id in app_ids)):
        if not (exact and removed):  # else it is, by its hash, what an earlier run has read
            load_partial(source, data, lambda _: False, lambda _: False)
        with whole_file(target) as temporary:
            temporary.write_bytes(data)
        notes = dict.fromkeys(note for step in steps for note in step.notes)
        return CleanReport(removed, exact, notes=tuple(notes))
    loaded = load_bytes(source, original)
    from perpend.dxf.insert.full_save import expect, prove_save, save_whole
    from perpend.dxf.insert.save_changes import measure_changes
    from perpend.dxf.insert.take_out_loaded import remove_ours, theirs_in

    theirs = [named for app_id in app_ids for named in theirs_in(loaded.doc, app_id)]
    removed = sum(remove_ours(loaded.doc, app_id) for app_id in app_ids)
    expected = expect(source, loaded.data, loaded.doc, app_ids[-1])
    with whole_file(target) as temporary:
        written = save_whole(loaded, temporary)
        prove_save(source, written, Counter(), expected, app_ids[-1])
    changes = measure_changes(loaded.data, written, ())
    return CleanReport(removed, exact=False, changes=changes, notes=tuple(note_on_theirs(theirs)))
