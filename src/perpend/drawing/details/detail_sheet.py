"""The sheet of typical details as a drawing of its own, and the details placed in another drawing."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from ezdxf import bbox
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.entities.mtext import MText
from ezdxf.filemanagement import new

from perpend.drawing.details.detail_catalog import framed_details
from perpend.drawing.details.detail_frame import HEIGHT, WIDTH, Frame
from perpend.drawing.details.detail_sketch import FRAME, NOTES, TEXT, Letters, Line, Mark, ring
from perpend.drawing.details.detail_values import DetailValues, is_metric
from perpend.drawing.details.emit_details import Emitter, dimension_sizes
from perpend.drawing.page.drafting_style import DraftingStyle
from perpend.drawing.page.obstacles import survey_walls
from perpend.dxf.insert.output_seal import leave_room, seal
from perpend.dxf.paperspace import space_of
from perpend.dxf.text_extents import paragraph_corners, placed
from perpend.dxf.text_metrics import plain, text_width
from perpend.dxf.viewports import paper_layouts, views_of
from perpend.dxf.xdata import APPLICATION
from perpend.model import Point
from perpend.rulebook import RuleBook
from perpend.settings import Settings

_MM_PER_INCH: Final = 25.4
_PREFIX: Final = "A-DETL"
_COLUMNS: Final = 4
_GAP: Final = 0.1
_BORDER: Final = 0.5
_STRIP: Final = 0.85
_TITLE: Final = 0.25
_BELOW: Final = 1.0
"""Plotted distance of the details from the drawing that they go with."""


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet of paper, inches."""

    name: str
    width: float
    height: float


SHEETS: Final = {
    "arch-d": SheetSize("ARCH D", 36.0, 24.0),
    "a1": SheetSize("A1", 841 / _MM_PER_INCH, 594 / _MM_PER_INCH),
}


def _detail_document(book: RuleBook, settings: Settings, metric: bool | None, sheet: str | None) -> Drawing:
    """Draw the details on a sheet, in a new document in inches or millimeters that plots at 1:1."""
    metric = is_metric(book) if metric is None else metric
    size = SHEETS[sheet or settings.details.sheet_size or ("a1" if metric else "arch-d")]
    values, frames = framed_details(book, settings, metric=metric, width=_frame_width(size))
    doc = new("R2010", units=4 if values.metric else 1)
    doc.header["$MEASUREMENT"] = 1 if values.metric else 0
    style = DraftingStyle(
        layer_prefix=_PREFIX,
        plot_scale=1.0,
        metric=values.metric,
        inches_per_unit=1 / _MM_PER_INCH if values.metric else 1.0,
        text_style=settings.text.style,
        text_font=settings.text.font,
    )
    emitter = Emitter.of(doc, style)
    for name, size_of in dimension_sizes(emitter.unit).items():
        doc.header[f"${name.upper()}"] = size_of
    for frame, corner in zip(frames, _places(frames, size), strict=True):
        at = (corner[0] * emitter.unit, corner[1] * emitter.unit)
        emitter.place(emitter.block(frame), frame, at)
    border = doc.blocks.new("PERPEND-DETAIL-SHEET")
    emitter.loose(border, _border(size, values, settings.details.sheet))
    emitter.place(border, Frame("sheet", "", "", 1.0, ()), (0.0, 0.0))
    doc.set_modelspace_vport(
        size.height * emitter.unit * 1.05, (size.width * emitter.unit / 2, size.height * emitter.unit / 2)
    )
    return doc


def detail_file(
    book: RuleBook, settings: Settings, *, metric: bool | None = None, sheet: str | None = None
) -> bytes:
    """Return the sheet of details as the text of a DXF file; the same input gives the same bytes.

    Args:
        book: the rule book.
        settings: the project's settings.
        metric: millimeters; None goes by the rule book.
        sheet: ``arch-d`` or ``a1``; None takes the settings', or what goes with the units.

    Raises:
        InputError: a setting asks for something that the rule book does not have.
    """
    with _undated():
        doc = _detail_document(book, settings, metric, sheet)
        leave_room(doc.modelspace(), APPLICATION)
        stream = io.StringIO()
        doc.write(stream)
    return seal(stream.getvalue().encode(doc.encoding))


@contextlib.contextmanager
def _undated() -> Iterator[None]:
    """Let ezdxf write no time and no random identity into a document."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def draw_details(
    doc: Drawing, book: RuleBook, settings: Settings, style: DraftingStyle, top_left: Point
) -> float:
    """Draw the details in another drawing, in rows and columns.

    Args:
        doc: the document; only blocks, references and records of ours are added.
        book: the rule book.
        settings: the project's settings.
        style: scale, units, layer prefix, text style and application id of the plate.
        top_left: upper left corner of the first frame, drawing units.

    Returns:
        Height of all rows, drawing units.

    Raises:
        InputError: a setting asks for something that the rule book does not have.
    """
    _, frames = framed_details(book, settings, metric=style.metric)
    emitter = Emitter.of(doc, replace(style, layer_prefix=f"{style.layer_prefix}-DETL"))
    left, top = top_left
    for number, frame in enumerate(frames):
        row, column = divmod(number, _COLUMNS)
        x = left + column * (WIDTH + _GAP) * emitter.unit
        y = top - ((row + 1) * HEIGHT + row * _GAP) * emitter.unit
        emitter.place(emitter.block(frame), frame, (x, y))
    rows = -(-len(frames) // _COLUMNS)
    return (rows * (HEIGHT + _GAP) - _GAP) * emitter.unit


def draw_details_below(doc: Drawing, book: RuleBook, settings: Settings, style: DraftingStyle) -> None:
    """Draw the details below everything that is drawn where the walls are, flush with its left edge.

    They are out of sight of the viewports that show the walls on a sheet.

    Args:
        doc: the document, its plate drawn; only blocks, references and records of ours are added.
        book: the rule book.
        settings: the project's settings.
        style: as for `draw_details`.

    Raises:
        InputError: a setting asks for something that the rule book does not have.
    """
    found = survey_walls(doc, style)
    shapes = (found.quads, found.lines, found.dimension_lines, found.areas)
    corners = [s.reshape(-1, 2).min(axis=0) for s in shapes if s.size]
    corners += [np.array(corner) for corner in _lower_corners(doc, style)]
    left, low = np.min(corners, axis=0).tolist() if corners else (0.0, 0.0)
    views = [view for page in paper_layouts(doc) for view in views_of(page)] if style.layout is None else []
    low = min([low, *(view.shown.y0 for view in views if view.shown is not None)])
    gap = _BELOW * style.plot_scale / style.inches_per_unit
    draw_details(doc, book, settings, style, (left, low - gap))


def _lower_corners(doc: Drawing, style: DraftingStyle) -> Iterator[Point]:
    """Yield the lower left corner of everything of ours where the walls are."""
    ours = [entity for entity in space_of(doc, style.layout) if entity.has_xdata(style.app_id)]
    notes = [entity for entity in ours if isinstance(entity, MText)]
    for note in notes:  # a column without a width is no width to break lines at
        lines, height = note.plain_text(split=True), note.dxf.char_height
        corners = paragraph_corners(lines, height, 0.0, 1.0, 1, note.get_rotation())
        at = placed(corners, note.dxf.insert)
        yield min(at[::2]), min(at[1::2])
    box = bbox.extents((entity for entity in ours if not isinstance(entity, MText)), fast=True)
    if box.has_data:
        yield box.extmin.x, box.extmin.y


def _places(frames: Sequence[Frame], size: SheetSize) -> list[Point]:
    """Return the lower left corner of each frame on a sheet, plotted inches: rows from the top."""
    pitch = _frame_width(size) + _GAP
    left = _BORDER + _GAP
    rows = -(-len(frames) // _COLUMNS)
    high = rows * HEIGHT + (rows - 1) * _GAP
    room = size.height - 2 * _BORDER - _STRIP
    top = size.height - _BORDER - (room - high) / 2
    return [
        (left + column * pitch, top - (row + 1) * HEIGHT - row * _GAP)
        for row, column in (divmod(n, _COLUMNS) for n in range(len(frames)))
    ]


def _frame_width(size: SheetSize) -> float:
    """Return the width that fills a sheet's border with the columns."""
    return (size.width - 2 * _BORDER - (_COLUMNS + 1) * _GAP) / _COLUMNS


def _border(size: SheetSize, values: DetailValues, sheet: str) -> list[Mark]:
    """Return the sheet's edge, its border, and the strip with title and caution."""
    x0, y0, x1, y1 = _BORDER, _BORDER, size.width - _BORDER, size.height - _BORDER
    top = y0 + _STRIP
    title = plain(f"MASONRY {values.label} DETAILS")
    right = plain(sheet)
    marks: list[Mark] = [
        Line(ring(0.0, 0.0, size.width, size.height), NOTES, closed=True),
        Line(ring(x0, y0, x1, y1), FRAME, closed=True, heavy=True),
        Line(((x0, top), (x1, top)), FRAME, heavy=True),
        Letters(title, (x0 + 0.3, y0 + _STRIP / 2 - _TITLE / 2), _TITLE, layer=FRAME),
        Letters(
            f"SCALE: AS NOTED{'; DIMENSIONS IN MILLIMETERS' if values.metric else ''}",
            (x0 + 0.3 + text_width(title, _TITLE) + 0.6, y0 + _STRIP / 2 - TEXT / 2),
        ),
        Letters(plain(values.caution), (x1 - 2.2, y0 + _STRIP / 2 - TEXT / 2), align="right"),
    ]
    if right:
        marks.append(Letters(right, (x1 - 0.3, y0 + _STRIP / 2 - _TITLE / 2), _TITLE, "right", layer=FRAME))
    return marks
