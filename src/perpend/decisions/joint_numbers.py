"""The numbers of joints: given from left to right, and kept once a drawing was issued.

A joint keeps its number while it stands where it stood, or is held, or is the one joint that takes the place
of another near by. A new one between CJ-4 and CJ-5 is CJ-4A; one beyond the last joint, or before
the first, gets the next number. A number that was given is not used for another joint.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import count
from typing import Final

from perpend.decisions.joint_record import RecordedJoint
from perpend.decisions.moved_joints import coincide
from perpend.model import DrawnJoint, Joint

_LABEL: Final = re.compile(r"(\d+)([A-Z]*)")


def in_order(joints: Sequence[Joint], said: Mapping[int, str]) -> tuple[Joint, ...]:
    """Number joints from left to right: 1, 2, ...

    Args:
        joints: of one wall, from left to right.
        said: by index, the numbers that the settings give.
    """
    free = (label for n in count(1) if (label := str(n)) not in said.values())
    return tuple(replace(joint, label=said.get(n) or next(free)) for n, joint in enumerate(joints))


def kept(
    joints: Sequence[Joint],
    known: Sequence[RecordedJoint],
    given: Iterable[str],
    said: Mapping[int, str],
    within_in: float,
) -> tuple[Joint, ...]:
    """Number joints as they were numbered before, and give new ones numbers that nobody had.

    Args:
        joints: of one wall, from left to right; held ones have their numbers.
        known: the wall's joints of the last run, from left to right.
        given: every number that was ever given in the wall.
        said: by index, the numbers that the settings give.
        within_in: a joint no farther than this from where one was is that joint.
    """
    taken: set[str] = set()
    named = []
    for n, joint in enumerate(joints):
        label = said.get(n) or joint.label
        named.append(replace(joint, label="" if label in taken else label))
        taken.add(label)
    joints = named
    gone = set(given)
    labels = _matched(joints, [old for old in known if old.label not in gone], within_in)
    used = {*gone, *(joint.label for joint in known), *(joint.label for joint in joints if joint.label)}
    places = [(old.path[0][0], old.label) for old in known]
    labels = _filled([joint.x_in for joint in joints], labels, places, used)
    return tuple(replace(joint, label=label) for joint, label in zip(joints, labels, strict=True))


def of_drawn(joints: Sequence[DrawnJoint], given: Iterable[str]) -> tuple[DrawnJoint, ...]:
    """Give joints that were drawn by hand beside numbered ones the numbers that the next run would give.

    Args:
        joints: of one wall, from left to right; the numbered ones have their labels.
        given: every number that was given in the wall and is gone.
    """
    labels = [joint.label for joint in joints]
    if not any(labels):
        return tuple(joints)
    labels = _filled([_foot_in(joint) for joint in joints], labels, [], {*given, *filter(None, labels)})
    return tuple(replace(joint, label=label) for joint, label in zip(joints, labels, strict=True))


def _foot_in(joint: DrawnJoint) -> float:
    return joint.path[0][0] if joint.path else 0.0


def _filled(
    stations_in: Sequence[float], labels: Sequence[str], places: Iterable[tuple[float, str]], used: set[str]
) -> list[str]:
    """Give every joint without a number one that is not used: after its left neighbor, or the next one."""
    labels = list(labels)
    last = max((_base(label) for label in used), default=0)
    places = [*places, *((x, label) for x, label in zip(stations_in, labels, strict=True) if label)]
    for n, x_in in enumerate(stations_in):
        if labels[n]:
            continue
        left = max(((x, label) for x, label in places if x <= x_in), default=None)
        if left and any(x > x_in for x, _ in places):
            labels[n] = _between(_base(left[1]), used)
        else:
            last += 1
            labels[n] = str(last)
        used.add(labels[n])
        places.append((x_in, labels[n]))
    return labels


def _matched(joints: Sequence[Joint], known: Sequence[RecordedJoint], within_in: float) -> list[str]:
    """Return the numbers of the joints that were there before; empty for new ones, as for a copy by hand."""
    labels = [joint.label for joint in joints]
    free = [old for old in known if old.label not in labels]
    for n, joint in enumerate(joints):
        if not (labels[n] or joint.held):
            same = next((old for old in free if coincide(old.path, joint.path)), None)
            if same is not None:
                labels[n] = same.label
                free.remove(same)
    # what is left over between two joints that are known pairs up where there is one on either side
    order = {old.label: n for n, old in enumerate(known)}
    for n, joint in enumerate(joints):
        if labels[n] or joint.held:
            continue
        left = next((label for label in reversed(labels[:n]) if label), None)
        right = next((label for label in labels[n + 1 :] if label), None)
        low = order.get(left, -1) if left else -1
        high = order.get(right, len(known)) if right else len(known)
        between = [old for old in free if low < order[old.label] < high]
        near = [old for old in between if abs(old.path[0][0] - joint.x_in) <= within_in]
        if near:
            nearest = min(near, key=lambda old: (abs(old.path[0][0] - joint.x_in), order[old.label]))
            labels[n] = nearest.label
            free.remove(nearest)
    return labels


def _base(label: str) -> int:
    match = _LABEL.match(label)
    return int(match[1]) if match else 0


def _between(base: int, used: set[str]) -> str:
    """Return the next free number behind a whole one: 4A, 4B, ... 4Z, 4AA."""
    return next(label for n in count(1) if (label := f"{base}{_letters(n)}") not in used)


def _letters(n: int) -> str:
    found = ""
    while n:
        n, rest = divmod(n - 1, 26)
        found = chr(ord("A") + rest) + found
    return found
