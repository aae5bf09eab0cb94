"""Where drawn joints are measured: the drafting tolerance, all of it.

No pen is exact. A leg of a joint that was meant to be straight is measured upright on the line that it
covers, so that a quarter of an inch of lean, or the width that it was drawn with, lengthens no panel. One
that slipped by up to an inch off a station where the wall asks for a joint is measured there. What a lean was
let pass for is reported by `checks.rules.joint_line`, and a slip by `checks.rules.joint_off_place`.

Glossary:
    turn: a level piece that parts two legs: a slip plane, or a step wider than a lean may be.
    meant to be straight: all of a leg lies within 1/100 of the joint's rise, or within 1/8 in.
    line: a station that joints are drawn for: an end of the wall, a place that asks for one, a jamb, a module
        line, the edge of a keep-out or of a lintel, what a corner asks for.
    slip: how far a leg stands off the station that asks for it, where it covers it nowhere.
    carried along: a leg on the slip plane of a leg that slipped or leans stands as far aside as that one.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from perpend.checks.measure.asked_places import asked_places
from perpend.checks.measure.lintel_boxes import lintel_box
from perpend.checks.measure.required_stations import AskedStation, asked_stations
from perpend.checks.measure.track_geometry import PLUMB, Leg, Piece, Track
from perpend.checks.measure.tracks import MOSTLY, SIDES, is_slip_plane, stands_at_jamb, tracks_of, upright
from perpend.model import Joint, SlipPlane, Treatment
from perpend.rulebook.strip_pieces import partial_piece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN


def measured_tracks(basis: WallBasis, joints: Iterable[Joint]) -> tuple[Track, ...]:
    """Make the tracks of a wall's joints, each where it was meant to stand, from left to right.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    whole = [joint for joint in joints if partial_piece(basis.strip_pieces, joint.path) is None]
    tracks = (measured for _, measured in _measured(basis, whole))
    return tuple(sorted(tracks, key=lambda t: (t.foot_x, t.head[0], t.numbers)))


def whole_joints(basis: WallBasis, joints: Sequence[Joint]) -> tuple[Joint, ...]:
    """Put the parts of each joint together, each joint where the checks measure it, from left to right.

    A joint of several parts keeps the number and the handle of its lowest part; a piece that nobody
    drew between two parts is in its path. One that slipped off its place stands as it was drawn.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    by_number = {joint.number: joint for joint in joints}
    found = [joint for joint in joints if partial_piece(basis.strip_pieces, joint.path)]
    for drawn, track in _measured(basis, [joint for joint in joints if joint not in found]):
        joint = by_number[track.numbers[0]]
        stands = drawn if any(leg.off_in for leg in track.legs) else track
        path = upright((stands.foot, *((p.x1, p.y1) for p in stands.pieces)))
        whole = replace(joint, path=path, x_in=path[0][0], joint_type=track.joint_type, past_in=track.past_in)
        found.append(_described(basis, whole, track) if joint.existing else whole)
    return tuple(sorted(found, key=lambda j: (j.x_in, j.path[-1][0], j.number)))


def _described(basis: WallBasis, joint: Joint, track: Track) -> Joint:
    """Add what the joint serves and its slip planes, as the report and the schedule show them."""
    served = [
        (rule, side)
        for rule in basis.openings
        if rule.treatment is Treatment.UNREINFORCED
        for side in SIDES
        if stands_at_jamb(track, rule, side)
    ]
    slips = [
        SlipPlane(min(p.x0, p.x1), max(p.x0, p.x1), p.y0, rule.opening.tag)
        for rule, side in served
        for p in track.pieces
        if p.drawn and is_slip_plane(p, rule, side)
    ]
    tags = tuple(dict.fromkeys(rule.opening.tag for rule, _ in served))
    return replace(joint, serves=tags, slip_planes=tuple(slips))


def _measured(basis: WallBasis, joints: Iterable[Joint]) -> list[tuple[Track, Track]]:
    """Return every joint as it was drawn, and as it is measured."""
    lines = _Lines.of(basis)
    parted = [_Parted.of(basis, track) for track in tracks_of(basis, joints)]
    served = {
        n for joint in parted for leg in joint.legs.values() for n in lines.asked_of(joint, leg, ON_MODULE_IN)
    }
    return [(joint.track, _measured_one(basis, lines, joint, served)) for joint in parted]


@dataclass(frozen=True, slots=True)
class _Parted:
    """A joint and its legs.

    Attributes:
        track: the joint as it was drawn.
        parts: its pieces: a leg's, or turns, from foot to head.
        legs: by index of the part, those that were meant to be straight.
    """

    track: Track
    parts: tuple[tuple[Piece, ...], ...]
    legs: dict[int, Leg]

    @classmethod
    def of(cls, basis: WallBasis, track: Track) -> _Parted:
        """Part a joint at its turns."""
        allowed = max(ON_MODULE_IN, PLUMB * (track.head[1] - track.foot[1]))
        parts: list[tuple[Piece, ...]] = []
        legs: dict[int, Leg] = {}
        for turns, pieces in groupby(track.pieces, lambda piece: _turns(basis, piece, allowed)):
            part = tuple(pieces)
            stations = [x for piece in part for x in (piece.x0, piece.x1)]
            low, high = min(stations), max(stations)
            if not turns and high - low <= allowed:
                lean, half = high - low, track.width_in / 2
                legs[len(parts)] = Leg(
                    low - half, high + half, part[0].y0, part[-1].y1, lean if lean > ON_MODULE_IN else 0.0
                )
            parts.append(part)
        return cls(track, tuple(parts), legs)


def _turns(basis: WallBasis, piece: Piece, allowed_in: float) -> bool:
    """Say whether a piece parts two legs of a joint."""
    if not (piece.is_step and piece.is_level):
        return False
    slips = (is_slip_plane(piece, rule, side) for rule in basis.openings for side in SIDES)
    return abs(piece.shift) > allowed_in or any(slips)


def _measured_one(basis: WallBasis, lines: _Lines, joint: _Parted, served: set[int]) -> Track:
    """Return a joint with each leg upright on its line; what covers none stays as it was drawn."""
    at: dict[int, float] = {}
    for part, leg in joint.legs.items():
        here = lines.asked_of(joint, leg, ON_MODULE_IN)
        near = () if here else [n for n in lines.asked_of(joint, leg, GAP_IN) if n not in served]
        x = lines.wanted[near[0]].x_in if near else lines.covered(leg.low, leg.high)
        if x is not None:
            at[part] = x
    legs = {part: replace(leg, at=at.get(part)) for part, leg in joint.legs.items()}
    for part, leg in joint.legs.items():
        for aside, slip in () if part in at else _carried_along(joint, legs, part):
            x = lines.covered(leg.low - aside, leg.high - aside)
            if x is not None:
                at[part] = x
                lean = aside - slip
                legs[part] = replace(leg, low=leg.low - lean, high=leg.high - lean, at=x)
                break
    pieces = tuple(_upright_pieces(joint, at))
    foot, head, wall = pieces[0].x0, pieces[-1].x1, basis.wall
    return replace(
        joint.track,
        pieces=pieces,
        floor_in=max(wall.bottom.at(foot)),
        crown_in=min(wall.top.at(head)),
        legs=tuple(legs.values()),
    )


def _carried_along(joint: _Parted, legs: dict[int, Leg], part: int) -> Iterator[tuple[float, float]]:
    """Yield how far the legs below and above a leg carry it aside, and how much of that is their slip."""
    for other, end in ((part - 2, -1), (part + 2, 0)):  # every second part is a turn
        beside = legs.get(other)
        if beside is not None and beside.at is not None:
            piece = joint.parts[other][end]
            yield (piece.x1 if end else piece.x0) - beside.at, beside.off_in


def _upright_pieces(joint: _Parted, at: dict[int, float]) -> Iterator[Piece]:
    """Yield the pieces of a joint whose legs stand at some stations, the turns between them."""
    for n, part in enumerate(joint.parts):
        x = at.get(n)
        for piece in part:
            if x is not None and piece.rise > 0:
                yield Piece(x, piece.y0, x, piece.y1, piece.drawn)
            elif x is None:
                first, last = piece is part[0], piece is part[-1]
                x0 = at.get(n - 1, piece.x0) if first else piece.x0
                x1 = at.get(n + 1, piece.x1) if last else piece.x1
                yield replace(piece, x0=x0, x1=x1)


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of a wall.

    Attributes:
        asked: (station, rank), by station: ends, places and jambs have a lower rank than edges.
        wanted: where the wall asks for a joint.
        by_station: (station, index in ``wanted``), by station.
        module_in: distance between module lines.
        origin_in: station of one of them.
    """

    asked: Sequence[tuple[float, int]]
    wanted: tuple[AskedStation, ...]
    by_station: Sequence[tuple[float, int]]
    module_in: float
    origin_in: float

    @classmethod
    def of(cls, basis: WallBasis) -> _Lines:
        first = [0.0, basis.wall.length_in, *(p.x_in for p in asked_places(basis))]
        edges = list(basis.corner_stations_in)
        for rule in basis.openings:
            box, lintel = rule.opening.box, lintel_box(basis, rule)
            first += (box.x0, box.x1)
            if rule.keeps_clear:
                edges += (box.x0 - rule.clear_in, box.x1 + rule.clear_in)
            if lintel is not None:
                edges += (lintel.x0, lintel.x1)
        asked = sorted((*((x, 0) for x in first), *((x, 1) for x in edges)))
        wanted = tuple(asked_stations(basis))
        by_station = sorted((station.x_in, n) for n, station in enumerate(wanted))
        return cls(asked, wanted, by_station, basis.module_in, basis.bond_origin_in)

    def asked_of(self, joint: _Parted, leg: Leg, reach_in: float) -> list[int]:
        """Return the stations within a reach that ask for this leg, by index in ``wanted``, nearest first.

        A jamb asks for a leg over half of its height at least, a place for a joint without turns.
        """
        near = ((x, n, self.wanted[n]) for x, n in _between(self.by_station, leg.low, leg.high, reach_in))
        found = [
            (max(leg.low - x, x - leg.high, 0.0), n)
            for x, n, asked in near
            if (asked.place is None or len(joint.parts) == 1)
            and min(leg.y1, asked.y1_in) - max(leg.y0, asked.y0_in) >= MOSTLY * (asked.y1_in - asked.y0_in)
        ]
        return [n for off, n in sorted(found) if off <= reach_in]

    def covered(self, low_in: float, high_in: float) -> float | None:
        """Return the line that a joint covers; of several the nearest, then the one most asked for."""
        middle = (low_in + high_in) / 2
        found = [
            (max(low_in - x, x - high_in, 0.0), rank, abs(x - middle), x)
            for x, rank in (
                *_between(self.asked, low_in, high_in, ON_MODULE_IN),
                *self._module_lines(low_in, high_in),
            )
        ]
        near = [line for line in found if line[0] <= ON_MODULE_IN]
        return min(near)[-1] if near else None

    def _module_lines(self, low_in: float, high_in: float) -> Iterator[tuple[float, int]]:
        first = round((low_in - self.origin_in) / self.module_in)
        last = round((high_in - self.origin_in) / self.module_in)
        for k in range(first, last + 1):
            yield (self.origin_in + k * self.module_in, 2)


def _between(
    stations: Sequence[tuple[float, int]], low_in: float, high_in: float, reach_in: float
) -> Sequence[tuple[float, int]]:
    """Return those of some stations, ascending, within a reach of a stretch, and a few beyond it."""
    first = bisect_left(stations, (low_in - reach_in - SAME_IN,))
    return stations[first : bisect_left(stations, (high_in + reach_in + SAME_IN,))]
