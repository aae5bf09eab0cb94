"""Changes tried on a wall: the judge says whether a finding is gone and whether a new one is made.

Glossary:
    zone: the stations where changes can matter to the judge: from the second whole joint that stays on their
        left to the second one on their right. Trials with zones apart are judged in one run.
    new: a finding that the wall did not have, of a rule that the place of joints decides.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Final

from perpend.checks import check_wall
from perpend.checks.registry import CODES
from perpend.cures.apply import DrawnWall
from perpend.cures.classify import reach
from perpend.findings import Extent, Finding, Severity
from perpend.model import Change, Changes, JointChange
from perpend.rulebook.strip_pieces import partial_piece
from perpend.units import ON_MODULE_IN, SAME_IN

_EVERYWHERE: Final = (-math.inf, math.inf)
_BEYOND: Final = 2
"""Joints that stay on either side of a trial's changes, within its zone."""

Key = tuple[str, str, tuple[tuple[float, float], ...]]


@dataclass(frozen=True, slots=True)
class Trial:
    """Joint changes that may cure a finding."""

    finding: Finding
    changes: tuple[JointChange, ...]


class Trials:
    """Trials on one wall.

    Attributes:
        runs: how often the judge was asked.
    """

    def __init__(self, wall: DrawnWall) -> None:
        """Prepare the trials of a wall as drawn."""
        self.wall, self.runs = wall, 0
        pieces = wall.basis.strip_pieces
        whole = (joint for joint in wall.joints if partial_piece(pieces, joint.path) is None)
        self._feet = sorted(joint.path[0][0] for joint in whole)
        self._before = {key_of(f) for f in wall.report.findings}
        self._counts = Counter(map(_kind_of, wall.report.findings))

    def judged(self, changes: Iterable[Change]) -> tuple[Finding, ...]:
        """Return the findings of the wall with some changes."""
        self.runs += 1
        return check_wall(*self.wall.after(changes)).findings

    def confirmed(self, trials: Sequence[Trial]) -> list[bool]:
        """Say of each trial whether its finding is then gone and no new one is made."""
        answers = [False] * len(trials)
        for batch in self._apart(trials):
            after = self.judged(dict.fromkeys(chain.from_iterable(trials[n].changes for n in batch)))
            for n in batch:
                zone = self.zone(trials[n].changes)
                answers[n] = self.is_gone(trials[n].finding, after) and self._no_worse(after, zone)
        return answers

    def confirms(self, finding: Finding, changes: Changes) -> bool:
        """Say whether changes of any kind cure a finding and make no new one, anywhere in the wall."""
        after = self.judged(changes)
        return self.is_gone(finding, after) and self._no_worse(after, _EVERYWHERE)

    def _no_worse(self, after: Sequence[Finding], zone: tuple[float, float]) -> bool:
        """Say whether a zone of the changed wall has no new finding and lacks no more joints than before."""
        if any(_within(f, zone) for f in self.new(after)):
            return False
        before = self.wall.report.findings
        return _lacking(after, zone) <= _lacking(before, zone)

    def is_gone(self, finding: Finding, after: Sequence[Finding]) -> bool:
        """Say whether a finding is not among those of the changed wall."""
        if any(key_of(f) == key_of(finding) for f in after):
            return False
        kind = _kind_of(finding)
        return not finding.handle or sum(_kind_of(f) == kind for f in after) < self._counts[kind]

    def new(self, after: Sequence[Finding]) -> list[Finding]:
        """Return the findings that the wall did not have, but those that moved along with what they name."""
        counts = Counter(map(_kind_of, after))
        return [
            f
            for f in after
            if f.code in CODES
            and CODES[f.code].by_joints
            and key_of(f) not in self._before
            and not (f.handle and counts[_kind_of(f)] <= self._counts[_kind_of(f)])
            and not self._was_hidden(f)
        ]

    def _was_hidden(self, finding: Finding) -> bool:
        """Say whether advice is on a joint as drawn: a graver finding on it hid the advice so far."""
        if finding.severity is Severity.REQUIRED or not finding.at:
            return False
        x = finding.at[0][0]
        near = bisect_left(self._feet, x - ON_MODULE_IN)
        return near < len(self._feet) and self._feet[near] <= x + ON_MODULE_IN

    def zone(self, changes: Sequence[JointChange]) -> tuple[float, float]:
        """Return the stations where changes can matter."""
        low, high = reach(changes)
        left = bisect_left(self._feet, low) - _BEYOND
        right = bisect_right(self._feet, high) + _BEYOND - 1
        first = self._feet[left] if left >= 0 else -math.inf
        last = self._feet[right] if right < len(self._feet) else math.inf
        return first, last

    def _apart(self, trials: Sequence[Trial]) -> Iterator[list[int]]:
        """Yield the trials in batches whose zones are apart."""
        zones = [self.zone(trial.changes) for trial in trials]
        waiting = sorted(range(len(trials)), key=lambda n: zones[n])
        while waiting:
            batch: list[int] = []
            later: list[int] = []
            for n in waiting:
                shares = batch and zones[batch[-1]][1] >= zones[n][0]
                same = batch and set(trials[n].changes) == set(trials[batch[-1]].changes)
                (later if shares and not same else batch).append(n)
            yield batch
            waiting = later


def key_of(finding: Finding) -> Key:
    """Return what tells one finding of a wall from another: its rule, its opening and its places."""
    places = tuple((round(x, 2), round(y, 2)) for x, y in finding.at)
    return (finding.code, finding.opening, places)


def _kind_of(finding: Finding) -> tuple[str, str, str]:
    return (finding.code, finding.opening, finding.handle)


def _lacking(findings: Sequence[Finding], zone: tuple[float, float]) -> int:
    """Count what is required of joints; a panel counts for every joint that it lacks."""
    return sum(
        joints_lacking(f)
        for f in findings
        if f.severity is Severity.REQUIRED and CODES[f.code].by_joints and _within(f, zone)
    )


def joints_lacking(finding: Finding) -> int:
    """Return how many joints a finding asks for at least: a long panel several, any other one."""
    if CODES[finding.code].mark is not Extent.STRETCH or not finding.measured_in or not finding.limit_in:
        return 1
    return max(1, math.ceil((finding.measured_in - SAME_IN) / finding.limit_in) - 1)


def _within(finding: Finding, zone: tuple[float, float]) -> bool:
    return not finding.at or any(zone[0] <= x <= zone[1] for x, _ in finding.at)
