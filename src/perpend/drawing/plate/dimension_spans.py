"""What panel dimensions measure, where their texts fit, and how one of them is drawn."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.decisions.joint_record import one_line
from perpend.drawing.page.drafting_style import DIMS
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.page.sheet_page import Identity, Letters, Measure, Stroke
from perpend.dxf.own_labels import WORDS_BY_HAND
from perpend.dxf.text_metrics import plain, text_box, text_width
from perpend.model import Point, WallPlan
from perpend.units import SAME_IN, format_length, on_tick, same

OVER: Final = 0.5
"""A text stands so far over its dimension line, letter heights."""
_SLACK = 0.35
_REACH = 40.0
_SAME_PLACE = 1.0
"""A grid line this near to a joint needs no dimension of its own, inches."""


@dataclass(frozen=True, slots=True)
class Span:
    """One panel on the page, or what lies between two grid lines or joints."""

    x0: float
    x1: float
    feet: tuple[float, float]
    text: str
    number: str

    @property
    def middle(self) -> float:
        """Its middle."""
        return (self.x0 + self.x1) / 2


def spans_of(scene: Scene, placed: PlacedPlan, below: bool) -> Iterator[Span]:
    """Yield what is dimensioned and not drawn yet, with its extension lines from below or above."""
    wall = placed.plan.wall
    edge = wall.bottom if below else wall.top
    for number, (x0_in, x1_in) in _stretches(scene, placed.plan):
        if ("dimension", one_line(number)) in scene.settled:
            continue
        left, right = edge.at(x0_in)[1], edge.at(x1_in)[0]
        (x0, y0), (x1, y1) = placed.spot.path(((x0_in, left), (x1_in, right)))
        yield Span(x0, x1, (y0, y1), format_length(x1_in - x0_in, scene.style.display), number)


def _stretches(scene: Scene, plan: WallPlan) -> Iterator[tuple[str, tuple[float, float]]]:
    """Yield what is dimensioned: the panels, or all between their ends and the grid lines."""
    tag, grid = plan.wall.tag, scene.datums.get(plan.wall.tag, ())
    if not grid:
        for index, panel in enumerate(plan.panels, start=1):
            if panel.x1_in > panel.x0_in:
                yield f"{tag} panel {index}", (panel.x0_in, panel.x1_in)
        return
    ends = sorted({x for panel in plan.panels for x in (panel.x0_in, panel.x1_in)})
    inner = (line.x_in for line in grid if ends[0] < line.x_in < ends[-1])
    stations = sorted([*ends, *(x for x in inner if not any(same(x, end, _SAME_PLACE) for end in ends))])
    for index, pair in enumerate(itertools.pairwise(stations), start=1):
        yield f"{tag} grid {index}", pair


def runs_of(spans: Sequence[Span]) -> list[list[Span]]:
    """Part a string where one of its dimensions is drawn elsewhere, as by hand."""
    runs = [[spans[0]]]
    for before, span in itertools.pairwise(spans):
        if same(before.x1, span.x0):
            runs[-1].append(span)
        else:
            runs.append([span])
    return runs


def feet_of(spans: Sequence[Span]) -> list[Point]:
    """Return where the extension lines of a string start."""
    return [
        foot
        for run in runs_of(spans)
        for foot in [(run[0].x0, run[0].feet[0]), *((span.x1, span.feet[1]) for span in run)]
    ]


def past_writing(scene: Scene, span: Span, line_y: float) -> Span:
    """Start the extension lines of a string past the tags and titles that are in their way."""
    h = scene.h

    def start(x: float, foot: float) -> float:
        # an extension line begins 0.6 letter heights from its foot: keep that clear of the writing
        away = h if line_y > foot else -h
        struck = scene.field.writing_struck(x, foot + 0.6 * away, line_y - 0.5 * away)
        if struck is None:
            return foot
        return struck[1] - 0.3 * h if away > 0 else struck[0] + 0.3 * h

    return replace(span, feet=(start(span.x0, span.feet[0]), start(span.x1, span.feet[1])))


def text_place(scene: Scene, span: Span, text: str, baseline: float) -> Point | None:
    """Return the free place within the panel nearest to its middle, off the drafter's lines if it can be."""
    h = scene.h
    slack = (span.x1 - span.x0 - text_width(text, h)) / 2 - _SLACK * h
    struck: Point | None = None
    step = 0.0
    while step <= slack:
        for centre in (span.middle + step, span.middle - step):
            cover = scene.field.cover(text_box(text, (centre, baseline), h, "center").grown(0.1 * h))
            if cover.writing or cover.solid:
                continue
            if not cover.lines:
                return (centre, baseline)
            struck = struck or (centre, baseline)
        step += h
    return struck


def draw_span(scene: Scene, span: Span, line_y: float, place: Point, said: tuple[str, ...] = ()) -> None:
    """Draw one dimension: its two extension lines, its line, its ticks, its text, as a person had it."""
    h = scene.h
    identity = Identity("dimension", span.number)
    words = ""
    if by_hand := _text_by_hand(scene, span, line_y, place):
        words, span, place = by_hand
        said = (*said, WORDS_BY_HAND)
    strokes = [Stroke(DIMS, ((span.x0, line_y), (span.x1, line_y)), identity)]
    for x, foot in ((span.x0, span.feet[0]), (span.x1, span.feet[1])):
        away = h if line_y > foot else -h
        if foot != line_y:
            strokes.append(Stroke(DIMS, ((x, foot + 0.6 * away), (x, line_y + 0.5 * away)), identity))
        tick = 0.35 * h
        strokes.append(Stroke(DIMS, ((x - tick, line_y - tick), (x + tick, line_y + tick)), identity))
    letters = Letters(DIMS, span.text, place, h, identity, "center")
    if place[1] != line_y + OVER * h:
        strokes.append(tie(span, line_y, letters, identity))
    signed = replace(identity, said=said)
    scene.board.add(Measure(span.x0, span.x1, span.feet, line_y, tuple(strokes), letters, signed, words))
    for stroke in strokes:
        scene.field.add_path(stroke.path, Level.SOLID)
    scene.field.add_box(letters.box, Level.WRITING)


def _text_by_hand(scene: Scene, span: Span, line_y: float, usual: Point) -> tuple[str, Span, Point] | None:
    """Return what a person wrote for a length, the dimension with it, its text's place; None if unfit."""
    h, from_drawing = scene.h, scene.page.from_drawing
    for label in (label for label in scene.by_hand if label.text):
        own, place = label.own, usual
        ends = sorted(from_drawing(point)[0] for point in own.points[:2])
        if not (same(ends[0], span.x0) and same(ends[-1], span.x1)):
            continue
        if own.text_at:
            (x, y), (_, line) = from_drawing(own.text_at[0]), from_drawing(own.at)
            there = (on_tick(x), on_tick(y - line + line_y - h / 2))
            place = usual if math.dist(usual, there) <= SAME_IN else there
        written = replace(span, text=plain(own.words.replace("<>", span.text)) or span.text)
        box = text_box(written.text, place, h, "center").grown(0.1 * h)
        cover = scene.field.cover(box)
        near = abs(place[1] - line_y) < _REACH * h and span.x0 - box.width < place[0] < span.x1 + box.width
        wide = place == usual and box.width > span.x1 - span.x0
        fits = near and not (wide or cover.writing or cover.solid)
        scene.report.by_hand.append((label, own.words, fits))
        return (own.words, written, place) if fits else None
    return None


def tie(span: Span, line_y: float, letters: Letters, identity: Identity) -> Stroke:
    """Return the short line from the middle of a panel to a text in the far row."""
    box = letters.box
    edge = box.y1 + 0.1 * letters.height_in if box.y1 < line_y else box.y0 - 0.1 * letters.height_in
    end = min(max(span.middle, box.x0), box.x1)
    return Stroke(DIMS, ((span.middle, line_y), (end, edge)), identity)
