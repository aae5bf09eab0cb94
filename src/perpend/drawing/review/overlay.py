"""What the overlays of a check and of a comparison share: their pages, flags, lists and legends."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ezdxf.document import Drawing

from perpend.drawing.page.drafting_style import DraftingReport, DraftingStyle
from perpend.drawing.page.emit import emit
from perpend.drawing.page.leader_labels import Flag, Stand, stand_for, write_flag
from perpend.drawing.page.list_placing import lists_page, pages_drawn, put_blocks
from perpend.drawing.page.obstacles import survey_walls
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity, Letters, Stroke
from perpend.drawing.page.table_records import prepare_records
from perpend.drawing.page.text_blocks import Block, table_block, title_height, title_marks
from perpend.drawing.plate.draw_plate import scenes_of
from perpend.dxf.text_metrics import halved, plain, text_width
from perpend.model import Path, Point, WallPlan

_CELL = 0.5
_MOST_ROWS = 80
_LETTER = 0.85
_GAP = 5.0
Sample = tuple[Sequence[Stroke], str]
"""Marks about the start of a line of a legend, and what they mean."""


def draw_overlay(
    doc: Drawing,
    plans: Sequence[WallPlan],
    style: DraftingStyle,
    draw: Callable[[Scene, Raster], None],
    lists: Sequence[Sequence[Block]],
    arranged: Callable[[Sequence[Block], float], Iterable[Block]],
) -> DraftingReport:
    """Draw marks and lists into a document, and return what was drawn; only entities of ours are added.

    `draw` draws the marks of one page; `arranged` puts the lists of one width together in several ways, with
    a gap between them.
    """
    report, found, records = DraftingReport(), survey_walls(doc, style), prepare_records(doc, style)
    scenes = list(scenes_of(doc, plans, style, found, report))
    for scene in scenes:
        draw(scene, Raster(scene.reach, _CELL * scene.h))
    page = lists_page(scenes)
    together = [block for each in lists for block in arranged(each, _GAP * page.h)]
    host = put_blocks(
        doc, page, scenes, found, together, [list(shapes) for shapes in zip(*lists, strict=True)]
    )
    for drawn in pages_drawn(scenes, [host]):
        emit(doc, drawn, records)
    report.layers = records.layers
    return report


def bar_joints(scene: Scene, paths_of: Callable[[WallPlan], Iterable[Path]]) -> None:
    """Keep labels off joints that are drawn."""
    for placed in scene.plans:
        for path in paths_of(placed.plan):
            scene.field.add_path(placed.spot.path(path), Level.SOLID)


def put_flag(
    scene: Scene,
    raster: Raster,
    layer: str,
    number: str,
    lines: Sequence[str],
    anchors: tuple[Point, ...],
    identity: Identity,
) -> tuple[Flag, Stand] | None:
    """Write a label where there is room; without any return None and leave a remark."""
    narrow = tuple(piece for line in lines for piece in halved(line))
    found = stand_for(scene, raster, Flag(number, tuple(lines), anchors, identity, narrow))
    if found is None:
        scene.report.remarks.append(f"No room was found for the label of {number}; the list has it.")
    else:
        write_flag(scene, layer, *found)
    return found


def list_block(
    title: str,
    columns: Sequence[tuple[str, int]],
    rows: Sequence[Sequence[str]],
    style: DraftingStyle,
    layer: str,
    identity: Identity,
    more: tuple[int, str],
) -> Block:
    """Make a list of rows, each column some letters wide; `more` says in which column that there are more."""
    shown = [[plain(cell) for cell in row][: len(columns)] for row in rows[:_MOST_ROWS]]
    if len(rows) > _MOST_ROWS:
        said = plain(f"and {len(rows) - _MOST_ROWS} more{more[1]}")
        shown.append([said if n == more[0] else "" for n in range(len(columns))])
    h = style.text_in
    widths = [letters * h * _LETTER for _, letters in columns]
    return table_block(title, [head for head, _ in columns], shown, widths, h, layer, identity)


def legend_block(title: str, samples: Iterable[Sample], layer: str, h: float, identity: Identity) -> Block:
    """Say what marks mean, one to a line."""
    made: list[Stroke | Letters] = list(title_marks(title, layer, h, identity))
    y, width = -title_height(h) - 1.8 * h, text_width(title, 1.25 * h)
    for strokes, words in samples:
        made += [
            Stroke(s.layer, tuple((px, py + y) for px, py in s.path), identity, s.closed, linetype=s.linetype)
            for s in strokes
        ]
        made.append(Letters(layer, words, (6.5 * h, y - 0.5 * h), h, identity))
        width = max(width, 6.5 * h + text_width(words, h))
        y -= 3.2 * h
    return Block(tuple(made), width, -y - 1.0 * h)
