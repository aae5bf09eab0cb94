"""Panel dimensions: one string along the wall, below grade or above the roof.

Of all the heights the string could have, the one is taken where its texts hit nothing and its
lines cross least, and where no part of it lies over another wall, a text or a frame. Where there is
none, the string is inside the wall, in a level band off its openings, across bars if need be; where
that is not possible either, it is left out, and the report says so. A text too wide for its panel is
on the outer side of the line, where no extension line passes, as near to its panel as its neighbors
allow.

Glossary:
    string: the chain of dimensions of one wall on one line.
    over, under: just above and just below the line.
    far row: the row on the side of the line away from the wall, for texts too wide for their panel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.decisions.joint_record import one_line
from perpend.drawing.page.dimension_clashes import Segment, runs_over
from perpend.drawing.page.drafting_style import DIMS
from perpend.drawing.page.label_row import RowLabel, place_in_row
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.page.sheet_page import Identity, Letters
from perpend.drawing.plate.dimension_spans import (
    OVER,
    Span,
    draw_span,
    feet_of,
    past_writing,
    runs_of,
    spans_of,
    text_place,
    tie,
)
from perpend.drawing.plate.joint_tags import are_below, blocked_stretches, lines_across
from perpend.dxf.text_metrics import text_box, text_width
from perpend.model import Box, Point

_LEVELS = 22
_FIRST_BELOW, _FIRST_ABOVE, _STEP = 3.5, 6.5, 1.0
_UNDER, _FAR_ABOVE = -1.8, 2.4
_COST_LEVEL, _COST_ABOVE, _COST_LINE, COST_SOLID, _COST_SHIFT, _COST_FAR = 1.0, 6.0, 0.7, 12.0, 0.3, 1.5
_LEANS_IN = 0.5
_CLEAR, _COST_GRAZED, _COST_CUT = 1.2, 2.0, 3.0
"""A line of the drafter's that the string cuts: of a grid bubble, it could go round by a few levels."""
_COST_STRUCK = 20.0
"""A text of the string on a line of the drafter's, such as a bubble: worse than many levels further off."""
_DRAWN, _LINES = frozenset({Level.SOLID, Level.WRITING}), frozenset({Level.LINE})
_CLOSE_BELOW, _COST_CLOSE = 2.5, 40.0
"""Closer below the wall than a string should be: only where there is hardly any other room."""
TRIM, _UNDER_ROOF = 0.5, 1.5


@dataclass(frozen=True, slots=True)
class String:
    """The places of a string's line and its texts, and what that costs."""

    cost: float
    line_y: float
    spans: Sequence[Span]
    texts: Sequence[Point]


def draw_string(scene: Scene, placed: PlacedPlan, *, may_rise: bool = True) -> bool:
    """Draw the panel dimensions of one wall.

    Args:
        scene: the page.
        placed: the wall.
        may_rise: draw a string that is best above the wall; where it must wait until the callouts
            are placed, so that no leader has to cross it, nothing is drawn.

    Returns:
        False when the string has to wait.
    """
    if ("dimension", one_line(placed.plan.wall.tag)) in scene.settled:
        return True
    best: String | None = None
    rises, most = False, math.inf
    for below in (True, False):
        spans = list(spans_of(scene, placed, below))
        for line_y, base in _lines(scene, placed, spans, below):
            if base >= most:
                break
            string = string_at(scene, placed, spans, line_y, below, base, most)
            if string is not None:
                best, rises, most = string, not below, string.cost
    if best is None:
        best, rises = _within(scene, placed), False
    if best is None:
        if any(True for _ in spans_of(scene, placed, True)):
            scene.report.remarks.append(
                f"The panel dimensions of {placed.plan.wall.tag} find no room on the sheet and are left "
                "out: the results list every panel."
            )
        return True
    if rises and not may_rise:
        return False
    for span, text in zip(best.spans, best.texts, strict=True):
        draw_span(scene, span, best.line_y, text)
    return True


def _lines(
    scene: Scene, placed: PlacedPlan, spans: Sequence[Span], below: bool
) -> Iterator[tuple[float, float]]:
    """Return each height that the string could have, and the price of being there."""
    if not spans:
        return
    h = scene.h
    ends = [placed.box.y0 if below else placed.box.y1, *(y for span in spans for y in span.feet)]
    for level in range(_LEVELS):
        if below:
            line_y = min(ends) - (_FIRST_BELOW + level * _STEP) * h
        else:
            line_y = max(ends) + (_FIRST_ABOVE + level * _STEP) * h
        base = level * _COST_LEVEL + (0.0 if below else _COST_ABOVE)
        yield line_y, base
    if below:
        yield min(ends) - _CLOSE_BELOW * h, _COST_CLOSE


def _within(scene: Scene, placed: PlacedPlan) -> String | None:
    """Return the string inside the wall, in the band off its openings that crosses least, or None."""
    h, panels, holes = scene.h, placed.plan.panels, list(_holes(placed))
    if any(panel.length_in - (panel.x1_in - panel.x0_in) > _LEANS_IN for panel in panels):
        return None
    spans, tops = list(spans_of(scene, placed, True)), list(spans_of(scene, placed, False))
    low = max((y for span in spans for y in span.feet), default=0.0) + _UNDER_ROOF * h
    high = min((y for span in tops for y in span.feet), default=0.0) - _UNDER_ROOF * h
    best: String | None = None
    for step in range(int((high - low) / h) + 1 if high > low else 0):
        line_y = low + step * h
        level = [replace(s, feet=(line_y, line_y)) for s in spans]
        texts = [text_place(scene, span, span.text, line_y + OVER * h) for span in level]
        kept = [text for text in texts if text is not None]
        ends = [((s.x0 + TRIM * h, line_y), (s.x1 - TRIM * h, line_y)) for s in level]
        crossed = [scene.field.crossed(a, b) for a, b in ends]
        if len(kept) < len(level) or any(c.writing for c in crossed):
            continue
        if any(hole.y0 < line_y < hole.y1 for hole in holes):
            continue
        boxes = [text_box(s.text, p, h, "center") for s, p in zip(level, kept, strict=True)]
        cost = COST_SOLID * sum(c.solid for c in crossed)
        cost += sum(c.lines for c in crossed)
        cost += _COST_STRUCK * sum(scene.field.cover(box).lines > 0 for box in boxes)
        if (best is None or cost < best.cost) and not runs_over(scene, placed, ends, boxes, outside=False):
            best = String(cost, line_y, level, kept)
    return best


def _holes(placed: PlacedPlan) -> Iterator[Box]:
    """Yield what a string inside a wall never runs through: its openings and lintels."""
    for rule in placed.plan.openings:
        yield placed.spot.box(rule.opening.box)
        if rule.lintel is not None:
            yield placed.spot.box(rule.lintel.box)


def string_at(
    scene: Scene,
    placed: PlacedPlan,
    spans: Sequence[Span],
    line_y: float,
    below: bool,
    cost: float,
    most: float,
) -> String | None:
    """Return the string at a height, or None where it clashes or costs no less than `most`.

    What its lines cross is known first; where that is too much already, its texts look for no place.
    """
    h, from_foot = scene.h, spans
    crossing = _level_cost(scene, from_foot, line_y)
    if cost + crossing >= most:
        return None
    spans = past_writing(scene, from_foot, line_y)
    past_tags = are_below(scene, placed) == below
    crossing += _upright_cost(scene, spans if past_tags else from_foot, line_y)
    if cost + crossing >= most:
        return None
    texts = [text_place(scene, span, span.text, line_y + OVER * h) for span in spans]
    homeless = sorted((i for i, place in enumerate(texts) if place is None), key=lambda i: spans[i].middle)
    far = line_y + (_UNDER if below else _FAR_ABOVE) * h
    centres = _far_centres(scene, [spans[i] for i in homeless], far)
    if centres is None:
        return None
    for i, centre in zip(homeless, centres, strict=True):
        texts[i] = (centre, far)
    cost += _COST_FAR * len(homeless) + crossing
    kept = [place for place in texts if place is not None]
    for span, place in zip(spans, kept, strict=True):
        cost += _COST_SHIFT * abs(place[0] - span.middle) / h
        cost += _COST_STRUCK * (scene.field.cover(text_box(span.text, place, h, "center")).lines > 0)
    string = String(cost, line_y, spans, kept)
    lines, boxes = _parts(scene, string)
    return None if cost >= most or runs_over(scene, placed, lines, boxes, outside=True) else string


def _parts(scene: Scene, string: String) -> tuple[list[Segment], list[Box]]:
    """Return the lines of a string, short of where they may touch others, and the boxes of its texts."""
    h, line_y, spans = scene.h, string.line_y, string.spans
    lines = [((run[0].x0 + TRIM * h, line_y), (run[-1].x1 - TRIM * h, line_y)) for run in runs_of(spans)]
    for x, foot in feet_of(spans):
        away = h if line_y > foot else -h
        lines.append(((x, foot + 0.6 * away), (x, line_y + 0.5 * away)))
    boxes = []
    for span, place in zip(spans, string.texts, strict=True):
        letters = Letters(DIMS, span.text, place, h, Identity("dimension"), "center")
        boxes.append(letters.box)
        if place[1] != line_y + OVER * h or not span.x0 < place[0] < span.x1:
            (a, b) = tie(span, line_y, letters, letters.identity).path
            lines.append((a, b))
    return lines, boxes


def _far_centres(scene: Scene, spans: Sequence[Span], baseline: float) -> list[float] | None:
    """Return where the texts of the far row stand."""
    if not spans:
        return []
    h, first, last = scene.h, spans[0].middle, spans[-1].middle
    band = (baseline - 0.4 * h, baseline + 1.2 * h)
    return place_in_row(
        [RowLabel(span.middle, text_width(span.text, h)) for span in spans],
        gap_in=0.8 * h,
        step_in=0.5 * h,
        reach_in=40.0 * h,
        blocked=blocked_stretches(scene, first, last, band),
        disliked=lines_across(scene, first, last, band),
    )


def _level_cost(scene: Scene, spans: Sequence[Span], line_y: float) -> float:
    """Return the price of what a string's level line crosses; ends may touch a neighbor's string."""
    h, field = scene.h, scene.field
    end = 0.5 * h
    cost = 0.0
    for run in runs_of(spans):
        x0, x1 = run[0].x0 + end, run[-1].x1 - end
        line = field.crossed((x0, line_y), (x1, line_y))
        cost += (line.solid + 2 * line.writing) * COST_SOLID + line.lines * _COST_CUT
        band = Box(x0, line_y - _CLEAR * h, x1, line_y + _CLEAR * h)
        for levels, price in ((_DRAWN, COST_SOLID), (_LINES, _COST_GRAZED)):
            # a line level beside the string's own, which crosses nothing, is as bad as one that is crossed
            cost += price * any(b - a > 2 * h for a, b in scene.field.stretches(band, levels))
    return cost


def _upright_cost(scene: Scene, spans: Sequence[Span], line_y: float) -> float:
    """Return the price of what a string's extension lines cross."""
    h, cost = scene.h, 0.0
    for x, foot in feet_of(spans):
        away = h if line_y > foot else -h
        crossed = scene.field.crossed((x, foot + 0.6 * away), (x, line_y - 0.5 * away))
        cost += (crossed.solid + 2 * crossed.writing) * COST_SOLID + crossed.lines * _COST_LINE
    return cost
