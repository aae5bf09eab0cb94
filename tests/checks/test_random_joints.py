"""Walls with joints strewn at random, as no drafter draws them: judged without a fault of ours."""

from __future__ import annotations

from checks.test_nearest import small_basis
from perpend.checks import check_wall, joints_from_drawn


def test_a_joint_that_is_there_twice_and_stops_short_is_reported_as_doubled_only() -> None:
    basis = small_basis(134)
    findings = check_wall(basis, joints_from_drawn(basis)).findings
    codes = [f.code for f in findings if f.at[0][0] == 68.0 and f.code.startswith("joint")]
    assert codes == ["joint-doubled"]


def test_every_joint_that_is_anywhere_is_judged_and_the_judge_makes_no_cures() -> None:
    doubled = 0
    for seed in range(400):
        basis = small_basis(seed)
        findings = check_wall(basis, joints_from_drawn(basis)).findings
        doubled += any(f.code == "joint-doubled" for f in findings)
        assert all(f.cure is None for f in findings), f"wall {seed}"
    assert doubled > 20
