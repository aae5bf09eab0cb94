"""Where lists go: schedules, notes, findings, together where the sheet has room, or where a person put them.

Glossary:
    block: a list, set in one shape; the same list may have several.
    host: the page that takes lists.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
from ezdxf.document import Drawing

from perpend.clean_text import quoted
from perpend.decisions.moved_labels import HandLabel
from perpend.drawing.page.free_space import Room, boxes_around, drawn_shapes, make_room, sums_of
from perpend.drawing.page.obstacles import Survey, survey
from perpend.drawing.page.paper_sheet import bar_frames, paper_room, sheet_for_lists
from perpend.drawing.page.scene import Scene, empty_scene, within
from perpend.drawing.page.sheet_page import Page, Paragraph
from perpend.drawing.page.text_blocks import Block, stacked
from perpend.dxf.own_labels import BY_HAND
from perpend.dxf.paperspace import MODELSPACE
from perpend.model import Box, Point

_BLOCK_MARGIN = 3.5
BLOCK_GAP = 5.0


def lists_page(scenes: Sequence[Scene]) -> Scene:
    """Return the page on which lists lie level: that of all walls, or one level with the sheet.

    Where the walls do not share one angle, the sheet's own axes decide, whichever wall comes first.
    """
    if len(scenes) == 1:
        return scenes[0]
    level = [scene for scene in scenes if scene.page.angle_rad == 0.0]
    if level:
        return max(level, key=lambda scene: len(scene.plans))
    return empty_scene(Page(0.0, scenes[0].page.inches_per_unit), scenes[0], scenes[0].layout)


def pages_drawn(scenes: Sequence[Scene], hosts: Sequence[Scene]) -> list[Scene]:
    """Return every page there is: those of the walls, and those of the lists where they are others."""
    return list({id(scene): scene for scene in (*scenes, *hosts)}.values())


def put_blocks(
    doc: Drawing,
    scene: Scene,
    standing: Sequence[Scene],
    found: Survey,
    together: Sequence[Block],
    apart: Sequence[Sequence[Block]],
    kept: Scene | None = None,
) -> Scene:
    """Put blocks of lettering where the sheet has room: as one group, or else each by itself.

    Args:
        doc: the drawing; a layout of paper space that shows all walls takes the blocks, if it has room.
        scene: the page that takes the blocks else.
        standing: every page of the drawing, with everything else drawn on it.
        found: the drafter's things.
        together: ways to set all of them as one group, the most usual first.
        apart: the single blocks, each in one shape or several.
        kept: the page of the lists that are where a person put them.

    Returns:
        The page that took them.
    """
    h, corner = scene.h, scene.style.content.lists_at
    on_paper = _put_on_paper(doc, standing, found, together, apart, kept)
    if on_paper is not None:
        return on_paper
    if corner is not None:
        _put_at(scene, together, corner)
        return scene
    widest = max(min(block.width_in for block in shapes) for shapes in apart)
    spare = max(min(max(b.width_in, b.height_in) for b in together), widest) + 12 * h
    room = make_room(scene.page, h, standing, found, spare, _BLOCK_MARGIN * h)
    if not any(scene is other for other in standing):
        _mark_own(room, scene)
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
        group = stacked(homeless, BLOCK_GAP * h)
        _put(scene, group, (room.right + _BLOCK_MARGIN * h, room.walls.y1))
    return scene


def _put_on_paper(
    doc: Drawing,
    standing: Sequence[Scene],
    found: Survey,
    together: Sequence[Block],
    apart: Sequence[Sequence[Block]],
    kept: Scene | None,
) -> Scene | None:
    """Put all blocks on the sheet of paper space that takes lists; None where there is none, or no room."""
    style, report = standing[0].style, standing[0].report
    sheet, said = sheet_for_lists(doc, standing, style)
    if said:
        report.remarks.append(said)
    if sheet is None:
        return None
    name, corner = quoted(sheet.layout.name), style.content.lists_at
    on_it = kept is not None and kept.layout is sheet.layout
    scene = kept if kept is not None and on_it else empty_scene(sheet.page, standing[0], sheet.layout)
    if corner is not None:
        _put_at(scene, together, corner)
    else:
        room = paper_room(doc, sheet, standing, found, scene.h)
        _mark_own(room, scene)
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


def _mark_own(room: Room, scene: Scene) -> None:
    """Take the cells of what is on a page already."""
    pieces, corners = drawn_shapes(scene.page, scene)
    room.mark(pieces, boxes_around(corners))


def put_by_hand(
    doc: Drawing,
    scenes: Sequence[Scene],
    found: Survey,
    labels: Sequence[HandLabel],
    lists: Sequence[Sequence[Block]],
) -> Scene | None:
    """Put the lists that a person moved where they are now, if no text and nothing of ours is there.

    Args:
        doc: the drawing.
        scenes: every page of the drawing, with everything else drawn on it.
        found: the drafter's things.
        labels: what a person moved.
        lists: each list in its shapes.

    Returns:
        The page that took them; its `settled` and the report say which. None where no list was moved.
    """
    moved = {label.own.kind: label for label in labels}
    mine = [(label, shapes) for shapes in lists if (label := moved.get(kind_of(shapes[0])))]
    if not mine:
        return None
    style = scenes[0].style
    sheet, _ = sheet_for_lists(doc, scenes, style)
    scene = empty_scene(sheet.page, scenes[0], sheet.layout) if sheet else lists_page(scenes)
    layout = sheet.layout.name if sheet else style.layout or MODELSPACE
    texts = survey(doc, style.app_id, sheet.layout) if sheet else found
    taken = [boxes_around(scene.page.turn(texts.quads))]
    if not sheet:
        taken += [boxes_around(drawn_shapes(scene.page, other)[1]) for other in scenes]
    for label, shapes in mine:
        fits = label.own.layout == layout and label.whole and not scene.page.upside_down
        block = _fitting(scene, label, shapes, np.concatenate(taken)) if fits else None
        scene.report.by_hand.append((label, "", block is not None))
        if block is not None:
            marks = block.at(scene.page.from_drawing(label.own.at))
            scene.board.add(*(replace(m, identity=replace(m.identity, said=(BY_HAND,))) for m in marks))
            scene.settled.add(("list", label.own.kind))
            taken.append(np.array([_box(scene, label, block)]))
    return scene


def kind_of(block: Block) -> str:
    """Return what a list is, such as ``joint-schedule``."""
    return block.marks[0].identity.kind if block.marks else kind_of(block.parts[0][0])


def _box(scene: Scene, label: HandLabel, block: Block) -> tuple[float, float, float, float]:
    x, y = scene.page.from_drawing(label.own.at)
    return (x, y - block.height_in, x + block.width_in, y)


def _fitting(
    scene: Scene, label: HandLabel, shapes: Sequence[Block], taken: npt.NDArray[np.float64]
) -> Block | None:
    """Return a shape of a list that fits where it was put, the most like the one before."""
    lines = label.own.words.split("\\P")

    def unlike(block: Block) -> int:
        if block.marks and isinstance(block.marks[0], Paragraph):
            return abs(max(map(len, block.marks[0].lines)) - max(map(len, lines)))
        return abs(max(len(block.parts), 1) - label.parts)

    for block in sorted(shapes, key=unlike):
        if not within(taken, Box(*_box(scene, label, block)).grown(-0.1 * scene.h)).any():
            return block
    return None
