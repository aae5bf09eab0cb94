"""The wall as the judge sees it: its tracks, the panels between them, and what each joint stands for.

Glossary:
    panel: the masonry between two neighbouring joints, or between a joint and an end of the wall.
    idle: a joint that stands at no jamb and at no place that asks for one.
    repeat: a joint that adds nothing to its neighbour, on the same line or a sliver away.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from perpend.checks.measure.asked_places import asked_places
from perpend.checks.measure.far_restraints import FarRestraint, far_restraints
from perpend.checks.measure.lintel_boxes import lintel_box
from perpend.checks.measure.spatial_index import NearbyOpenings, NearbyTracks
from perpend.checks.measure.track_geometry import Track, over, runs_through, share_beside, spread
from perpend.checks.measure.tracks import SIDES, jamb, stands_at_jamb
from perpend.model import (
    Box,
    EndCondition,
    Joint,
    Limits,
    OpeningRule,
    Panel,
    Place,
    Point,
    Side,
    Treatment,
)
from perpend.rulebook.strip_pieces import strip_width_between
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN


@dataclass(frozen=True, slots=True)
class PanelSpan:
    """A panel with its measured length.

    Attributes:
        left: its left joint; None at the wall's left end.
        right: its right joint; None at the right end.
        x0_in: foot of the left joint, or 0.
        x1_in: foot of the right joint, or the wall's length.
        length_in: greatest level distance between the two on any course.
        limits: what holds at the panel's height.
        corners: ends of the panel that are corners.
        jointless: True when it is the whole wall and no joint stands at either end of it.
        served: its corners for which the joint near them in the adjoining wall is enough.
        far_restraints: sides of bonded walls in it on which the next joint is too far away.
    """

    left: Track | None
    right: Track | None
    x0_in: float
    x1_in: float
    length_in: float
    limits: Limits
    corners: tuple[Side, ...]
    jointless: bool = False
    served: tuple[Side, ...] = ()
    far_restraints: tuple[FarRestraint, ...] = ()

    @property
    def panel(self) -> Panel:
        """The panel as reports and drawings know it."""
        limits = self.limits
        return Panel(
            self.x0_in,
            self.x1_in,
            self.length_in,
            limits.max_spacing_in,
            limits.height_in,
            bool(self.corners),
            limits.corner_distance_in if self.corners else None,
        )

    @property
    def too_long(self) -> bool:
        """True when it is longer than the spacing at its height."""
        spacing = self.limits.max_spacing_in
        return spacing is not None and over(self.length_in, spacing)

    @property
    def joints_lacking(self) -> int:
        """How many joints more it needs at least for its spacing."""
        spacing = self.limits.max_spacing_in
        if not self.too_long or spacing is None:
            return 0
        return max(1, math.ceil((self.length_in - SAME_IN) / spacing) - 1) if spacing > 0 else 1

    @property
    def faults(self) -> int:
        """How many joints it lacks, for its spacing, its corners and the bonded walls in it."""
        return self.joints_lacking + len(self.far_corners) + len(self.far_restraints)

    @property
    def far_corners(self) -> tuple[Side, ...]:
        """Its corners from which the joint is too far away, or which have none at all."""
        distance = self.limits.corner_distance_in
        if distance is None:
            return ()
        if over(self.length_in, distance):
            return self.corners
        return tuple(side for side in self.corners if self.jointless and side not in self.served)


@dataclass(frozen=True, slots=True)
class Repeat:
    """Two joints of which one is too many.

    Attributes:
        kept: the one that stays.
        extra: the other.
        apart_in: greatest level distance between the two; 0 when they cross.
        crossing: True when they meet although they are two lines.
        both_stay: True when they meet and each is needed.
    """

    kept: Track
    extra: Track
    apart_in: float
    crossing: bool = False
    both_stay: bool = False


@dataclass(frozen=True, slots=True)
class JudgedWall:
    """One wall with its joints, measured.

    Attributes:
        basis: everything that binds its joints.
        every: all joints, those at the ends included.
        tracks: joints within the wall that count, left to right; repeats left out.
        ends: ends of the wall at which a joint stands.
        repeats: joints that stand twice.
        panels: left to right.
        served: the joint at each jamb of an unreinforced opening, by index of the opening and side.
        places: places that ask for a joint, left to right.
        partial: joints of partial height, below or above long, low openings.
        openings: the openings by where they stand.
        feet: the joints by where they stand.
    """

    basis: WallBasis
    every: tuple[Track, ...]
    tracks: tuple[Track, ...]
    ends: frozenset[Side]
    repeats: tuple[Repeat, ...]
    panels: tuple[PanelSpan, ...]
    served: dict[tuple[int, Side], Track]
    places: tuple[Place, ...]
    openings: NearbyOpenings
    feet: NearbyTracks
    partial: tuple[Joint, ...] = ()

    @property
    def tag(self) -> str:
        """The wall's tag."""
        return self.basis.wall.tag

    def at(self, x_in: float) -> str:
        """Print a station or a length for a sentence."""
        return self.basis.show(x_in)

    @property
    def counted(self) -> tuple[Track, ...]:
        """All joints but those that are too many and go."""
        gone = {id(repeat.extra) for repeat in self.repeats if not repeat.both_stay}
        return tuple(track for track in self.every if id(track) not in gone)

    def idle(self, track: Track) -> bool:
        """Say whether a joint stands at no jamb and at no place that asks for one."""
        serving = any(
            stands_at_jamb(track, rule, side)
            for _, rule in self.unreinforced_near(track.lo, track.hi)
            for side in SIDES
        )
        return not serving and not self.at_place(track)

    def at_end(self, track: Track) -> bool:
        """Say whether a joint stands at an end of the wall."""
        return _end(track, self.basis.wall.length_in) is not None

    def at_place(self, track: Track) -> bool:
        """Say whether a joint stands at a place that asks for one."""
        return any(stands_at(self.basis, track, p.x_in) for p in self.places)

    def unreinforced(self) -> Iterator[tuple[int, OpeningRule]]:
        """Yield the unreinforced openings with their index."""
        return self._unreinforced(range(len(self.basis.openings)))

    def unreinforced_near(self, low_in: float, high_in: float) -> Iterator[tuple[int, OpeningRule]]:
        """Yield the unreinforced openings that stand near the stations low..high, with their index."""
        return self._unreinforced(self.openings.beside(low_in, high_in))

    def _unreinforced(self, indices: Iterable[int]) -> Iterator[tuple[int, OpeningRule]]:
        for index in indices:
            rule = self.basis.openings[index]
            if rule.treatment is Treatment.UNREINFORCED:
                yield index, rule

    def spot(self, x_in: float) -> Point:
        """Return the point half way up the wall at a station, where a mark is put."""
        wall = self.basis.wall
        return (x_in, (max(wall.bottom.at(x_in)) + min(wall.top.at(x_in))) / 2)


def judged_wall(basis: WallBasis, every: Sequence[Track], partial: Sequence[Joint] = ()) -> JudgedWall:
    """Measure a wall.

    Args:
        basis: the wall's basis.
        every: its tracks, left to right.
        partial: its joints of partial height.
    """
    length = basis.wall.length_in
    at_end = {t.numbers: _end(t, length) for t in every}
    ends = frozenset(side for side in at_end.values() if side is not None)
    inner = [t for t in every if at_end[t.numbers] is None]
    tracks, repeats = _without_repeats(basis, inner, ends)
    feet = NearbyTracks.of(tracks)
    served = {
        (i, side): track
        for i, rule in enumerate(basis.openings)
        if rule.treatment is Treatment.UNREINFORCED
        for side in SIDES
        for track in reversed(feet.beside(jamb(rule, side)))
        if stands_at_jamb(track, rule, side)
    }
    return JudgedWall(
        basis=basis,
        every=tuple(every),
        tracks=tuple(tracks),
        ends=ends,
        repeats=tuple(repeats),
        panels=panels_of(basis, tracks, ends),
        served=served,
        places=asked_places(basis),
        openings=NearbyOpenings.of(basis),
        feet=feet,
        partial=tuple(partial),
    )


def _end(track: Track, length_in: float) -> Side | None:
    """Return the end of the wall at which a joint stands."""
    if track.hi <= ON_MODULE_IN:
        return "left"
    return "right" if track.lo >= length_in - ON_MODULE_IN else None


def panels_of(basis: WallBasis, tracks: Sequence[Track], ends: frozenset[Side]) -> tuple[PanelSpan, ...]:
    """Measure the panels between the joints of a wall."""
    nodes: list[Track | None] = [None, *tracks, None]
    return tuple(panel_between(basis, left, right, ends) for left, right in itertools.pairwise(nodes))


def panel_between(
    basis: WallBasis, left: Track | None, right: Track | None, ends: frozenset[Side]
) -> PanelSpan:
    """Measure the panel between two neighbouring joints.

    Args:
        basis: the wall's basis.
        left: the joint on its left, or None at the wall's left end.
        right: the joint on its right, or None at the right end.
        ends: ends of the wall at which a joint stands.
    """
    x0 = left.foot_x if left else 0.0
    x1 = right.foot_x if right else basis.wall.length_in
    corners: list[Side] = []
    if left is None and basis.left_end is EndCondition.CORNER and "left" not in ends:
        corners.append("left")
    if right is None and basis.right_end is EndCondition.CORNER and "right" not in ends:
        corners.append("right")
    joint_at_end = bool(ends) or EndCondition.JOINT in (basis.left_end, basis.right_end)
    jointless = left is None and right is None and not joint_at_end
    limits = basis.limits(min(x0, x1), max(x0, x1))
    length = _length(basis, left, right)
    served = tuple(side for side, is_served in zip(SIDES, basis.served_corners, strict=True) if is_served)
    far = tuple(far_restraints(basis, left, right, limits))
    return PanelSpan(left, right, x0, x1, length, limits, tuple(corners), jointless, served, far)


def _length(basis: WallBasis, left: Track | None, right: Track | None) -> float:
    """Return the greatest level distance; what a long, low opening takes up is no part of it."""
    x0 = left.foot_x if left else 0.0
    x1 = right.foot_x if right else basis.wall.length_in
    strips = strip_width_between(basis.strip_spans, x0, x1) if basis.strip_spans else 0.0
    if left is not None and right is not None:
        return spread(left, right)[1] - strips
    return (right.hi if right else basis.wall.length_in) - (left.lo if left else 0.0) - strips


def _without_repeats(
    basis: WallBasis, inner: list[Track], ends: frozenset[Side]
) -> tuple[list[Track], list[Repeat]]:
    """Set joints apart that stand on another one's line, or a sliver away without doing anything."""
    kept: list[Track] = []
    repeats: list[Repeat] = []
    for track in inner:
        before = kept[-1] if kept else None
        if before is None:
            kept.append(track)
            continue
        repeat = _repeat(basis, inner, before, track, ends)
        if repeat is not None:
            repeats.append(repeat)
        if repeat is None or repeat.both_stay:
            kept.append(track)
        else:
            kept[-1] = repeat.kept
    return kept, repeats


def _repeat(
    basis: WallBasis, inner: Sequence[Track], before: Track, track: Track, ends: frozenset[Side]
) -> Repeat | None:
    """Say how a joint repeats or meets the one before it; None where it does neither."""
    least, greatest = spread(before, track)
    near = greatest < basis.module_in / 2
    if least > SAME_IN and not near:
        return None
    stays, goes = sorted((before, track), key=lambda t: _worth(basis, t))
    if near:
        idle = not served_by(basis, goes) and _needless(basis, inner, goes, ends)
        return Repeat(stays, goes, max(greatest, 0.0)) if least <= SAME_IN or idle else None
    useless = served_by(basis, goes) <= served_by(basis, stays) and _needless(basis, inner, goes, ends)
    return Repeat(stays, goes, 0.0, crossing=True, both_stay=not useless)


def _worth(basis: WallBasis, track: Track) -> tuple[bool, bool, bool, bool]:
    """Order two joints of which one is too many: one that leans, serves nothing, clashes or is short goes."""
    boxes = (box for rule in basis.openings for box in (rule.opening.box, lintel_box(basis, rule)) if box)
    clashing = any(enters(track, box) for box in boxes)
    short = track.foot[1] - track.floor_in > GAP_IN or track.crown_in - track.head[1] > GAP_IN
    return (track.leans, not served_by(basis, track), clashing, short)


def _needless(basis: WallBasis, inner: Sequence[Track], track: Track, ends: frozenset[Side]) -> bool:
    """Say whether the spacing breaks no more without a joint than with it."""
    at = next(place for place, each in enumerate(inner) if each is track)
    left = inner[at - 1] if at else None
    right = inner[at + 1] if at + 1 < len(inner) else None
    beside = panel_between(basis, left, track, ends), panel_between(basis, track, right, ends)
    return panel_between(basis, left, right, ends).faults <= sum(panel.faults for panel in beside)


def served_by(basis: WallBasis, track: Track) -> frozenset[tuple[int, Side] | float]:
    """Return the jambs and the places that ask for a joint at which one stands."""
    places = (p.x_in for p in asked_places(basis) if stands_at(basis, track, p.x_in))
    return frozenset((*jambs_served(basis, track), *places))


def jambs_served(basis: WallBasis, track: Track) -> tuple[tuple[int, Side], ...]:
    """Return the jambs of unreinforced openings at which a joint stands: index of the opening, and side."""
    return tuple(
        (index, side)
        for index, rule in enumerate(basis.openings)
        if rule.treatment is Treatment.UNREINFORCED
        for side in SIDES
        if stands_at_jamb(track, rule, side)
    )


def stands_at(basis: WallBasis, track: Track, x_in: float) -> bool:
    """Say whether a joint stands at a station over the whole height of the wall, but for drafting gaps."""
    wall = basis.wall
    low, high = max(wall.bottom.at(x_in)), min(wall.top.at(x_in))
    return (1 - share_beside(track, x_in, low, high)) * (high - low) <= 2 * GAP_IN


def enters(track: Track, box: Box) -> bool:
    """Say whether a joint runs through a box, where it was drawn or was meant to go on."""
    return any(runs_through(piece, box) for piece in track.uprights)
