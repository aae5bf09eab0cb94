"""Which changes of a layout cure a finding: the fewest of its component, those nearest to it first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from perpend.cures.classify import reach
from perpend.cures.trials import Trial, Trials, joints_lacking
from perpend.findings import Finding
from perpend.model import Cure, JointChange

Component = tuple[JointChange, ...]


def attributed(
    trials: Trials, findings: Mapping[int, Finding], parts: Sequence[Component]
) -> dict[int, Cure]:
    """Return the cure of every finding that the changes of a whole layout cure.

    Args:
        trials: the wall.
        findings: those that are gone with all changes, by number.
        parts: the components of the layout.
    """
    orders = {n: _nearest_first(trials, finding, parts) for n, finding in findings.items()}
    sizes = {n: joints_lacking(finding) for n, finding in findings.items()}
    found: dict[int, Cure] = {}
    while len(found) < len(findings):
        waiting = [n for n in findings if n not in found]
        tried = [Trial(findings[n], _in_place(orders[n][: sizes[n]])) for n in waiting]
        for n, trial, good in zip(waiting, tried, trials.confirmed(tried), strict=True):
            if good:
                found[n] = Cure(trial.changes, complies=True)
            elif sizes[n] >= len(orders[n]):
                found[n] = Cure(trial.changes)
            sizes[n] += 1
    return found


def _nearest_first(trials: Trials, finding: Finding, parts: Sequence[Component]) -> list[JointChange]:
    """Return the changes of the component nearest to a finding, those that touch it first."""
    own = trials.wall.numbers_of(finding.joints)
    low = min((x for x, _ in finding.at), default=0.0)
    high = max((x for x, _ in finding.at), default=0.0)

    def away(change: JointChange) -> tuple[bool, float, float]:
        first, last = reach((change,))
        gap = max(first - high, low - last, 0.0)
        return (change.number not in own, gap, abs(change.x_in - (low + high) / 2))

    part = min(parts, key=lambda part: min(map(away, part)))
    return sorted(part, key=away)


def _in_place(changes: Sequence[JointChange]) -> tuple[JointChange, ...]:
    return tuple(sorted(changes, key=lambda change: (change.x_in, change.number)))
