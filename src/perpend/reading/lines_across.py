"""Lines that cross a wall from its bottom to its top, found among very many pieces.

Glossary:
    piece: a straight line between two corners.
    line: upright pieces at one station of a wall, one above the other where nothing but an opening parts
        them.
    across: from a wall's bottom to its top, each met within a course, and no side of a shape.
    pattern: lines nearer to each other than joints stand: cladding, coursing, a pipe, the sides of a column.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from perpend.model import Frame, Opening
from perpend.reading.joint_pieces import JOINT_WIDTH_IN
from perpend.reading.joints import LEAST_RISE_IN
from perpend.reading.outline import Outline
from perpend.reading.silent_lines import Pieces
from perpend.units import ON_MODULE_IN

PATTERN_IN: Final = 24.0
"""Joints do not stand nearer to each other than this."""

_REACH_IN: Final = 8.0
"""A line ends at most this far from a wall's bottom and top; what runs farther is a grid line or the like."""

_EDGE_IN: Final = 8.0
"""Nearer to a wall's end a line belongs to what stands beside the wall."""

_STEEP: Final = 8.0
"""Length over rise of a piece that counts as level."""

_MOST: Final = 400
"""More upright pieces than this on one layer in one wall are a pattern."""

_Integers = npt.NDArray[np.intp]

Line = tuple[float, float, float]
"""Station, foot and head, in a wall's own axes."""


def is_edge_to_edge(x: float, foot: float, head: float, outline: Outline) -> bool:
    """Say whether an upright line goes from a wall's bottom to its top, and no farther."""
    return (
        min(abs(foot - low) for low in outline.bottom.at(x)) <= _REACH_IN
        and min(abs(head - high) for high in outline.top.at(x)) <= _REACH_IN
    )


class LinesAcross:
    """The straight pieces on silent layers, turned into the direction of each wall in turn."""

    def __init__(self, pieces: dict[str, Pieces]) -> None:
        """Take the straight pieces of each layer, drawing axes and drawing units."""
        self.layers = sorted(pieces)
        rows = [pieces[name] for name in self.layers]
        self.ends: Pieces = np.concatenate(rows) if rows else np.empty((0, 4))
        self.layer_of = np.repeat(np.arange(len(rows)), [len(r) for r in rows])
        self._turned: dict[tuple[float, float], _Turned] = {}

    def across(
        self, outline: Outline, openings: Sequence[Opening], gap_in: float
    ) -> Iterator[tuple[str, list[Line]]]:
        """Yield every layer that has lines across a wall, with these lines from left to right.

        Args:
            outline: the wall.
            openings: its openings; a line that one of them parts is one line.
            gap_in: ends up to this far apart meet.
        """
        if not len(self.ends):
            return
        turned = self._in_direction_of(outline.frame)
        for number, rows in turned.uprights_in(outline, self.layer_of):
            lines = _put_together(turned.pieces(rows, outline.frame), openings, gap_in)
            alone = _apart([line for line in lines if is_edge_to_edge(*line, outline)])
            corners = turned.corners(self.layer_of == number, outline.frame) if alone else np.empty((0, 2))
            free = [line for line in alone if not _is_a_side(line, corners, gap_in)]
            if free:
                yield self.layers[number], free

    def _in_direction_of(self, frame: Frame) -> _Turned:
        key = frame.angle_rad, frame.inches_per_unit
        if key not in self._turned:
            self._turned[key] = _Turned(self.ends, frame)
        return self._turned[key]


class _Turned:
    """Pieces in axes that run along a wall and up, inches; their origin is the drawing's."""

    def __init__(self, ends: Pieces, frame: Frame) -> None:
        self.ends = _turn(ends, frame)
        run, rise = np.abs(self.ends[:, 2:] - self.ends[:, :2]).T
        upright = np.flatnonzero((run <= JOINT_WIDTH_IN) & (rise >= LEAST_RISE_IN))
        stations = (self.ends[upright, 0] + self.ends[upright, 2]) / 2
        order = np.argsort(stations, kind="stable")
        self.upright, self.stations = upright[order], stations[order]
        self.level = (run > JOINT_WIDTH_IN) & (run >= _STEEP * rise)

    def uprights_in(self, outline: Outline, layer_of: _Integers) -> Iterator[tuple[int, _Integers]]:
        """Yield layer and rows of the upright pieces in a wall, away from its ends; no patterns."""
        left, low = _turn(np.array([[*outline.frame.origin] * 2]), outline.frame)[0, :2]
        first, last = left + _EDGE_IN, left + outline.length_in - _EDGE_IN
        rows = self.upright[np.searchsorted(self.stations, first) : np.searchsorted(self.stations, last)]
        feet, heads = np.sort(self.ends[rows, 1::2], axis=1).T
        high = max(y for _, y in outline.top.points)
        rows = rows[(heads > low) & (feet < low + high)]
        layers = layer_of[rows]
        for number in np.unique(layers):
            mine = rows[layers == number]
            if len(mine) <= _MOST:
                yield int(number), mine

    def pieces(self, rows: _Integers, frame: Frame) -> list[tuple[float, float, float]]:
        """Return station, foot and head of upright pieces in a wall's own axes, from left to right."""
        x0, y0, x1, y1 = self._in_wall(rows, frame).T
        found = zip((x0 + x1) / 2, np.minimum(y0, y1), np.maximum(y0, y1), strict=True)
        return sorted((float(x), float(foot), float(head)) for x, foot, head in found)

    def corners(self, chosen: npt.NDArray[np.bool_], frame: Frame) -> Pieces:
        """Return the ends of level pieces in a wall's own axes, shape (n, 2)."""
        return self._in_wall(np.flatnonzero(chosen & self.level), frame).reshape(-1, 2)

    def _in_wall(self, rows: _Integers, frame: Frame) -> Pieces:
        origin = _turn(np.array([[*frame.origin] * 2]), frame)[0]
        found: Pieces = self.ends[rows] - origin
        return found


def _turn(ends: Pieces, frame: Frame) -> Pieces:
    cos, sin = math.cos(frame.angle_rad), math.sin(frame.angle_rad)
    x, y = ends[:, 0::2], ends[:, 1::2]
    turned = np.empty_like(ends)
    turned[:, 0::2] = (x * cos + y * sin) * frame.inches_per_unit
    turned[:, 1::2] = (y * cos - x * sin) * frame.inches_per_unit
    return turned


def _put_together(pieces: Sequence[Line], openings: Sequence[Opening], gap_in: float) -> Iterator[Line]:
    """Put pieces that stand at one station together where they meet or an opening lies between them."""
    waiting = list(pieces)
    while waiting:
        column = [p for p in waiting if p[0] - waiting[0][0] <= JOINT_WIDTH_IN]
        waiting = waiting[len(column) :]
        column.sort(key=lambda p: p[1:])
        x, foot, head = column[0]
        for _, low, high in column[1:]:
            if low - head - _hollow(x, head, low, openings) > gap_in:
                yield x, foot, head
                foot = low
                head = high
            head = max(head, high)
        yield x, foot, head


def _hollow(x: float, low: float, high: float, openings: Sequence[Opening]) -> float:
    """Return how much of an upright stretch lies in openings."""
    boxes = (o.box for o in openings if o.box.x0 - ON_MODULE_IN <= x <= o.box.x1 + ON_MODULE_IN)
    return sum(max(0.0, min(high, b.y1) - max(low, b.y0)) for b in boxes)


def _apart(lines: Sequence[Line]) -> list[Line]:
    """Leave out what stands so near to another line that it is a pattern."""
    stations = sorted(x for x, _, _ in lines)
    near = {x for pair in itertools.pairwise(stations) if pair[1] - pair[0] < PATTERN_IN for x in pair}
    return [line for line in lines if line[0] not in near]


def _is_a_side(line: Line, corners: Pieces, gap_in: float) -> bool:
    """True where a level piece starts at an end of a line: it is one side of a shape."""
    x, foot, head = line
    return any(bool((np.hypot(corners[:, 0] - x, corners[:, 1] - y) <= gap_in).any()) for y in (foot, head))
