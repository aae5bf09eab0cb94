"""What the checks say: findings, and how much was tested by every rule.

"Nothing found" differs from "nothing tested": every rule says how many places it looked at, and why
it could not look where it should have.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from perpend.findings import Finding, Severity
from perpend.model import Panel
from perpend.slotted import dataclass

NO_SPACING: Final = "the method needs no joints, so there is no spacing to compare with"


@dataclass(frozen=True, slots=True)
class RuleRun:
    """How one rule ran on one wall.

    Attributes:
        rule: code of its findings.
        places_tested: panels, joints, openings or stations it looked at.
        failures: findings.
        untested_reason: what it could not look at and why, or empty.
    """

    rule: str
    places_tested: int
    failures: int
    untested_reason: str = ""

    @property
    def passed(self) -> int:
        """Places without a finding."""
        return max(self.places_tested - self.failures, 0)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule found on one wall.

    Attributes:
        rule: code of its findings.
        places_tested: as in `RuleRun`.
        findings: from left to right.
        untested_reason: as in `RuleRun`.
        misplaced: numbers of the joints that cannot stay as they are.
    """

    rule: str
    places_tested: int
    findings: tuple[Finding, ...] = ()
    untested_reason: str = ""
    misplaced: frozenset[int] = frozenset()

    @property
    def run(self) -> RuleRun:
        """The count of it."""
        return RuleRun(self.rule, self.places_tested, len(self.findings), self.untested_reason)


@dataclass(frozen=True, slots=True)
class CheckReport:
    """Everything the checks say of one wall.

    Attributes:
        wall: its tag.
        findings: from left to right, required ones first at one place.
        runs: one for every rule, in the order of `perpend.checks.registry.CODES`.
        misplaced: numbers of the joints that cannot stay as they are, whatever else is changed.
        panels: the panels as they were measured, left to right.
        parts: numbers of the joints that make one joint together, left to right.
    """

    wall: str
    findings: tuple[Finding, ...]
    runs: tuple[RuleRun, ...]
    misplaced: frozenset[int] = frozenset()
    panels: tuple[Panel, ...] = ()
    parts: tuple[tuple[int, ...], ...] = ()

    @property
    def places_tested(self) -> int:
        """Places that all rules looked at."""
        return sum(run.places_tested for run in self.runs)

    @property
    def passed(self) -> int:
        """Places without a finding."""
        return sum(run.passed for run in self.runs)

    @property
    def required(self) -> tuple[Finding, ...]:
        """Findings that break what a rule requires."""
        return tuple(f for f in self.findings if f.severity is Severity.REQUIRED)

    @property
    def untested(self) -> tuple[RuleRun, ...]:
        """Rules that could not look where they should have."""
        return tuple(run for run in self.runs if run.untested_reason)


def gathered(wall: str, verdicts: Iterable[Verdict], order: Iterable[str]) -> CheckReport:
    """Put the verdicts of all rules together.

    Args:
        wall: the wall's tag.
        verdicts: one for every rule.
        order: codes in the order in which the runs are listed.
    """
    rank = {code: n for n, code in enumerate(order)}
    listed = sorted(verdicts, key=lambda v: rank[v.rule])
    findings = [f for v in listed for f in v.findings]
    findings.sort(key=lambda f: (f.at[:1], f.severity is Severity.ADVISORY, rank[f.code]))
    misplaced = frozenset(n for v in listed for n in v.misplaced)
    return CheckReport(wall, tuple(findings), tuple(v.run for v in listed), misplaced)
