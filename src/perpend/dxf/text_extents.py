"""The boxes that the drafter's texts stay within: cautious, and without asking a font.

Both are made of plain numbers, because some texts come from ezdxf and others straight from the
drawing's text. Corners are eight numbers, from the lower left one on, counter-clockwise as the text
reads; empty for a text that shows nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from perpend.dxf.text_metrics import text_width

Place = tuple[float, float]

_LINE_PITCH: Final = 1.7


def line_corners(
    text: str,
    height: float,
    width_factor: float,
    align: int,
    valign: int,
    degrees: float,
    backward: bool,
    insert: Place,
    second: Place | None,
) -> tuple[list[float], Place]:
    """Return the corners of a line of text, whatever its alignment, about the place it stands at.

    Args:
        text: what it says, control codes stripped.
        height: letter height.
        width_factor: width of its letters over the usual.
        align: left, center, right, aligned, middle, fit: 0 to 5, as in group 72.
        valign: baseline, bottom, middle, top: 0 to 3, as in group 73.
        degrees: its rotation.
        backward: its letters run to the left.
        insert: first point of alignment.
        second: second point of alignment, or None.

    Returns:
        The corners, to be added to the place, and the place.
    """
    if not text.strip() or height <= 0:
        return [], insert
    width = text_width(text, height, max(abs(width_factor or 1.0), 0.1))
    angle, anchor = math.radians(degrees), insert
    if align in {3, 5} and second is not None:
        across, up = second[0] - insert[0], second[1] - insert[1]
        width, angle, align = max(math.hypot(across, up), height), math.atan2(up, across), 0
    elif (align or valign) and second is not None:
        anchor = second
    left = {0: 0.0, 1: -width / 2, 2: -width, 4: -width / 2}.get(align, 0.0)
    bottom = -0.75 if align == 4 else {0: -0.35, 1: -0.35, 2: -0.75, 3: -1.35}.get(valign, -0.35)
    tall = (1.9 if valign == 1 else 1.5) * height
    if backward:
        left = -(left + width)
    return _turned(angle, left, bottom * height, width, tall), anchor


def paragraph_corners(
    lines: Sequence[str], height: float, column: float, spacing: float, attachment: int, degrees: float
) -> list[float]:
    """Return the corners of a paragraph about its insertion; its lines are broken again, cautiously.

    Args:
        lines: what it says, formatting stripped.
        height: letter height.
        column: width of its column; 0 for none.
        spacing: line spacing factor.
        attachment: which of its nine points stands at the insertion, 1 to 9, as in group 71.
        degrees: its rotation.
    """
    if not any(line.strip() for line in lines):
        return []
    count, width = 0, 0.0
    for line in lines:
        natural = text_width(line, height, 1.0)
        if 0 < column < natural:
            count += math.ceil(natural / column + 0.3)
            width = max(width, column)
        else:
            count += 1
            width = max(width, natural)
    tall = height * 1.4 + (count - 1) * height * _LINE_PITCH * spacing
    row, place = divmod(attachment - 1, 3)
    bottom = (-tall + 0.1 * height, -tall / 2, -0.3 * height)[row]
    return _turned(math.radians(degrees), -width * place / 2, bottom, width, tall)


def placed(corners: Sequence[float], place: Sequence[float]) -> list[float]:
    """Return corners at a place."""
    x, y = place[0], place[1]
    return [number + (y if i % 2 else x) for i, number in enumerate(corners)]


def _turned(angle: float, left: float, bottom: float, width: float, tall: float) -> list[float]:
    cos, sin = math.cos(angle), math.sin(angle)
    flat: list[float] = []
    right, top = left + width, bottom + tall
    for x, y in ((left, bottom), (right, bottom), (right, top), (left, top)):
        flat += (x * cos - y * sin, x * sin + y * cos)
    return flat
