"""Joints between two walls that adjoin: one that slipped into one of them is still a joint of both.

A line at the common end is read in both walls. One that was drawn up to an inch into one of them is given to
the other too, so that both measure the same joint.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from perpend.model import DrawnJoint, Place, PlaceKind, Wall
from perpend.units import GAP_IN


def with_joints_between(walls: Sequence[Wall]) -> tuple[Wall, ...]:
    """Return the walls, each with the joints at its ends that were drawn in the wall beside it.

    A joint of two walls runs past neither.
    """
    by_handle = {(wall.handle, place.handle): wall for wall in walls for place in wall.places}
    given: dict[str, list[DrawnJoint]] = {}
    shared: dict[str, set[str]] = {}
    for wall in walls:
        for place in wall.places:
            other = (
                by_handle.get((place.handle, wall.handle)) if place.kind is PlaceKind.ADJOINING_WALL else None
            )
            for joint in _slipped(wall, place, other):
                assert other is not None, "only a joint of two walls is shared"
                given.setdefault(other.handle, []).append(_seen_from(other, wall, joint))
                shared.setdefault(wall.handle, set()).add(joint.handle)
    if not given:
        return tuple(walls)
    return tuple(
        replace(
            wall,
            drawn_joints=(
                *(
                    replace(joint, past_in=(0.0, 0.0))
                    if joint.handle in shared.get(wall.handle, ())
                    else joint
                    for joint in wall.drawn_joints
                ),
                *given.get(wall.handle, ()),
            ),
        )
        for wall in walls
    )


def _slipped(wall: Wall, place: Place, other: Wall | None) -> Iterator[DrawnJoint]:
    """Yield the joints of a wall near its end at another one that the other one lacks."""
    if other is None:
        return
    known = {handle for joint in other.drawn_joints for handle in joint.handles}
    for joint in wall.drawn_joints:
        near = all(abs(x - place.x_in) <= GAP_IN for x, _ in joint.path)
        if near and not known & set(joint.handles):
            yield joint


def _seen_from(other: Wall, wall: Wall, joint: DrawnJoint) -> DrawnJoint:
    """Return a joint of one wall in the axes of the one beside it, within its height."""
    path = [other.frame.to_wall(wall.frame.to_drawing(point)) for point in joint.path]
    end = 0.0 if path[0][0] < other.length_in / 2 else other.length_in
    low, high = max(other.bottom.at(end)), min(other.top.at(end))
    clipped = tuple((x, min(max(y, low), high)) for x, y in path)
    return replace(joint, path=clipped, past_in=(0.0, 0.0))
