"""What is in each wall beside its openings: joints, places, supports, bond beams."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import Box, Wall, Zone
from perpend.notices import Notices
from perpend.reading.contents.drawn_joints import JointInk, joints_of
from perpend.reading.contents.wall_features import (
    KINDS,
    ZONES,
    bond_beams_of,
    places_of,
    supports_of,
    zones_of,
)
from perpend.reading.gather.entities import BlockReference, Gathered
from perpend.reading.reading_options import Role
from perpend.reading.walls.wall_faces import Face

_COURSE_IN: Final = {False: 8.0, True: 200 / 25.4}
"""Depth of a bond beam drawn as one line: one course, imperial or metric."""

_REACH_IN: Final = 144.0
"""What belongs to a wall stands in it, or at most this far from it (foundation joints, symbols)."""


class Contents:
    """Puts lines and symbols into walls, and remembers which found none."""

    def __init__(self, found: Gathered, gap_in: float, notices: Notices, *, metric: bool) -> None:
        """Take what was gathered, and what takes notices of lines and symbols that are left out."""
        self._notices = notices
        self._gap_in = gap_in
        self._course_in = _COURSE_IN[metric]
        self._placed: set[str] = set()
        structural = {id(s) for s in found.strokes[Role.STRUCTURAL_BOND_BEAMS]}
        self._strokes = {
            role: _boxed(found.strokes[role]) for role in (*KINDS, *ZONES, Role.SUPPORTS, Role.JOINTS)
        }
        self._beams = {
            False: _boxed(s for s in found.strokes[Role.BOND_BEAMS] if id(s) not in structural),
            True: _boxed(found.strokes[Role.STRUCTURAL_BOND_BEAMS]),
        }
        self._own = _boxed(found.own_joints)
        self._symbols = tuple(found.joint_symbols)

    def put_into(self, wall: Wall, face: Face) -> Wall:
        """Return the wall with everything that stands in it."""
        near = _Neighbourhood(face)
        where = face.outline, self._gap_in, self._placed, self._notices
        drawn = near.among(self._strokes[Role.JOINTS])
        ink = JointInk(drawn, near.symbols(self._symbols), near.among(self._own))
        within = self._notices.within(wall.tag)
        joints = joints_of(ink, face.outline, wall.openings, self._gap_in, self._placed, within)
        places = list(face.places)
        for role in KINDS:
            places += places_of(role, near.among(self._strokes[role]), *where)
        supports = supports_of(near.among(self._strokes[Role.SUPPORTS]), *where)
        zones = [zone for role in ZONES for zone in self._zones(role, near, face)]
        beams = []
        for structural, strokes in self._beams.items():
            course_in = self._course_in
            beams += bond_beams_of(near.among(strokes), *where, structural=structural, course_in=course_in)
        return replace(
            wall,
            drawn_joints=joints,
            places=tuple(sorted(places, key=lambda p: (p.x_in, p.kind))),
            supports=tuple(supports),
            bond_beams=tuple(beams),
            zones=tuple(zones),
        )

    def _zones(self, role: Role, near: _Neighbourhood, face: Face) -> list[Zone]:
        texts = [(text.text, text.at) for text in face.texts]
        return zones_of(
            role, near.among(self._strokes[role]), face.outline, self._gap_in, self._placed, texts
        )

    def note_unplaced(self) -> None:
        """Say which lines and symbols belong to no wall."""
        why = "it is in no wall"
        for boxed in (*self._strokes.values(), *self._beams.values()):
            for stroke, box in boxed:
                if stroke.handle not in self._placed:
                    self._notices.ignore(stroke.handle, stroke.kind, stroke.layer, why, box.center)
        for symbol in self._symbols:
            handles = {symbol.handle, *(s.handle for s in symbol.strokes)}
            if not handles & self._placed:
                self._notices.ignore(symbol.handle, "INSERT", symbol.layer, why, symbol.at)


def with_shared_lines(walls: Sequence[Wall]) -> list[Wall]:
    """Return the walls where a line that is a joint in several of them runs past none of them."""
    owners = Counter(handle for wall in walls for joint in wall.drawn_joints for handle in joint.handles)
    shared = {handle for handle, count in owners.items() if count > 1}
    if not shared:
        return list(walls)
    return [
        replace(
            wall,
            drawn_joints=tuple(
                replace(joint, past_in=(0.0, 0.0)) if shared & set(joint.handles) else joint
                for joint in wall.drawn_joints
            ),
        )
        for wall in walls
    ]


class _Neighbourhood:
    """The part of the sheet round one wall."""

    def __init__(self, face: Face) -> None:
        reach = _REACH_IN / face.outline.frame.inches_per_unit
        self.box = Box(*face.outline.ring.box).grown(reach)

    def among(self, boxed: Sequence[tuple[Stroke, Box]]) -> tuple[Stroke, ...]:
        """Return the strokes that reach into it."""
        x0, y0, x1, y1 = self.box.x0, self.box.y0, self.box.x1, self.box.y1
        return tuple(s for s, b in boxed if b.x0 <= x1 and b.x1 >= x0 and b.y0 <= y1 and b.y1 >= y0)

    def symbols(self, symbols: Iterable[BlockReference]) -> tuple[BlockReference, ...]:
        """Return the block references that stand or draw in it."""
        return tuple(s for s in symbols if self.box.holds(s.at) or self.among(_boxed(s.strokes)))


def _boxed(strokes: Iterable[Stroke]) -> tuple[tuple[Stroke, Box], ...]:
    return tuple((s, Box.around(s.points)) for s in strokes)
