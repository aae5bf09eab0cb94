"""What a person decided since the last run, found by comparing what stands with what is on record.

A joint of ours that was moved, stretched, copied or put on another layer is held where it is; one that was
deleted leaves a station where none is placed. A held joint is released where it can stand no more, because
the wall ends before it or an opening is there that was not when it was held.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import replace

from perpend.decisions.asked_joints import accept_proposed, release_joints
from perpend.decisions.decision import Code, Decision
from perpend.decisions.joint_record import (
    JointRecord,
    NoJoint,
    RecordedJoint,
    WallRecord,
    one_line,
)
from perpend.decisions.moved_joints import (
    FoundJoint,
    coincide,
    found_joint,
    is_at,
    path_in,
    runs_through_opening,
)
from perpend.decisions.wall_decisions import Reviewed, WallDecisions
from perpend.dxf.own_plate import OwnJoint, OwnPlate
from perpend.model import DrawnJoint, Wall
from perpend.units import ON_MODULE_IN, same
from perpend.wording import listed


def reviewed(
    plate: OwnPlate,
    record: JointRecord | None,
    walls: Sequence[Wall],
    *,
    release: Collection[str] = (),
    accept: Collection[str] = (),
) -> Reviewed:
    """Compare a plate with its record.

    Args:
        plate: what stands of it.
        record: what is on record; None where there is none, and nothing is known of deleted joints then.
        walls: the walls as they are now, without joints of ours.
        release: numbers of joints that are held no more (``4`` or ``W1-4``), or ``all``.
        accept: numbers of proposed joints that are taken, or ``all``.

    Raises:
        InputError: there is no such joint to be released or accepted.
    """
    review = Review(plate, record or JointRecord(), walls)
    accept_proposed(review, accept)
    review.compare()
    release_joints(review, release)
    return review.outcome()


class Review:
    """The comparison of one drawing, while it is made."""

    def __init__(self, plate: OwnPlate, record: JointRecord, walls: Sequence[Wall]) -> None:
        """Take a plate, its record, and the walls as they are now."""
        self.plate, self.record = plate, record
        self.walls = [
            replace(wall, drawn_joints=tuple(j for j in wall.drawn_joints if not j.ours)) for wall in walls
        ]
        tags = [wall.tag for wall in walls]
        self.records = [record.of_wall(wall.tag, wall.handle, tags) for wall in walls]
        self.found = [
            WallDecisions(
                no_joint=list(known.no_joint) if known else [],
                gone=list(known.gone) if known else [],
                superseded=list(known.superseded) if known else [],
                known=known.joints if known else (),
                basis=known.basis if known else "",
            )
            for known in self.records
        ]
        self.decisions: list[Decision] = []
        self.home = {one_line(tag): n for n, tag in reversed(list(enumerate(tags)))}
        self.home |= {known.tag: n for n, known in enumerate(self.records) if known}
        self.done: set[str] = set()
        """Handles of the lines of which an accepted proposal disposes."""
        self.seen: list[set[str]] = [set() for _ in walls]
        """Numbers of the joints that still stand."""

    def outcome(self) -> Reviewed:
        """Return the walls with what was decided."""
        found = [n for n in self.records if n is not None]
        lost = self._lost(
            [known for known in self.record.walls if not any(known is other for other in found)]
        )
        walls = tuple(self._wall(n) for n in range(len(self.walls)))
        return Reviewed(walls, tuple(self.found), tuple(self.decisions), lost)

    def _lost(self, lost: Sequence[WallRecord]) -> tuple[WallRecord, ...]:
        for known in lost:
            if known.joints:
                numbers = f"the numbers {listed([j.label for j in known.joints])}"
                self.say("wall-gone", known.tag, note=numbers)
        return tuple(
            replace(known, joints=(), gone=tuple(sorted(known.labels)), no_joint=(), superseded=())
            for known in lost
        )

    def _wall(self, n: int) -> Wall:
        wall, found = self.walls[n], self.found[n]
        held = found.held
        found.no_joint = [
            none for none in found.no_joint if not any(is_at(joint.path, none.x_in) for joint in held)
        ]
        drawn = [joint for joint in wall.drawn_joints if not self._is_superseded(n, joint)]
        return replace(
            wall,
            drawn_joints=(*drawn, *held),
            no_joint_at_in=tuple(none.x_in for none in found.no_joint),
        )

    def say(
        self,
        code: Code,
        wall: str,
        number: str = "",
        from_in: float | None = None,
        to_in: float | None = None,
        note: str = "",
    ) -> None:
        """Name a decision; see `Decision`."""
        self.decisions.append(Decision(code, wall, number, from_in, to_in, note))

    # what stands

    def compare(self) -> None:
        """Find what was done to each joint, then which are missing."""
        groups: dict[str, list[OwnJoint]] = defaultdict(list)
        for own in self.plate.joints:
            if own.handle not in self.done:
                groups[own.number].append(own)
        copies: list[tuple[str, OwnJoint]] = []
        for number, group in groups.items():
            first = [own for own in group if not own.is_copy] or group[:1]
            copies += [(number, own) for own in group if own not in first]
            for own in first:
                self._original(own)
        for number, own in copies:
            self._copy(number, own)
        for n in range(len(self.walls)):
            self._missing(n)
            self._superseded(n)
            self._carry_over(n)

    def known(self, number: str) -> tuple[int | None, str, RecordedJoint | None]:
        """Return what a number such as ``W1-4`` names: index of the wall, its label, what is on record."""
        tag, _, label = number.rpartition("-")
        home = self.home.get(one_line(tag))
        known = self.found[home].known if home is not None else ()
        return home, label, next((joint for joint in known if joint.label == label), None)

    def _original(self, own: OwnJoint) -> None:
        home, label, known = self.known(own.number)
        tag = self.walls[home].tag if home is not None else own.number.rpartition("-")[0]
        stands = found_joint(own, self.walls, home, known)
        before = known.path[0][0] if known else None
        if home is not None:
            self.seen[home].add(label)
        if stands is None:
            if home is not None:
                self.say("off-wall", tag, label, before)
                self._take_out(home, label, before)
            return
        relayered = self._is_relayered(own)
        was_held = known.state == "held" if known else ("state", "held") in own.said
        if not (stands.change or relayered or was_held):
            if known and known.state == "issued" and stands.wall == home:
                issued = DrawnJoint(stands.path, own.handle, ours=True, held=True, label=label)
                self.found[home].issued.append(issued)
            return
        if was_held and not stands.change and self._is_released(stands, known, tag, label):
            return
        note = f" (in {self.walls[stands.wall].tag} now)" if stands.wall != home else ""
        if not self.hold(stands, label if stands.wall == home else "", before if stands.change else None):
            if stands.change == "moved" and home is not None:
                self._take_out(home, label, before)
            return
        if stands.change:
            self.say(stands.change, tag, label, before, stands.x_in, note)
            if (
                home is not None
                and before is not None
                and not (stands.wall == home and same(before, stands.x_in, ON_MODULE_IN))
            ):
                self.found[home].no_joint.append(NoJoint(before, label))
            if home is not None and stands.wall != home:
                self.found[home].gone.append(label)
        elif relayered:
            self.say("relayered", tag, label, before, stands.x_in, f"the layer {own.layer}")
        else:
            self.say("held", tag, label, None, stands.x_in)

    def _is_relayered(self, own: OwnJoint) -> bool:
        """Say whether a joint was put on another layer; one that was renamed as a whole is the same."""
        home, layers = self.record.layer, self.plate.layers | self.plate.others
        if not home or own.layer == home:
            return False
        return home in layers or own.layer not in self.plate.layers

    def _is_released(self, stands: FoundJoint, known: RecordedJoint | None, tag: str, label: str) -> bool:
        """Release a joint that was held before where an opening is now; say so."""
        opening = runs_through_opening(self.walls[stands.wall], stands.path)
        if not opening or known is None or known.clashes:
            return False
        self.say("released", tag, label, stands.x_in, note=f", for {opening} is there now")
        return True

    def hold(self, stands: FoundJoint, label: str, before: float | None = None) -> bool:
        """Hold a joint where it is, unless another one is there; say so then."""
        wall, found = self.walls[stands.wall], self.found[stands.wall]
        theirs = (joint for joint in wall.drawn_joints if coincide(joint.path, stands.path))
        if other := next(theirs, None):
            on = f"the drafter's own (handle {other.handle})"
            self.say("doubled", wall.tag, label, before, stands.x_in, on)
            return False
        if any(coincide(joint.path, stands.path) for joint in found.held):
            self.say("doubled", wall.tag, label, before, stands.x_in, "another held joint")
            return False
        found.held.append(DrawnJoint(stands.path, stands.own.handle, ours=True, held=True, label=label))
        return True

    def _copy(self, number: str, own: OwnJoint) -> None:
        _, _, known = self.known(number)
        stands = found_joint(own, self.walls, None, known)
        if stands is None:
            tag = number.rpartition("-")[0]
            self.say("off-wall", tag, "", None, note=f"a copy of {number}")
            return
        wall = self.walls[stands.wall]
        here = [j for j in self.plate.joints if not j.is_copy and j is not own]
        paths = (path for j in here if (path := path_in(wall, j.points)) is not None)
        if any(coincide(path, stands.path) for path in paths):
            self.say("doubled", wall.tag, "", to_in=stands.x_in, note=f"the joint {number} it is a copy of")
            return
        if self.hold(stands, ""):
            self.say("copied", wall.tag, "", to_in=stands.x_in, note=number)

    # what is missing

    def _missing(self, n: int) -> None:
        wall = self.walls[n]
        for known in self.found[n].known:
            if known.label in self.seen[n]:
                continue
            x_in = known.path[0][0]
            theirs = any(coincide(joint.path, known.path) for joint in wall.drawn_joints)
            if known.state == "drawn" or (known.state == "found" and theirs):
                continue
            if theirs:
                self.say("redrawn", wall.tag, known.label, x_in)
            elif x_in > wall.length_in + ON_MODULE_IN:
                self.say("released", wall.tag, known.label, x_in, note=", for the wall ends before it now")
                self.found[n].gone.append(known.label)
            else:
                self.say("deleted", wall.tag, known.label, x_in)
                self._take_out(n, known.label, x_in)

    def _take_out(self, n: int, label: str, x_in: float | None) -> None:
        self.found[n].gone.append(label)
        if x_in is not None:
            self.found[n].no_joint.append(NoJoint(x_in, label))

    def _carry_over(self, n: int) -> None:
        """Keep the stations without a joint that the wall still has, each once; say which it has no more."""
        wall, found = self.walls[n], self.found[n]
        known = self.records[n]
        before = known.no_joint if known else ()
        kept: list[NoJoint] = []
        for none in found.no_joint:
            if none.x_in > wall.length_in + ON_MODULE_IN:
                self.say(
                    "released", wall.tag, none.label, none.x_in, note=", for the wall ends before it now"
                )
            elif not any(same(none.x_in, other.x_in, ON_MODULE_IN) for other in kept):
                kept.append(none)
                if none in before:
                    was = f" (there was {none.label})" if none.label else ""
                    self.say("no-joint", wall.tag, "", none.x_in, note=was)
        found.no_joint = kept
        found.gone = list(dict.fromkeys(found.gone))

    # the drafter's own that count no more

    def _is_superseded(self, n: int, joint: DrawnJoint) -> bool:
        return any(coincide(old.path, joint.path) for old in self.found[n].superseded)

    def _superseded(self, n: int) -> None:
        """Forget the superseded joints that the drafter erased; say which were moved and count again."""
        wall, kept = self.walls[n], []
        for old in self.found[n].superseded:
            if any(coincide(old.path, joint.path) for joint in wall.drawn_joints):
                kept.append(old)
                continue
            moved = next((j for j in wall.drawn_joints if old.handle in (j.handle, *j.handles)), None)
            if moved is not None:
                note = f" (handle {old.handle})"
                self.say("superseded-moved", wall.tag, "", old.path[0][0], moved.path[0][0], note)
        self.found[n].superseded = kept
