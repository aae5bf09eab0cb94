"""The designer and the judge share no code: on random walls of every method they find the same faults.

The walls are those of ``tests/layout/test_every_method.py``.
"""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings

from layout.builders import FREE, basis
from layout.test_every_method import METHODS, UNIT_IN, basis_of, walls
from perpend.findings import Severity
from perpend.jobs.merge_findings import judgement_of
from perpend.layout import plan_wall
from perpend.model import Wall


@pytest.mark.parametrize("method", METHODS)
def test_the_judge_finds_what_the_placement_could_not_meet_and_nothing_else(method: str) -> None:
    unit = UNIT_IN["au-ncc" if method == "au-ncc" else "us-cmu"]

    @settings(max_examples=50, deadline=None, derandomize=True)
    @given(walls(unit, 12, 120, 6))
    def agree(drawn: Wall) -> None:
        basis = basis_of(method, drawn, 1)
        plan, placed = plan_wall(basis)
        found = judgement_of(basis, plan, placed, {}).findings
        told = Counter(f.code for f in placed if f.severity is Severity.REQUIRED)
        merged = Counter(f.code for f in found if f.severity is Severity.REQUIRED)
        more = merged - told
        assert not told - merged
        # What no joint can help with, only the judge looks at.
        del more["lintel-without-bearing"]
        # A place where no joint can stand is told once by the placement, though two things ask for one there.
        assert all(code.startswith("no-joint-at-") for code in more), more
        assert not more or any(code.startswith("no-joint-at-") for code in told)
        assert len({(f.code, f.at, f.opening) for f in found}) == len(found)

    agree()


def test_advice_is_kept_and_the_rules_count_what_they_found() -> None:
    """A jamb 3 in. off the 8 in. module, a wall 3 in. off it, and a drawn joint 4 in. off it."""
    wall = basis(395, 240, [(203, 0, 240, 84, "r")], ends=(FREE, FREE), drawn=[100.0])
    plan, placed = plan_wall(wall)
    judgement = judgement_of(wall, plan, placed, {})
    advice = Counter(f.code for f in judgement.findings if f.severity is Severity.ADVISORY)
    assert advice == {"opening-off-module": 1, "wall-off-module": 1, "joint-off-module": 1}
    assert not [f for f in judgement.findings if f.severity is Severity.REQUIRED]
    counted = {run.rule: run.failures for run in judgement.runs if run.failures}
    assert counted == advice
