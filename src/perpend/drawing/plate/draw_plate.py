"""The whole plate: plans and findings into entities of a document.

The order is the order of claims on room: what is in the wall, then tags, dimensions and markers, which are
bound to their places, then callouts, which are freer, then the lists.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from operator import attrgetter

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing

from perpend.clean_text import quoted
from perpend.decisions.moved_labels import HandLabel
from perpend.drawing.page.drafting_style import DraftingReport, DraftingStyle, Revised
from perpend.drawing.page.emit import emit
from perpend.drawing.page.free_space import Room, make_room, sums_of
from perpend.drawing.page.grid_lines import Datum, grid_lines
from perpend.drawing.page.obstacles import Survey, drawn_lines, survey_walls
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.paper_sheet import bar_frames, paper_room, sheet_for_lists
from perpend.drawing.page.scene import PlacedPlan, Scene, empty_scene, make_scene
from perpend.drawing.page.sheet_page import Page, Spot, parts_of
from perpend.drawing.page.table_records import prepare_records
from perpend.drawing.page.text_blocks import Block, beside, stacked
from perpend.drawing.plate.callouts import draw_callouts
from perpend.drawing.plate.detail_bubbles import draw_bubbles
from perpend.drawing.plate.dimensions import draw_string
from perpend.drawing.plate.general_notes import (
    basis_block,
    doubts_block,
    note_block,
    numbered_notes,
    record_blocks,
)
from perpend.drawing.plate.joint_schedule import Grids, joint_schedule_blocks, schedule_csv, schedule_rows
from perpend.drawing.plate.joint_tags import draw_tags
from perpend.drawing.plate.labels_by_hand import draw_by_hand
from perpend.drawing.plate.masonry import draw_joints, draw_lintels, draw_steel
from perpend.drawing.plate.superseded_joints import draw_superseded
from perpend.drawing.plate.visibility import as_seen
from perpend.drawing.plate.wall_schedule import legend_block, wall_schedule_blocks
from perpend.drawing.review.finding_list import findings_block, numbered_sentences
from perpend.dxf.paperspace import space_of
from perpend.findings import Finding, numbered
from perpend.model import Box, Point, WallPlan

_TEXT_WIDTHS = (62.0, 46.0, 90.0, 34.0, 115.0)
_BLOCK_MARGIN = 3.5
_BLOCK_GAP = 5.0
_SAME_ANGLE = 6
_CELL = 0.5
_BEYOND = 24.0
"""A grid line this far off the end of a wall is still a datum of it, inches."""


def draw_plans(
    doc: Drawing,
    plans: Sequence[WallPlan],
    findings: Sequence[Finding],
    style: DraftingStyle,
    revised: Revised | None = None,
) -> DraftingReport:
    """Draw plans and findings into a document's modelspace, as a drafter would.

    Args:
        doc: the loaded drawing; only entities and records of ours are added.
        plans: the walls, in the order in which they are to be listed.
        findings: what is to be marked and listed.
        style: scale, text height, layer prefix, note texts.
        revised: what the plate takes over from the one before.

    Returns:
        What was drawn, and what could not be drawn as required.
    """
    report, revised = DraftingReport(), revised or Revised()
    if not plans:
        return report
    if style.scale_source:
        report.remarks.append(
            f"Text height goes by the scale 1:{style.plot_scale:g} of {style.scale_source}."
        )
    found = survey_walls(doc, style)
    records = prepare_records(doc, style)
    marked = numbered(findings, attrgetter("severity"))
    scenes = list(scenes_of(doc, plans, style, found, report))
    grids = grids_on(doc, found, style)
    for scene in scenes:
        waiting = _draw_walls(scene, grids, revised.by_hand)
        if marked:
            from perpend.drawing.review.finding_marks import draw_marks

            draw_marks(scene, marked, Raster(scene.reach, _CELL * scene.h))
        draw_callouts(scene)
        draw_bubbles(scene)
        draw_superseded(scene)
        for placed in waiting:
            draw_string(scene, placed)
    host = _place_lists(doc, scenes, plans, marked, found, grids, revised.note)
    for scene in pages_drawn(scenes, host):
        emit(doc, scene, records)
    report.layers = records.layers
    return report


def scenes_of(
    doc: Drawing, plans: Sequence[WallPlan], style: DraftingStyle, found: Survey, report: DraftingReport
) -> Iterator[Scene]:
    """Gather the walls of each angle, as they are seen, on a page of their own."""
    pages: dict[float, list[WallPlan]] = {}
    for plan in plans:
        pages.setdefault(round(plan.wall.frame.angle_rad, _SAME_ANGLE), []).append(plan)
    for members in pages.values():
        page = Page(members[0].wall.frame.angle_rad, style.inches_per_unit)
        placed = [PlacedPlan(as_seen(plan), Spot.of(plan.wall.frame, page)) for plan in members]
        scene = make_scene(page, placed, style, found, report, several=len(plans) > 1)
        scene.layout = None if style.layout is None else space_of(doc, style.layout)
        _bar_drawn_openings(scene, doc)
        yield scene


def _bar_drawn_openings(scene: Scene, doc: Drawing) -> None:
    """Keep labels off openings as drawn: a door may be higher than the wall that it is cut from."""
    for placed in scene.plans:
        for opening in placed.plan.wall.openings:
            points = scene.page.turn(drawn_lines(doc, opening.handle)).reshape(-1, 2)
            if len(points):
                scene.field.add_box(Box(*points.min(axis=0).tolist(), *points.max(axis=0).tolist()))


def _draw_walls(scene: Scene, grids: Grids, by_hand: Sequence[HandLabel]) -> list[PlacedPlan]:
    """Draw everything bound to its place; return the walls whose dimensions wait for the callouts."""
    content = scene.style.content
    for placed in scene.plans:
        if content.lintels:
            draw_lintels(scene, placed)
        if content.steel:
            draw_steel(scene, placed)
        draw_joints(scene, placed)
    if content.dimensions and content.from_grid:
        scene.datums |= {placed.plan.wall.tag: tuple(grids(placed.plan)) for placed in scene.plans}
    if by_hand:
        draw_by_hand(scene, by_hand)
    for placed in scene.plans:
        draw_tags(scene, placed)
    if not content.dimensions:
        return []
    return [placed for placed in scene.plans if not draw_string(scene, placed, may_rise=False)]


def grids_on(doc: Drawing, found: Survey, style: DraftingStyle) -> Grids:
    """Return what finds the grid lines that cross a wall, stations in its own axes."""

    @cache
    def of_page(page: Page) -> list[Datum]:
        return grid_lines(doc, page, found, space_of(doc, style.layout))

    def of_wall(plan: WallPlan) -> list[Datum]:
        page = Page(plan.wall.frame.angle_rad, style.inches_per_unit)
        left = Spot.of(plan.wall.frame, page).origin[0]
        lines = (Datum(line.name, line.x_in - left) for line in of_page(page))
        return [line for line in lines if -_BEYOND <= line.x_in <= plan.wall.length_in + _BEYOND]

    return of_wall


def _place_lists(
    doc: Drawing,
    scenes: Sequence[Scene],
    plans: Sequence[WallPlan],
    marked: Sequence[tuple[str, Finding]],
    found: Survey,
    grids: Grids,
    note: Sequence[str],
) -> Scene:
    """Put schedules, notes, findings and legend on one page, together if they fit; return that page."""
    scene = lists_page(scenes)
    style, content, h = scene.style, scene.style.content, scene.h
    schedules: list[list[Block]] = []
    rows = list(schedule_rows(plans, style, grids))
    scene.report.schedule = schedule_csv(rows, style.display)
    if content.schedule:
        schedules = [s for s in (joint_schedule_blocks(rows, style), wall_schedule_blocks(plans, style)) if s]
    shown = [part for s in scenes for mark in s.board.marks for part in parts_of(mark)]
    legend = [block for block in [legend_block(shown, style)] if content.legend and block.marks]
    listed = numbered_sentences(marked, metric=style.metric, label=content.label, feet=content.feet_beside)
    record = record_blocks(note, style)
    texts = [[*_texts(plans, listed, style, width * h), *record] for width in _TEXT_WIDTHS]
    apart = [*schedules, *([*each] for each in zip(*texts, strict=True)), *([legend] if legend else [])]
    if not apart:
        return scene
    first = [shapes[0] for shapes in schedules]
    together = [block for each in texts for block in _arranged(first, each, legend, h)]
    return put_blocks(doc, scene, scenes, found, together, apart)


def lists_page(scenes: Sequence[Scene]) -> Scene:
    """Return the page on which lists lie level: that of all walls, or one level with the sheet.

    Where the walls do not share one angle, the sheet's own axes decide, whichever wall comes first.
    """
    if len(scenes) == 1:
        return scenes[0]
    level = next((scene for scene in scenes if scene.page.angle_rad == 0.0), None)
    return level or empty_scene(Page(0.0, scenes[0].page.inches_per_unit), scenes[0], scenes[0].layout)


def pages_drawn(scenes: Sequence[Scene], lists: Scene) -> list[Scene]:
    """Return every page there is: those of the walls, and that of the lists where it is another."""
    return [*scenes] if any(scene is lists for scene in scenes) else [*scenes, lists]


def put_blocks(
    doc: Drawing,
    scene: Scene,
    standing: Sequence[Scene],
    found: Survey,
    together: Sequence[Block],
    apart: Sequence[Sequence[Block]],
) -> Scene:
    """Put blocks of lettering where the sheet has room: as one group, or else each by itself.

    Args:
        doc: the drawing; a layout of paper space that shows all walls takes the blocks, if it has room.
        scene: the page that takes the blocks else.
        standing: every page of the drawing, with everything else drawn on it.
        found: the drafter's things.
        together: ways to set all of them as one group, the most usual first.
        apart: the single blocks, each in one shape or several.

    Returns:
        The page that took them.
    """
    h, corner = scene.h, scene.style.content.lists_at
    on_paper = _put_on_paper(doc, standing, found, together, apart)
    if on_paper is not None:
        return on_paper
    if corner is not None:
        _put_at(scene, together, corner)
        return scene
    widest = max(min(block.width_in for block in shapes) for shapes in apart)
    spare = max(min(max(b.width_in, b.height_in) for b in together), widest) + 12 * h
    room = make_room(scene.page, h, standing, found, spare, _BLOCK_MARGIN * h)
    reached = room.reachable()
    if _place(scene, room, reached, together):
        return scene
    homeless = [shapes[0] for shapes in apart if not _place(scene, room, reached, shapes)]
    if homeless:
        count = len(homeless)
        what = "A block of text finds" if count == 1 else f"{count} blocks of text find"
        is_are = "is" if count == 1 else "are"
        scene.report.remarks.append(
            f"{what} no room on the sheet and {is_are} beside it: [text] lists_at names a place for them."
        )
        group = stacked(homeless, _BLOCK_GAP * h)
        _put(scene, group, (room.right + _BLOCK_MARGIN * h, room.walls.y1))
    return scene


def _put_on_paper(
    doc: Drawing,
    standing: Sequence[Scene],
    found: Survey,
    together: Sequence[Block],
    apart: Sequence[Sequence[Block]],
) -> Scene | None:
    """Put all blocks on the sheet of paper space that takes lists; None where there is none, or no room."""
    style, report = standing[0].style, standing[0].report
    sheet, said = sheet_for_lists(doc, standing, style)
    if said:
        report.remarks.append(said)
    if sheet is None:
        return None
    name, corner = quoted(sheet.layout.name), style.content.lists_at
    scene = empty_scene(sheet.page, standing[0], sheet.layout)
    if corner is not None:
        _put_at(scene, together, corner)
    else:
        room = paper_room(doc, sheet, standing, found, scene.h)
        reached = room.reachable()
        bar_frames(sheet, room)
        reached[room.taken] = False
        fits = _place(scene, room, reached, together)
        if not (fits or all(_place(scene, room, reached, shapes) for shapes in apart)):
            report.remarks.append(
                f"Layout {name} has no room for schedules and notes: they are in modelspace. [text] lists_at "
                "names a place for them, in units of the layout."
            )
            return None
    report.remarks.append(f"Schedules and notes are on layout {name}; [text] lists_in names another.")
    return scene


def _put_at(scene: Scene, together: Sequence[Block], corner: Point) -> None:
    """Put all blocks as one compact group at a place that the settings name."""
    group = min(together, key=lambda block: max(block.width_in, block.height_in))
    _put(scene, group, scene.page.from_drawing(corner))


def _texts(
    plans: Sequence[WallPlan], listed: Sequence[tuple[str, str]], style: DraftingStyle, width_in: float
) -> list[Block]:
    """Set the notes, the findings, the doubts and the basis, those that are to be there, to a width."""
    content = style.content
    made = [note_block(numbered_notes(plans, style), style, width_in)] if content.notes else []
    made += [findings_block(listed, width_in, style.text_in)] if listed else []
    made += [doubts_block(style, width_in)] if style.doubts else []
    return [*made, basis_block(plans, style, width_in)] if content.sources else made


def _arranged(
    schedules: Sequence[Block], texts: Sequence[Block], legend: Sequence[Block], h: float
) -> Iterator[Block]:
    """Return ways to set the blocks as one group, the most usual first."""
    gap = _BLOCK_GAP * h
    others = [*texts, *legend]
    if not schedules or not others:
        yield beside([*schedules, *others], gap)
        yield stacked([*schedules, *others], gap)
        return
    yield stacked([*schedules, beside(others, gap)], gap)
    yield beside([stacked(schedules, gap), *others], gap)
    yield beside([stacked([*schedules, *legend], gap), *texts], gap)
    yield beside([schedules[0], stacked([*schedules[1:], *others], gap)], gap)
    yield stacked([*schedules, *others], gap)


def _place(scene: Scene, room: Room, reached: npt.NDArray[np.bool_], shapes: Sequence[Block]) -> bool:
    """Put a block, in the shape that comes nearest to the walls, where there is room."""
    margin = _BLOCK_MARGIN * scene.h
    best: tuple[float, Block, Point] | None = None
    barred = sums_of(~reached)
    for block in shapes:
        place = room.best_corner(block.width_in, block.height_in, barred, margin)
        if place is not None and (best is None or place[0] < best[0] - margin):
            best = (place[0], block, place[1])
    if best is not None:
        _, block, (left, top) = best
        _put(scene, block, (left, top))
        room.mark_box(Box(left, top - block.height_in, left + block.width_in, top))
        reached[room.taken] = False
    return best is not None


def _put(scene: Scene, block: Block, corner: Point) -> None:
    scene.board.add(*(block.turned() if scene.page.upside_down else block).at(corner))
