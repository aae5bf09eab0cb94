"""Lines that cross a wall from its bottom to its top, found among very many pieces.

Glossary:
    piece: a straight line between two corners.
    rest: what an end of a piece needs if the piece is to be a part of a line across: the wall's edge, an
        opening, an end of another piece, or the next dash.
    across: from a wall's bottom to its top, each met within a course, openings left out; straight or in steps
        as a joint that is read would be, and no side of a shape.
    pattern: lines nearer to each other than joints stand: cladding, coursing, a pipe, the sides of a column.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.entity_points import Stroke
from perpend.model import Box, DrawnJoint, Frame, Opening, Point
from perpend.notices import Notices
from perpend.reading.contents.drawn_joints import JointInk, joints_of
from perpend.reading.contents.joint_pieces import BEARING_IN, DASH_BREAK_IN, JOINT_WIDTH_IN, hollow_in
from perpend.reading.outlines.end_proximity import have_company
from perpend.reading.outlines.wall_profile import Outline
from perpend.reading.survey.unassigned_lines import Pieces
from perpend.units import ON_MODULE_IN

PATTERN_IN: Final = 24.0
"""Joints do not stand nearer to each other than this."""

_REACH_IN: Final = 8.0
"""A line ends at most this far from a wall's bottom and top; what runs farther is a grid line or the like."""

_EDGE_IN: Final = 8.0
"""Nearer to a wall's end a line belongs to what stands beside the wall."""

_DASH_OFF_IN: Final = 0.5
"""Dashes that follow each other on a line stand at stations no farther apart than this, if it leans too."""

_STEEP: Final = 8.0
"""Length over rise of a piece that counts as level."""

_MOST: Final = 2000
"""More pieces than this with a rest at both ends, on one layer in one wall, are a pattern: of them only those
count that are half as high as the wall."""

_ROUNDS: Final = 8
"""How often pieces without a rest are taken out; what has one only by others that went stays then."""

_Integers = npt.NDArray[np.intp]
_Truths = npt.NDArray[np.bool_]


def is_edge_to_edge(joint: DrawnJoint, outline: Outline, openings: Sequence[Opening]) -> bool:
    """Say whether a joint goes from a wall's bottom to its top, and no farther; openings do not count."""
    (x, foot), (u, head) = joint.path[0], joint.path[-1]

    def parted(x: float, low: float, high: float) -> bool:
        return abs(high - low) - hollow_in(x, low, high, openings) <= _REACH_IN

    below = any(parted(x, low, foot) for low in outline.bottom.at(x))
    above = any(parted(u, head, high) for high in outline.top.at(u))
    return below and above and max(joint.past_in) <= _REACH_IN


class LinesAcross:
    """The straight pieces on unassigned layers, turned into the direction of each wall in turn."""

    def __init__(self, pieces: dict[str, Pieces]) -> None:
        """Take the straight pieces of each layer, drawing axes and drawing units."""
        self.layers = sorted(pieces)
        rows = [pieces[name] for name in self.layers]
        self.ends: Pieces = np.concatenate(rows) if rows else np.empty((0, 4))
        self.layer_of = np.repeat(np.arange(len(rows)), [len(r) for r in rows])
        self._turned: dict[tuple[float, float], _Turned] = {}

    def across(
        self, outline: Outline, openings: Sequence[Opening], gap_in: float
    ) -> Iterator[tuple[str, list[DrawnJoint]]]:
        """Yield every layer that has lines across a wall, with these lines from left to right.

        Args:
            outline: the wall.
            openings: its openings; a line that one of them parts is one line.
            gap_in: ends up to this far apart meet.
        """
        if not len(self.ends):
            return
        turned = self._in_direction_of(outline.frame)
        for number, rows in turned.with_rests(outline, openings, gap_in):
            layer = self.layers[number]
            ends = self.ends[rows].tolist()
            strokes = tuple(Stroke("", "LINE", layer, ((a, b), (c, d))) for a, b, c, d in ends)
            ink = JointInk(strokes, (), ())
            joints = joints_of(ink, outline, openings, gap_in, set(), Notices())
            crossing = [
                j
                for j in joints
                if is_edge_to_edge(j, outline, openings)
                and Box.around(j.path).width <= BEARING_IN
                and not turned.goes_on(number, j, outline)
            ]
            alone = _apart(crossing)
            level = turned.level_on(number, outline.frame) if alone else np.empty((0, 4))
            free = [joint for joint in alone if not _is_a_side(joint, level, gap_in)]
            if free:
                yield layer, free

    def _in_direction_of(self, frame: Frame) -> _Turned:
        key = frame.angle_rad, frame.inches_per_unit
        if key not in self._turned:
            self._turned[key] = _Turned(self.ends, self.layer_of, frame)
        return self._turned[key]


class _Turned:
    """Pieces in axes that run along a wall and up, inches; their origin is the drawing's."""

    def __init__(self, ends: Pieces, layer_of: _Integers, frame: Frame) -> None:
        self.ends = _turn(ends, frame)
        self.layer_of = layer_of
        run, rise = np.abs(self.ends[:, 2:] - self.ends[:, :2]).T
        self.upright = run <= JOINT_WIDTH_IN
        level = ~self.upright & (run >= _STEEP * rise)
        chosen = np.flatnonzero(self.upright | (level & (run <= BEARING_IN)))
        stations = (self.ends[chosen, 0] + self.ends[chosen, 2]) / 2
        order = np.argsort(stations, kind="stable")
        self.chosen, self.stations = chosen[order], stations[order]
        self._level: dict[int, _Integers] = _by_layer(np.flatnonzero(level), layer_of)

    def with_rests(
        self, outline: Outline, openings: Sequence[Opening], gap_in: float
    ) -> Iterator[tuple[int, _Integers]]:
        """Yield layer and rows of the pieces in a wall that lines across may be made of."""
        origin = _origin(outline.frame)
        first, last = np.searchsorted(
            self.stations, (origin[0] + _EDGE_IN, origin[0] + outline.length_in - _EDGE_IN)
        )
        rows = self.chosen[first:last]
        ends = np.sort(self.ends[rows, 1::2] - origin[1], axis=1)
        high = max(y for _, y in outline.top.points)
        rows = rows[(ends[:, 1] > -_REACH_IN) & (ends[:, 0] < high + _REACH_IN)]
        for _ in range(_ROUNDS):
            before = len(rows)
            rows = rows[self._rest(rows, outline, openings, gap_in)]
            if len(rows) == before:
                break
        for number, mine in _by_layer(rows, self.layer_of).items():
            if len(mine) > _MOST:
                mine = mine[np.ptp(self.ends[mine, 1::2], axis=1) >= outline.height_in / 2]
            if len(mine) <= _MOST:
                yield number, mine

    def _rest(self, rows: _Integers, outline: Outline, openings: Sequence[Opening], gap_in: float) -> _Truths:
        """Say of each piece whether both its ends have a rest."""
        ends = self._in_wall(rows, outline.frame).reshape(-1, 2, 2)
        x, y = ends[:, :, 0], ends[:, :, 1]
        rests = have_company(ends, self.layer_of[rows], max(gap_in, 1.0))
        rests |= y <= _REACH_IN + max(v for _, v in outline.bottom.points)
        rests |= y >= min(v for _, v in outline.top.points) - _REACH_IN
        for box in (opening.box.grown(max(gap_in, DASH_BREAK_IN)) for opening in openings):
            rests |= (x >= box.x0) & (x <= box.x1) & (y >= box.y0) & (y <= box.y1)
        dashes = np.flatnonzero(self.upright[rows])
        rests[dashes] |= _are_dashes(ends[dashes], self.layer_of[rows[dashes]])[:, None]
        found: _Truths = rests[:, 0] & rests[:, 1]
        return found

    def goes_on(self, layer: int, line: DrawnJoint, outline: Outline) -> bool:
        """Say whether a line goes on beyond the wall dash by dash."""
        (x, _), (u, _) = line.path[0], line.path[-1]
        at, base = _origin(outline.frame)

        def beyond(x: float, edge: float, away: int) -> bool:
            first, last = np.searchsorted(self.stations, (at + x - ON_MODULE_IN, at + x + ON_MODULE_IN))
            rows = self.chosen[first:last]
            past = (self.ends[rows, 1::2] - base - edge) * away
            dashes = self.upright[rows] & (self.layer_of[rows] == layer)
            near = past.min(axis=1) <= _REACH_IN + DASH_BREAK_IN
            return bool((dashes & near & (past.max(axis=1) > _REACH_IN)).any())

        return beyond(x, min(outline.bottom.at(x)), -1) or beyond(u, max(outline.top.at(u)), 1)

    def level_on(self, layer: int, frame: Frame) -> Pieces:
        """Return the level pieces of a layer in a wall's own axes."""
        return self._in_wall(self._level.get(layer, np.empty(0, dtype=np.intp)), frame)

    def _in_wall(self, rows: _Integers, frame: Frame) -> Pieces:
        found: Pieces = self.ends[rows] - np.tile(_origin(frame), 2)
        return found


def _origin(frame: Frame) -> Pieces:
    """Return a wall's origin in axes that run along it and start at the drawing's."""
    origin: Pieces = _turn(np.array([[*frame.origin] * 2]), frame)[0, :2]
    return origin


def _turn(ends: Pieces, frame: Frame) -> Pieces:
    cos, sin = math.cos(frame.angle_rad), math.sin(frame.angle_rad)
    x, y = ends[:, 0::2], ends[:, 1::2]
    turned = np.empty_like(ends)
    turned[:, 0::2] = (x * cos + y * sin) * frame.inches_per_unit
    turned[:, 1::2] = (y * cos - x * sin) * frame.inches_per_unit
    return turned


def _by_layer(rows: _Integers, layer_of: _Integers) -> dict[int, _Integers]:
    """Sort rows by their layer."""
    layers = layer_of[rows]
    order = np.argsort(layers, kind="stable")
    numbers, starts = np.unique(layers[order], return_index=True)
    return dict(zip(numbers.tolist(), np.split(rows[order], starts[1:]), strict=False))


def _are_dashes(ends: npt.NDArray[np.float64], layers: _Integers) -> _Truths:
    """Say of each upright piece whether another of its layer stands on its line, a break above or below."""
    stations, feet, heads = ends[:, :, 0].mean(axis=1), ends[:, :, 1].min(axis=1), ends[:, :, 1].max(axis=1)
    order = np.lexsort((stations, layers))
    apart = (np.diff(stations[order]) > _DASH_OFF_IN) | (np.diff(layers[order]) != 0)
    line = np.empty(len(order), dtype=np.intp)
    line[order] = np.concatenate(([0], np.cumsum(apart))) if len(order) else 0
    order = np.lexsort((feet, line))
    near = (feet[order][1:] - heads[order][:-1] <= DASH_BREAK_IN) & (np.diff(line[order]) == 0)
    found: _Truths = np.zeros(len(order), dtype=bool)
    found[order[1:][near]] = True
    found[order[:-1][near]] = True
    return found


def _apart(joints: Sequence[DrawnJoint]) -> list[DrawnJoint]:
    """Leave out what stands so near to another line that it is a pattern."""
    boxes = sorted((Box.around(joint.path) for joint in joints), key=lambda box: box.x0)
    near: set[Box] = set()
    for left, right in itertools.pairwise(boxes):
        if right.x0 - left.x1 < PATTERN_IN:
            near |= {left, right}
    return [joint for joint in joints if Box.around(joint.path) not in near]


def _is_a_side(joint: DrawnJoint, level: Pieces, gap_in: float) -> bool:
    """True where a level piece that is no step of it starts at an end of a line: it is a side of a shape."""
    corners = np.array(joint.path)

    def meets(points: npt.NDArray[np.float64], corner: Point) -> _Truths:
        found: _Truths = np.hypot(points[:, 0] - corner[0], points[:, 1] - corner[1]) <= gap_in
        return found

    starts, ends = level[:, :2], level[:, 2:]
    step = np.zeros(len(level), dtype=bool)
    for a, b in itertools.pairwise(corners):
        step |= (meets(starts, a) & meets(ends, b)) | (meets(starts, b) & meets(ends, a))
    at_ends = meets(starts, corners[0]) | meets(ends, corners[0])
    at_ends |= meets(starts, corners[-1]) | meets(ends, corners[-1])
    return bool((at_ends & ~step).any())
