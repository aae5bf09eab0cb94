"""Marks at what changed since an older issue: a square flag on a stem, and a heavy bracket.

The bracket lies along what changed: from where a joint was to where it is, over the width of an opening, over
the length of a wall. Where something was is shown by a dashed line. A list on the sheet says each change in
words, as do the labels in short.

Glossary:
    flag: the square that carries the number of a change, ``C3``; its stem leads to the bracket.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ezdxf.document import Drawing

from perpend.drawing.page.drafting_style import CHANGE, HEAVY, WAS, DraftingReport, DraftingStyle
from perpend.drawing.page.leader_labels import is_outside, mark_radius
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.drawing.page.text_blocks import Block, beside, stacked
from perpend.drawing.plate.office_words import short_length
from perpend.drawing.review.mark_shapes import bracket, square
from perpend.drawing.review.overlay import (
    Sample,
    bar_joints,
    draw_overlay,
    legend_block,
    list_block,
    put_flag,
)
from perpend.dxf.text_metrics import plain
from perpend.model import Path, Point
from perpend.revisions.change_model import Change, Difference
from perpend.rulebook import WallBasis
from perpend.units import DisplaySystem, format_length

_COLUMNS = ((("NO.", 5), ("WALL", 10), ("CHANGE", 70)), (("NO.", 5), ("WALL", 8), ("CHANGE", 44)))
_LEAST_BRACKET = 2.0
_RISE = 1.2
"""Letter heights between a thing and the bracket over it."""
_MOST_LINES = 3
_PARTS = (0.62, 0.38, 0.8, 0.2, 0.5)


@dataclass(frozen=True, slots=True)
class MarkedChange:
    """A change with its number (``C3``) and its sentence."""

    number: str
    change: Change
    says: str

    @property
    def identity(self) -> Identity:
        """What its marks are."""
        return Identity("change", self.number, f"{self.change.thing}-{self.change.kind}")


def draw_change_marks(
    doc: Drawing,
    walls: Sequence[WallBasis],
    marked: Sequence[MarkedChange],
    others: Sequence[tuple[str, str]],
    since: str,
    style: DraftingStyle,
) -> DraftingReport:
    """Draw the marks and the list of changes into a document's modelspace.

    Args:
        doc: the new drawing; only entities and records of ours are added.
        walls: the walls of the new drawing.
        marked: what changed in a wall.
        others: numbers and sentences of what has no place, such as settings.
        since: name of the old drawing.
        style: scale, text height, layer prefix, application id, cautions.

    Returns:
        What was drawn, and what could not be drawn as meant.
    """
    rows = [*((m.number, m.change.wall, m.says) for m in marked), *((n, "", says) for n, says in others)]

    def draw(scene: Scene, raster: Raster) -> None:
        bar_joints(scene, lambda plan: (joint.path for joint in plan.wall.drawn_joints))
        _draw_page(scene, raster, marked)

    lists = [_blocks(rows, since, style, columns) for columns in _COLUMNS]
    plans = [basis.bare_plan() for basis in walls]
    return draw_overlay(
        doc, plans, style, draw, lists, lambda each, gap: (stacked(each, gap), beside(each, gap))
    )


def _draw_page(scene: Scene, raster: Raster, marked: Sequence[MarkedChange]) -> None:
    """Draw the brackets of a page first, then the flags where there is room."""
    walls = {placed.plan.wall.tag: placed for placed in scene.plans}
    waiting = [
        (m, _draw_bracket(scene, walls[m.change.wall], m))
        for m in marked
        if m.change.wall in walls and (m.change.at or m.change.old_at)
    ]
    for m, anchors in waiting:
        lines = [plain(line) for line in label_lines(m.change, scene.style.display)]
        found = put_flag(scene, raster, CHANGE, m.number, lines, anchors, m.identity)
        if found is None:
            continue
        edge = square(found[1].center, mark_radius(m.number, scene.h))
        scene.stroke(CHANGE, edge, m.identity, closed=True)
        if is_outside(scene, *found):
            scene.report.remarks.append(f"{m.number} is outside the frame, where there was room.")


def _draw_bracket(scene: Scene, placed: PlacedPlan, m: MarkedChange) -> tuple[Point, ...]:
    """Draw what was, dashed, and the bracket along the change; return where a stem may start."""
    change, h = m.change, scene.h
    now, was = placed.spot.path(change.at), placed.spot.path(change.old_at)
    if was and was != now:
        closed = change.thing != "joint"
        scene.board.add(Stroke(CHANGE, was, m.identity, closed, linetype=WAS))
        scene.field.add_path((*was, was[0]) if closed else was, Level.LINE)
    x0, x1, level = _span(change, now, was, h)
    path = bracket(x0, x1, level, h)
    scene.board.add(Stroke(CHANGE, path, m.identity, weight=HEAVY))
    scene.field.add_path(path, Level.SOLID)
    along = tuple((x0 + (x1 - x0) * t, level) for t in (0.5, 0.0, 1.0, 0.25, 0.75))
    upright = now or was
    if change.thing == "joint" and upright:
        low, high = upright[0][1], upright[-1][1]
        return (*along, *((upright[0][0], low + (high - low) * part) for part in _PARTS))
    return along


def _span(change: Change, now: Path, was: Path, h: float) -> tuple[float, float, float]:
    """Return the ends of a bracket and its level: half way up a joint, over anything else."""
    if change.thing == "joint":
        stations = [path[0][0] for path in (now, was) if path]
        path = now or was
        level = (path[0][1] + path[-1][1]) / 2
    else:
        stations = [x for x, _ in (*now, *was)]
        level = max(y for _, y in (*now, *was)) + _RISE * h
    x0, x1 = min(stations), max(stations)
    short = max(_LEAST_BRACKET * h - (x1 - x0), 0.0) / 2
    return (x0 - short, x1 + short, level)


def label_lines(change: Change, system: DisplaySystem) -> tuple[str, ...]:
    """Say in a few short lines what changed."""
    head = f"{change.thing} {change.kind}"
    if change.thing == "joint" and change.kind in ("added", "removed"):
        path = change.at or change.old_at
        return (head, f"at {format_length(path[0][0], system)}")
    said = [_said(difference, system) for difference in change.differences]
    more = [f"and {len(said) - _MOST_LINES} more"] if len(said) > _MOST_LINES else []
    return (head, *said[:_MOST_LINES], *more)


def _said(difference: Difference, system: DisplaySystem) -> str:
    was, now = (
        short_length(value, system) if isinstance(value, float) else value or "none"
        for value in (difference.was, difference.now)
    )
    return f"{difference.what} {was} -> {now}"


def _blocks(
    rows: Sequence[tuple[str, str, str]],
    since: str,
    style: DraftingStyle,
    columns: Sequence[tuple[str, int]],
) -> list[Block]:
    """Return the list of changes and the legend."""
    identity, title = Identity("change-list"), plain(f"Changes since {since}")
    more = (2, ": run perpend changes for all")
    rows = rows or [("", "", "NONE")]
    samples = _samples(style.text_in, identity)
    return [
        list_block(title, columns, rows, style, CHANGE, identity, more),
        legend_block("MARKS OF CHANGES", samples, CHANGE, style.text_in, identity),
    ]


def _samples(h: float, identity: Identity) -> Iterator[Sample]:
    flag = Stroke(CHANGE, square((2.5 * h, 0.4 * h), 0.9 * h), identity, closed=True)
    stem = Stroke(CHANGE, ((2.5 * h, -0.5 * h), (2.5 * h, -1.4 * h)), identity)
    yield [flag, stem], "CHANGE, BY ITS NUMBER IN THE LIST"
    yield (
        [Stroke(CHANGE, bracket(0.0, 5.0 * h, 0.4 * h, h), identity, weight=HEAVY)],
        "EXTENT OF THE CHANGE",
    )
    yield [Stroke(CHANGE, ((0.0, 0.0), (5.0 * h, 0.0)), identity, linetype=WAS)], "AS IT WAS"
