"""Take out of a drawing what perpend drew in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from perpend.dxf.insert.cleaning import clean_drawing
from perpend.dxf.xdata import APPLICATION, REVIEW_APPLICATION
from perpend.jobs.blame import blames_the_drawing
from perpend.jobs.output_places import check_places, drawing_place, read_files
from perpend.jobs.request import AnyPath, as_path
from perpend.jobs.staging import staged


@dataclass(frozen=True, slots=True)
class CleanOutcome:
    """What `clean` did.

    Attributes:
        output: the new drawing.
        removed: how many records of ours were taken out.
        exact: True when the new file is to the byte what it was before perpend first drew in it.
        remarks: what else a user should know, one sentence each.
    """

    output: Path
    removed: int
    exact: bool
    remarks: tuple[str, ...]


@blames_the_drawing
def clean(drawing: AnyPath, output: AnyPath | None = None, *, overwrite: bool = False) -> CleanOutcome:
    """Write a drawing without what perpend drew in it.

    Args:
        drawing: the DXF file; it is never changed.
        output: the new drawing; None puts ``NAME-cleaned.dxf`` beside the old one.
        overwrite: replace a file that is there; a cleaned drawing has no mark by which perpend would know
            it for its own.

    Raises:
        InputError: the drawing can't be read, or the place can't be written.
        InternalError: the new drawing did not read back whole.
    """
    drawing, output = Path(drawing), as_path(output)
    place = drawing_place(drawing, output, "cleaned")
    check_places([place], read_files(drawing, None), overwrite=overwrite)
    with staged({"-o": place.path}) as where:
        report = clean_drawing(drawing, where["-o"], app_ids=(REVIEW_APPLICATION, APPLICATION))
    return CleanOutcome(place.path, report.removed, report.exact, (*report.changes, *report.notes))
