"""The last lines of the record's note: what the plate has on each layer, counted once all is placed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from perpend.drawing.page.drafting_style import DIMS
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Letters, Mark, Measure, Page, Paragraph, Piece
from perpend.dxf.plate_tally import PlateTally

RECORD_NOTE: Final = "record-note"


def tally_of(drawn: Iterable[tuple[Page, Sequence[Mark]]]) -> PlateTally:
    """Count the texts and lines of pages, the record's note and the joints left aside."""
    tally = PlateTally()
    for page, marks in drawn:
        for mark in marks:
            if isinstance(mark, Measure):
                ends = ((mark.x1_in, mark.line_y_in), (mark.x0_in, mark.feet[0]))
                tally.add_lines(DIMS, [page.to_drawing(end) for end in ends])
            elif isinstance(mark, Piece):
                for part in mark.marks:
                    if isinstance(part, Letters):
                        tally.add_text(mark.marks[0].layer, part.text)
            elif isinstance(mark, Letters):
                tally.add_text(mark.layer, mark.text)
            elif isinstance(mark, Paragraph):
                if mark.identity.kind != RECORD_NOTE:
                    tally.add_text(mark.layer, "".join(mark.lines))
            elif mark.layer:
                tally.add_lines(
                    mark.layer, [page.to_drawing(point) for point in mark.path], closed=mark.closed
                )
    return tally


def finish_note(pages: Sequence[Scene]) -> None:
    """Write into the record's note what is drawn now; it was placed with lines as many and as long."""
    tally = tally_of((scene.page, scene.board.marks) for scene in pages).lines()
    for scene in pages:
        for n, mark in enumerate(scene.board.marks):
            if isinstance(mark, Paragraph) and mark.identity.kind == RECORD_NOTE and tally:
                scene.board.marks[n] = replace(mark, lines=(*mark.lines[: -len(tally)], *tally))
