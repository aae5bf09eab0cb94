"""Labels that a person moved: what an earlier run drew, and is elsewhere than where that run drew it.

A label that moved as a joint of ours did (the drawing as a whole, or a joint with its tag) was not moved by
itself. One that stayed where a person had put it before is by hand still.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.decisions.decision import Code, Decision
from perpend.decisions.joint_record import one_line
from perpend.decisions.moved_joints import is_at, path_in
from perpend.dxf.own_labels import OwnLabel, Points
from perpend.dxf.own_plate import OwnJoint
from perpend.model import Point, WallPlan
from perpend.units import SAME_IN
from perpend.wording import listed

LISTS: Final = {
    "joint-schedule": "The joint schedule",
    "schedule": "The wall schedule",
    "note": "The block of general notes",
    "violation-list": "The list of findings",
    "doubts": "The list of doubts",
    "basis": "The list of sources",
    "record-note": "The record of joints",
    "legend": "The legend",
}
"""What stays where a person puts it although it shows no one thing, by kind."""

_NAMES: Final = LISTS | {
    "bar": "The reinforcement {number}",
    "detail": "The bubble of detail {number}",
    "lintel": "The lintel of {number}",
    "slip-plane": "The slip plane of {number}",
    "superseded": "The sign on a superseded joint of {number}",
}
_FOLLOWERS: Final = ("leader", "mark")
"""They go with the tag, callout or bubble of the same number."""


@dataclass(frozen=True, slots=True)
class HandLabel:
    """A label that stays where a person put it, as long as it fits there.

    Attributes:
        own: the label.
        number: of what it shows, as it is numbered now.
        joint: the line of its joint, drawing axes; empty for a label of something else.
        moved: True when it was moved since the last run.
        whole: True for a dimension when every other one of its wall was moved as it was, and for a list when
            its first part was moved.
        parts: in how many parts a list was drawn.
        text: True where it is the text of a dimension that was moved, or written anew, and not its line.
    """

    own: OwnLabel
    number: str
    joint: Points = ()
    moved: bool = False
    whole: bool = False
    text: bool = False
    parts: int = 1


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
    ways: list[Callable[[Point], Point]] = [lambda point: point, *_movements(joints, within)]
    found: list[HandLabel] = []
    dimensions: dict[str, list[tuple[OwnLabel, bool]]] = defaultdict(list)
    lists: dict[str, list[tuple[OwnLabel, bool]]] = defaultdict(list)
    for label in labels:
        moved = not any(_are_at(label.points, [way(point) for point in label.was], within) for way in ways)
        if label.kind == "dimension" and label.text_at:
            dimensions[wall_of(label.number)].append((label, moved))
            if (text_moved := _is_text_moved(label, ways, within)) or label.words or label.words_by_hand:
                anew = not label.words_by_hand or text_moved
                found.append(HandLabel(label, label.number, moved=anew, text=True))
        elif label.kind in LISTS and label.is_whole:
            lists[label.kind].append((label, moved))
        elif moved or label.by_hand:
            found.append(HandLabel(label, label.number, originals.get(label.number, ()), moved))
    for group in dimensions.values():
        by_hand = [(label, moved) for label, moved in group if moved or label.by_hand]
        whole = len(by_hand) == len(group)
        found += [HandLabel(label, label.number, moved=moved, whole=whole) for label, moved in by_hand]
    for parts in lists.values():
        first, moved = min(parts, key=lambda part: (part[0].was[0][0], -part[0].was[0][1]))
        anew = any(part_moved for _, part_moved in parts)
        if anew or first.by_hand:
            found.append(HandLabel(first, "", moved=anew, whole=moved or first.by_hand, parts=len(parts)))
    led = {hand.number for hand in found if hand.own.kind not in _FOLLOWERS}
    found = [hand for hand in found if hand.own.kind not in _FOLLOWERS or hand.number not in led]
    return tuple(sorted(found, key=lambda hand: (hand.own.kind, hand.own.number, hand.own.words)))


def _are_at(points: Points, others: Sequence[Point], within: float) -> bool:
    """Say whether points are where they were, in whatever order a program has them."""
    if len(points) != len(others) != 1:
        return False
    pairs = (zip(points, way, strict=False) for way in (others, others[::-1]))
    return any(all(math.dist(a, b) <= within for a, b in way) for way in pairs)


def _is_text_moved(label: OwnLabel, ways: Sequence[Callable[[Point], Point]], within: float) -> bool:
    """Say whether the text of a dimension was moved, and not with its line."""
    if len(label.text_at) != 2:
        return False
    (x, y), was = label.text_at
    (x1, y1), (x0, y0) = label.at, label.was[0]
    with_line = (was[0] + x1 - x0, was[1] + y1 - y0)
    return all(math.dist((x, y), there) > within for there in (with_line, *(way(was) for way in ways)))


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
        there = (j for j in plan.joints if path is not None and is_at(j.path, path[0][0]))
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
        wall, note = _named(label, words)
        if note not in told:
            told.add(note)
            code: Code = "label-moved" if fits else "label-back"
            if label.text and label.own.words:
                code = "label-written" if fits else "label-unwritten"
            yield Decision(code, wall, note=note)


def deleted_labels(
    drawn: Iterable[tuple[str, int]], counts: Iterable[tuple[str, int]], joints_deleted: int
) -> Iterator[Decision]:
    """Yield one decision on all that was deleted by hand of what was drawn besides joints.

    Args:
        drawn: how much was drawn of each kind.
        counts: how much is there; nothing where a program gave all of it new handles.
        joints_deleted: with a joint, its tag, its slip plane and a dimension may go unnamed.
    """
    here = dict(counts)
    gone: list[str] = []
    for kind, count in drawn if here else ():
        missing = count - here.get(kind, 0) - joints_deleted * (kind in ("tag", "slip-plane", "dimension"))
        if missing > 0 and kind not in ("joint", *_FOLLOWERS):
            noun = LISTS.get(kind, f"The {kind.replace('bar', 'bar of steel')}").removeprefix("The ")
            gone.append(noun if missing == 1 else f"{missing} of the kind {noun}")
    if gone:
        yield Decision("label-deleted", "", note=listed(gone))


def _named(label: HandLabel, words: str) -> tuple[str, str]:
    """Return the wall of a label, where it has one, and what it is called."""
    kind, number = label.own.kind, label.number
    if kind == "dimension":
        wall = wall_of(number)
        if label.whole:
            return wall, f"The string of dimensions of {wall}"
        return wall, f"The {'text of the ' * label.text}dimension of {number}"
    if kind in _NAMES:
        return "", _NAMES[kind].format(number=number)
    return number.rpartition("-")[0] if kind == "tag" else "", f"The {kind} {words or number}"
