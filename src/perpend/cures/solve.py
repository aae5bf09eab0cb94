"""The cures of a wall: the nearest layout that complies, handed out to the findings that its changes cure.

One layout is the answer to all findings that joints can cure, so no cure undoes another, and all of them
together are the proposal of `check --propose`. Where no layout complies, openings treated the other way and
other methods are tried (`perpend.cures.options`). The judge confirms every cure.

Glossary:
    component: changes between two joints that stay; components do not matter to each other.
    polish: changes for advice, made on top of the layout, every other joint held.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Final

from perpend.checks.registry import CODES
from perpend.cures.apply import DrawnWall
from perpend.cures.classify import change_of, components
from perpend.cures.direct import advice_for, redrawn
from perpend.cures.finding_cures import attributed
from perpend.cures.options import meant_unreinforced, options_for, treated
from perpend.cures.trials import Trial, Trials
from perpend.cures.waived import agreed_basis, agreed_joints, agreed_panels, agreed_twins
from perpend.findings import Finding, Severity
from perpend.layout.nearest_layout import NearestLayout, nearest_layout
from perpend.model import Cure, Joint, JointChange, Treat

_LONG: Final = 60
"""Joints from which on a wall is searched only near its faults first."""
_NEAR: Final = 3
"""Joints on either side of a fault that may change then."""


@dataclass(frozen=True, slots=True)
class Solution:
    """The cures of one wall.

    Attributes:
        findings: the findings, each that is not waived with its cure.
        nearest: the nearest layout for what is required; None where only advice was given.
        runs: how often the judge was asked.
    """

    findings: tuple[Finding, ...]
    nearest: NearestLayout | None = None
    runs: int = 0


def solve(wall: DrawnWall, findings: Sequence[Finding]) -> Solution:
    """Find the cure of every finding of a wall.

    Args:
        wall: the wall as drawn, with what the judge says of it.
        findings: those of the report, weighed, waived ones marked; one that has a cure keeps it.

    Returns:
        The findings with their cures: a waived one has none, for it requires nothing.
    """
    solver = _Solver(wall, findings)
    cures = solver.cures()
    cured = tuple(replace(f, cure=cures.get(n, f.cure)) for n, f in enumerate(findings))
    return Solution(cured, solver.nearest, solver.trials.runs)


def nearest_for(wall: DrawnWall, findings: Sequence[Finding]) -> NearestLayout:
    """Return the layout nearest to a wall as drawn; what somebody accepted stays as it is."""
    report = wall.report
    misplaced = wall.numbers_of(report.misplaced)
    panels = agreed_panels(report, findings)
    kept = agreed_joints(wall.joints, panels, findings)
    twins = agreed_twins(wall.joints, findings)
    basis = agreed_basis(wall.basis, findings)
    held = _far_from_faults(wall, findings, misplaced) - twins
    if held:
        nearest = nearest_layout(
            basis, wall.joints, misplaced - kept, kept | held, panels, twins, apart_in=basis.unit_in
        )
        if nearest.satisfied:
            return nearest
    return nearest_layout(basis, wall.joints, misplaced - kept, kept, panels, twins, apart_in=basis.unit_in)


def _far_from_faults(
    wall: DrawnWall, findings: Sequence[Finding], misplaced: frozenset[int]
) -> frozenset[int]:
    """Return the joints of a long wall that no fault is near: held, they keep the search short."""
    if len(wall.joints) < _LONG:
        return frozenset()
    feet = [joint.path[0][0] for joint in wall.joints]
    busy = {n for n, joint in enumerate(wall.joints) if joint.number in misplaced}
    for f in findings:
        if f.severity is Severity.REQUIRED and f.waived is None and f.at and CODES[f.code].by_joints:
            low, high = min(x for x, _ in f.at), max(x for x, _ in f.at)
            busy |= set(range(bisect_left(feet, low) - 1, bisect_right(feet, high) + 1))
    near = {n + by for n in busy for by in range(-_NEAR, _NEAR + 1)}
    return frozenset(joint.number for n, joint in enumerate(wall.joints) if n not in near)


class _Solver:
    """The search for the cures of one wall; findings are known by their index."""

    def __init__(self, wall: DrawnWall, findings: Sequence[Finding]) -> None:
        self.findings, self.wall = findings, wall
        self.trials = Trials(self.wall)
        self.nearest: NearestLayout | None = None

    def cures(self) -> dict[int, Cure]:
        """Return the cures by index of the finding."""
        open_ = [n for n, f in enumerate(self.findings) if f.waived is None and f.cure is None]
        by_joints = [n for n in open_ if CODES[self.findings[n].code].by_joints]
        found: dict[int, Cure] = {}
        if any(self.findings[n].severity is Severity.REQUIRED for n in by_joints):
            found |= self._by_layout(by_joints)
        found |= self._by_polish([n for n in by_joints if n not in found])
        left = [n for n in by_joints if n not in found or not found[n].complies]
        required = [n for n in left if self.findings[n].severity is Severity.REQUIRED]
        if required:
            found |= self._by_options(required, found)
        found |= self._by_meaning(found)
        for n in open_:
            if n not in found:
                found[n] = advice_for(self.wall, self.findings[n])
        return found

    def _by_layout(self, wanted: Sequence[int]) -> dict[int, Cure]:
        """Hand the changes of the nearest layout to the findings that they cure."""
        self.nearest = nearest_for(self.wall, self.findings)
        parts = components(self.nearest)
        if not parts:
            return {}
        after = self.trials.judged(chain.from_iterable(parts))
        gone = [n for n in wanted if self.trials.is_gone(self.findings[n], after)]
        return attributed(self.trials, {n: self.findings[n] for n in gone}, parts)

    def _by_polish(self, wanted: Sequence[int]) -> dict[int, Cure]:
        """Cure advice on joints that the layout leaves as they are: each drawn anew, every other one held."""
        advice = [n for n in wanted if self.findings[n].severity is Severity.ADVISORY]
        ways: dict[int, list[tuple[JointChange, ...]]] = {}
        for n in advice:
            ways[n] = [(change,) for change in redrawn(self.wall, self.findings[n])]
        if any(not ways[n] for n in advice):
            moved = self._moved([n for n in advice if not ways[n]])
            for n in advice:
                ways[n] += moved.get(n, [])
        found: dict[int, Cure] = {}
        for step in range(max(map(len, ways.values()), default=0)):
            waiting = [n for n in advice if n not in found and step < len(ways[n])]
            tried = [Trial(self.findings[n], ways[n][step]) for n in waiting]
            for n, trial, good in zip(waiting, tried, self.trials.confirmed(tried), strict=True):
                if good:
                    found[n] = Cure(trial.changes, complies=True)
        return found

    def _moved(self, wanted: Sequence[int]) -> dict[int, list[tuple[JointChange, ...]]]:
        """Return for each finding how its joint is moved, and that it is removed."""
        basis, joints = self.wall.basis, self.wall.joints
        standing = self._after_layout()
        of = {n: self.wall.numbers_of(self.findings[n].joints) for n in wanted}
        aside = frozenset(chain.from_iterable(of.values()))
        held = frozenset(joint.number for joint in standing) - aside
        twins = agreed_twins(joints, self.findings)
        nearest = nearest_layout(basis, standing, aside, held - twins, twins=twins, apart_in=basis.unit_in)
        every = {p.was.number: change_of(p) for p in nearest.proposed if p.was and p.change != "kept"}
        found: dict[int, list[tuple[JointChange, ...]]] = {}
        for n, numbers in of.items():
            moved = tuple(every[k] for k in numbers if k in every)
            gone = tuple(
                JointChange("remove", j.path, j.number, j.handle, j.path)
                for j in joints
                if j.number in numbers
            )
            found[n] = list(dict.fromkeys(way for way in (moved, gone) if way))
        return found

    def _by_meaning(self, found: Mapping[int, Cure]) -> dict[int, Cure]:
        """Add to the cures of jamb joints that nobody said the opening is reinforced: it may be the other."""
        meant = {n: self.findings[n] for n in found if meant_unreinforced(self.wall, self.findings[n])}
        if not meant:
            return {}
        options = treated(self.trials, meant, self.findings, nearest_for)
        return {
            n: replace(found[n], others=(*found[n].others, *ways))
            for n, ways in options.items()
            if ways and found[n].complies and not any(isinstance(c, Treat) for c in found[n].changes)
        }

    def _after_layout(self) -> tuple[Joint, ...]:
        """Return the joints of the layout; those that it leaves as they are have their number as drawn."""
        if self.nearest is None:
            return self.wall.joints
        first = len(self.wall.joints) + 1
        return tuple(
            p.was if p.change == "kept" and p.was else replace(p.joint, number=first + n)
            for n, p in enumerate(self.nearest.proposed)
            if p.change != "removed"
        )

    def _by_options(self, wanted: Sequence[int], known: dict[int, Cure]) -> dict[int, Cure]:
        """Cure what no layout cures as things are: openings treated the other way, other methods."""
        nearest = self.nearest
        assert nearest is not None, "what is required was asked of a layout first"
        options = options_for(self.trials, {n: self.findings[n] for n in wanted}, self.findings, nearest_for)
        found: dict[int, Cure] = {}
        for n in wanted:
            closest = known[n].changes if n in known else ()
            found[n] = advice_for(self.wall, self.findings[n], nearest.facts, options.get(n, []), closest)
        return found
