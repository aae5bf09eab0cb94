"""Where drawn joints are measured: the drafting tolerance, all of it.

No pen is exact. A joint that was meant to be straight is measured upright on the line that it covers, so that
a quarter of an inch of lean, or the width that it was drawn with, lengthens no panel. What a lean was let
pass for is told by `perpend.checks.drafting`.

Glossary:
    meant to be straight: all of it lies within 1/100 of its rise, or within 1/8 in., and no part of it is
        a slip plane.
    reach: the stations from its least to its greatest, half the width it was drawn with beyond.
    line: a station that joints are drawn for: an end of the wall, a place that asks for one, a jamb, a module
        line, the edge of a keep-out or of a lintel, what a corner asks for.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from perpend.checks.clash import keeps_clear
from perpend.checks.geometry import PLUMB, Piece, Track
from perpend.checks.tracks import SIDES, is_slip_plane, stands_at_jamb, tracks_of, upright
from perpend.checks.wall import asked_places, lintel_box
from perpend.model import Joint, SlipPlane, Treatment
from perpend.rulebook.basis import WallBasis
from perpend.slotted import dataclass
from perpend.units import ON_MODULE_IN


def measured_tracks(basis: WallBasis, joints: Iterable[Joint]) -> tuple[Track, ...]:
    """Make the tracks of a wall's joints, each where it was meant to stand, from left to right.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    lines = _Lines.of(basis)
    tracks = (_straightened(basis, lines, track) for track in tracks_of(basis, joints))
    return tuple(sorted(tracks, key=lambda t: (t.foot_x, t.head[0], t.numbers)))


def whole_joints(basis: WallBasis, joints: Sequence[Joint]) -> tuple[Joint, ...]:
    """Put the parts of each joint together, each joint where the checks measure it, from left to right.

    A joint of several parts keeps the number and the handle of its lowest part; a piece that nobody
    drew between two parts is in its path.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    by_number = {joint.number: joint for joint in joints}
    found = []
    for track in measured_tracks(basis, joints):
        joint = by_number[track.numbers[0]]
        path = upright((track.foot, *((p.x1, p.y1) for p in track.pieces)))
        whole = replace(joint, path=path, x_in=path[0][0], joint_type=track.joint_type, past_in=track.past_in)
        found.append(_described(basis, whole, track) if joint.existing else whole)
    return tuple(found)


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


def _straightened(basis: WallBasis, lines: _Lines, track: Track) -> Track:
    """Return a joint upright on the line that it covers; as it was drawn where it is none, or covers none."""
    stations = [x for piece in track.pieces for x in (piece.x0, piece.x1)]
    drawn = (min(stations), max(stations))
    allowed = max(ON_MODULE_IN, PLUMB * (track.head[1] - track.foot[1]))
    if drawn[1] - drawn[0] > allowed or _slips(basis, track):
        return track
    track = replace(track, drawn_in=drawn)
    x = lines.covered(*track.reach)
    if x is None:
        return track
    pieces = tuple(Piece(x, p.y0, x, p.y1, p.drawn) for p in track.pieces if p.rise > 0)
    return replace(track, pieces=pieces)


def _slips(basis: WallBasis, track: Track) -> bool:
    return any(
        is_slip_plane(piece, rule, side)
        for piece in track.pieces
        if piece.is_step
        for rule in basis.openings
        for side in SIDES
    )


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of a wall.

    Attributes:
        asked: (rank, station): ends, places and jambs come first, then edges.
        module_in: distance between module lines.
        origin_in: station of one of them.
    """

    asked: tuple[tuple[int, float], ...]
    module_in: float
    origin_in: float

    @classmethod
    def of(cls, basis: WallBasis) -> _Lines:
        first = [0.0, basis.wall.length_in, *(p.x_in for p in asked_places(basis))]
        edges = list(basis.corner_stations_in)
        for rule in basis.openings:
            box, lintel = rule.opening.box, lintel_box(basis, rule)
            first += (box.x0, box.x1)
            if keeps_clear(rule):
                edges += (box.x0 - rule.clear_in, box.x1 + rule.clear_in)
            if lintel is not None:
                edges += (lintel.x0, lintel.x1)
        return cls(
            (*((0, x) for x in first), *((1, x) for x in edges)), basis.module_in, basis.bond_origin_in
        )

    def covered(self, low_in: float, high_in: float) -> float | None:
        """Return the line that a joint covers; of several the nearest, then the one most asked for."""
        middle = (low_in + high_in) / 2
        found = [
            (max(low_in - x, x - high_in, 0.0), rank, abs(x - middle), x)
            for rank, x in (*self.asked, *self._module_lines(low_in, high_in))
        ]
        near = [line for line in found if line[0] <= ON_MODULE_IN]
        return min(near)[-1] if near else None

    def _module_lines(self, low_in: float, high_in: float) -> Iterator[tuple[int, float]]:
        first = round((low_in - self.origin_in) / self.module_in)
        last = round((high_in - self.origin_in) / self.module_in)
        for k in range(first, last + 1):
            yield (2, self.origin_in + k * self.module_in)
