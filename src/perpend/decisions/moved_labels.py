"""Tags, callouts and dimension lines that a person moved: they are elsewhere than where we drew them.

A label that moved as a joint of ours did (the drawing as a whole, or a joint with its tag) was not moved by
itself. One that stayed where a person had put it before is by hand still.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import one_line
from perpend.decisions.standing_joints import path_in, stands_at
from perpend.dxf.own_labels import OwnLabel
from perpend.dxf.own_plate import OwnJoint, Points
from perpend.model import Point, WallPlan
from perpend.units import SAME_IN


@dataclass(frozen=True, slots=True)
class HandLabel:
    """A label that stays where a person put it, as long as it fits there.

    Attributes:
        own: the label.
        number: of what it shows, as it is numbered now.
        joint: the line of its joint, drawing axes; empty for a label of something else.
        moved: True when it was moved since the last run.
        whole: True for a dimension when every other one of its wall was moved as it was.
    """

    own: OwnLabel
    number: str
    joint: Points = ()
    moved: bool = False
    whole: bool = False


def hand_labels(
    labels: Iterable[OwnLabel], joints: Sequence[OwnJoint], inches_per_unit: float
) -> tuple[HandLabel, ...]:
    """Return the labels that stand where a person put them.

    Args:
        labels: those of the last run, as they are now.
        joints: the joints of the last run, as they are now.
        inches_per_unit: inches in one drawing unit.
    """
    within = SAME_IN / inches_per_unit
    originals = {own.number: own.points for own in joints if not own.is_copy}
    carried = list(_movements(joints, within))
    found: list[HandLabel] = []
    dimensions: dict[str, list[tuple[OwnLabel, bool]]] = defaultdict(list)
    for label in labels:
        there = (label.drawn, *(move(label.drawn) for move in carried))
        moved = all(math.dist(label.at, point) > within for point in there)
        if label.kind == "dimension":
            dimensions[wall_of(label.number)].append((label, moved))
        elif moved or label.by_hand:
            found.append(HandLabel(label, label.number, originals.get(label.number, ()), moved))
    for group in dimensions.values():
        by_hand = [(label, moved) for label, moved in group if moved or label.by_hand]
        whole = len(by_hand) == len(group)
        found += [HandLabel(label, label.number, moved=moved, whole=whole) for label, moved in by_hand]
    return tuple(sorted(found, key=lambda hand: (hand.own.kind, hand.own.number, hand.own.words)))


def wall_of(number: str) -> str:
    """Return the tag of the wall of a dimension's number, such as ``W1 panel 2``."""
    return number.rsplit(" ", 2)[0]


@dataclass(frozen=True, slots=True)
class _Movement:
    """A turn about a point, and where that point came to lie."""

    foot: Point
    now: Point
    angle_rad: float

    def __call__(self, point: Point) -> Point:
        x, y = point[0] - self.foot[0], point[1] - self.foot[1]
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return (self.now[0] + x * cos - y * sin, self.now[1] + x * sin + y * cos)


def _movements(joints: Iterable[OwnJoint], within: float) -> Iterator[_Movement]:
    """Yield how joints were moved, each way once."""
    known: set[tuple[int, ...]] = set()
    for own in joints:
        if len(own.drawn) < 2 or own.is_copy or len(own.points) != len(own.drawn):
            continue
        foot, now = own.drawn[0], own.points[0]
        was, is_now = math.dist(foot, own.drawn[-1]), math.dist(now, own.points[-1])
        angle = _direction(now, own.points[-1]) - _direction(foot, own.drawn[-1])
        if abs(was - is_now) > within or (math.dist(foot, now) <= within and abs(angle) * was <= within):
            continue
        movement = _Movement(foot, now, 0.0 if abs(angle) * was <= within else angle)
        key = (*(round(value / within) for value in movement((0.0, 0.0))), round(movement.angle_rad, 9))
        if key not in known:
            known.add(key)  # type: ignore[arg-type]
            yield movement


def _direction(a: Point, b: Point) -> float:
    return math.atan2(b[1] - a[1], b[0] - a[0])


def as_numbered(labels: Iterable[HandLabel], plans: Sequence[WallPlan]) -> tuple[HandLabel, ...]:
    """Return the labels under the numbers that their joints have now.

    Args:
        labels: by hand.
        plans: the walls laid out and numbered.
    """
    return tuple(replace(label, number=_number_now(label, plans)) for label in labels)


def _number_now(label: HandLabel, plans: Sequence[WallPlan]) -> str:
    for plan in plans if label.joint else ():
        path = path_in(plan.wall, label.joint)
        there = (j for j in plan.joints if path is not None and stands_at(j.path, path[0][0]))
        if (joint := next(there, None)) is not None:
            return f"{one_line(plan.wall.tag)}-{joint.mark}"
    return label.number


def label_decisions(drawn: Iterable[tuple[HandLabel, str, bool]]) -> Iterator[Decision]:
    """Yield what became of the labels that a person moved; those that were by hand before are named once.

    Args:
        drawn: which, what it says, and whether it fits where it is.
    """
    told: set[str] = set()
    for label, words, fits in drawn:
        if fits and not label.moved:
            continue
        if label.own.kind == "dimension":
            wall, note = wall_of(label.number), f"The dimension of {label.number}"
            if label.whole:
                note = f"The string of dimensions of {wall}"
        else:
            wall = label.number.rpartition("-")[0] if label.own.kind == "tag" else ""
            note = f"The {label.own.kind} {words}"
        if note not in told:
            told.add(note)
            yield Decision("label-moved" if fits else "label-back", wall, note=note)
