"""Joints that a drafter drew dash by dash, on one layer, are each one joint: every finding names it once.

A wall of 60'-0" by 16'-8": dashes of 1'-0" with breaks of 6 in., as an exploded line type leaves them.
"""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest

from check_command.bench import Checked, Points, check, others, upright

DOOR = (("D1", (304.0, 0.0, 344.0, 88.0)),)
SETTINGS = '[defaults]\njoint_type = "formed-paper"\n[[openings]]\ntag = "D1"\ntreatment = "unreinforced"\n'


def dashes(*corners: tuple[float, float], on: float = 12.0, off: float = 6.0) -> tuple[Points, ...]:
    """Return the dashes of a line through some corners; each straight part begins with one."""
    found: list[Points] = []
    for (x0, y0), (x1, y1) in itertools.pairwise(corners):
        length = math.dist((x0, y0), (x1, y1))
        for n in range(math.ceil(length / (on + off))):
            a, b = n * (on + off), min(n * (on + off) + on, length)
            found.append(tuple((x0 + (x1 - x0) * t / length, y0 + (y1 - y0) * t / length) for t in (a, b)))
    return tuple(found)


def checked(tmp_path: Path, *joints: Points) -> Checked:
    (tmp_path / "perpend.toml").write_text(SETTINGS, encoding="utf-8")
    whole = (*upright(144.0, 432.0, 576.0), *joints)
    return check(others(tmp_path / "n.dxf", whole, openings=DOOR))


@pytest.mark.parametrize("lean", [0.25, -0.5, 1.0])
def test_dashes_that_lean_are_one_joint(tmp_path: Path, lean: float) -> None:
    low, turn, high = dashes((304, 0), (304, 88)), ((304, 88), (296, 88)), (296 + lean, 200)
    found = checked(tmp_path, *low, turn, *dashes((296, 88), high))
    assert len(found.results.walls[0].joints) == 4
    assert found.codes == {"joint-out-of-plumb"}
    assert found.only("joint-out-of-plumb").measured_in == pytest.approx(abs(lean), abs=1 / 8)


@pytest.mark.parametrize("by", [0.0, 0.25, -0.5])
@pytest.mark.parametrize("plane", [(8.0, 1.0), (3.0, 2.0)], ids=["solid", "dashed"])
def test_a_stepped_joint_of_dashes(tmp_path: Path, by: float, plane: tuple[float, float]) -> None:
    low, high = (304 + by, 0.0), (296 + by, 200.0)
    turn = ((304 + by, 88.0), (296 + by, 88.0))
    found = checked(
        tmp_path, *dashes(low, turn[0]), *dashes(*turn, on=plane[0], off=plane[1]), *dashes(turn[1], high)
    )
    joint = next(j for j in found.results.walls[0].joints if j.serves == ["D1"] or by)
    assert len(found.results.walls[0].joints) == 4
    if by:
        assert found.codes == {"joint-off-place"}
        assert found.only("joint-off-place").measured_in == abs(by)
    else:
        assert found.codes == set()
        assert joint.path == [(304, 0), (304, 88), (296, 88), (296, 200)]


def test_dashes_through_a_door_are_told_once(tmp_path: Path) -> None:
    found = checked(tmp_path, *dashes((320, 0), (320, 200)))
    assert found.only("joint-through-opening").at == [(320, 44)]
    assert found.codes == {"joint-through-opening", "opening-without-joint"}


def test_dashes_that_lean_aside_are_told_once(tmp_path: Path) -> None:
    """3 in. over 16'-8", more than drafting lets pass, on the way from 24'-0" on: at no jamb."""
    found = checked(tmp_path, *dashes((280, 0), (283, 200)))
    leaning = found.only("step-without-slip-plane")
    assert leaning.measured_in == pytest.approx(3, abs=1 / 8)
    assert leaning.at[0] == (pytest.approx(281.5, abs=1 / 8), 100)
    assert "leans by 0'-3\" over its height" in leaning.message
