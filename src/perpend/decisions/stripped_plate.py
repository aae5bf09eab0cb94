"""A plate that lost its XDATA when another program saved the drawing: its numbers are found by place."""

from __future__ import annotations

from collections.abc import Sequence

from perpend.decisions.joint_record import Issue, JointRecord, RecordedJoint, WallRecord, one_line
from perpend.dxf.own_plate import OwnPlate, PlainTag
from perpend.model import DrawnJoint, Wall

NAME = "found on the drawing"
"""Name of the issue that stands for those that are lost with the record: joints keep their numbers."""

_ASIDE_IN = 240.0
"""How far a tag stands at most from the head of its joint."""


def was_stripped(plate: OwnPlate) -> bool:
    """Say whether the record of a plate was begun with numbers that were found on the drawing."""
    return any(line.startswith("issue ") and line.endswith(f" {NAME}") for line in plate.record or ())


def recovered(plate: OwnPlate, walls: Sequence[Wall]) -> JointRecord | None:
    """Return what can be known again of a plate without XDATA; None where there is no such plate.

    Args:
        plate: its tags.
        walls: with the joints that are drawn.
    """
    if not plate.tags:
        return None
    found = []
    count = 0
    for wall in walls:
        tags = [
            tag for tag in plate.tags if tag.wall == one_line(wall.tag) or (not tag.wall and not walls[1:])
        ]
        joints = _numbered(wall, tags)
        count += len(joints)
        found.append(WallRecord(one_line(wall.tag), wall.handle, joints))
    return JointRecord("", (Issue(NAME, "-", count),), tuple(found)) if count else None


def _numbered(wall: Wall, tags: Sequence[PlainTag]) -> tuple[RecordedJoint, ...]:
    """Give every tag to a joint: the tags of a wall stand in the order of its joints."""
    placed = sorted((wall.frame.to_wall(tag.at), tag.label) for tag in tags)
    drawn = sorted((j for j in wall.drawn_joints if not j.held), key=lambda j: j.path[-1][0])
    if len(placed) == len(drawn):
        pairs = list(zip(drawn, (label for _, label in placed), strict=True))
    else:
        pairs = _nearest(placed, drawn)
    return tuple(RecordedJoint(label, "drawn", joint.path) for joint, label in pairs)


def _nearest(
    placed: Sequence[tuple[tuple[float, float], str]], drawn: Sequence[DrawnJoint]
) -> list[tuple[DrawnJoint, str]]:
    """Pair tags and joints by the distance of their stations, the nearest first."""
    ways = sorted(
        (abs(x - joint.path[-1][0]), n, m)
        for n, ((x, _), _) in enumerate(placed)
        for m, joint in enumerate(drawn)
    )
    pairs: dict[int, int] = {}
    for off, n, m in ways:
        if off <= _ASIDE_IN and n not in pairs and m not in pairs.values():
            pairs[n] = m
    return [(drawn[m], placed[n][1]) for n, m in sorted(pairs.items(), key=lambda pair: pair[1])]
