"""The referee sees what is wrong: layouts that are right, spoilt one thing at a time."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from layout import solver
from layout.builders import CORNER, FREE, basis
from layout.referee import judge
from perpend.layout import Placement, place_joints
from perpend.model import Joint, JointKind, Panel, PlaceKind
from perpend.rulebook.wall_basis import WallBasis

WALL = basis(
    960,
    192,
    [(152, 0, 248, 84, "u"), (400, 32, 440, 72, "u"), (400, 112, 440, 152, "u"), (600, 0, 696, 84, "r")],
    places=[(800, PlaceKind.PILASTER)],
    ends=(CORNER, CORNER),
)
"""16 ft high, so 288 in. and 144 in. at corners: a wide door, two windows in line, a reinforced shopfront."""


def joint(placement: Placement, kind: JointKind, number: int = 0) -> Joint:
    return [j for j in placement.joints if j.kind is kind][number]


def with_joint(placement: Placement, old: Joint, **changes: object) -> Placement:
    new = replace(old, **changes)
    return replace(placement, joints=tuple(new if j is old else j for j in placement.joints))


def moved(placement: Placement, old: Joint, by: float) -> Placement:
    path = tuple((x + by, y) for x, y in old.path)
    return with_joint(placement, old, x_in=old.x_in + by, path=path)


def without(placement: Placement, old: Joint) -> Placement:
    return replace(placement, joints=tuple(j for j in placement.joints if j is not old))


def with_panel(placement: Placement, number: int, **changes: object) -> Placement:
    panels: list[Panel] = list(placement.panels)
    panels[number] = replace(panels[number], **changes)
    return replace(placement, panels=tuple(panels))


def test_the_wall_of_these_tests_is_laid_out_right() -> None:
    placement = place_joints(WALL)
    report = judge(WALL, placement)
    assert report.complaints == []
    assert report.cost[0] == 0
    kinds = [j.kind for j in placement.joints]
    assert kinds.count(JointKind.JAMB) == 3
    assert kinds.count(JointKind.FORCED) == 1
    assert kinds.count(JointKind.STRAIGHT) >= 2


SPOILT: dict[str, tuple[Callable[[Placement], Placement], str]] = {
    "a straight joint off the module": (
        lambda p: moved(p, joint(p, JointKind.STRAIGHT), 1.0),
        "ticks off the module",
    ),
    "a straight joint in the shopfront": (
        lambda p: moved(p, joint(p, JointKind.STRAIGHT, -1), 648.0 - joint(p, JointKind.STRAIGHT, -1).x_in),
        "runs through the opening of O4",
    ),
    "a straight joint through a lintel": (
        lambda p: moved(p, joint(p, JointKind.STRAIGHT), 148.0 - joint(p, JointKind.STRAIGHT).x_in),
        "runs through the lintel of O1",
    ),
    "a straight joint too near a jamb": (
        lambda p: moved(p, joint(p, JointKind.STRAIGHT, -1), 704.0 - joint(p, JointKind.STRAIGHT, -1).x_in),
        "8.0 in. from O4",
    ),
    "a joint out of the wall": (
        lambda p: moved(p, joint(p, JointKind.STRAIGHT), -joint(p, JointKind.STRAIGHT).x_in),
        "leaves the wall",
    ),
    "a joint that stops short": (
        lambda p: with_joint(
            p, (j := joint(p, JointKind.STRAIGHT)), path=(j.path[0], (j.x_in, j.path[1][1] - 8))
        ),
        "stops at 184.0",
    ),
    "a joint that starts late": (
        lambda p: with_joint(p, (j := joint(p, JointKind.STRAIGHT)), path=((j.x_in, 8.0), j.path[1])),
        "starts at 8.0",
    ),
    "a slanted joint": (
        lambda p: with_joint(
            p, (j := joint(p, JointKind.STRAIGHT)), path=(j.path[0], (j.x_in + 8, j.path[1][1]))
        ),
        "not a chain of upright and level pieces",
    ),
    "a jamb joint that runs straight up": (
        lambda p: with_joint(
            p, (j := joint(p, JointKind.JAMB)), path=((j.x_in, 0.0), (j.x_in, 192.0)), slip_planes=()
        ),
        "runs through the lintel",
    ),
    "a step that is too short": (
        lambda p: with_joint(
            p,
            joint(p, JointKind.JAMB),
            path=((152.0, 0.0), (152.0, 84.0), (148.0, 84.0), (148.0, 192.0)),
        ),
        "runs through the lintel",
    ),
    "a step above the head": (
        lambda p: with_joint(
            p,
            joint(p, JointKind.JAMB),
            path=((152.0, 0.0), (152.0, 92.0), (144.0, 92.0), (144.0, 192.0)),
        ),
        "steps [",
    ),
    "a slip plane not told of": (
        lambda p: with_joint(p, joint(p, JointKind.JAMB), slip_planes=()),
        "slip planes set() instead of",
    ),
    "a jamb joint that claims another opening": (
        lambda p: with_joint(p, joint(p, JointKind.JAMB), serves=("O2",)),
        "is not along the jambs of ('O2',)",
    ),
    "a window left out": (
        lambda p: with_joint(p, joint(p, JointKind.JAMB, -1), serves=("O2",)),
        "leaves out O3, which is in line",
    ),
    "no joint at the pilaster": (
        lambda p: without(p, joint(p, JointKind.FORCED)),
        "0 forced joints at 800.0 instead of one",
    ),
    "a forced joint where nothing forces it": (
        lambda p: with_joint(p, joint(p, JointKind.STRAIGHT), kind=JointKind.FORCED),
        "nothing forces it",
    ),
    "numbers out of order": (
        lambda p: with_joint(p, joint(p, JointKind.FORCED), number=1),
        "joints are numbered",
    ),
    "a foot that is not the path's": (
        lambda p: with_joint(p, (j := joint(p, JointKind.STRAIGHT)), x_in=j.x_in + 1),
        "x_in is not the station of its foot",
    ),
    "two joints on one line": (
        lambda p: replace(p, joints=(p.joints[0], replace(p.joints[0], number=2), *p.joints[1:])),
        "meet at y",
    ),
    "a panel measured between the feet": (lambda p: with_panel(p, 1, length_in=1.0), "length 1.0, not"),
    "a panel with the wrong limit": (lambda p: with_panel(p, 1, limit_in=300.0), "limit 300.0, not"),
    "a panel with the wrong height": (lambda p: with_panel(p, 1, height_in=200.0), "height 200.0, not 192"),
    "a panel that forgets its corner": (lambda p: with_panel(p, 0, at_corner=False), "at_corner is False"),
    "a corner with another distance": (
        lambda p: with_panel(p, 0, corner_limit_in=108.0),
        "panel 0: corner limit 108.0, not",
    ),
    "a panel too few": (lambda p: replace(p, panels=p.panels[1:]), "do not tile"),
    "violations kept quiet": (
        lambda p: without(p, joint(p, JointKind.JAMB)),
        "cost: 0 violations, not",
    ),
    "a wrong count of joints": (
        lambda p: replace(p, cost=replace(p.cost, joints=p.cost.joints - 1)),
        "joints, not",
    ),
    "a wrong count of slip planes": (
        lambda p: replace(p, cost=replace(p.cost, slip_planes=0)),
        "cost: 0 slip planes, not 4",
    ),
    "a wrong longest panel": (
        lambda p: replace(p, cost=replace(p.cost, longest_in=p.cost.longest_in - 1)),
        "cost: longest",
    ),
    "a wrong sum of squares": (
        lambda p: replace(p, cost=replace(p.cost, unevenness=p.cost.unevenness * 1.0001)),
        "cost: unevenness",
    ),
    "a wrong excess": (lambda p: replace(p, cost=replace(p.cost, excess_in=1.0)), "cost: excess 1.0, not 0"),
}


@pytest.mark.parametrize("name", SPOILT)
def test_the_referee_sees(name: str) -> None:
    spoil, words = SPOILT[name]
    complaints = judge(WALL, spoil(place_joints(WALL))).complaints
    assert any(words in complaint for complaint in complaints), complaints


@pytest.mark.parametrize(
    ("wall", "score"),
    [
        # Worked out in test_worked_examples.py; all in inches and square inches. Each joint is its foot and
        # its head: at an unreinforced jamb the head is the 8 in. of bearing farther out.
        (basis(308, 200), (0, 0, 1, 0, 156, 152**2 + 156**2, ((152, 152),))),
        (basis(400, 200, [(100, 0, 140, 84, "u")]), (0, 0, 1, 1, 260, 148**2 + 260**2, ((140, 148),))),
        (
            basis(400, 200, [(152, 0, 248, 84, "u")]),
            (0, 0, 2, 2, 152, 2 * 152**2 + 112**2, ((152, 144), (248, 256))),
        ),
        (basis(400, 200, [(100, 0, 268, 84, "r")]), (0, 0, 1, 0, 296, 296**2 + 104**2, ((296, 296),))),
        (
            basis(600, 200, [(150, 0, 462, 120, "r")]),
            (1, 68, 2, 0, 368, 120**2 + 368**2 + 112**2, ((120, 120), (488, 488))),
        ),
        (basis(40, 200, [(8, 0, 32, 84, "r")], ends=(CORNER, CORNER)), (2, 0, 0, 0, 40, 1600, ())),
        (basis(96, 56, ends=(CORNER, FREE)), (0, 0, 1, 0, 56, 40**2 + 56**2, ((40, 40),))),
    ],
)
def test_the_integer_program_gets_the_worked_examples_right(
    wall: WallBasis, score: tuple[int, int, int, int, int, int, tuple[tuple[int, int], ...]]
) -> None:
    violations, excess, joints, slips, longest, squares, ends = score
    grain = 8128
    assert solver.solve(wall) == (
        violations,
        excess * grain,
        0,
        0,
        joints,
        slips,
        longest * grain,
        squares * grain**2,
        joints,  # every one of them: these walls have no steps
        tuple((foot * grain, head * grain) for foot, head in ends),
    )
