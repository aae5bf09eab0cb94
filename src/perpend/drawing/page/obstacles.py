"""What the drafter has drawn, reduced to what a label must mind: texts, dimensions, lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing
from ezdxf.layouts.base import BaseLayout

from perpend.drawing.page.drafting_style import DraftingStyle
from perpend.dxf.entity_attributes import layer_of
from perpend.dxf.paperspace import space_of
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.shown_pieces import TEXTS, ShownReader
from perpend.dxf.xdata import APPLICATION

Numbers = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Survey:
    """Everything of the drafter's in modelspace or on another layout, in drawing axes and drawing units.

    Attributes:
        quads: corners of the texts, shape (n, 4, 2).
        lines: ends of the straight pieces of lines and curves, shape (n, 2, 2).
        dimension_lines: ends of the straight pieces of dimensions, shape (n, 2, 2).
        areas: corners of the boxes around hatches, solids and pictures, shape (n, 4, 2).
    """

    quads: Numbers
    lines: Numbers
    dimension_lines: Numbers
    areas: Numbers


def survey_walls(doc: Drawing, style: DraftingStyle) -> Survey:
    """Read what is drawn where the walls are; see `survey`."""
    return survey(doc, style.app_id, None if style.layout is None else space_of(doc, style.layout))


def survey(doc: Drawing, app_id: str = APPLICATION, layout: BaseLayout | None = None) -> Survey:
    """Read every entity of a layout that is not ours; of hidden layers only the texts.

    Where a check draws, the joints and lines of an earlier ``annotate`` count like dimensions: no label
    may lie over them.

    Args:
        doc: a loaded drawing; nothing in it is changed.
        app_id: registered application whose XDATA marks what is ours.
        layout: the layout; modelspace without it.
    """
    reader = ShownReader()
    hidden = {layer.dxf.name for layer in doc.layers if layer.is_off() or layer.is_frozen()}
    for entity in doc.modelspace() if layout is None else layout:
        if entity.xdata is not None and entity.has_xdata(app_id):
            continue
        if hidden and entity.DXFTYPE not in TEXTS and layer_of(entity) in hidden:
            continue
        reader.read(entity, in_dimension=entity.xdata is not None and entity.has_xdata(APPLICATION))
    if layout is not None:
        return Survey(*reader.everything(doc).parts())
    left_out = left_out_of(doc)
    for layer, shown in left_out.shown.items():
        reader.add_shown(shown, hidden=layer in hidden)
    for layer, shown in left_out.dimensions.items():
        if layer not in hidden:
            reader.add_shown(shown, in_dimension=True)
    return Survey(*reader.everything(doc).parts())


def drawn_lines(doc: Drawing, handle: str) -> Numbers:
    """Return the straight pieces that one entity shows, shape (n, 2, 2); none for an unknown handle."""
    reader = ShownReader()
    entity = doc.entitydb.get(handle)
    if entity is not None:
        reader.read(entity)
    return reader.everything(doc).lines
