"""Panel dimensions: one string along the wall, below grade or above the roof.

Of all the heights the string could have, the one is taken where its texts hit nothing and its
lines cross least. A text too wide for its panel stands on the outer side of the line, where no
extension line passes, as near to its panel as its neighbours allow.

Glossary:
    string: the chain of dimensions of one wall on one line.
    outer side: the side of the line away from the wall.
    tight: too wide for its panel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.drawing.field import Level
from perpend.drawing.lettering import text_box, text_width
from perpend.drawing.page import Identity, Letters, Measure, Stroke
from perpend.drawing.rows import RowLabel, place_in_row
from perpend.drawing.scene import PlacedPlan, Scene
from perpend.drawing.style import DIMS
from perpend.drawing.tags import blocked_stretches
from perpend.model import Panel, Point
from perpend.units import format_length, same

_LEVELS = 22
_FIRST_BELOW, _FIRST_ABOVE, _STEP = 3.5, 6.5, 1.0
_LIFT = 0.5
_OUTER_BELOW, _OUTER_ABOVE = -1.8, 2.4
_COST_LEVEL, _COST_ABOVE, _COST_LINE, _COST_SOLID, _COST_SHIFT, _COST_TIGHT = 1.0, 6.0, 0.7, 12.0, 0.3, 1.0
_HOPELESS = 1000.0


@dataclass(frozen=True, slots=True)
class _Span:
    """One panel on the page."""

    x0: float
    x1: float
    feet: tuple[float, float]
    text: str
    number: str

    @property
    def middle(self) -> float:
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True, slots=True)
class _Layout:
    """Where a string's line and its texts stand, and what that costs."""

    cost: float
    line_y: float
    places: tuple[Point, ...]


def draw_string(scene: Scene, placed: PlacedPlan) -> None:
    """Draw the panel dimensions of one wall."""
    best: tuple[_Layout, Sequence[_Span]] | None = None
    for below in (True, False):
        spans = list(_spans(scene, placed, below))
        for layout in _layouts(scene, spans, below):
            if best is None or layout.cost < best[0].cost:
                best = (layout, spans)
    if best is None:
        return
    layout, used = best
    if layout.cost >= _HOPELESS:
        scene.report.remarks.append(f"The panel dimensions of {placed.plan.wall.tag} found no free line.")
    for span, place in zip(used, layout.places, strict=True):
        _draw_span(scene, span, layout.line_y, place)


def panel_text(scene: Scene, panel: Panel) -> str:
    """Return what stands on a panel's dimension, with its limit where the panel comes near it."""
    style = scene.style
    width = panel.x1_in - panel.x0_in
    text = format_length(width, style.display)
    use = panel.utilisation
    if use is None or panel.limit_in is None or use <= style.near_limit:
        return text
    limit = format_length(panel.limit_in, style.display)
    if same(panel.length_in, width):
        return f"{text} (MAX. {limit})"
    return f"{text} (PANEL {format_length(panel.length_in, style.display)}, MAX. {limit})"


def _spans(scene: Scene, placed: PlacedPlan, below: bool) -> Iterator[_Span]:
    wall = placed.plan.wall
    edge = wall.bottom if below else wall.top
    for index, panel in enumerate(placed.plan.panels, start=1):
        if panel.x1_in - panel.x0_in <= 0.0:
            continue
        left, right = edge.at(panel.x0_in)[1], edge.at(panel.x1_in)[0]
        (x0, y0), (x1, y1) = placed.spot.path(((panel.x0_in, left), (panel.x1_in, right)))
        yield _Span(x0, x1, (y0, y1), panel_text(scene, panel), f"{wall.tag} panel {index}")


def _layouts(scene: Scene, spans: Sequence[_Span], below: bool) -> Iterator[_Layout]:
    """Return the string at each height it could have."""
    if not spans:
        return
    h = scene.h
    ends = [y for span in spans for y in span.feet]
    for level in range(_LEVELS):
        if below:
            line_y = min(ends) - (_FIRST_BELOW + level * _STEP) * h
        else:
            line_y = max(ends) + (_FIRST_ABOVE + level * _STEP) * h
        base = level * _COST_LEVEL + (0.0 if below else _COST_ABOVE)
        yield _layout_at(scene, spans, line_y, below, base)


def _layout_at(scene: Scene, spans: Sequence[_Span], line_y: float, below: bool, cost: float) -> _Layout:
    h, field = scene.h, scene.field
    places: list[Point | None] = []
    tight: list[int] = []
    for index, span in enumerate(spans):
        inside = _inside_place(scene, span, line_y)
        places.append(inside)
        if inside is None:
            tight.append(index)
        else:
            cost += _COST_SHIFT * abs(inside[0] - span.middle) / h
            cost += _COST_LINE * field.cover(text_box(span.text, inside, h, "center")).lines
    if tight:
        outer = line_y + (_OUTER_BELOW if below else _OUTER_ABOVE) * h
        centres = _outer_centres(scene, [spans[i] for i in tight], outer)
        if centres is None:
            cost += _HOPELESS
            centres = [spans[i].middle for i in tight]
        for index, centre in zip(tight, centres, strict=True):
            places[index] = (centre, outer)
            cost += _COST_TIGHT + _COST_SHIFT * abs(centre - spans[index].middle) / h
    cost += _line_cost(scene, spans, line_y)
    return _Layout(cost, line_y, tuple(p for p in places if p is not None))


def _inside_place(scene: Scene, span: _Span, line_y: float) -> Point | None:
    """Return the free place on the line nearest to the panel's middle, or None."""
    h = scene.h
    width = text_width(span.text, h)
    slack = (span.x1 - span.x0 - width) / 2 - 0.6 * h
    if slack < 0.0:
        return None
    step = 0.0
    while step <= slack:
        for centre in {span.middle + step, span.middle - step}:
            place = (centre, line_y + _LIFT * h)
            if scene.field.is_free(text_box(span.text, place, h, "center").grown(0.1 * h)):
                return place
        step += h
    return None


def _outer_centres(scene: Scene, spans: Sequence[_Span], baseline: float) -> list[float] | None:
    h = scene.h
    return place_in_row(
        [RowLabel(span.middle, text_width(span.text, h)) for span in spans],
        gap_in=0.8 * h,
        step_in=0.5 * h,
        reach_in=40.0 * h,
        blocked=blocked_stretches(
            scene, spans[0].middle, spans[-1].middle, (baseline - 0.4 * h, baseline + 1.2 * h)
        ),
    )


def _line_cost(scene: Scene, spans: Sequence[_Span], line_y: float) -> float:
    """Return the price of what the string's own lines cross."""
    h, field = scene.h, scene.field
    line = field.crossed((spans[0].x0, line_y), (spans[-1].x1, line_y))
    cost = (line.solid + 2 * line.writing) * _COST_SOLID + line.lines * _COST_LINE
    stations = [(spans[0].x0, spans[0].feet[0]), *((span.x1, span.feet[1]) for span in spans)]
    for x, foot in stations:
        away = 0.6 * h if line_y > foot else -0.6 * h
        crossed = field.crossed((x, foot + away), (x, line_y))
        cost += (crossed.solid + 2 * crossed.writing) * _COST_SOLID
    return cost


def _draw_span(scene: Scene, span: _Span, line_y: float, place: Point) -> None:
    """Draw one dimension: its two extension lines, its line, its ticks, its text."""
    h = scene.h
    identity = Identity("dimension", span.number)
    strokes = [Stroke(DIMS, ((span.x0, line_y), (span.x1, line_y)), identity)]
    for x, foot in ((span.x0, span.feet[0]), (span.x1, span.feet[1])):
        away = h if line_y > foot else -h
        strokes.append(Stroke(DIMS, ((x, foot + 0.6 * away), (x, line_y + 0.5 * away)), identity))
        tick = 0.35 * h
        strokes.append(Stroke(DIMS, ((x - tick, line_y - tick), (x + tick, line_y + tick)), identity))
    letters = Letters(DIMS, span.text, place, h, identity, "center")
    if not span.x0 < place[0] < span.x1 or abs(place[1] - line_y) > h:
        strokes.append(_tie(span, line_y, letters, identity))
    scene.board.add(Measure(span.x0, span.x1, span.feet, line_y, tuple(strokes), letters, identity))
    for stroke in strokes:
        scene.field.add_path(stroke.path, Level.SOLID)
    scene.field.add_box(letters.box, Level.WRITING)


def _tie(span: _Span, line_y: float, letters: Letters, identity: Identity) -> Stroke:
    """Return the short line from the middle of a tight panel to its text."""
    box = letters.box
    edge = box.y1 + 0.1 * letters.height_in if box.y1 < line_y else box.y0 - 0.1 * letters.height_in
    end = min(max(span.middle, box.x0), box.x1)
    return Stroke(DIMS, ((span.middle, line_y), (end, edge)), identity)
