"""What a wall asks for and lacks: the places and the jambs where a joint more is told to stand.

Glossary:
    way: the joints that serve an opening at once: at both jambs, or at one of two.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from perpend.checks.candidate_stations import clash_at, first_clash, free_jambs, jambs_beside, stepped_at
from perpend.checks.measure.judged_wall import JudgedWall, PanelSpan, stands_at
from perpend.checks.measure.track_geometry import Piece, Track
from perpend.checks.measure.tracks import SIDES, away, bearing, jamb
from perpend.model import OpeningRule, Side
from perpend.units import GAP_IN, ON_MODULE_IN, same


@dataclass(frozen=True, slots=True)
class NewJoint:
    """A joint that a panel lacks.

    Attributes:
        joint: where it would stand.
        tag: the opening at whose jamb it stands, or empty.
    """

    joint: Track
    tag: str = ""


Ways: TypeAlias = tuple[tuple[NewJoint, ...], ...]


def bare_places(wall: JudgedWall, panel: PanelSpan) -> Iterator[float]:
    """Yield the places in a panel that ask for a joint, have none, and could have one."""
    yield from bare_between(wall, panel.x0_in + ON_MODULE_IN, panel.x1_in - ON_MODULE_IN)


def bare_between(wall: JudgedWall, low_in: float, high_in: float) -> Iterator[float]:
    """Yield the places between two stations that ask for a joint, have none, and could have one."""
    for place in wall.places:
        x = place.x_in
        if low_in < x < high_in and clash_at(wall, x) is None:
            near = wall.feet.beside(x)
            if not any(stands_at(wall.basis, track, x) for track in near):
                yield x


def bare_jambs(wall: JudgedWall, panel: PanelSpan) -> Iterator[Ways]:
    """Yield the ways to serve each opening that lacks its joints in a panel, openings from left to right.

    Left out is an opening whose own cure moves a joint beside it to its jamb.
    """
    for index, rule in wall.unreinforced_near(panel.x0_in, panel.x1_in):
        missing = [side for side in SIDES if (index, side) not in wall.served]
        lacking = rule.jambs_required - (len(SIDES) - len(missing))
        inside = all(panel.x0_in < jamb(rule, side) < panel.x1_in for side in missing)
        if lacking <= 0 or not inside:
            continue
        free = [side for side in free_jambs(wall, index) if side in missing]
        joints = [joint for side in free if (joint := stepped_at(wall, index, side)) is not None]
        new = tuple(NewJoint(joint, rule.opening.tag) for joint in joints)
        if len(new) < lacking:
            continue
        if lacking == len(SIDES):
            yield (new,)
        elif all(stray_jamb(wall, track, index) is None for track in wall.tracks):
            yield tuple((joint,) for joint in new)


def stray_jamb(wall: JudgedWall, track: Track, index: int) -> float | None:
    """Return the jamb to which a joint beside an opening is moved; None where it may stay as it is."""
    if not beside(wall, track, index):
        return None
    x = track.nearest(jambs_beside(wall, track, index))
    stays = first_clash(wall, track) is None and not any(piece.is_step for piece in track.pieces)
    return None if x is None or (stays and abs(x - track.foot_x) >= wall.basis.unit_in) else x


def beside(wall: JudgedWall, track: Track, index: int) -> bool:
    """Say whether a joint was meant for an opening: it stands near enough, or steps as at its jamb."""
    rule = wall.basis.openings[index]
    box, reach = rule.opening.box, wall.basis.unit_in
    near = box.x0 - reach <= track.foot_x <= box.x1 + reach
    return near or any(_steps_as_at(piece, rule) for piece in track.pieces if piece.is_step)


def _steps_as_at(piece: Piece, rule: OpeningRule) -> bool:
    """Say whether a step lies at an opening's head, leads away from it and is as long as its lintel bears."""
    side: Side = "left" if piece.x0 < rule.opening.box.x0 else "right"
    out = piece.shift * away(side)
    at_head = piece.is_level and abs(piece.y0 - rule.opening.box.y1) <= GAP_IN
    return at_head and same(out, bearing(rule, side), ON_MODULE_IN)
