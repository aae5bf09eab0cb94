"""One revision of a drawing: what was decided before and since, the numbers now, the record afterwards."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from perpend.decisions.asked_joints import ALL
from perpend.decisions.decision import Decision
from perpend.decisions.held_joints import reviewed
from perpend.decisions.issued_joints import basis_digest, laid_out
from perpend.decisions.joint_numbers import in_order, kept, of_drawn
from perpend.decisions.joint_record import (
    Issue,
    JointRecord,
    RecordedJoint,
    WallRecord,
    one_line,
    record_of,
)
from perpend.decisions.moved_joints import coincide, is_at, runs_through_opening
from perpend.decisions.moved_labels import HandLabel, deleted_labels, hand_labels
from perpend.decisions.said_joints import said_numbers, with_said_joints, with_said_types
from perpend.decisions.stripped_plate import lost_marks, recovered
from perpend.decisions.wall_decisions import Reviewed, WallDecisions
from perpend.dxf.own_plate import OwnPlate
from perpend.model import Joint, Wall, WallPlan
from perpend.rulebook import WallBasis
from perpend.settings import Settings
from perpend.units import ON_MODULE_IN, SAME_IN, same
from perpend.wording import listed


@dataclass(frozen=True, slots=True)
class Revision:
    """What is known of the joints before they are placed.

    Attributes:
        settings: the project's settings.
        record: of the last run.
        found: what was decided since.
        walls: to be laid out.
        decisions: those of the drawing and of the settings.
        labels: tags, callouts and dimensions that stay where a person put them.
    """

    settings: Settings
    record: JointRecord
    found: Reviewed
    walls: tuple[Wall, ...]
    decisions: tuple[Decision, ...]
    labels: tuple[HandLabel, ...] = ()

    @classmethod
    def of(
        cls,
        plate: OwnPlate,
        walls: Sequence[Wall],
        settings: Settings,
        *,
        release: Collection[str] = (),
        accept: Collection[str] = (),
    ) -> Revision:
        """Compare a plate with its record, and add what the settings say.

        Raises:
            InputError: there is no such joint to be released or accepted.
        """
        record = record_of(plate.record or ()) or recovered(plate, walls)
        found = reviewed(plate, record, walls, release=release, accept=accept)
        said = [
            with_said_joints(settings, wall, decided.no_joint)
            for wall, decided in zip(found.walls, found.of_walls, strict=True)
        ]
        if record and plate.notes:
            found = replace(found, decisions=(lost_marks(plate, record), *found.decisions))
        joints_deleted = sum(decision.code == "deleted" for decision in found.decisions)
        deleted = deleted_labels(record.drawn if record else (), plate.counts, joints_deleted)
        by_settings = (decision for _, decisions in said for decision in decisions)
        return cls(
            settings,
            record or JointRecord(),
            found,
            tuple(wall for wall, _ in said),
            (*found.decisions, *deleted, *by_settings),
            hand_labels(plate.labels, plate.joints, walls[0].frame.inches_per_unit)
            if walls and ALL not in release
            else (),
        )

    def laid_out(self, n: int, basis: WallBasis) -> tuple[WallBasis, WallPlan]:
        """Place the joints of a wall, those of a drawing that was issued where they are if they can stay.

        Args:
            n: index of the wall.
            basis: what binds its joints.
        """
        decided = self.found.of_walls[n]
        digest = basis_digest(basis)
        basis, plan, decided.kept = laid_out(basis, decided.issued, unchanged=decided.basis == digest)
        decided.basis = digest
        return basis, self.numbered(n, plan)

    @property
    def keeps_numbers(self) -> bool:
        """Whether joints keep their numbers."""
        renumber = self.settings.renumber
        return renumber == "never" or (renumber == "until-issued" and bool(self.record.issues))

    def numbered(self, n: int, plan: WallPlan) -> WallPlan:
        """Return a wall laid out whose joints have their numbers, types and details.

        Args:
            n: index of the wall.
            plan: the wall laid out.
        """
        decided = self.found.of_walls[n]
        joints = with_said_types(self.settings, plan.wall, plan.joints)
        said = said_numbers(self.settings, plan.wall, joints)
        known = bool(decided.known or decided.gone)
        if self.keeps_numbers and known:
            within_in = self.settings.same_joint_within
            joints = kept(joints, decided.known, decided.gone, said, within_in)
        else:
            joints = in_order(joints, said)
        joints = tuple(
            replace(joint, found=joint.existing and _was(joint, decided, "found")) for joint in joints
        )
        return replace(plan, joints=joints, superseded=tuple(old.path for old in decided.superseded))

    def told(self, plans: Sequence[WallPlan]) -> tuple[Decision, ...]:
        """Return the decisions with the numbers that the joints have now, and what the numbers did."""
        joints = {plan.wall.tag: plan.joints for plan in plans}
        told: list[Decision] = []
        for decision in self.decisions:
            if decision.code == "deleted":
                note = "" if self.keeps_numbers else " (as it was numbered then)"
                told.append(replace(decision, note=note, within_in=self.settings.same_joint_within))
                continue
            now = next(
                (
                    joint
                    for joint in joints.get(decision.wall, ())
                    if joint.held and decision.to_in is not None and is_at(joint.path, decision.to_in)
                ),
                None,
            )
            if now is None or now.mark == decision.number or decision.code == "setting-unused":
                told.append(decision)
                continue
            told.append(replace(decision, number=now.mark))
            if decision.number:
                was = f"number {decision.number}"
                told.append(Decision("renumbered", decision.wall, now.mark, None, now.x_in, was))
        for plan, decided in zip(plans, self.found.of_walls, strict=True):
            if decided.kept:
                verb = "stays" if len(decided.kept) == 1 else "stay"
                said = f"{'joint' if len(decided.kept) == 1 else 'joints'} {listed(decided.kept)} {verb}"
                told.append(Decision("issued", plan.wall.tag, note=said))
        if self.keeps_numbers:
            for n, plan in enumerate(plans):
                told += self._shifted(self.found.of_walls[n], plan)
        return tuple(told)

    def _shifted(self, decided: WallDecisions, plan: WallPlan) -> Iterable[Decision]:
        """Yield the joints that are new, stand elsewhere although nobody moved them, or are gone."""
        labels = {known.label for known in decided.known}
        for new in plan.joints if labels else ():
            if new.mark not in labels and not (new.held or new.existing):
                yield Decision("added", plan.wall.tag, new.mark, None, new.x_in)
        now = {joint.mark: joint for joint in plan.joints}
        for known in decided.known:
            before = known.path[0][0]
            joint = now.get(known.label)
            if joint is None and known.label not in decided.gone:
                yield Decision("number-gone", plan.wall.tag, known.label, before)
            elif joint is not None and not joint.held and not same(joint.x_in, before, ON_MODULE_IN):
                yield Decision("shifted", plan.wall.tag, known.label, before, joint.x_in)

    def record_after(
        self,
        plans: Sequence[WallPlan],
        issue: Issue | None,
        layer: str = "",
        waived: Sequence[tuple[str, str]] = (),
    ) -> JointRecord:
        """Return the record of the drawing as it is now.

        Args:
            plans: the walls laid out and numbered.
            issue: one that is recorded now, or None.
            layer: on which our joints are drawn; empty where none is.
            waived: fingerprints that were waived, with what they were.
        """
        walls = [self._wall_after(n, plan, issued=issue is not None) for n, plan in enumerate(plans)]
        issues = self.issues_after(issue)
        return JointRecord(
            layer or self.record.layer,
            issues,
            (*walls, *self.found.lost),
            tuple(waived),
            found=self.record.found,
        )

    def issues_after(self, issue: Issue | None) -> tuple[Issue, ...]:
        """Return every issue of the drawing, with one that is recorded now."""
        return (*self.record.issues, *([issue] if issue else []))

    def _wall_after(self, n: int, plan: WallPlan, *, issued: bool) -> WallRecord:
        decided, wall = self.found.of_walls[n], plan.wall
        joints = tuple(_recorded(joint, wall, decided, issued=issued) for joint in plan.joints)
        labels = {joint.label for joint in joints}
        before = {*decided.gone, *(known.label for known in decided.known)} if self.keeps_numbers else set()
        gone = sorted(before - labels, key=lambda label: (len(label), label))
        no_joint = tuple(sorted(decided.no_joint, key=lambda none: none.x_in))
        return WallRecord(
            one_line(wall.tag),
            wall.handle,
            joints,
            tuple(gone),
            no_joint,
            tuple(decided.superseded),
            decided.basis,
        )


def known_joints(plate: OwnPlate, walls: Sequence[Wall]) -> tuple[Wall, ...]:
    """Return walls that were read with our joints, these with their numbers; superseded ones are left out.

    Args:
        plate: what stands of an earlier run.
        walls: with every joint that is drawn.
    """
    record = record_of(plate.record or ()) or JointRecord()
    numbers = {own.handle: own.number.rpartition("-")[2] for own in plate.joints if not own.is_copy}
    tags = [wall.tag for wall in walls]
    found = []
    for wall in walls:
        known = record.of_wall(wall.tag, wall.handle, tags)
        superseded = [old.path for old in known.superseded] if known else []
        states = {joint.label: joint.state for joint in known.joints} if known else {}
        joints = []
        for joint in wall.drawn_joints:
            if not joint.ours and any(coincide(path, joint.path) for path in superseded):
                continue
            label = numbers.get(joint.handle.upper(), "")
            joints.append(replace(joint, label=label, held=joint.ours and states.get(label) == "held"))
        joints.sort(key=lambda joint: (joint.path, joint.handle))
        found.append(replace(wall, drawn_joints=of_drawn(joints, known.gone if known else ())))
    return tuple(found)


def _was(joint: Joint, decided: WallDecisions, state: str) -> bool:
    """Say whether a joint is on record at its place in some state."""
    return any(known.state == state and coincide(known.path, joint.path) for known in decided.known)


def _recorded(joint: Joint, wall: Wall, decided: WallDecisions, *, issued: bool) -> RecordedJoint:
    path = joint.path
    by_hand = joint.held and any(is_at(held.path, joint.x_in) for held in decided.held)
    issued = issued or any(coincide(before.path, joint.path) for before in decided.issued)
    theirs = "found" if joint.found else "drawn"
    state = "held" if by_hand else theirs if joint.existing else "issued" if issued else "placed"
    floor, crown = max(wall.bottom.at(path[0][0])), min(wall.top.at(path[-1][0]))
    at_bottom, at_top = path[0][1] <= floor + SAME_IN, path[-1][1] >= crown - SAME_IN
    clashes = by_hand and bool(runs_through_opening(wall, path))
    return RecordedJoint(joint.mark, state, path, at_bottom, at_top, clashes)
