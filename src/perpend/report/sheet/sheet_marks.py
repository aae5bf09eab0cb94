"""Where the marks of findings are placed on a wall's picture: near their places, and never on each other.

Glossary:
    place: the point a finding is about.
    flag: the square beside it that carries the finding's number.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.model import Box, Point
from perpend.report.sheet import svg_elements
from perpend.report.sheet.sheet_view import FindingRow
from perpend.report.sheet.wall_placement import Stage

FLAG = 12.0
"""Half the side of a flag, units."""
_HALO = 22.0
_GAP = 3.0
_RINGS = (30.0, 42.0, 56.0, 72.0, 90.0, 110.0, 132.0, 156.0, 182.0, 210.0, 240.0, 272.0, 306.0)
_DIRECTIONS = tuple(math.radians(a) for a in (60, 120, 90, 30, 150, 0, 180, 330, 210, 300, 240, 270))
"""Tried in this order: up and to the right first."""


@dataclass(frozen=True, slots=True)
class Mark:
    """The flags of one finding, with the places they point at, units."""

    row: FindingRow
    places: tuple[Point, ...]
    flags: tuple[Point, ...]


def place_marks(
    stage: Stage, findings: Sequence[FindingRow], taken: Sequence[Box], field: Box
) -> tuple[Mark, ...]:
    """Give every place of every finding a flag.

    Args:
        stage: the wall's picture.
        findings: the findings of the wall.
        taken: boxes with texts and numbers that a flag should leave readable, units.
        field: where flags may be, units.

    Returns:
        The marks, in the order of the findings. Where no free spot is left a flag is as far from the
        others as it can: it is never left out.
    """
    flags: list[Point] = []
    marks = []
    for row in findings:
        places = tuple(stage.point(place) for place in row.at)
        own = []
        for place in places:
            flag = _free_spot(place, flags, taken, field)
            flags.append(flag)
            own.append(flag)
        marks.append(Mark(row, places, tuple(own)))
    return tuple(marks)


def _free_spot(place: Point, flags: Sequence[Point], taken: Sequence[Box], field: Box) -> Point:
    spots = list(_spots(place))
    inside = [spot for spot in spots if field.holds(spot)]
    apart = [s for s in inside if all(math.dist(s, other) >= 2 * FLAG + _GAP for other in flags)]
    clear = [s for s in apart if not any(box.grown(FLAG).holds(s) for box in taken)]
    if clear or apart:
        return next(iter(clear or apart))
    return max(inside or spots, key=lambda s: min(math.dist(s, other) for other in flags))


def _spots(place: Point) -> Iterator[Point]:
    for radius in _RINGS:
        for angle in _DIRECTIONS:
            yield (place[0] + radius * math.cos(angle), place[1] - radius * math.sin(angle))


def draw_mark(mark: Mark, stage: Stage) -> str:
    """Return the markup of a finding's mark: what lights up, pointers, places, flags."""
    pieces = [_spotlight(mark, stage)]
    for place, flag in zip(mark.places, mark.flags, strict=True):
        pieces += [
            svg_elements.line(place, flag, class_="pointer"),
            svg_elements.element("circle", cx=place[0], cy=place[1], r=3.5, class_="place"),
            _flag(mark.row, flag),
        ]
    return svg_elements.group(
        pieces,
        class_=f"thing mark {mark.row.state}",
        id=f"mark-{mark.row.key}",
        role="img",
        aria_label=mark.row.spoken,
        data_row=mark.row.key,
    )


def _flag(row: FindingRow, at: Point) -> str:
    """Return a square with the finding's number; what a rule requires has a frame within the frame."""
    sides = (FLAG - 1, FLAG - 4) if row.severity == "required" else (FLAG - 1,)
    squares = (
        svg_elements.rectangle(
            (at[0] - r, at[1] - r), (at[0] + r, at[1] + r), class_="flag" if not i else "frame"
        )
        for i, r in enumerate(sides)
    )
    return "".join(squares) + svg_elements.letters(row.key, (at[0], at[1] + 3.5), class_="flag-number")


def _spotlight(mark: Mark, stage: Stage) -> str:
    """Return what shows only while the finding is chosen: rings, and the stretch between its places."""
    xs = [x for x, _ in mark.places]
    pieces = []
    if xs and max(xs) - min(xs) > 1:
        pieces.append(svg_elements.rectangle((min(xs), stage.top), (max(xs), stage.base), class_="stretch"))
    for x, y in mark.places:
        pieces += [
            svg_elements.line((x, stage.top - 6), (x, stage.base + 6), class_="sight"),
            svg_elements.line((stage.left - 6, y), (stage.width - stage.left + 6, y), class_="sight"),
            svg_elements.element("circle", cx=x, cy=y, r=_HALO, class_="halo"),
        ]
    return svg_elements.group(pieces, class_="spotlight", aria_hidden="true")
