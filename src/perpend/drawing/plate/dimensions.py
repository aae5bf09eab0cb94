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

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.decisions.joint_record import one_line
from perpend.drawing.page.dimension_clashes import Segment, runs_over
from perpend.drawing.page.drafting_style import DIMS
from perpend.drawing.page.label_row import RowLabel, place_in_row
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.page.sheet_page import Identity, Letters, Measure, Stroke
from perpend.drawing.plate.joint_tags import blocked_stretches, lines_across
from perpend.dxf.text_metrics import text_box, text_width
from perpend.model import Box, Point, WallPlan
from perpend.units import format_length, same

_LEVELS = 22
_FIRST_BELOW, _FIRST_ABOVE, _STEP = 3.5, 6.5, 1.0
_OVER, _UNDER, _FAR_ABOVE = 0.5, -1.6, 2.4
_SLACK = 0.35
_COST_LEVEL, _COST_ABOVE, _COST_LINE, _COST_SOLID, _COST_SHIFT, _COST_FAR = 1.0, 6.0, 0.7, 12.0, 0.3, 1.5
_LEANS_IN = 0.5
_CLEAR, _COST_GRAZED, _COST_CUT = 1.2, 2.0, 3.0
"""A line of the drafter's that the string cuts: of a grid bubble, it could go round by a few levels."""
_COST_STRUCK = 20.0
"""A text of the string on a line of the drafter's, such as a bubble: worse than many levels further off."""
_DRAWN, _LINES = frozenset({Level.SOLID, Level.WRITING}), frozenset({Level.LINE})
_CLOSE_BELOW, _COST_CLOSE = 2.5, 40.0
"""Closer below the wall than a string should be: only where there is hardly any other room."""
_TRIM, _UNDER_ROOF = 0.5, 1.5
_FARTHEST = 40.0
"""A string that a person put farther from its wall than this is not that wall's any more, letter heights."""
_SAME_PLACE = 1.0
"""A grid line this near to a joint needs no dimension of its own, inches."""


@dataclass(frozen=True, slots=True)
class _Span:
    """One panel on the page, or what lies between two grid lines or joints."""

    x0: float
    x1: float
    feet: tuple[float, float]
    text: str
    number: str

    @property
    def middle(self) -> float:
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class _String:
    """The places of a string's line and its texts, and what that costs."""

    cost: float
    line_y: float
    spans: Sequence[_Span]
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
    best: _String | None = None
    rises, most = False, math.inf
    for below in (True, False):
        spans = list(_spans(scene, placed, below))
        for line_y, base in _lines(scene, placed, spans, below):
            if base >= most:
                break
            string = _string_at(scene, placed, spans, line_y, below, base, most)
            if string is not None:
                best, rises, most = string, not below, string.cost
    if best is None:
        best, rises = _within(scene, placed), False
    if best is None:
        if any(True for _ in _spans(scene, placed, True)):
            scene.report.remarks.append(
                f"The panel dimensions of {placed.plan.wall.tag} find no room on the sheet and are left "
                "out: the results list every panel."
            )
        return True
    if rises and not may_rise:
        return False
    for span, text in zip(best.spans, best.texts, strict=True):
        _draw_span(scene, span, best.line_y, text)
    return True


def draw_string_at(scene: Scene, placed: PlacedPlan, line_y: float, said: tuple[str, ...]) -> bool:
    """Draw a wall's panel dimensions at a height that a person chose; False where they do not fit there.

    Args:
        scene: the page.
        placed: the wall.
        line_y: height of the dimension lines.
        said: further words of their XDATA.
    """
    below = line_y < placed.box.center[1]
    spans = list(_spans(scene, placed, below))
    if not spans or _is_too_far(scene, spans, line_y) or _is_inside(spans, line_y, below=below):
        return False
    string = _string_at(scene, placed, spans, line_y, below, 0.0, math.inf)
    if string is None or string.cost >= _COST_SOLID:
        return False
    for span, text in zip(string.spans, string.texts, strict=True):
        _draw_span(scene, span, line_y, text, said)
    return True


def draw_span_at(
    scene: Scene, placed: PlacedPlan, ends: tuple[float, float], line_y: float, said: tuple[str, ...]
) -> str:
    """Draw one panel's dimension at a height that a person chose.

    Args:
        scene: the page.
        placed: the wall.
        ends: from where to where the dimension reached that was moved, page axes.
        line_y: height of its line.
        said: further words of its XDATA.

    Returns:
        Which one was drawn, such as ``W1 panel 2``; empty where it does not fit, or measures nothing now.
    """
    h, below = scene.h, line_y < placed.box.center[1]
    spans = list(_spans(scene, placed, below))
    x0, x1 = ends
    span = max(spans, key=lambda s: min(s.x1, x1) - max(s.x0, x0), default=None)
    if span is None or min(span.x1, x1) - max(span.x0, x0) < max(span.x1 - span.x0, x1 - x0) / 2:
        return ""
    if _is_too_far(scene, [span], line_y):
        return ""
    inside = _is_inside([span], line_y, below=below)
    span = replace(span, feet=(line_y, line_y)) if inside else _past_writing(scene, span, line_y)
    place = _inside(scene, span, span.text, line_y + _OVER * h)
    crossed = scene.field.crossed((span.x0 + _TRIM * h, line_y), (span.x1 - _TRIM * h, line_y))
    if place is None or crossed.writing or crossed.solid:
        return ""
    _draw_span(scene, span, line_y, place, said)
    return one_line(span.number)


def _is_inside(spans: Sequence[_Span], line_y: float, *, below: bool) -> bool:
    """Say whether a dimension line lies within the wall: it has no extension lines there."""
    feet = [y for span in spans for y in span.feet]
    return line_y > min(feet) if below else line_y < max(feet)


def _is_too_far(scene: Scene, spans: Sequence[_Span], line_y: float) -> bool:
    return max(abs(line_y - y) for span in spans for y in span.feet) > _FARTHEST * scene.h


def _spans(scene: Scene, placed: PlacedPlan, below: bool) -> Iterator[_Span]:
    wall = placed.plan.wall
    edge = wall.bottom if below else wall.top
    for number, (x0_in, x1_in) in _stretches(scene, placed.plan):
        if ("dimension", one_line(number)) in scene.settled:
            continue
        left, right = edge.at(x0_in)[1], edge.at(x1_in)[0]
        (x0, y0), (x1, y1) = placed.spot.path(((x0_in, left), (x1_in, right)))
        yield _Span(x0, x1, (y0, y1), format_length(x1_in - x0_in, scene.style.display), number)


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


def _lines(
    scene: Scene, placed: PlacedPlan, spans: Sequence[_Span], below: bool
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


def _within(scene: Scene, placed: PlacedPlan) -> _String | None:
    """Return the string inside the wall, in the band off its openings that crosses least, or None."""
    h, panels, holes = scene.h, placed.plan.panels, list(_holes(placed))
    if any(panel.length_in - (panel.x1_in - panel.x0_in) > _LEANS_IN for panel in panels):
        return None
    spans, tops = list(_spans(scene, placed, True)), list(_spans(scene, placed, False))
    low = max((y for span in spans for y in span.feet), default=0.0) + _UNDER_ROOF * h
    high = min((y for span in tops for y in span.feet), default=0.0) - _UNDER_ROOF * h
    best: _String | None = None
    for step in range(int((high - low) / h) + 1 if high > low else 0):
        line_y = low + step * h
        level = [replace(s, feet=(line_y, line_y)) for s in spans]
        texts = [_inside(scene, span, span.text, line_y + _OVER * h) for span in level]
        kept = [text for text in texts if text is not None]
        ends = [((s.x0 + _TRIM * h, line_y), (s.x1 - _TRIM * h, line_y)) for s in level]
        crossed = [scene.field.crossed(a, b) for a, b in ends]
        if len(kept) < len(level) or any(c.writing for c in crossed):
            continue
        if any(hole.y0 < line_y < hole.y1 for hole in holes):
            continue
        boxes = [text_box(s.text, p, h, "center") for s, p in zip(level, kept, strict=True)]
        cost = _COST_SOLID * sum(c.solid for c in crossed)
        cost += sum(c.lines for c in crossed)
        cost += _COST_STRUCK * sum(scene.field.cover(box).lines > 0 for box in boxes)
        if (best is None or cost < best.cost) and not runs_over(scene, placed, ends, boxes, outside=False):
            best = _String(cost, line_y, level, kept)
    return best


def _holes(placed: PlacedPlan) -> Iterator[Box]:
    """Yield what a string inside a wall never runs through: its openings and lintels."""
    for rule in placed.plan.openings:
        yield placed.spot.box(rule.opening.box)
        if rule.lintel is not None:
            yield placed.spot.box(rule.lintel.box)


def _string_at(
    scene: Scene,
    placed: PlacedPlan,
    spans: Sequence[_Span],
    line_y: float,
    below: bool,
    cost: float,
    most: float,
) -> _String | None:
    """Return the string at a height, or None where it clashes or costs no less than `most`.

    What its lines cross is known first; where that is too much already, its texts look for no place.
    """
    h, from_foot = scene.h, spans
    spans = [_past_writing(scene, span, line_y) for span in from_foot]
    crossing = _line_cost(scene, from_foot if below else spans, line_y)
    if cost + crossing >= most:
        return None
    texts = [_inside(scene, span, span.text, line_y + _OVER * h) for span in spans]
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
    string = _String(cost, line_y, spans, kept)
    lines, boxes = _parts(scene, string)
    return None if cost >= most or runs_over(scene, placed, lines, boxes, outside=True) else string


def _parts(scene: Scene, string: _String) -> tuple[list[Segment], list[Box]]:
    """Return the lines of a string, short of where they may touch others, and the boxes of its texts."""
    h, line_y, spans = scene.h, string.line_y, string.spans
    lines = [((spans[0].x0 + _TRIM * h, line_y), (spans[-1].x1 - _TRIM * h, line_y))]
    for x, foot in [(spans[0].x0, spans[0].feet[0]), *((span.x1, span.feet[1]) for span in spans)]:
        away = h if line_y > foot else -h
        lines.append(((x, foot + 0.6 * away), (x, line_y + 0.5 * away)))
    boxes = []
    for span, place in zip(spans, string.texts, strict=True):
        letters = Letters(DIMS, span.text, place, h, Identity("dimension"), "center")
        boxes.append(letters.box)
        if place[1] != line_y + _OVER * h or not span.x0 < place[0] < span.x1:
            (a, b) = _tie(span, line_y, letters, letters.identity).path
            lines.append((a, b))
    return lines, boxes


def _inside(scene: Scene, span: _Span, text: str, baseline: float) -> Point | None:
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


def _far_centres(scene: Scene, spans: Sequence[_Span], baseline: float) -> list[float] | None:
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


def _past_writing(scene: Scene, span: _Span, line_y: float) -> _Span:
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


def _line_cost(scene: Scene, spans: Sequence[_Span], line_y: float) -> float:
    """Return the price of what the string's own lines cross; ends may touch a neighbor's string."""
    h, field = scene.h, scene.field
    end = 0.5 * h
    line = field.crossed((spans[0].x0 + end, line_y), (spans[-1].x1 - end, line_y))
    cost = (line.solid + 2 * line.writing) * _COST_SOLID + line.lines * _COST_CUT
    band = Box(spans[0].x0 + end, line_y - _CLEAR * h, spans[-1].x1 - end, line_y + _CLEAR * h)
    for levels, price in ((_DRAWN, _COST_SOLID), (_LINES, _COST_GRAZED)):
        # a line that runs level beside the string's own, and so crosses nothing, is as bad as one crossed
        cost += price * any(x1 - x0 > 2 * h for x0, x1 in scene.field.stretches(band, levels))
    stations = [(spans[0].x0, spans[0].feet[0]), *((span.x1, span.feet[1]) for span in spans)]
    for x, foot in stations:
        away = h if line_y > foot else -h
        crossed = field.crossed((x, foot + 0.6 * away), (x, line_y - 0.5 * away))
        cost += (crossed.solid + 2 * crossed.writing) * _COST_SOLID + crossed.lines * _COST_LINE
    return cost


def _draw_span(scene: Scene, span: _Span, line_y: float, place: Point, said: tuple[str, ...] = ()) -> None:
    """Draw one dimension: its two extension lines, its line, its ticks, its text."""
    h = scene.h
    identity = Identity("dimension", span.number)
    strokes = [Stroke(DIMS, ((span.x0, line_y), (span.x1, line_y)), identity)]
    for x, foot in ((span.x0, span.feet[0]), (span.x1, span.feet[1])):
        away = h if line_y > foot else -h
        if foot != line_y:
            strokes.append(Stroke(DIMS, ((x, foot + 0.6 * away), (x, line_y + 0.5 * away)), identity))
        tick = 0.35 * h
        strokes.append(Stroke(DIMS, ((x - tick, line_y - tick), (x + tick, line_y + tick)), identity))
    letters = Letters(DIMS, span.text, place, h, identity, "center")
    if place[1] != line_y + _OVER * h:
        strokes.append(_tie(span, line_y, letters, identity))
    signed = replace(identity, said=said)
    scene.board.add(Measure(span.x0, span.x1, span.feet, line_y, tuple(strokes), letters, signed))
    for stroke in strokes:
        scene.field.add_path(stroke.path, Level.SOLID)
    scene.field.add_box(letters.box, Level.WRITING)


def _tie(span: _Span, line_y: float, letters: Letters, identity: Identity) -> Stroke:
    """Return the short line from the middle of a panel to a text in the far row."""
    box = letters.box
    edge = box.y1 + 0.1 * letters.height_in if box.y1 < line_y else box.y0 - 0.1 * letters.height_in
    end = min(max(span.middle, box.x0), box.x1)
    return Stroke(DIMS, ((span.middle, line_y), (end, edge)), identity)
