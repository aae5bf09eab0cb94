"""A sheet of paper space as a page for lists: what is on it, and what its viewports show of the drawing.

The page is cut so that letters of the elevation's height come out at their plotted height: one inch of the
page is one inch of the elevation at the plot scale.

Glossary:
    sheet: a layout of paper space with a viewport that shows all walls.
    main view: that viewport.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from ezdxf.document import Drawing
from ezdxf.layouts.layout import Paperspace

from perpend.clean_text import quoted
from perpend.drawing.page.drafting_style import DraftingStyle
from perpend.drawing.page.free_space import Numbers, Room, boxes_around, boxes_behind, drawn_shapes
from perpend.drawing.page.obstacles import Survey, survey
from perpend.drawing.page.scene import Scene, clip_segments
from perpend.drawing.page.sheet_page import Page
from perpend.dxf.paperspace import is_modelspace
from perpend.dxf.viewports import View, paper_layouts, paper_unit_in, views_of
from perpend.model import Box
from perpend.wording import listed

_CELL_HEIGHTS: Final = 1.5
_MAX_CELLS: Final = 1_500_000
_MARGIN_HEIGHTS: Final = 3.5
_DRAWING: Final = Page()


@dataclass(frozen=True, slots=True)
class PaperSheet:
    """A sheet that can take the lists.

    Attributes:
        layout: the layout.
        page: its axes: units of the sheet, in inches of the elevation.
        main: the viewport that shows all walls.
    """

    layout: Paperspace
    page: Page
    main: View


def sheet_for_lists(
    doc: Drawing, scenes: Sequence[Scene], style: DraftingStyle
) -> tuple[PaperSheet | None, str]:
    """Return the sheet that takes the lists, and what is to be said of it; none for where the walls are.

    Args:
        doc: the drawing.
        scenes: the pages of the walls.
        style: says which layout the settings name.
    """
    wanted = style.content.lists_in
    if style.layout is not None or (wanted is not None and is_modelspace(wanted)):
        return None, ""
    walls = [_on_drawing(scene, scene.box) for scene in scenes]
    found = [sheet for layout in paper_layouts(doc) if (sheet := _sheet(layout, walls, style))]
    if wanted is not None:
        named = [sheet for sheet in found if sheet.layout.name.lower() == wanted.lower()]
        return (named[0], "") if named else (None, _unfit(doc, wanted))
    if len(found) > 1:
        names = " and ".join(quoted(sheet.layout.name) for sheet in found[:2])
        return None, (
            f"Layouts {names} both show the walls: schedules and notes are in modelspace until "
            "[text] lists_in names one of them."
        )
    return (found[0], "") if found else (None, "")


def _unfit(doc: Drawing, wanted: str) -> str:
    """Say why a layout that the settings name does not take the lists."""
    names = [layout.name for layout in paper_layouts(doc)]
    if any(name.lower() == wanted.lower() for name in names):
        why = f"Layout {quoted(wanted)} has no viewport that shows every wall"
    else:
        why = f"The drawing has no layout {quoted(wanted)}: it has {listed(map(quoted, names), 6)}"
    return f"{why}; schedules and notes are in modelspace."


def _on_drawing(scene: Scene, box: Box) -> Box:
    return Box.around([scene.page.to_drawing(corner) for corner in box.corners])


def _sheet(layout: Paperspace, walls: Sequence[Box], style: DraftingStyle) -> PaperSheet | None:
    main = next((view for view in views_of(layout) if view.shows(walls)), None)
    if main is None:
        return None
    return PaperSheet(layout, Page(0.0, paper_unit_in(layout) * style.plot_scale), main)


def paper_room(doc: Drawing, sheet: PaperSheet, standing: Sequence[Scene], found: Survey, h: float) -> Room:
    """Cut a sheet into cells and take those where something stands, or is seen through a viewport.

    Args:
        doc: the drawing.
        sheet: the sheet.
        standing: every page of the drawing, with everything drawn on it so far.
        found: the drafter's things in modelspace, drawing axes.
        h: height of the letters, inches of the elevation.
    """
    own = survey(doc, standing[0].style.app_id, sheet.layout)
    page, views = sheet.page, list(views_of(sheet.layout))
    area = _area(sheet, own, views, h)
    cell = max(h * _CELL_HEIGHTS, math.sqrt(area.width * area.height / _MAX_CELLS))
    shape = (math.ceil(area.height / cell), math.ceil(area.width / cell))
    room = Room(area, cell, np.zeros(shape, dtype=bool), _walls(sheet, standing))
    texts = boxes_around(page.turn(np.concatenate((own.quads, own.areas))))
    lines = page.turn(np.concatenate((own.lines, own.dimension_lines)))
    room.mark(lines, texts[~boxes_behind(texts, room.walls)])
    model = _modelspace(standing, found)
    for view in views:
        if view.shown is None:
            room.mark_box(_on_page(page, view.frame))
            continue
        for pieces, boxes in model:
            seen, covered = _seen_through(view, pieces, boxes)
            room.mark(page.turn(seen), boxes_around(page.turn(covered)))
    return room


def bar_frames(sheet: PaperSheet, room: Room) -> None:
    """Take the cells under the frames of the viewports: a list is within one or outside, never across."""
    frames = (_on_page(sheet.page, view.frame) for view in views_of(sheet.layout))
    sides = [(a, b) for frame in frames for a, b in _sides(frame)]
    room.mark(np.array(sides, dtype=np.float64).reshape(-1, 2, 2), np.empty((0, 4)))


def _sides(box: Box) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    corners = [*box.corners]
    yield from zip(corners, [*corners[1:], corners[0]], strict=True)


def _on_page(page: Page, box: Box) -> Box:
    return Box.around([page.from_drawing(corner) for corner in box.corners])


def _area(sheet: PaperSheet, own: Survey, views: Iterable[View], h: float) -> Box:
    """Return the sheet's paper less a margin, or the box around all that is on it where that is unknown."""
    dxf, margin = sheet.layout.dxf, _MARGIN_HEIGHTS * h
    per_mm = 1 / 25.4 / paper_unit_in(sheet.layout)
    wide, high = dxf.get("paper_width", 0.0) * per_mm, dxf.get("paper_height", 0.0) * per_mm
    if dxf.get("plot_rotation", 0) % 2:
        wide, high = high, wide
    left, low = dxf.get("left_margin", 0.0) * per_mm, dxf.get("bottom_margin", 0.0) * per_mm
    paper = Box(-left, -low, wide - left, high - low)
    shapes = (own.lines, own.dimension_lines, own.quads, own.areas)
    frames = [view.frame for view in views]
    corners = np.array([corner for frame in frames for corner in frame.corners])
    points = np.concatenate((*(shape.reshape(-1, 2) for shape in shapes), corners))
    around = Box(*points.min(axis=0).tolist(), *points.max(axis=0).tolist())
    fits = all(math.isfinite(size) and size > 0.0 for size in (wide, high)) and paper.contains(
        sheet.main.frame
    )
    whole = _on_page(sheet.page, paper if fits else around)
    return whole if not fits else whole.grown(-margin)


def _walls(sheet: PaperSheet, standing: Sequence[Scene]) -> Box:
    """Return where the walls are seen on the sheet, page axes."""
    boxes = [_on_drawing(scene, scene.box) for scene in standing if scene.plans]
    corners = np.array([corner for box in boxes for corner in box.corners])
    seen = sheet.page.turn(sheet.main.on_sheet(corners))
    return Box(*seen.min(axis=0).tolist(), *seen.max(axis=0).tolist())


def _modelspace(standing: Sequence[Scene], found: Survey) -> list[tuple[Numbers, Numbers]]:
    """Return straight pieces and the corners of boxes of all that is in modelspace, drawing axes."""
    ours = [drawn_shapes(_DRAWING, scene) for scene in standing]
    return [
        (np.concatenate((found.lines, found.dimension_lines)), np.concatenate((found.quads, found.areas))),
        *((lines, boxes) for lines, boxes in ours),
    ]


def _seen_through(view: View, pieces: Numbers, boxes: Numbers) -> tuple[Numbers, Numbers]:
    """Return the pieces and the corners of boxes that a viewport shows, cut to it, units of the sheet."""
    lines = clip_segments(view.on_sheet(pieces), view.frame)
    if not len(boxes):
        return lines, boxes.reshape(-1, 4, 2)
    frame = view.frame
    around = boxes_around(view.on_sheet(boxes))
    low = np.maximum(around[:, :2], (frame.x0, frame.y0))
    high = np.minimum(around[:, 2:], (frame.x1, frame.y1))
    seen = (low < high).all(axis=1)
    low, high = low[seen], high[seen]
    corners = np.stack(
        (low, np.stack((high[:, 0], low[:, 1]), axis=1), high, np.stack((low[:, 0], high[:, 1]), axis=1)),
        axis=1,
    )
    return lines, corners
