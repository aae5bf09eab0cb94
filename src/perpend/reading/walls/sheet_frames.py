"""The border of a sheet and its title block, told from the elevation where all are on one layer.

Glossary:
    border: an outline of level and upright sides round the elevation that has texts of a sheet in it (a
        title, a scale, a sheet number), or that goes round such an outline. Where a title block stands in
        its corner, and both are drawn with lines, it goes round that.
    cell: a rectangle in a border that meets a side of it, or a cell that does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from perpend.dxf.entity_points import Stroke, point_in_ring
from perpend.model import Box, Point
from perpend.reading.gather.texts import side_of
from perpend.reading.outlines.close_outlines import Ring

_SHEET_WORDS: Final = re.compile(
    r"^(?:SCALE|SHEET|PROJECT|DRAWN|CHECKED|DATE|MASSSTAB|MAßSTAB|BLATT|PROJEKT|DATUM|ESCALA|PLANO|FECHA|[EÉ]CHELLE"
    r"|FEUILLE|PROJET)\b|^1\s*:\s*\d+$",
    re.IGNORECASE,
)
"""What a text begins with that stands on a sheet and in no wall."""

_CORNERS: Final = 4
_TOUCHING: Final = 1e-4
"""Of a border's length and height together: sides that are no farther apart are one."""

_CLEAR: Final = 0.02
"""Of its length and height together: what keeps so far from all its sides may be an elevation."""

Texts = Callable[[Box], Iterable[tuple[str, Point]]]
"""Gives the texts in a box, with their places."""


def is_part_of(stroke: Stroke, frame: Ring) -> bool:
    """Say whether a stroke draws a border or a cell, or a side of one."""
    x0, y0, x1, y1 = frame.box
    slack = _TOUCHING * (x1 - x0 + y1 - y0)
    return stroke.handle in (frame.handle, *frame.handles) and all(
        (min(abs(x - x0), abs(x - x1)) <= slack or min(abs(y - y0), abs(y - y1)) <= slack)
        and x0 - slack <= x <= x1 + slack
        and y0 - slack <= y <= y1 + slack
        for x, y in stroke.points
    )


def sheet_frames(rings: Sequence[Ring], texts_in: Texts) -> list[Ring]:
    """Return the borders and cells among outlines that share a layer.

    Args:
        rings: every outline on the layer, drawing axes.
        texts_in: gives the texts in a part of the sheet.
    """
    sized = sorted(
        ((Box(*ring.box), ring) for ring in rings), key=lambda pair: -pair[0].width * pair[0].height
    )
    borders = _borders(sized, texts_in)
    dropped: list[Ring] = []
    cells: list[Box] = []
    for box, ring in sized:
        if box in borders:
            dropped.append(ring)
            continue
        inside = _is_rectangle(ring) and any(_encloses(b, box) for b in borders)
        if inside and any(_share_side(c, box) for c in (*borders, *cells)):
            cells.append(box)
            dropped.append(ring)
    return dropped


def _borders(sized: Sequence[tuple[Box, Ring]], texts_in: Texts) -> list[Box]:
    """Return the borders, the innermost first; the outlines come largest first."""
    borders: list[Box] = []
    for number in reversed(range(len(sized))):
        box, ring = sized[number]
        if not _is_upright(ring):
            continue
        round_another = any(_encloses(box, border) for border in borders)
        if round_another or _is_border(ring, [inner for inner, _ in sized[number + 1 :]], texts_in):
            borders.append(box)
    return borders


def _is_rectangle(ring: Ring) -> bool:
    x0, y0, x1, y1 = ring.box
    slack = _TOUCHING * (x1 - x0 + y1 - y0)
    return len(ring.points) == _CORNERS and ring.area >= (x1 - x0 - slack) * (y1 - y0 - slack)


def _is_upright(ring: Ring) -> bool:
    """True for an outline all of whose sides are level or upright."""
    x0, y0, x1, y1 = ring.box
    slack = _TOUCHING * (x1 - x0 + y1 - y0)
    sides = zip(ring.points, (*ring.points[1:], ring.points[0]), strict=True)
    return all(min(abs(xa - xb), abs(ya - yb)) <= slack for (xa, ya), (xb, yb) in sides)


def _is_border(ring: Ring, others: Sequence[Box], texts_in: Texts) -> bool:
    """True for an outline round an elevation, with texts of a sheet that are in no part of the elevation."""
    box = Box(*ring.box)
    clear = box.grown(-_CLEAR * (box.width + box.height))
    parts = [other for other in others if _encloses(clear, other)]
    if not parts:
        return False
    return any(
        (_SHEET_WORDS.search(words.strip()) or side_of(words))
        and point_in_ring(at, ring.points)
        and not any(part.holds(at) for part in parts)
        for words, at in texts_in(box)
    )


def _encloses(outer: Box, inner: Box) -> bool:
    return outer.grown(_TOUCHING * (outer.width + outer.height)).contains(inner)


def _share_side(frame: Box, box: Box) -> bool:
    """True when a side of one lies on a side of the other."""
    slack = _TOUCHING * (frame.width + frame.height)
    level = min(frame.y1, box.y1) - max(frame.y0, box.y0) > slack
    upright = min(frame.x1, box.x1) - max(frame.x0, box.x0) > slack
    xs, ys = (frame.x0, frame.x1), (frame.y0, frame.y1)
    beside = any(abs(a - b) <= slack for a in xs for b in (box.x0, box.x1)) and level
    stacked = any(abs(a - b) <= slack for a in ys for b in (box.y0, box.y1)) and upright
    return beside or stacked
