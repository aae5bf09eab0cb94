"""The slip planes of a wall's joints, as they were drawn."""

from __future__ import annotations

from collections.abc import Iterator

from perpend.checks.measure.judged_wall import JudgedWall
from perpend.checks.measure.track_geometry import Piece, Track
from perpend.checks.measure.tracks import SIDES, away, bearing, is_slip_plane, jamb
from perpend.model import OpeningRule, Side
from perpend.slotted import dataclass
from perpend.units import GAP_IN, ON_MODULE_IN


@dataclass(frozen=True, slots=True)
class Plane:
    """A slip plane as drawn: which joint, under which lintel, how long."""

    track: Track
    index: int
    rule: OpeningRule
    side: Side
    piece: Piece

    @property
    def length_in(self) -> float:
        """How long it was drawn."""
        return abs(self.piece.shift)

    @property
    def wanted_in(self) -> float:
        """The bearing of the lintel above it."""
        return bearing(self.rule, self.side)

    @property
    def too_short(self) -> bool:
        """True when it ends before the lintel does."""
        return self.length_in < self.wanted_in - ON_MODULE_IN


def short_planes(wall: JudgedWall) -> set[tuple[tuple[int, ...], int]]:
    """Return (numbers of the joint, index of the opening) of every slip plane that is too short.

    Such a joint cuts into the lintel's end; the slip plane is what is wrong, so only that is reported.
    """
    return {(p.track.numbers, p.index) for p in planes_of(wall) if p.too_short}


def wrong_steps(wall: JudgedWall) -> set[tuple[tuple[int, ...], int]]:
    """Return (numbers of the joint, index of the opening) of every step from a jamb's head over the opening.

    Such a joint goes up through the lintel; the step is what is wrong, so only that is reported.
    """
    return {
        (track.numbers, index)
        for track in wall.tracks
        for piece in track.pieces
        if piece.is_step and piece.is_level
        for index, rule in wall.unreinforced_near(track.lo, track.hi)
        for side in SIDES
        if abs(piece.x0 - jamb(rule, side)) <= ON_MODULE_IN
        and abs(piece.y0 - rule.opening.box.y1) <= GAP_IN
        and piece.shift * away(side) < 0
    }


def planes_of(wall: JudgedWall) -> Iterator[Plane]:
    """Yield every slip plane of a wall, joint by joint from the left."""
    for track in wall.tracks:
        yield from planes_in(wall, track)


def planes_in(wall: JudgedWall, track: Track) -> Iterator[Plane]:
    """Yield the slip planes of one joint, from its foot up."""
    for piece in track.pieces:
        if not piece.is_step:
            continue
        for index, rule in wall.unreinforced_near(track.lo, track.hi):
            for side in SIDES:
                if is_slip_plane(piece, rule, side):
                    yield Plane(track, index, rule, side, piece)
