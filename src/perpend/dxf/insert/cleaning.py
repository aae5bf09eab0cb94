"""Taking out of a drawing what we drew in it, into a new file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from perpend.dxf.insert.atomic_file import refuse_same_file, whole_file
from perpend.dxf.insert.take_out import StripResult, carries_ours, note_on_theirs, strip_ours
from perpend.dxf.load import load_bytes, load_drawing
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
    loaded = load_drawing(source)
    steps: list[StripResult] = []
    for app_id in app_ids:
        steps.append(strip_ours(steps[-1].data if steps else loaded.data, app_id))
    data, exact = steps[-1].data, all(step.exact for step in steps)
    if exact or not (loaded.binary or any(carries_ours(data, app_id) for app_id in app_ids)):
        rest = load_bytes(source, data)
        with whole_file(target) as temporary:
            temporary.write_bytes(rest.data)
        notes = dict.fromkeys(note for step in steps for note in step.notes)
        return CleanReport(sum(step.removed for step in steps), exact, notes=tuple(notes))
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
