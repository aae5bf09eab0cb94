"""The whole plate: plans and findings into entities of a document.

The order is the order of claims on room: what is in the wall, then tags, dimensions and markers, which are
bound to their places, then callouts, which are freer, then the lists.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from operator import attrgetter

from ezdxf.document import Drawing

from perpend.decisions.moved_labels import HandLabel
from perpend.drawing.page.drafting_style import DraftingReport, DraftingStyle, Revised
from perpend.drawing.page.emit import emit
from perpend.drawing.page.grid_lines import Datum, grid_lines
from perpend.drawing.page.list_placing import (
    BLOCK_GAP,
    kind_of,
    lists_page,
    pages_drawn,
    put_blocks,
    put_by_hand,
)
from perpend.drawing.page.obstacles import Survey, drawn_lines, survey_walls
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import PlacedPlan, Scene, make_scene
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
from perpend.drawing.plate.tally_note import finish_note, tally_of
from perpend.drawing.plate.visibility import as_seen
from perpend.drawing.plate.wall_schedule import legend_block, wall_schedule_blocks
from perpend.drawing.review.finding_list import findings_block, numbered_sentences
from perpend.dxf.paperspace import space_of
from perpend.findings import Finding, numbered
from perpend.model import Box, WallPlan

_TEXT_WIDTHS = (62.0, 46.0, 90.0, 34.0, 115.0)
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
    hosts = _place_lists(doc, scenes, plans, marked, found, grids, revised)
    pages = pages_drawn(scenes, hosts)
    if revised.note and style.dimensions != "plain":
        finish_note(pages)
    for scene in pages:
        emit(doc, scene, records)
    seen = {(hand.own.kind, hand.own.number) for hand, _, _ in report.by_hand}
    left = (hand for hand in revised.by_hand if (hand.own.kind, hand.own.number) not in seen)
    report.by_hand += [(hand, hand.own.words, False) for hand in left]
    report.layers = records.layers
    return report


def scenes_of(
    doc: Drawing, plans: Sequence[WallPlan], style: DraftingStyle, found: Survey, report: DraftingReport
) -> Iterator[Scene]:
    """Gather the walls of each angle and size, as they are seen, on a page of their own."""
    pages: dict[tuple[float, float], list[WallPlan]] = {}
    for plan in plans:
        frame = plan.wall.frame
        pages.setdefault((round(frame.angle_rad, _SAME_ANGLE), frame.inches_per_unit), []).append(plan)
    for members in pages.values():
        frame = members[0].wall.frame
        page, own = Page(frame.angle_rad, frame.inches_per_unit), style.measured_by(frame.inches_per_unit)
        placed = [PlacedPlan(as_seen(plan), Spot.of(plan.wall.frame, page)) for plan in members]
        scene = make_scene(page, placed, own, found, report, several=len(plans) > 1)
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
        page = Page(plan.wall.frame.angle_rad, plan.wall.frame.inches_per_unit)
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
    revised: Revised,
) -> list[Scene]:
    """Put schedules, notes, findings and legend on one page, together if they fit; return their pages."""
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
    texts = [_texts(plans, listed, style, width * h) for width in _TEXT_WIDTHS]
    record = record_blocks(
        _with_tally(revised.note, scenes, [*(s[0] for s in schedules), *texts[0], *legend]), style
    )
    texts = [[*each, *record] for each in texts]
    apart = [*schedules, *([*each] for each in zip(*texts, strict=True)), *([legend] if legend else [])]
    kept = put_by_hand(doc, scenes, found, revised.by_hand, apart)
    drawn = {kind for what, kind in kept.settled if what == "list"} if kept else set()
    apart = [shapes for shapes in apart if kind_of(shapes[0]) not in drawn]
    hosts = [kept] if kept else []
    if not apart:
        return hosts
    first = [shapes[0] for shapes in schedules if kind_of(shapes[0]) not in drawn]
    texts = [[block for block in each if kind_of(block) not in drawn] for each in texts]
    legend = [block for block in legend if kind_of(block) not in drawn]
    together = [block for each in texts for block in _arranged(first, each, legend, h)]
    return [*hosts, put_blocks(doc, scene, scenes, found, together, apart, kept)]


def _with_tally(note: Sequence[str], scenes: Sequence[Scene], lists: Sequence[Block]) -> Sequence[str]:
    """Return the lines of the record's note with those that `finish_note` will write."""
    if not note or scenes[0].style.dimensions == "plain":
        return note
    pages = [(scene.page, scene.board.marks) for scene in scenes]
    return [*note, *tally_of([*pages, *((scenes[0].page, block.at((0.0, 0.0))) for block in lists)]).lines()]


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
    gap = BLOCK_GAP * h
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
