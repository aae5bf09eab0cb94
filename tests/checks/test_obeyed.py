"""Every cure of a wall obeyed at once, as a drafter goes down the list: no two of them undo each other.

The walls have a door beside a step of their top: the step, the jambs and the spacing each ask for joints.
Each correct layout is changed by one slip of a drafter's hand; after the cures the judge finds nothing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest

from checks import test_cures_applied as applied
from checks.test_cures_applied import Joints, ways
from perpend.checks import check_wall, whole_joints
from perpend.findings import Finding, Severity
from perpend.layout import place_joints
from perpend.model import (
    Box,
    EndCondition,
    Joint,
    JointKind,
    Opening,
    Profile,
    Treatment,
    Wall,
)
from perpend.model import Path as Line
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall

BOOK = load_rulebook("us-cmu")
STEP, LENGTH, LOW, HIGH, HEAD = 240.0, 480.0, 120.0, 168.0, 88.0
LET_BE = {"width-on-boundary"}


class GoneError(Exception):
    """A cure names a joint that another cure took away."""


def wall_with_door(left: float, width: float, treatment: Treatment) -> WallBasis:
    """Return the basis of a wall of 40'-0" that steps up from 10'-0" to 14'-0" half way, with one door."""
    top = Profile(((0.0, LOW), (STEP, LOW), (STEP, HIGH), (LENGTH, HIGH)))
    door = Opening("D1", "H1", Box(left, 0.0, left + width, HEAD), treatment=treatment)
    ends = {"left_end": EndCondition.CORNER, "right_end": EndCondition.CORNER}
    wall = Wall("W1", "1A", LENGTH, top, Profile.level(0.0, 0.0, LENGTH), openings=(door,), **ends)
    return resolve_wall(parse_settings('[defaults]\njoint_type = "formed-paper"\n'), BOOK, wall)


def slips(joints: Joints) -> Iterator[tuple[str, Joints]]:
    """Yield a layout with one joint shifted, cut short, taken out, doubled, leaning or stepping wrongly."""
    for n, joint in enumerate(joints):
        others = (*joints[:n], *joints[n + 1 :])
        (x, low), (u, high) = joint.path[0], joint.path[-1]
        changed: dict[str, Line] = {
            f"shifted by {by}": tuple((a + by, b) for a, b in joint.path)
            for by in (0.5, -0.5, 3, -3, 8, -8, 20, -20, 40, -40)
        }
        changed["short at the top"] = (*joint.path[:-1], (u, high - 16))
        changed["short at the bottom"] = ((x, low + 16), *joint.path[1:])
        if len(joint.path) == 2:
            changed["leaning"] = ((x, low), (x + 3, high))
            changed["with a jog"] = ((x, low), (x, 60.0), (x + 8, 60.0), (x + 8, high))
        else:
            changed["without a slip plane"] = ((x, low), (x, high))
            changed["with half a slip plane"] = (
                (x, low),
                (x, HEAD),
                ((x + u) / 2, HEAD),
                ((x + u) / 2, high),
            )
            changed["stepping over the door"] = ((x, low), (x, HEAD), (2 * x - u, HEAD), (2 * x - u, high))
            changed["stepping too low"] = ((x, low), (x, HEAD - 8), (u, HEAD - 8), (u, high))
        for name, path in changed.items():
            if all(0.25 < a < LENGTH - 0.25 for a, _ in path):
                yield f"{name}: {joint.path}", (*others, drawn(path, joint.handle))
        yield f"taken out: {joint.path}", others
        for by in (2, 6, 12, -6, -12):
            twin = tuple((a + by, b) for a, b in joint.path)
            yield f"doubled {by} beside: {joint.path}", (*joints, drawn(twin, "TWIN"))


def drawn(path: Line, handle: str) -> Joint:
    number = 100 if handle == "TWIN" else int(handle[1:])
    return Joint(
        number,
        path[0][0],
        path,
        JointKind.EXISTING,
        "",
        joint_type="formed-paper",
        existing=True,
        handle=handle,
    )


def obeyed(
    basis: WallBasis, joints: Joints, findings: Sequence[Finding], patch: pytest.MonkeyPatch
) -> Joints:
    """Do what every cure says, one after the other; each names the joints as they stood at first."""
    first = whole_joints(basis, joints)

    def with_line(before: Joints, path: Line, gone: Joint | None = None) -> Joints:
        """A joint drawn anew keeps its handle, and one that stands there already is not drawn twice."""
        ends = {(j.path[0][0], j.path[-1][0]) for j in before if j is not gone}
        if gone is None and (path[0][0], path[-1][0]) in ends:
            return before
        number = max(j.number for j in (*before, *first)) + 1
        fresh = replace(drawn(path, "TWIN"), number=number, handle=gone.handle if gone else f"N{number}")
        return (*(j for j in before if j is not gone), fresh)

    def now(handle: str, among: Joints) -> Joint:
        found = [j for j in among if j.handle == handle]
        if not found:
            raise GoneError
        return found[-1]

    patch.setattr(applied, "with_line", with_line)
    patch.setattr(
        applied,
        "joint_at",
        lambda x, among: now(min(first, key=lambda j: abs(j.path[0][0] - x)).handle, among),
    )
    patch.setattr(applied, "joint_of", lambda found, among: now(found.handle, among))
    whole: Joints = first
    for found in findings:
        try:
            whole = next(ways(basis, found, whole), whole)
        except GoneError:
            continue
    return whole


def _told(findings: Sequence[Finding]) -> str:
    return "\n".join(f"{f.message} -> {f.cure}" for f in findings)


@pytest.mark.parametrize("width", [40.0, 96.0])
@pytest.mark.parametrize("treatment", list(Treatment))
def test_the_cures_beside_a_step_of_the_wall_do_not_undo_each_other(
    width: float, treatment: Treatment, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: Counter[str] = Counter()
    for left in (*(STEP - width - by for by in (64, 24, 16, 8)), *(STEP + by for by in (8, 16, 24, 64))):
        basis = wall_with_door(left, width, treatment)
        placed = tuple(
            replace(drawn(j.path, f"J{n}"), number=n) for n, j in enumerate(place_joints(basis).joints)
        )
        if any(f.severity is Severity.REQUIRED for f in check_wall(basis, placed).findings):
            continue  # no layout satisfies the wall
        for name, joints in slips(placed):
            before = [f for f in check_wall(basis, joints).findings if f.code not in LET_BE]
            with monkeypatch.context() as patch:
                cured = obeyed(basis, joints, before, patch)
            left_over = [f for f in check_wall(basis, cured).findings if f.code not in LET_BE]
            where = f"door at {left}, {name}\n{_told(before)}\nstill: {_told(left_over)}"
            assert not left_over, where
            done[name.split(":")[0]] += bool(before)
    assert sum(done.values()) >= 150
