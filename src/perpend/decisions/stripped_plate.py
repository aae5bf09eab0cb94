"""A plate that lost its XDATA when another program saved the drawing: its numbers are found by place.

Issues, deleted joints and numbers that are gone are read from the note on the sheet, if that is still there.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace

from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import (
    Issue,
    JointRecord,
    RecordedJoint,
    WallRecord,
    lines_of,
    one_line,
    record_of,
)
from perpend.decisions.moved_joints import is_at
from perpend.decisions.record_note import is_all_ours, read_note
from perpend.dxf.own_plate import OwnJoint, OwnPlate, PlainTag
from perpend.model import DrawnJoint, Path, Wall
from perpend.units import GAP_IN, ON_MODULE_IN
from perpend.wording import listed

NAME = "found on the drawing"
"""Name of the issue that stands for those that are lost with the record: joints keep their numbers."""

_ASIDE_IN = 240.0
"""How far a tag stands at most from the head of its joint."""


def is_stripped(plate: OwnPlate) -> bool:
    """Say whether a plate stands without XDATA."""
    return bool(plate.tags) or read_note(plate.notes) != JointRecord()


def was_stripped(plate: OwnPlate) -> bool:
    """Say whether the record of a plate was begun with numbers that were found on the drawing."""
    record = record_of(plate.record or ())
    return record is not None and record.found


def recovered(plate: OwnPlate, walls: Sequence[Wall]) -> JointRecord | None:
    """Return what can be known again of a plate without XDATA; None where there is no such plate.

    Args:
        plate: its tags and its note.
        walls: with the joints that are drawn.
    """
    if not is_stripped(plate):
        return None
    noted = read_note(plate.notes)
    found = []
    count = 0
    for wall in walls:
        tag = one_line(wall.tag)
        tags = [own for own in plate.tags if own.wall == tag or (not own.wall and not walls[1:])]
        joints = _numbered(wall, tags)
        count += len(joints)
        known = noted.of_wall(tag, "-", ()) or WallRecord(tag, wall.handle)
        found.append(replace(known, handle=wall.handle, joints=joints))
    lost = [known for known in noted.walls if known.tag not in {wall.tag for wall in found}]
    issues = noted.issues or (Issue(NAME, "-", count),)
    return JointRecord("", issues, (*found, *lost), found=True)


def restored(plate: OwnPlate, walls: Sequence[Wall], prefix: str, *, held: bool = False) -> OwnPlate:
    """Return a plate without XDATA with its joints and its record, where its note names the joints.

    A joint is ours again if the note says so and its line is on a layer of ours. One that is elsewhere than
    the note says, between the same two others, was moved in the other program.

    Args:
        plate: its tags and its note.
        walls: with the joints that are drawn.
        prefix: name of the layer of our joints.
        held: where no note names them, take all joints with tags for ours, and hold them.
    """
    record, noted = recovered(plate, walls), read_note(plate.notes)
    if record is None or not (held or any(known.joints for known in noted.walls)):
        return plate
    layer = re.compile(rf"{re.escape(prefix)}(-\d+)?", re.IGNORECASE)
    joints: list[OwnJoint] = []
    old: list[str] = []
    records: list[WallRecord] = []
    for wall, tagged in zip(walls, record.walls, strict=False):
        known = noted.of_wall(tagged.tag, "-", ()) or tagged
        before_it = known.joints or tuple(replace(joint, state="held") for joint in tagged.joints)
        lines = _lines_of(before_it, wall.drawn_joints)
        kept: list[RecordedJoint] = []
        for joint in before_it:
            line = lines.get(joint.label)
            before = joint.path if line is None else _where_it_was(line.path, joint.path[0][0])
            kept.append(_with_ends(replace(joint, path=before), wall))
            if line is not None and joint.state not in ("drawn", "found") and layer.fullmatch(line.layer):
                points, was = (tuple(map(wall.frame.to_drawing, path)) for path in (line.path, before))
                joints.append(OwnJoint(line.handle, prefix, f"{tagged.tag}-{joint.label}", points, was))
                old += line.handles
        kept.sort(key=lambda joint: joint.path[0][0])
        records.append(replace(known, handle=wall.handle, joints=tuple(kept)))
    walls_known = (*records, *record.walls[len(records) :])
    whole = JointRecord(prefix, record.issues, walls_known, found=True)
    return replace(
        plate, joints=tuple(joints), record=tuple(lines_of(whole)), tags=(), old_joints=frozenset(old)
    )


def _lines_of(known: Sequence[RecordedJoint], drawn: Sequence[DrawnJoint]) -> dict[str, DrawnJoint]:
    """Return the line of each joint: the one at its station, or one that is between the same two others."""
    found: dict[str, DrawnJoint] = {}
    for joint in known:
        there = (line for line in drawn if is_at(line.path, joint.path[0][0]))
        if (line := next(there, None)) is not None:
            found[joint.label] = line
    fixed = sorted(line.path[0][0] for line in found.values())
    left = [line for line in drawn if not any(line is other for other in found.values())]
    for joint in known:
        if joint.label not in found:
            x = joint.path[0][0]
            near = [n for n in left if bisect_left(fixed, n.path[0][0]) == bisect_left(fixed, x)]
            if near:
                found[joint.label] = min(near, key=lambda line: abs(line.path[0][0] - x))
                left = [line for line in left if line is not found[joint.label]]
    return found


def _where_it_was(path: Path, x_in: float) -> Path:
    """Return a line where its foot was at a station; where it is at that station, the line itself."""
    by_in = x_in - path[0][0]
    return path if abs(by_in) <= ON_MODULE_IN else tuple((x + by_in, y) for x, y in path)


def _with_ends(joint: RecordedJoint, wall: Wall) -> RecordedJoint:
    (x, y), (head_x, head_y) = joint.path[0], joint.path[-1]
    if y == head_y:  # its line is not there any more
        return replace(joint, path=((x, max(wall.bottom.at(x))), (x, min(wall.top.at(x)))))
    at_bottom = y <= max(wall.bottom.at(x)) + GAP_IN
    return replace(joint, at_bottom=at_bottom, at_top=head_y >= min(wall.top.at(head_x)) - GAP_IN)


def to_take_out(plate: OwnPlate) -> frozenset[str]:
    """Return the handles of what is of the old plate beyond doubt: the record's note says how much it was."""
    notes = (note[0] for note in plate.record_notes if is_all_ours(note[1:]))
    return plate.old.union(notes, plate.old_joints) if plate.old or plate.old_joints else frozenset()


def lost_marks(plate: OwnPlate, record: JointRecord) -> Decision:
    """Say what became of a plate without XDATA: what is known again, and what is not.

    Args:
        plate: its tags and its note; its layers are those of which something was left.
        record: what was recovered.
    """
    noted = "its joints count as drawn by hand, with the numbers of their tags; "
    if plate.joints:
        noted = "its joints are known again by the note on the sheet; "
    if record.issues and record.issues[0].name == NAME:
        noted += "issues, and which joints were deleted or superseded, are not known any more"
    else:
        noted += "issues and deleted joints are read from the note on the sheet"
    if old := to_take_out(plate):
        noted += f"; {len(old)} texts, tables and lines are as they were drawn: they are drawn anew"
    if plate.layers:
        noted += (
            f". Erase the rest of the old plate ({listed(sorted(plate.layers))}), or annotate the drawing "
        )
        noted += "from before that save"
    return Decision("marks-lost", "", note=noted)


def _numbered(wall: Wall, tags: Sequence[PlainTag]) -> tuple[RecordedJoint, ...]:
    """Give every tag to a joint: the tags of a wall stand in the order of its joints."""
    placed = sorted((wall.frame.to_wall(tag.at), tag.label) for tag in tags)
    drawn = sorted((j for j in wall.drawn_joints if not j.held), key=lambda j: j.path[-1][0])
    if len(placed) == len(drawn):
        pairs = list(zip(drawn, (label for _, label in placed), strict=True))
    else:
        pairs = _nearest(placed, drawn)
    return tuple(RecordedJoint(label, "found", joint.path) for joint, label in pairs)


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
