"""What ``[[joints]]`` of the settings say of joints and stations."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import NoJoint
from perpend.decisions.moved_joints import is_at
from perpend.model import DrawnJoint, Joint, Wall
from perpend.settings import Settings
from perpend.settings.settings_schema import JointEntry, matches
from perpend.units import ON_MODULE_IN, same


def entries_of(settings: Settings, wall: Wall) -> list[JointEntry]:
    """Return the entries that concern a wall."""
    return [entry for entry in settings.joints if matches(wall.tag, (entry.wall,))]


def with_said_joints(
    settings: Settings, wall: Wall, taken_out: Sequence[NoJoint]
) -> tuple[Wall, list[Decision]]:
    """Return a wall with the joints and the stations without one that the settings ask for.

    Args:
        settings: the project's settings.
        wall: the wall, with what was decided in the drawing.
        taken_out: stations where joints were deleted, or moved away, by hand: that counts more.
    """
    said: list[Decision] = []
    held, barred = list(wall.drawn_joints), list(wall.no_joint_at_in)
    for entry in entries_of(settings, wall):
        x_in, why = entry.station, ""
        there = next((n for n, j in enumerate(held) if j.held and is_at(j.path, x_in)), None)
        if entry.decision == "none-here" and there is None:
            barred.append(x_in)
            said.append(Decision("no-joint", wall.tag, from_in=x_in, note=" (by the settings)"))
        elif entry.decision == "none-here":
            why = "a joint is held there by hand"
        elif entry.decision == "held" and x_in > wall.length_in:
            why = "the wall ends before it"
        elif entry.decision == "held" and any(same(none.x_in, x_in, ON_MODULE_IN) for none in taken_out):
            why = "the joint was moved away or deleted by hand"
        elif entry.decision == "held" and there is None:
            held.append(DrawnJoint(((x_in, 0.0),), "", ours=True, held=True))
            said.append(Decision("held", wall.tag, to_in=x_in, note=" by the settings"))
        if why:
            said.append(Decision("setting-unused", wall.tag, to_in=x_in, note=why))
    within_in = settings.same_joint_within
    changed = replace(
        wall, drawn_joints=tuple(held), no_joint_at_in=tuple(barred), no_joint_within_in=within_in
    )
    return changed, said


def with_said_types(settings: Settings, wall: Wall, joints: Sequence[Joint]) -> tuple[Joint, ...]:
    """Return joints with the types and details that the settings name for their stations."""
    found = list(joints)
    for entry in entries_of(settings, wall):
        for n, joint in enumerate(found):
            if is_at(joint.path, entry.station):
                found[n] = replace(
                    joint, joint_type=entry.type or joint.joint_type, detail=entry.detail or joint.detail
                )
    return tuple(found)


def said_numbers(settings: Settings, wall: Wall, joints: Sequence[Joint]) -> dict[int, str]:
    """Return the numbers that the settings name, by index of the joint."""
    return {
        n: entry.number
        for entry in entries_of(settings, wall)
        if entry.number
        for n, joint in enumerate(joints)
        if is_at(joint.path, entry.station)
    }
