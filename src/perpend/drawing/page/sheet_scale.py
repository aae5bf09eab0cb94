# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""The scale that an elevation is plotted at, read from the drawing: a viewport's, or that of a title."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ezdxf.document import Drawing
from ezdxf.layouts.base import BaseLayout

from perpend.drawing.page.drafting_style import DraftingStyle
from perpend.drawing.page.sheet_page import Page, Spot
from perpend.dxf.damage import DAMAGED
from perpend.dxf.paperspace import space_of
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.dxf.viewports import paper_layouts, paper_unit_in, views_of
from perpend.model import Box, Point, Wall
from perpend.reading.contents.title_scales import LONGEST_SCALE, SCALES, scale_of


@dataclass(frozen=True, slots=True)
class SheetScale:
    """A plot scale and where it was read: ``the viewport on A-201`` or ``the title``."""

    plot_scale: float
    source: str


def sheet_scale(
    doc: Drawing, walls: Sequence[Box], inches_per_unit: float, space: BaseLayout
) -> SheetScale | None:
    """Return the scale that the walls are plotted at; None where the drawing does not say.

    Args:
        doc: the drawing.
        walls: boxes around the walls, drawing units.
        inches_per_unit: inches in one drawing unit.
        space: where the walls are drawn.
    """
    shown = {round(scale.plot_scale, 2): scale for scale in _viewports(doc, walls, inches_per_unit)}
    if len(shown) == 1:
        return next(iter(shown.values()))
    named = [(_away(at, walls), scale) for text, at in _texts(doc, space) if (scale := scale_of(text))]
    if not named:
        return None
    return SheetScale(min(named)[1], "the title")


def _away(at: Point, walls: Sequence[Box]) -> float:
    return min(
        math.hypot(max(w.x0 - at[0], at[0] - w.x1, 0.0), max(w.y0 - at[1], at[1] - w.y1, 0.0)) for w in walls
    )


def _viewports(doc: Drawing, walls: Sequence[Box], inches_per_unit: float) -> Iterator[SheetScale]:
    """Yield the scales of the viewports that show all walls."""
    for layout in paper_layouts(doc):
        for view in views_of(layout):
            scale = inches_per_unit / (view.scale * paper_unit_in(layout))
            if view.shows(walls) and SCALES[0] <= scale <= SCALES[1]:
                yield SheetScale(scale, f"the viewport on {layout.name}")


def _texts(doc: Drawing, space: BaseLayout) -> Iterator[tuple[str, Point]]:
    """Yield what the texts of a layout say, and where; what cannot be read is left out."""
    for entity in space:
        if entity.DXFTYPE in ("TEXT", "MTEXT", "INSERT"):
            try:
                lines = _lines(entity)
            except DAMAGED:
                continue
            yield from lines
    for shown in left_out_of(doc).shown.values():
        yield from ((line.text, line.insert) for line in (*shown.texts, *shown.attributes))
        for paragraph in shown.paragraphs:
            yield from ((line, paragraph.insert) for line in paragraph.text.split("\\P"))


def _lines(entity: Any) -> list[tuple[str, Point]]:
    if entity.DXFTYPE == "TEXT":
        return [(entity.dxf.text, _place(entity))]
    if entity.DXFTYPE == "MTEXT":
        if len(entity.text) >= 4 * LONGEST_SCALE:
            return []
        return [(line, _place(entity)) for line in entity.plain_text(split=True)]
    return [(attrib.dxf.text, _place(attrib)) for attrib in entity.attribs]


def _place(entity: Any) -> Point:
    return (entity.dxf.insert.x, entity.dxf.insert.y)


def at_sheet_scale(doc: Drawing, walls: Sequence[Wall], style: DraftingStyle) -> DraftingStyle:
    """Return a style with the scale that the drawing itself names, or as it is."""
    as_drawn = [wall for wall in walls if wall.frame.inches_per_unit == style.inches_per_unit]
    boxes = [_drawn_box(wall) for wall in as_drawn or walls]
    found = sheet_scale(doc, boxes, style.inches_per_unit, space_of(doc, style.layout))
    if found is None or math.isclose(found.plot_scale, style.plot_scale):
        return style
    return replace(style, plot_scale=found.plot_scale, scale_source=found.source)


def _drawn_box(wall: Wall) -> Box:
    """Return the box around a wall, drawing axes and units."""
    page = Page(wall.frame.angle_rad, wall.frame.inches_per_unit)
    box = Spot.of(wall.frame, page).box(Box.around((*wall.top.points, *wall.bottom.points)))
    return Box.around([page.to_drawing(corner) for corner in box.corners])
