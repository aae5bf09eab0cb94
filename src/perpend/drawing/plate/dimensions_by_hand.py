"""Panel dimensions at a height that a person chose: a whole string, or one of them by itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from perpend.decisions.joint_record import one_line
from perpend.drawing.page.scene import PlacedPlan, Scene
from perpend.drawing.plate.dimension_spans import OVER, Span, draw_span, past_writing, spans_of, text_place
from perpend.drawing.plate.dimensions import COST_SOLID, TRIM, string_at

_FARTHEST = 40.0
"""A string that a person put farther from its wall than this is not that wall's any more, letter heights."""


def draw_string_at(scene: Scene, placed: PlacedPlan, line_y: float, said: tuple[str, ...]) -> bool:
    """Draw a wall's panel dimensions at a height that a person chose; False where they do not fit there.

    Args:
        scene: the page.
        placed: the wall.
        line_y: height of the dimension lines.
        said: further words of their XDATA.
    """
    below = line_y < placed.box.center[1]
    spans = list(spans_of(scene, placed, below))
    if not spans or _is_too_far(scene, spans, line_y) or _istext_place(spans, line_y, below=below):
        return False
    string = string_at(scene, placed, spans, line_y, below, 0.0, math.inf)
    if string is None or string.cost >= COST_SOLID:
        return False
    for span, text in zip(string.spans, string.texts, strict=True):
        draw_span(scene, span, line_y, text, said)
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
    spans = list(spans_of(scene, placed, below))
    x0, x1 = ends
    span = max(spans, key=lambda s: min(s.x1, x1) - max(s.x0, x0), default=None)
    if span is None or min(span.x1, x1) - max(span.x0, x0) < max(span.x1 - span.x0, x1 - x0) / 2:
        return ""
    if _is_too_far(scene, [span], line_y):
        return ""
    inside = _istext_place([span], line_y, below=below)
    span = replace(span, feet=(line_y, line_y)) if inside else past_writing(scene, [span], line_y)[0]
    place = text_place(scene, span, span.text, line_y + OVER * h)
    crossed = scene.field.crossed((span.x0 + TRIM * h, line_y), (span.x1 - TRIM * h, line_y))
    if place is None or crossed.writing or crossed.solid:
        return ""
    draw_span(scene, span, line_y, place, said)
    return one_line(span.number)


def _istext_place(spans: Sequence[Span], line_y: float, *, below: bool) -> bool:
    """Say whether a dimension line lies within the wall: it has no extension lines there."""
    feet = [y for span in spans for y in span.feet]
    return line_y > min(feet) if below else line_y < max(feet)


def _is_too_far(scene: Scene, spans: Sequence[Span], line_y: float) -> bool:
    return max(abs(line_y - y) for span in spans for y in span.feet) > _FARTHEST * scene.h
