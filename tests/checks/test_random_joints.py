"""Walls with joints strewn at random, as no drafter draws them: judged without a fault of ours."""

from __future__ import annotations

from checks.test_nearest import small_basis
from perpend.checks import check_wall, joints_from_drawn


def test_a_joint_that_stands_twice_and_stops_short_is_to_be_left_out_and_no_more() -> None:
    basis = small_basis(134)
    findings = check_wall(basis, joints_from_drawn(basis)).findings
    by_code = {f.code: f.cure for f in findings if f.message.startswith("The joint at 5'-8\"")}
    assert by_code["joint-doubled"] == "Leave out the joint at 5'-8\"."
    assert "joint-stops-short" not in by_code


def test_every_joint_that_stands_anywhere_is_judged() -> None:
    doubled = 0
    for seed in range(400):
        basis = small_basis(seed)
        findings = check_wall(basis, joints_from_drawn(basis)).findings
        doubled += any(f.code == "joint-doubled" for f in findings)
        assert all(f.cure for f in findings), f"wall {seed}"
    assert doubled > 20
