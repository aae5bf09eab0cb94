"""A wall with changes carried out, as data: what the judge then looks at."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from perpend.checks import CheckReport, whole_joints
from perpend.errors import InternalError
from perpend.model import Change, Joint, JointChange, JointKind, Treat, UseMethod
from perpend.rulebook import WallBasis
from perpend.slotted import dataclass


@dataclass(frozen=True, slots=True)
class DrawnWall:
    """A wall as drawn.

    Attributes:
        basis: everything that binds its joints.
        joints: its joints, each whole, numbered 1, 2, ... from the left.
        parts: by such a number, the joints as they were judged that make it up.
        report: what the judge says of it.
    """

    basis: WallBasis
    joints: tuple[Joint, ...]
    parts: dict[int, tuple[Joint, ...]]
    report: CheckReport

    @classmethod
    def of(cls, basis: WallBasis, drawn: Sequence[Joint], report: CheckReport) -> DrawnWall:
        """Number the joints of a wall from the left, parts put together.

        Args:
            basis: the wall's basis.
            drawn: the joints as they were judged.
            report: what the judge said of them.
        """
        by_number = {joint.number: joint for joint in drawn}
        parts = {numbers[0]: tuple(by_number[n] for n in numbers) for numbers in report.parts}
        whole = whole_joints(basis, drawn)
        return cls(
            basis,
            tuple(replace(joint, number=n) for n, joint in enumerate(whole, start=1)),
            {n: parts[joint.number] for n, joint in enumerate(whole, start=1)},
            report,
        )

    def numbers_of(self, judged: Iterable[int]) -> frozenset[int]:
        """Return the numbers of the joints that some joints as they were judged belong to."""
        wanted = set(judged)
        return frozenset(n for n, parts in self.parts.items() if wanted & {part.number for part in parts})

    def after(self, changes: Iterable[Change]) -> tuple[WallBasis, tuple[Joint, ...]]:
        """Return what binds the wall and its joints once some changes are made; advice changes nothing."""
        basis = self.basis
        redrawn: dict[int, JointChange] = {}
        added: list[Joint] = []
        for change in changes:
            if isinstance(change, JointChange) and change.number:
                redrawn[change.number] = change
            elif isinstance(change, JointChange):
                added.append(
                    Joint(
                        0, change.x_in, change.path, JointKind.STRAIGHT, "added", joint_type=basis.joint_type
                    )
                )
            else:
                basis = changed_basis(basis, change)
        joints: list[Joint] = []
        for joint in self.joints:
            anew = redrawn.get(joint.number)
            if anew is None:
                joints += self.parts[joint.number]
            elif anew.kind != "remove":
                joints.append(replace(joint, path=anew.path, x_in=anew.x_in, past_in=(0.0, 0.0)))
        every = (*joints, *added)
        return basis, tuple(replace(joint, number=n) for n, joint in enumerate(every, start=1))


def changed_basis(basis: WallBasis, change: Change) -> WallBasis:
    """Return what binds a wall once an opening is treated the other way, or its joints go by another method.

    Raises:
        InternalError: the wall has no such opening or method.
    """
    if isinstance(change, Treat):
        for index, rule in enumerate(basis.openings):
            other = basis.other_treatment(index)
            if rule.opening.tag == change.opening and other and other.treatment is change.treatment:
                return basis.with_opening(index, other)
        raise InternalError(f"{basis.wall.tag} has no {change.opening} that can be {change.treatment}.")
    if isinstance(change, UseMethod):
        for spacing in basis.other_spacings:
            if (spacing.method, spacing.units) == (change.method, change.units):
                return replace(basis, spacing=spacing)
        raise InternalError(f"{basis.wall.tag} can't use the {change.method} method.")
    return basis
