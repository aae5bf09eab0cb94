"""Where a wall lies on its picture, and how much room is around it.

Glossary:
    unit: one user unit of the picture, one CSS pixel at full size; y grows downward.
    bubble: the pointed tag above the wall that carries a joint's number.
    string: the row of panel dimensions below the wall.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from perpend.model import Point
from perpend.report.results_document import WallEntry

LETTER = 6.7
"""Width of a letter of the usual text size, units, on the safe side."""
BUBBLE = 10.0
"""Radius of a bubble, units."""
_WIDTH, _HEIGHT = 1240.0, 360.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 64.0, 64.0, 16.0, 12.0
_LEAST_PANEL = 40.0
_ROW = 2 * BUBBLE + 4
STRING_DROP, OVERALL_DROP = 30.0, 36.0


@dataclass(frozen=True, slots=True)
class Stage:
    """The scale of a wall's picture and its margins, all in units but for ``low_in`` and ``high_in``.

    Attributes:
        scale: units to the inch.
        left: x of the wall's left end.
        top: y of its highest point.
        low_in: its lowest point, wall axes.
        high_in: its highest point.
        width: of the picture.
        height: of the picture.
        turned: for each panel, True when its dimension does not fit across and hangs below the string.
        string_depth: height of what is below the string's line.
        rows: row of each joint's bubble, 0 the lowest.
    """

    scale: float
    left: float
    top: float
    low_in: float
    high_in: float
    width: float
    height: float
    turned: tuple[bool, ...]
    string_depth: float
    rows: tuple[int, ...]

    def x(self, x_in: float) -> float:
        """Return where a station lies."""
        return self.left + x_in * self.scale

    def y(self, y_in: float) -> float:
        """Return where a height lies."""
        return self.top + (self.high_in - y_in) * self.scale

    def point(self, place: Point) -> Point:
        """Return where a place lies."""
        return (self.x(place[0]), self.y(place[1]))

    @property
    def base(self) -> float:
        """Return where the wall's lowest point lies."""
        return self.y(self.low_in)


def stage_for(wall: WallEntry, dimensions: Sequence[str]) -> Stage:
    """Choose the scale and the margins of a wall's picture.

    A wall fills the usual width unless it is so high that it would not fit the usual height; a wall of
    very many panels gets a wider picture, so that their dimensions can be read.

    Args:
        wall: the wall.
        dimensions: the panel dimensions as printed.
    """
    low, high = min(y for _, y in wall.bottom), max(y for _, y in wall.top)
    scale = min(_WIDTH / wall.length_in, _HEIGHT / (high - low))
    scale = max(scale, _LEAST_PANEL * len(wall.panels) / wall.length_in)
    widths = [len(text) * LETTER for text in dimensions]
    turned = tuple(
        width + 4 > (panel.x1_in - panel.x0_in) * scale
        for width, panel in zip(widths, wall.panels, strict=True)
    )
    hanging = max(itertools.compress(widths, turned), default=0.0)
    string_depth = hanging + 34 if hanging else 18.0
    rows = bubble_rows([joint.path[-1][0] for joint in wall.joints], scale)
    top = _TOP + (max(rows, default=-1) + 1) * _ROW + 8
    body = (high - low) * scale
    return Stage(
        scale=scale,
        left=_LEFT,
        top=top,
        low_in=low,
        high_in=high,
        width=_LEFT + wall.length_in * scale + _RIGHT,
        height=top + body + STRING_DROP + string_depth + OVERALL_DROP + _BOTTOM,
        turned=turned,
        string_depth=string_depth,
        rows=tuple(rows),
    )


def bubble_rows(stations: Sequence[float], scale: float) -> list[int]:
    """Stack bubbles that would touch: return the row of each, 0 the lowest.

    Args:
        stations: heads of the joints from left to right, inches.
        scale: units to the inch.
    """
    ends: list[float] = []
    rows = []
    for station in stations:
        x = station * scale
        row = next((r for r in itertools.count() if r >= len(ends) or x - ends[r] >= _ROW), 0)
        ends[row : row + 1] = [x]
        rows.append(row)
    return rows


def bubble_center(stage: Stage, head_x_in: float, row: int) -> Point:
    """Return the place of a bubble."""
    return (stage.x(head_x_in), stage.top - 8 - BUBBLE - row * _ROW)
