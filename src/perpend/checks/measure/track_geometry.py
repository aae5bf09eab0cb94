"""The lines of joints as they were drawn, and how far apart they stand.

Written apart from the layout on purpose: the judge measures with its own hands. docs/checking.md
says what is measured.

Glossary:
    piece: a straight part of a joint between two corners of its path.
    track: one joint, from its foot to its head.
    course: a level line across the wall at some height.
    step: a piece along which the joint moves aside.
    jump: a piece that nobody drew, between two parts of one joint.
    leg: a rising part of a joint that was meant to be straight; steps part the legs of one joint.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Final

from perpend.model import Box
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN, to_ticks

PLUMB: Final = 1 / 100
"""A line that leans by no more than this part of its rise was meant to be upright."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A straight part of a joint, lower end first, inches.

    Attributes:
        x0: station of its lower end.
        y0: height of its lower end.
        x1: station of its upper end.
        y1: height of its upper end.
        drawn: False for a jump.
    """

    x0: float
    y0: float
    x1: float
    y1: float
    drawn: bool = True

    @property
    def rise(self) -> float:
        """Height from its lower to its upper end."""
        return self.y1 - self.y0

    @property
    def shift(self) -> float:
        """How far it moves aside; positive to the right."""
        return self.x1 - self.x0

    @property
    def is_level(self) -> bool:
        """True when it lies in one course."""
        return self.rise <= ON_MODULE_IN

    @property
    def is_step(self) -> bool:
        """True when it moves aside by more than a line that was meant to be upright."""
        return abs(self.shift) > max(ON_MODULE_IN, PLUMB * self.rise)

    def station(self, y_in: float) -> float:
        """Return its station at a height, carried on in a straight line beyond its ends."""
        return self.x0 if self.rise <= 0 else self.x0 + self.shift * (y_in - self.y0) / self.rise


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg of a joint, as it was drawn.

    Attributes:
        low: least station that it covers, half the width it was drawn with included.
        high: greatest.
        y0: height of its lower end.
        y1: height of its upper end.
        lean_in: how far it was drawn out of plumb; 0 within 1/8 in.
        at: the station where it is measured, or None where it covers no line.
    """

    low: float
    high: float
    y0: float
    y1: float
    lean_in: float
    at: float | None = None

    @property
    def off_in(self) -> float:
        """How far it stands to the right of where it is measured, negative to the left; 0 within 1/8 in."""
        if self.at is None:
            return 0.0
        off = self.low - self.at if self.low > self.at else min(self.high - self.at, 0.0)
        return off if abs(off) > ON_MODULE_IN else 0.0


@dataclass(frozen=True, slots=True)
class Track:
    """One joint as it runs up the wall.

    Attributes:
        numbers: numbers of the joints it was put together from.
        pieces: from foot to head, each beginning where the one before ends.
        floor_in: height of the wall's bottom at its foot.
        crown_in: height of the wall's top at its head.
        handle: DXF handle, or empty.
        joint_type: key of the type that the drawing names, or None.
        existing: True when it was read from a drawing.
        past_in: how far its line was drawn on below the wall's bottom and above its top.
        width_in: how wide it was drawn; 0 for a line.
        legs: its legs as they were drawn, from foot to head.
        uprights: its pieces that rise.
        lo: least station that it stands at.
        hi: greatest station that it stands at.
    """

    numbers: tuple[int, ...]
    pieces: tuple[Piece, ...]
    floor_in: float
    crown_in: float
    handle: str = ""
    joint_type: str | None = None
    existing: bool = False
    past_in: tuple[float, float] = (0.0, 0.0)
    width_in: float = 0.0
    legs: tuple[Leg, ...] = ()
    uprights: tuple[Piece, ...] = field(init=False)
    lo: float = field(init=False)
    hi: float = field(init=False)

    def __post_init__(self) -> None:
        uprights = tuple(p for p in self.pieces if p.rise > 0)
        stations = [x for p in uprights for x in (p.x0, p.x1)]
        stations += [self.foot_x] if self.foot[1] > self.floor_in + GAP_IN else []
        stations += [self.head[0]] if self.crown_in > self.head[1] + GAP_IN else []
        object.__setattr__(self, "uprights", uprights)
        object.__setattr__(self, "lo", min(stations))
        object.__setattr__(self, "hi", max(stations))

    @property
    def foot(self) -> tuple[float, float]:
        """Its lower end."""
        return (self.pieces[0].x0, self.pieces[0].y0)

    @property
    def head(self) -> tuple[float, float]:
        """Its upper end."""
        return (self.pieces[-1].x1, self.pieces[-1].y1)

    @property
    def foot_x(self) -> float:
        """Station of its lower end."""
        return self.pieces[0].x0

    @property
    def leans(self) -> bool:
        """True when a part of it leans by more than a line that was meant to be upright."""
        return any(piece.is_step for piece in self.uprights)

    @property
    def low(self) -> float:
        """Height from which it is taken to stand: the wall's bottom, also where it was drawn short."""
        return min(self.foot[1], self.floor_in)

    @property
    def high(self) -> float:
        """Height up to which it is taken to stand."""
        return max(self.head[1], self.crown_in)

    def at_height(self, course_in: float, y_in: float) -> float:
        """Return its station at a height, on the piece that crosses a course; upright beyond its ends."""
        if course_in <= self.foot[1]:
            return self.foot[0]
        for piece in self.uprights:
            if piece.y0 <= course_in <= piece.y1:
                return piece.station(y_in)
        return self.head[0]

    def nearest(self, stations: Iterable[float]) -> float | None:
        """Return the station nearest to its foot, or None where there is none."""
        return min(stations, key=lambda x: abs(x - self.foot_x), default=None)

    def middle(self) -> tuple[float, float]:
        """Return the point of its middle course, where a mark is put."""
        y = (self.low + self.high) / 2
        return (self.at_height(y, y), y)


def spread(left: Track, right: Track) -> tuple[float, float]:
    """Return the least and the greatest level distance between two tracks on any course they share.

    Where one is drawn short, only the courses count on which both are drawn.
    """
    low, high = max(left.foot[1], right.foot[1]), min(left.head[1], right.head[1])
    corners = {y for t in (left, right) for p in t.pieces for y in (p.y0, p.y1) if low < y < high}
    distances = [
        right.at_height((y0 + y1) / 2, y) - left.at_height((y0 + y1) / 2, y)
        for y0, y1 in itertools.pairwise(sorted({low, high, *corners}))
        if y1 - y0 > SAME_IN
        for y in (y0, y1)
    ]
    if high <= low or not distances:
        return (right.lo - left.hi, right.hi - left.lo)
    return (min([*distances, *_between_steps(left, right)]), max(distances))


def _between_steps(left: Track, right: Track) -> Iterator[float]:
    """Yield the level distance between steps of two tracks that lie in one bed joint."""
    for a in left.pieces:
        for b in right.pieces:
            if a.is_step and b.is_step and a.is_level and b.is_level and abs(a.y0 - b.y0) <= SAME_IN:
                yield min(b.x0, b.x1) - max(a.x0, a.x1)


def share_beside(track: Track, x_in: float, y0_in: float, y1_in: float) -> float:
    """Return the part of the heights y0..y1 on which a track stands at a station, 0 to 1."""
    if not track.lo - ON_MODULE_IN <= x_in <= track.hi + ON_MODULE_IN:
        return 0.0
    beside = 0.0
    for piece in _extended(track):
        low, high = max(piece.y0, y0_in), min(piece.y1, y1_in)
        if high > low and _stands(piece, x_in):
            beside += high - low
    return beside / (y1_in - y0_in) if y1_in > y0_in else 0.0


def _stands(piece: Piece, x_in: float) -> bool:
    """Say whether a piece stands at a station; one that leans a little does so over its whole height."""
    low, high = min(piece.x0, piece.x1), max(piece.x0, piece.x1)
    return not piece.is_step and low - ON_MODULE_IN <= x_in <= high + ON_MODULE_IN


def _extended(track: Track) -> Iterator[Piece]:
    """Yield a track's rising pieces, carried on upright to the wall's bottom and top."""
    foot, head = track.foot, track.head
    yield Piece(foot[0], track.low, foot[0], foot[1])
    yield from track.uprights
    yield Piece(head[0], head[1], head[0], track.high)


def runs_through(piece: Piece, box: Box) -> bool:
    """Say whether a rising piece enters a box by more than drafting slack."""
    low, high = max(piece.y0, box.y0), min(piece.y1, box.y1)
    if high - low <= GAP_IN:
        return False
    inside = (box.x0 + ON_MODULE_IN, box.x1 - ON_MODULE_IN)
    stations = (piece.station(low), piece.station(high))
    return max(stations) > inside[0] and min(stations) < inside[1]


def over(measured_in: float, limit_in: float) -> bool:
    """Say whether a length breaks an upper limit, counted in whole ticks so that noise decides nothing."""
    return to_ticks(measured_in) > to_ticks(limit_in) + to_ticks(SAME_IN)


def under(measured_in: float, limit_in: float) -> bool:
    """Say whether a length breaks a lower limit, counted in whole ticks."""
    return to_ticks(measured_in) < to_ticks(limit_in) - to_ticks(SAME_IN)
