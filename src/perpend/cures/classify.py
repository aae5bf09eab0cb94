"""From a layout to changes: what becomes of each joint, as a value that anyone can carry out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from perpend.layout.nearest_layout import NearestLayout, Proposed
from perpend.model import JointChange, JointChangeKind, Path
from perpend.units import ON_MODULE_IN


def components(nearest: NearestLayout) -> tuple[tuple[JointChange, ...], ...]:
    """Return the changes of a layout, those between two joints that stay together, left to right."""
    found: list[list[JointChange]] = [[]]
    for proposed in nearest.proposed:
        if proposed.change == "kept":
            found += [] if proposed.aside else [[]]
        else:
            found[-1].append(change_of(proposed))
    return tuple(tuple(changes) for changes in found if changes)


def change_of(proposed: Proposed) -> JointChange:
    """Say what becomes of one joint that does not stay as it is."""
    joint, was = proposed.joint, proposed.was
    opening = next((s.opening for s in joint.slip_planes), next(iter(joint.serves), ""))
    if was is None:
        return JointChange("add", joint.path, opening=opening)
    if proposed.change == "removed":
        return JointChange("remove", was.path, was.number, was.handle, was.path)
    kind = _kind(was.path, joint.path)
    return JointChange(kind, joint.path, was.number, was.handle, was.path, opening)


def _kind(was: Path, path: Path) -> JointChangeKind:
    stations, before = [{x for x, _ in p} for p in (path, was)]
    x, old = path[0][0], was[0][0]
    if len(stations) > 1:
        same = path[0][0] == was[0][0] and set(path[1:-1]) == set(was[1:-1]) and path != was
        return "extend" if same else "step"
    if max(before) - min(before) > 0 and min(before) - ON_MODULE_IN <= x <= max(before) + ON_MODULE_IN:
        return "straighten"
    return "extend" if abs(x - old) <= ON_MODULE_IN else "move"


def reach(changes: Sequence[JointChange]) -> tuple[float, float]:
    """Return the least and the greatest station that changes touch, before or after."""
    stations = list(_stations(changes))
    return min(stations), max(stations)


def _stations(changes: Sequence[JointChange]) -> Iterator[float]:
    for change in changes:
        yield from (x for x, _ in (*change.path, *change.was))
