"""One page while it is being drawn: its walls, what stands on it, and the pen.

Glossary:
    spot: where a wall lies on its page.
    pen: adds a mark and at once makes it an obstacle for the labels that follow.
    frame line: a straight line of the drafter's past which all walls of the page lie, from one end to
        the other: a side of the sheet's border or of a frame around the elevations.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt
from ezdxf.layouts.base import BaseLayout

from perpend.decisions.moved_labels import HandLabel
from perpend.drawing.page.drafting_style import DraftingReport, DraftingStyle
from perpend.drawing.page.grid_lines import Datum
from perpend.drawing.page.obstacles import Survey
from perpend.drawing.page.occupancy import Field, Level
from perpend.drawing.page.sheet_page import Board, Identity, Letters, Page, Spot, Stroke
from perpend.model import Box, Joint, Path, Point, Source, WallPlan

_MANY_LINES = 100_000
_AT_ONCE = 50_000
_CELL_HEIGHTS = 4.0
_MARGIN_HEIGHTS = 80.0
_FRAME_HEIGHTS, _LEVEL_HEIGHTS = 1.0, 0.1


@dataclass(frozen=True)
class PlacedPlan:
    """A plan and where its wall lies on the page."""

    plan: WallPlan
    spot: Spot

    @cached_property
    def box(self) -> Box:
        """Box around the wall, page axes."""
        wall = self.plan.wall
        return self.spot.box(Box.around((*wall.top.points, *wall.bottom.points)))

    def number(self, joint: Joint) -> str:
        """Return the number under which a joint is known everywhere, such as ``W1-3``."""
        return f"{self.plan.wall.tag}-{joint.mark}"

    def faces(self) -> Iterator[Box]:
        """Return boxes that together cover the wall's face."""
        top, bottom = self.plan.wall.top, self.plan.wall.bottom
        stations = sorted({x for x, _ in (*top.points, *bottom.points)})
        for x0, x1 in itertools.pairwise(stations):
            crown = max(y for _, y in top.between(x0, x1))
            base = min(y for _, y in bottom.between(x0, x1))
            yield self.spot.box(Box(x0, base, x1, crown))


@dataclass(slots=True)
class Scene:
    """Everything needed to draw one page, which is in modelspace or on the layout that is named."""

    page: Page
    style: DraftingStyle
    plans: list[PlacedPlan]
    report: DraftingReport
    several: bool
    field: Field
    board: Board
    tips: list[Point] = dataclasses.field(default_factory=list)
    frames: list[tuple[Point, Point]] = dataclasses.field(default_factory=list)
    datums: dict[str, tuple[Datum, ...]] = dataclasses.field(default_factory=dict)
    settled: set[tuple[str, str]] = dataclasses.field(default_factory=set)
    """Kind and words of the labels that are drawn already, where a person put them."""
    by_hand: Sequence[HandLabel] = ()
    """What a person moved or wrote."""
    layout: BaseLayout | None = None

    @property
    def h(self) -> float:
        """Height of the letters, inches."""
        return self.style.text_in

    @property
    def box(self) -> Box:
        """Box around every wall of the page."""
        boxes = [placed.box for placed in self.plans]
        return Box.around([p for b in boxes for p in ((b.x0, b.y0), (b.x1, b.y1))])

    def faces_beside(self, placed: PlacedPlan, boxes: Sequence[Box]) -> Iterator[Box]:
        """Yield what covers the faces of the other walls that any of some boxes may lie on."""
        if not boxes:
            return
        around = Box.around([p for box in boxes for p in ((box.x0, box.y0), (box.x1, box.y1))])
        for other in self.plans:
            if other is not placed and other.box.overlaps(around):
                yield from other.faces()

    @property
    def sheet(self) -> Box:
        """The part of the page within the nearest frame lines about the walls; without end where none are."""
        walls, sides = self.box, Box(-math.inf, -math.inf, math.inf, math.inf)
        for (xa, ya), (xb, yb) in self.frames:
            level = abs(xb - xa) > abs(yb - ya)
            x, y = (walls.x0, ya) if level else (xa, walls.y0)
            sides = Box(
                max(sides.x0, x) if x < walls.x0 else sides.x0,
                max(sides.y0, y) if y < walls.y0 else sides.y0,
                min(sides.x1, x) if x > walls.x1 else sides.x1,
                min(sides.y1, y) if y > walls.y1 else sides.y1,
            )
        return sides

    @property
    def reach(self) -> Box:
        """The part of the page where labels may stand."""
        return self.box.grown(self.h * _MARGIN_HEIGHTS)

    def stroke(
        self,
        layer: str,
        path: Path,
        identity: Identity,
        *,
        closed: bool = False,
        level: Level = Level.SOLID,
        linetype: str = "",
    ) -> None:
        """Draw a line that labels keep off, or may lie over at the price of its level."""
        self.board.add(Stroke(layer, path, identity, closed, linetype=linetype))
        self.field.add_path((*path, path[0]) if closed else path, level)

    def letters(
        self,
        layer: str,
        text: str,
        baseline: Point,
        identity: Identity,
        *,
        align: str = "left",
        height_in: float | None = None,
    ) -> Letters:
        """Write a line of text that labels keep off."""
        made = Letters(layer, text, baseline, height_in or self.h, identity, align)
        self.board.add(made)
        self.field.add_box(made.box, Level.WRITING)
        return made

    def leader(self, layer: str, path: Path, identity: Identity) -> None:
        """Draw a leader; its pieces count as solid, its length goes into the report."""
        self.stroke(layer, path, identity)
        self.report.leaders_in.append(sum(math.dist(a, b) for a, b in itertools.pairwise(path)))


def rule_of(sources: Sequence[Source]) -> str:
    """Return the key of the first rule-book row, or nothing."""
    return sources[0].row if sources else ""


def make_scene(
    page: Page,
    plans: Iterable[PlacedPlan],
    style: DraftingStyle,
    found: Survey,
    report: DraftingReport,
    *,
    several: bool,
) -> Scene:
    """Lay out a page: the drafter's things near its walls, the walls' faces and openings."""
    scene = Scene(
        page=page,
        style=style,
        plans=list(plans),
        report=report,
        several=several,
        field=Field(style.text_in * _CELL_HEIGHTS),
        board=Board(page),
    )
    _add_drafters(scene, found)
    for placed in scene.plans:
        for face in placed.faces():
            scene.field.add_box(face, Level.FACE)
        for opening in placed.plan.wall.openings:
            scene.field.add_box(placed.spot.box(opening.box))
    return scene


def empty_scene(page: Page, other: Scene, layout: BaseLayout | None = None) -> Scene:
    """Lay out a page without walls, in the style of another; on a layout, or modelspace."""
    field = Field(other.h * _CELL_HEIGHTS)
    return Scene(page, other.style, [], other.report, other.several, field, Board(page), layout=layout)


def _add_drafters(scene: Scene, found: Survey) -> None:
    """Add the drafter's texts, dimensions, hatches and lines that lie within reach of the walls."""
    near, turn, walls = scene.reach, scene.page.turn, scene.box
    for corners, level in ((found.quads, Level.WRITING), (found.areas, Level.PATTERN)):
        shapes = turn(corners)
        boxes = np.concatenate((shapes.min(axis=1), shapes.max(axis=1)), axis=1)
        for x0, y0, x1, y1 in boxes[within(boxes, near)].tolist():
            # cut to what is near: a stray hatch can be as wide as the world
            cut = Box(max(x0, near.x0), max(y0, near.y0), min(x1, near.x1), min(y1, near.y1))
            scene.field.add_box(cut, level)
    for ends, level in ((found.lines, Level.LINE), (found.dimension_lines, Level.SOLID)):
        parts = [_near(turn(part), near) for part in in_parts(ends)]
        pieces = _thinned(np.concatenate([ends[:0], *parts]), scene.h * _CELL_HEIGHTS)
        kept, clipped = _cut_to(pieces, near)
        levels = [level] * len(clipped)
        for i in _long_ones(pieces[kept], walls) if level is Level.LINE else ():
            (xa, ya), (xb, yb) = pieces[kept][i].tolist()
            if _is_frame((xa, ya), (xb, yb), walls, scene.h):
                (ua, va), (ub, vb) = clipped[i].tolist()
                levels[i] = Level.SOLID
                scene.frames.append(((ua, va), (ub, vb)))
        scene.field.add_lines(clipped, levels)


def in_parts(shapes: npt.NDArray[np.float64]) -> Iterator[npt.NDArray[np.float64]]:
    """Yield many shapes a part at a time: what is calculated of a million at once takes 200 MB."""
    for start in range(0, len(shapes), _AT_ONCE):
        yield shapes[start : start + _AT_ONCE]


def _near(pieces: npt.NDArray[np.float64], near: Box) -> npt.NDArray[np.float64]:
    """Return the lines whose boxes touch an area."""
    boxes = np.concatenate((pieces.min(axis=1), pieces.max(axis=1)), axis=1)
    found: npt.NDArray[np.float64] = pieces[within(boxes, near)]
    return found


def _long_ones(pieces: npt.NDArray[np.float64], walls: Box) -> list[int]:
    """Return the numbers of the lines that are wider than all walls, or higher."""
    x, y = np.abs(pieces[:, 1] - pieces[:, 0]).T
    long: list[int] = np.flatnonzero((x >= walls.width) | (y >= walls.height)).tolist()
    return long


def _thinned(pieces: npt.NDArray[np.float64], cell: float) -> npt.NDArray[np.float64]:
    """Keep one of all the lines that begin in one cell and end in one cell, where there are very many lines.

    No label fits between such lines, and a million of them would take minutes.
    """
    if len(pieces) <= _MANY_LINES:
        return pieces
    cells = np.floor(pieces / cell).reshape(-1, 4)
    return pieces[np.sort(np.unique(cells, axis=0, return_index=True)[1])]


def _is_frame(a: Point, b: Point, walls: Box, h: float) -> bool:
    """Say whether a level or upright line runs past all walls at a distance, as a side of a frame does."""
    low, high = (min(a[0], b[0]), min(a[1], b[1])), (max(a[0], b[0]), max(a[1], b[1]))
    apart = _FRAME_HEIGHTS * h
    if high[1] - low[1] < _LEVEL_HEIGHTS * h:
        beyond = high[1] < walls.y0 - apart or low[1] > walls.y1 + apart
        return beyond and low[0] < walls.x0 - apart and high[0] > walls.x1 + apart
    if high[0] - low[0] < _LEVEL_HEIGHTS * h:
        beyond = high[0] < walls.x0 - apart or low[0] > walls.x1 + apart
        return beyond and low[1] < walls.y0 - apart and high[1] > walls.y1 + apart
    return False


def within(boxes: npt.NDArray[np.float64], area: Box) -> npt.NDArray[np.bool_]:
    """Say which of many boxes (x0, y0, x1, y1) touch an area."""
    touching: npt.NDArray[np.bool_] = (
        (boxes[:, 0] <= area.x1)
        & (area.x0 <= boxes[:, 2])
        & (boxes[:, 1] <= area.y1)
        & (area.y0 <= boxes[:, 3])
    )
    return touching


def clip_segments(pieces: npt.NDArray[np.float64], box: Box) -> npt.NDArray[np.float64]:
    """Cut straight lines to a box; those that stay outside are left out.

    Args:
        pieces: their ends, shape (n, 2, 2).
        box: what they are cut to.
    """
    return _cut_to(pieces, box)[1]


def _cut_to(
    pieces: npt.NDArray[np.float64], box: Box
) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.float64]]:
    """Say which straight lines meet a box, and return what of these is in it."""
    a = pieces[:, 0]
    d = pieces[:, 1] - a
    enter, leave = np.zeros(len(pieces)), np.ones(len(pieces))
    kept = np.ones(len(pieces), dtype=bool)
    sides = (
        (-d[:, 0], a[:, 0] - box.x0),
        (d[:, 0], box.x1 - a[:, 0]),
        (-d[:, 1], a[:, 1] - box.y0),
        (d[:, 1], box.y1 - a[:, 1]),
    )
    for slope, room in sides:
        at = room / np.where(slope == 0.0, 1.0, slope)
        kept &= (slope != 0.0) | (room >= 0.0)
        enter = np.where(slope < 0.0, np.maximum(enter, at), enter)
        leave = np.where(slope > 0.0, np.minimum(leave, at), leave)
    kept &= enter <= leave
    a, d, enter, leave = a[kept], d[kept], enter[kept, None], leave[kept, None]
    return kept, np.stack((a + enter * d, a + leave * d), axis=1)
