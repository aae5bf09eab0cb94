"""Joints that stand where an opening lets none stand: which, at which opening, and how.

Glossary:
    clash: a joint and an opening that do not go together; of several reasons the worst counts.
    keep-out: the masonry beside an opening in which no joint may stand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from perpend.checks.measure.drawn_planes import short_planes, wrong_steps
from perpend.checks.measure.judged_wall import JudgedWall, enters
from perpend.checks.measure.lintel_boxes import lintel_box
from perpend.checks.measure.track_geometry import Track, under
from perpend.checks.measure.tracks import SIDES, stands_at_a_jamb
from perpend.model import EndCondition, Side

ClashKind = Literal["joint-through-opening", "joint-through-lintel", "joint-in-keep-out"]


@dataclass(frozen=True, slots=True)
class Clash:
    """A joint that an opening does not let stand.

    Attributes:
        track: the joint.
        index: of the opening.
        kind: code of the finding, the worst that fits.
        distance_in: from the joint to the nearer jamb; negative within the opening.
    """

    track: Track
    index: int
    kind: ClashKind
    distance_in: float


def clashes(wall: JudgedWall) -> Iterator[Clash]:
    """Yield every clash of a wall, joint by joint from the left.

    A joint that cuts a lintel only because its slip plane is too short, or leads the wrong way, clashes with
    nothing: the step is what is wrong.
    """
    steps = short_planes(wall) | wrong_steps(wall)
    for track in wall.tracks:
        for index in wall.openings.beside(track.lo, track.hi):
            clash = clash_with(wall, track, index, spared=(track.numbers, index) in steps)
            if clash is not None:
                yield clash


def clash_with(wall: JudgedWall, track: Track, index: int, *, spared: bool = False) -> Clash | None:
    """Say how a joint clashes with one opening, or return None.

    Args:
        wall: the wall.
        track: a joint, drawn or only thought of.
        index: of the opening.
        spared: True when cutting the opening's lintel does not count.
    """
    rule = wall.basis.openings[index]
    distance = max(rule.opening.box.x0 - track.hi, track.lo - rule.opening.box.x1)
    if enters(track, rule.opening.box):
        return Clash(track, index, "joint-through-opening", distance)
    lintel = lintel_box(wall.basis, rule)
    if lintel is not None and not spared and enters(track, lintel):
        return Clash(track, index, "joint-through-lintel", distance)
    barred = rule.bars_jambs or (rule.clear_asked and not stands_at_a_jamb(track, rule))
    if barred and under(distance, rule.clear_in):
        return Clash(track, index, "joint-in-keep-out", distance)
    return None


def end_clashes(wall: JudgedWall) -> Iterator[tuple[Side, int, float]]:
    """Yield the ends whose joint stands too near to an opening: which end, the opening's index, how near."""
    for side in ends_with_joint(wall):
        for index, rule in enumerate(wall.basis.openings):
            box = rule.opening.box
            distance = max(box.x0 if side == "left" else wall.basis.wall.length_in - box.x1, 0.0)
            if rule.bars_jambs and under(distance, rule.clear_in):
                yield side, index, distance


def ends_with_joint(wall: JudgedWall) -> list[Side]:
    """Return the ends where a joint stands: it is drawn there, or another wall adjoins."""
    adjoins = {"left": wall.basis.left_end, "right": wall.basis.right_end}
    return [side for side in SIDES if side in wall.ends or adjoins[side] is EndCondition.JOINT]
