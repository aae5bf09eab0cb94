"""Changes tried on a wall: the judge says whether a finding is gone and whether a new one is made.

Glossary:
    zone: the stations where changes can matter to the judge: from the second joint that stays on their left
        to the second one on their right. Trials with zones apart are judged in one run.
    new: a finding that the wall did not have, of a rule that the place of joints decides.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain

from perpend.checks import check_wall
from perpend.checks.registry import CODES
from perpend.cures.apply import DrawnWall
from perpend.cures.classify import reach
from perpend.findings import Extent, Finding, Severity
from perpend.model import Change, Changes, JointChange
from perpend.slotted import dataclass
from perpend.units import ON_MODULE_IN, SAME_IN

_BEYOND = 2
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
        self._feet = sorted(joint.path[0][0] for joint in wall.joints)
        self._before = {key_of(f) for f in wall.report.findings}
        self._counts = Counter(map(_kind_of, wall.report.findings))
        self._over: dict[tuple[str, str, str], float] = {}
        for found in wall.report.findings:
            self._over[_kind_of(found)] = max(self._over.get(_kind_of(found), 0.0), _over(found))

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
                new = [f for f in self.new(after) if _within(f, zone)]
                answers[n] = not new and self.is_gone(trials[n].finding, after)
        return answers

    def confirms(self, finding: Finding, changes: Changes) -> bool:
        """Say whether changes of any kind cure a finding and make no new one, anywhere in the wall."""
        after = self.judged(changes)
        return self.is_gone(finding, after) and not self.new(after)

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
            and not (f.handle and counts[_kind_of(f)] <= self._counts[_kind_of(f)] and not self._grew(f))
            and not self._was_hidden(f)
        ]

    def _grew(self, finding: Finding) -> bool:
        """Say whether a panel is over its limit by a module more than those that the same joint bounded."""
        grown = _over(finding) - self._over.get(_kind_of(finding), 0.0)
        return grown > self.wall.basis.module_in + SAME_IN

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
        first = self._feet[left] if left >= 0 else float("-inf")
        last = self._feet[right] if right < len(self._feet) else float("inf")
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


def _over(finding: Finding) -> float:
    """Return by how much a stretch exceeds its limit; 0 for other findings."""
    if CODES[finding.code].mark is not Extent.STRETCH or finding.measured_in is None or not finding.limit_in:
        return 0.0
    return max(finding.measured_in - finding.limit_in, 0.0)


def _within(finding: Finding, zone: tuple[float, float]) -> bool:
    return not finding.at or any(zone[0] <= x <= zone[1] for x, _ in finding.at)
