"""The designer and the judge share no code: on random walls of every method they find the same faults.

The walls are those of ``tests/layout/test_every_method.py``.
"""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings

from layout.builders import FREE, basis
from layout.test_every_method import METHODS, UNIT_IN, basis_of, walls
from perpend.checks.registry import CODES
from perpend.findings import Severity
from perpend.jobs.judge_plan import judged_plan
from perpend.layout import plan_wall
from perpend.model import Wall


@pytest.mark.parametrize("method", METHODS)
def test_the_judge_finds_what_the_placement_could_not_meet_and_nothing_else(method: str) -> None:
    unit = UNIT_IN["au-ncc" if method == "au-ncc" else "us-cmu"]

    @settings(max_examples=50, deadline=None, derandomize=True)
    @given(walls(unit, 12, 120, 6))
    def agree(drawn: Wall) -> None:
        basis = basis_of(method, drawn, 1)
        plan = plan_wall(basis)
        found = judged_plan(basis, plan, {}).findings
        assert plan.cost is not None
        # What no joint can help with, only the judge looks at.
        required = [f for f in found if f.severity is Severity.REQUIRED and CODES[f.code].by_joints]
        assert bool(required) is (plan.cost.violations + plan.cost.narrow > 0), [f.message for f in required]
        assert len({(f.code, f.at, f.opening) for f in found}) == len(found)
        assert all(f.cure is not None for f in found)

    agree()


def test_advice_is_kept_and_the_rules_count_what_they_found() -> None:
    """A jamb 3 in. off the 8 in. module, a wall 3 in. off it, and a drawn joint 4 in. off it."""
    wall = basis(395, 240, [(203, 0, 240, 84, "r")], ends=(FREE, FREE), drawn=[100.0])
    judgement = judged_plan(wall, plan_wall(wall), {})
    advice = Counter(f.code for f in judgement.findings if f.severity is Severity.ADVISORY)
    assert advice == {"opening-off-module": 1, "wall-off-module": 1, "joint-off-module": 1}
    assert not [f for f in judgement.findings if f.severity is Severity.REQUIRED]
    counted = {run.rule: run.failures for run in judgement.runs if run.failures}
    assert counted == advice
