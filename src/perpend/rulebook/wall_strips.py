"""The masonry of a wall in upright strips, and the level lines of bond beams through them.

Glossary:
    strip: the part of the wall between two stations over which its edges are straight and its openings
        the same.
    course: counted from the wall's bottom, 0 first; its line runs half way up.
    reach: the stretch of a strip over which a course lies in the wall, openings left aside.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from perpend.model import Path, Wall
from perpend.units import SAME_IN, same

_Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Strip:
    """The masonry between two stations.

    Attributes:
        x0_in: its left side.
        x1_in: its right side.
        bottom: height of the wall's bottom at both sides.
        top: height of the wall's top at both sides.
        holes: sill and head of its openings.
        base_in: height from which courses are counted.
        course_in: height of a course.
        parts: the heights over which it stands, lowest first; the least ones where an edge slopes.
        courses: those that are masonry from bed to bed over its whole length.
    """

    x0_in: float
    x1_in: float
    bottom: _Span
    top: _Span
    holes: tuple[_Span, ...]
    base_in: float
    course_in: float
    parts: tuple[_Span, ...]
    courses: frozenset[int]

    @classmethod
    def between(cls, wall: Wall, x0: float, x1: float, holes: Iterable[_Span], course_in: float) -> Strip:
        """Return the strip of a wall between two stations."""
        base = min(y for _, y in wall.bottom.points)
        bottom, top = (
            (edge.between(x0, x1)[0][1], edge.between(x0, x1)[-1][1]) for edge in (wall.bottom, wall.top)
        )
        cut = tuple(sorted(holes))
        parts = tuple(_parts(max(bottom), min(top), cut))
        courses = frozenset(c for low, high in parts for c in _whole(low - base, high - base, course_in))
        return cls(x0, x1, bottom, top, cut, base, course_in, parts, courses)

    @property
    def height_in(self) -> float:
        """Height of its masonry."""
        return sum(high - low for low, high in self.parts)

    def level_of(self, course: int) -> float:
        """Return the height of a course's line."""
        return self.base_in + (course + 0.5) * self.course_in

    def reach(self, course: int) -> _Span | None:
        """Return the stretch over which a course lies in the wall, cut where an edge slopes through it."""
        y, (low, high) = self.level_of(course), (0.0, 1.0)
        for (a, b), up in ((self.top, 1.0), (self.bottom, -1.0)):
            above, rise = up * (a - y), up * (b - a)
            if same(a, b):
                if above < self.course_in / 2 - SAME_IN:
                    return None
            elif rise > 0:
                low = max(low, -above / rise)
            else:
                high = min(high, -above / rise)
        length = self.x1_in - self.x0_in
        if (high - low) * length <= SAME_IN:
            return None
        return self.x0_in + low * length, self.x0_in + high * length

    def span(self, course: int) -> _Span | None:
        """Return the stretch over which a course is masonry; an opening takes all of it."""
        y, half = self.level_of(course), self.course_in / 2
        if any(sill < y + half - SAME_IN and y - half + SAME_IN < head for sill, head in self.holes):
            return None
        return self.reach(course)


def _parts(low: float, high: float, holes: Iterable[_Span]) -> Iterator[_Span]:
    """Yield the heights between two that holes leave, lowest first."""
    for sill, head in holes:
        if sill > low:
            yield low, min(sill, high)
        low = max(low, head)
    if high > low:
        yield low, high


def _whole(low: float, high: float, course_in: float) -> range:
    """Return the courses that lie between two heights from bed to bed."""
    return range(math.ceil((low - SAME_IN) / course_in), math.floor((high + SAME_IN) / course_in))


def strips_of(wall: Wall, course_in: float) -> Iterator[Strip]:
    """Yield the strips of a wall, left to right."""
    stations = _stations(wall)
    holes: list[list[_Span]] = [[] for _ in stations[1:]]
    for opening in wall.openings:
        first = bisect_left(stations, opening.box.x0 - SAME_IN)
        last = bisect_left(stations, opening.box.x1 - SAME_IN)
        for strip in holes[first:last]:
            strip.append((opening.box.y0, opening.box.y1))
    for (x0, x1), cut in zip(itertools.pairwise(stations), holes, strict=True):
        yield Strip.between(wall, x0, x1, cut, course_in)


def _stations(wall: Wall) -> list[float]:
    """List the stations where height or openings change."""
    breaks = {x for edge in (wall.top, wall.bottom) for x, _ in edge.points}
    jambs = {x for opening in wall.openings for x in (opening.box.x0, opening.box.x1)}
    inner = {x for x in breaks | jambs if SAME_IN < x < wall.length_in - SAME_IN}
    return [0.0, *sorted(inner), wall.length_in]


def beams_of(strips: Sequence[Strip], courses: Iterable[int]) -> tuple[Path, ...]:
    """Return the level lines of bond beams, each as long as its course is masonry without a break."""
    found: list[Path] = []
    for course in courses:
        y = strips[0].level_of(course)
        spans: list[_Span] = []
        for x0, x1 in filter(None, (strip.span(course) for strip in strips)):
            if spans and same(spans[-1][1], x0):
                spans[-1] = (spans[-1][0], x1)
            else:
                spans.append((x0, x1))
        found += [((x0, y), (x1, y)) for x0, x1 in spans]
    return tuple(found)


def reached_counts(strips: Sequence[Strip], courses: Sequence[int]) -> tuple[int, int]:
    """Return how many courses the part of the wall with the fewest has, and the part with the most."""
    counts = []
    for strip in strips:
        reaches = [reach for reach in map(strip.reach, courses) if reach]
        counts.append(sum(reach[0] <= strip.x0_in + SAME_IN for reach in reaches))
        counts.append(sum(reach[1] >= strip.x1_in - SAME_IN for reach in reaches))
    return min(counts), max(counts)
