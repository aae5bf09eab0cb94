"""What the user asks of decisions: proposals are accepted, held joints are released."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from perpend.decisions.joint_record import NoJoint, Superseded, one_line
from perpend.decisions.moved_joints import found_joint
from perpend.dxf.own_plate import OwnJoint
from perpend.errors import InputError
from perpend.wording import listed

if TYPE_CHECKING:
    from perpend.decisions.held_joints import Review

ALL: Final = "all"
_STAYS: Final = ("held", "no-joint")
"""Codes that say that a decision still counts; a release takes them back."""


def accept_proposed(review: Review, numbers: Collection[str]) -> None:
    """Make held joints of proposed ones.

    Args:
        review: the comparison.
        numbers: of the proposed joints, or ``all``.

    Raises:
        InputError: there is no such proposal.
    """
    if not numbers:
        return
    proposed = {own.number: own for own in review.plate.proposed}
    if not proposed:
        raise InputError(
            "There is no proposal in this drawing: run perpend check --propose, and accept in what it writes."
        )
    asked = _asked(numbers, proposed, "proposed joint")
    for number in asked:
        _accept(review, proposed[number])


def _accept(review: Review, own: OwnJoint) -> None:
    said = dict(own.said)
    n = review.home.get(one_line(own.number.rpartition("-")[0]))
    if n is None:
        return
    wall, found = review.walls[n], review.found[n]
    ours = next((j for j in review.plate.joints if said.get("was") and j.handle == said["was"]), None)
    theirs = next((j for j in wall.drawn_joints if said.get("was") in (j.handle, *j.handles)), None)
    label, before = "", None
    if ours is not None:
        _, label, known = review.known(ours.number)
        before = known.path[0][0] if known else None
        review.done.add(ours.handle)
        review.seen[n].add(label)
        if before is not None:
            found.no_joint.append(NoJoint(before, label))
    elif theirs is not None:
        before = theirs.path[0][0]
        found.superseded.append(Superseded(theirs.handle, theirs.path))
        review.say("superseded", wall.tag, "", before, note=f" (handle {theirs.handle})")
    if said.get("change") == "removed":
        if label:
            found.gone.append(label)
        if ours is not None:
            review.say("accepted", wall.tag, label, before, note=" is taken out")
        return
    stands = found_joint(replace(own, points=own.drawn or own.points), review.walls, n, None)
    if stands is not None and review.hold(stands, label):
        review.say("accepted", wall.tag, label, before, stands.x_in, " is held where it was proposed")


def release_joints(review: Review, numbers: Collection[str]) -> None:
    """Hold joints no more, and let joints be placed again where they were taken out.

    Args:
        review: the comparison.
        numbers: of the joints, or ``all``.

    Raises:
        InputError: there is no such joint.
    """
    if not numbers:
        return
    names: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for n, found in enumerate(review.found):
        tag = review.walls[n].tag
        for label in [
            *(j.label for j in (*found.held, *found.issued) if j.label),
            *(none.label for none in found.no_joint),
        ]:
            if label:
                names[f"{tag}-{label}"].append((n, label))
    if ALL not in numbers:
        for name in _asked(numbers, names, "joint, and no deleted one,"):
            for n, label in names[name]:
                _release(review, n, label)
    else:
        review.decisions[:] = [d for d in review.decisions if d.code not in _STAYS]
        for n, found in enumerate(review.found):
            for joint in found.held:
                review.say("released", review.walls[n].tag, joint.label, joint.path[0][0])
            for none in found.no_joint:
                review.say("released", review.walls[n].tag, none.label, none.x_in)
            found.issued.clear()
            found.held.clear()
            found.no_joint.clear()


def _release(review: Review, n: int, label: str) -> None:
    found, tag = review.found[n], review.walls[n].tag
    review.decisions[:] = [
        d for d in review.decisions if not (d.code in _STAYS and (d.wall, d.number) == (tag, label))
    ]
    for joints in (found.held, found.issued):
        for joint in [j for j in joints if j.label == label]:
            review.say("released", tag, label, joint.path[0][0])
            joints.remove(joint)
    for none in [none for none in found.no_joint if none.label == label]:
        if not any(d.code == "released" and d.number == label for d in review.decisions):
            review.say("released", tag, label, none.x_in)
        found.no_joint.remove(none)


def _asked(numbers: Collection[str], known: Collection[str], what: str) -> list[str]:
    """Return the full numbers (``W1-4``) that are meant by what the user wrote.

    Raises:
        InputError: one of them is nowhere.
    """
    if ALL in numbers:
        return list(known)
    found: dict[str, None] = {}
    for number in numbers:
        asked = number.strip().upper().removeprefix("CJ-").removeprefix("CJ ")
        meant = [name for name in known if asked in (name.upper(), name.rpartition("-")[2].upper())]
        if not meant:
            there = listed(list(known)) if known else "none"
            raise InputError(f"There is no {what} {number} in this drawing; there is: {there}.")
        found |= dict.fromkeys(meant)
    return list(found)
