"""Points, boxes, the wall's own axes, and the edge lines of a wall.

Glossary:
    wall axes: x along the wall from its left end, y up from its bottom, inches.
    drawing axes: the modelspace coordinates of the DXF file, in its own units.
    profile: the top or bottom edge of a wall as points whose x never decreases; a vertical step is
        two points with the same x.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from perpend.units import SAME_IN

Point = tuple[float, float]
Path = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-parallel rectangle; in inches of wall axes unless a name says otherwise."""

    x0: float
    y0: float
    x1: float
    y1: float

    @classmethod
    def around(cls, points: Iterable[Point]) -> Box:
        """Return the smallest box that holds the points (at least one)."""
        xs, ys = zip(*points, strict=True)
        return cls(min(xs), min(ys), max(xs), max(ys))

    @property
    def width(self) -> float:
        """Extent along x."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Extent along y."""
        return self.y1 - self.y0

    @property
    def center(self) -> Point:
        """Middle of the box."""
        return ((self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners, counter-clockwise from the lower left."""
        return ((self.x0, self.y0), (self.x1, self.y0), (self.x1, self.y1), (self.x0, self.y1))

    def grown(self, by: float) -> Box:
        """Return the box with every side moved out by ``by``."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def overlaps(self, other: Box, tolerance: float = 0.0) -> bool:
        """Say whether the interiors meet by more than ``tolerance`` in both directions."""
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > tolerance
            and min(self.y1, other.y1) - max(self.y0, other.y0) > tolerance
        )

    def contains(self, other: Box) -> bool:
        """Say whether another box lies within this one; their edges may touch."""
        return self.x0 <= other.x0 and other.x1 <= self.x1 and self.y0 <= other.y0 and other.y1 <= self.y1

    def holds(self, point: Point, tolerance: float = 0.0) -> bool:
        """Say whether the point is inside or on the edge, within ``tolerance``."""
        return (
            self.x0 - tolerance <= point[0] <= self.x1 + tolerance
            and self.y0 - tolerance <= point[1] <= self.y1 + tolerance
        )


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a wall's own axes lie in the drawing.

    Attributes:
        origin: the wall's left end and bottom, in drawing axes and drawing units.
        angle_rad: direction of the wall's x axis, counter-clockwise from the drawing's x axis.
        inches_per_unit: inches in one drawing unit.
    """

    origin: Point = (0.0, 0.0)
    angle_rad: float = 0.0
    inches_per_unit: float = 1.0

    def to_drawing(self, point: Point) -> Point:
        """Carry a point from wall axes (inches) to drawing axes (drawing units)."""
        x, y = point[0] / self.inches_per_unit, point[1] / self.inches_per_unit
        if self.angle_rad == 0.0:
            return (self.origin[0] + x, self.origin[1] + y)
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return (self.origin[0] + x * cos - y * sin, self.origin[1] + x * sin + y * cos)

    def to_wall(self, point: Point) -> Point:
        """Carry a point from drawing axes (drawing units) to wall axes (inches)."""
        dx, dy = point[0] - self.origin[0], point[1] - self.origin[1]
        if self.angle_rad != 0.0:
            cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
            dx, dy = dx * cos + dy * sin, dy * cos - dx * sin
        return (dx * self.inches_per_unit, dy * self.inches_per_unit)


@dataclass(frozen=True, slots=True)
class Profile:
    """The top or bottom edge of a wall from its left end to its right end; see the glossary."""

    points: Path

    @classmethod
    def level(cls, y_in: float, x0_in: float, x1_in: float) -> Profile:
        """Return a straight horizontal edge."""
        return cls(((x0_in, y_in), (x1_in, y_in)))

    @property
    def is_level(self) -> bool:
        """True when the whole edge has one height."""
        return max(y for _, y in self.points) - min(y for _, y in self.points) <= SAME_IN

    def at(self, x_in: float) -> tuple[float, float]:
        """Return the heights just left and just right of a station (equal but at a step)."""
        return (_from_the_left(self.points, x_in), _from_the_right(self.points, x_in))

    def between(self, x0_in: float, x1_in: float) -> Path:
        """Return the part of the edge over an open interval, with its one-sided end heights."""
        inner = tuple(p for p in self.points if x0_in < p[0] < x1_in)
        return ((x0_in, self.at(x0_in)[1]), *inner, (x1_in, self.at(x1_in)[0]))

    def covers(self, point: Point, tolerance_in: float = SAME_IN) -> bool:
        """Say whether a point lies between the ends of the edge, and below it or on it."""
        x, y = point
        between = self.points[0][0] - tolerance_in <= x <= self.points[-1][0] + tolerance_in
        return between and y <= max(self.at(x)) + tolerance_in

    def steps(self) -> tuple[tuple[float, float, float], ...]:
        """Return every vertical step as (station, height to its left, height to its right)."""
        found = []
        for x in sorted({p[0] for p in self.points}):
            if self.points[0][0] < x < self.points[-1][0]:
                left, right = self.at(x)
                if abs(left - right) > SAME_IN:
                    found.append((x, left, right))
        return tuple(found)


def _station(point: Point) -> float:
    return point[0]


def _from_the_left(points: Sequence[Point], x: float) -> float:
    """Height of the edge as the station is approached from the left."""
    if x <= points[0][0]:
        return points[0][1]
    place = bisect_left(points, x, key=_station)
    if place == len(points):
        return points[-1][1]
    (xa, ya), (xb, yb) = points[place - 1 : place + 1]
    return yb if x == xb else ya + (yb - ya) * (x - xa) / (xb - xa)


def _from_the_right(points: Sequence[Point], x: float) -> float:
    """Height of the edge as the station is approached from the right; mirrored in every digit."""
    if x >= points[-1][0]:
        return points[-1][1]
    place = bisect_right(points, x, key=_station)
    if place == 0:
        return points[0][1]
    (xa, ya), (xb, yb) = points[place - 1 : place + 1]
    return ya if x == xa else yb + (ya - yb) * (xb - x) / (xb - xa)


def parts_uncovered(path: Path, edge: Profile) -> tuple[Path, ...]:
    """Return the parts of a path that do not lie below an edge, in their order."""
    parts: list[list[Point]] = []
    goes_on = False
    for a, b in itertools.pairwise(path):
        for p, q in itertools.pairwise(_stops(a, b, edge)):
            covered = edge.covers(((p[0] + q[0]) / 2, (p[1] + q[1]) / 2))
            if not covered and not goes_on:
                parts.append([p, q])
            elif not covered:
                corner = [p] if p == a else []
                parts[-1] = [*parts[-1][:-1], *corner, q]
            goes_on = not covered
    return tuple(tuple(part) for part in parts)


def _stops(a: Point, b: Point, edge: Profile) -> list[Point]:
    """Return the points from ``a`` to ``b`` between which a straight line keeps to one side of an edge."""
    (xa, ya), (xb, yb) = a, b
    inner = sorted({x for x, _ in edge.points if min(xa, xb) < x < max(xa, xb)}, reverse=xb < xa)
    found = [a]
    for x1, y1 in (*((x, ya + (yb - ya) * (x - xa) / (xb - xa)) for x in inner), b):
        x0, y0 = found[-1]
        height0, height1 = _heights_over(edge, x0, x1)
        over0, over1 = y0 - height0, y1 - height1
        if over0 * over1 < 0:
            share = over0 / (over0 - over1)
            found.append((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share))
        found.append((x1, y1))
    return found


def _heights_over(edge: Profile, x0: float, x1: float) -> tuple[float, float]:
    """Return the heights of an edge at both ends of a stretch, which may go left or have no length."""
    if x0 == x1:
        return (max(edge.at(x0)), max(edge.at(x0)))
    ahead = int(x1 > x0)
    return (edge.at(x0)[ahead], edge.at(x1)[1 - ahead])


def lowest_height(top: Profile, bottom: Profile, x0_in: float, x1_in: float) -> float:
    """Return the least height of a wall over an interval of stations.

    Args:
        top: the wall's top edge.
        bottom: the wall's bottom edge.
        x0_in: left end of the interval.
        x1_in: right end of the interval.

    Returns:
        The least vertical distance between the edges over the open interval, inches. Both edges are
        piecewise straight, so the least distance is at a break of one of them or at an end.
    """
    breaks = {x for edge in (top, bottom) for x, _ in edge.points}
    x0_in, x1_in = at_break(x0_in, breaks), at_break(x1_in, breaks)
    heights = [top.at(x0_in)[1] - bottom.at(x0_in)[1], top.at(x1_in)[0] - bottom.at(x1_in)[0]]
    for x in (x for x in breaks if x0_in < x < x1_in):
        (top_left, top_right), (bottom_left, bottom_right) = top.at(x), bottom.at(x)
        heights += [top_left - bottom_left, top_right - bottom_right]
    return min(heights)


def at_break(x_in: float, breaks: Iterable[float]) -> float:
    """Return the break of an edge that is the same station as this one, or the station itself.

    A joint at a step is there to the tick, not to the last digit: without this the panel beside it
    would take in a sliver of the wall beyond the step, and its height.
    """
    near = (x for x in breaks if abs(x - x_in) <= SAME_IN)
    return min(near, key=lambda x: abs(x - x_in), default=x_in)
