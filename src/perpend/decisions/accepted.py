"""Findings that somebody accepted: which waivers count for a drawing, and what they do to its findings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from perpend.decisions.decision import Decision
from perpend.findings import Finding
from perpend.settings import sidecar_of

if TYPE_CHECKING:  # most drawings have no waivers, and do not load what reads them
    from perpend.decisions.waivers import Waiver

SIDECAR_SUFFIX: Final = ".waivers.toml"
"""``NAME.waivers.toml`` beside ``NAME.dxf`` holds the waivers of that drawing."""


@dataclass(frozen=True, slots=True)
class Accepted:
    """The waivers of a drawing on the day of a run.

    Attributes:
        waivers: those of the drawing, run out or not.
        today: the day.
        remark: where they were found, if that is not beside the drawing under its own name.
    """

    waivers: tuple[Waiver, ...] = ()
    today: date = date.min
    remark: str = ""

    def applied(self, findings: Sequence[Finding]) -> tuple[Finding, ...]:
        """Return findings with those marked that a waiver accepts."""
        if not self.waivers:
            return tuple(findings)
        from perpend.decisions.waivers import waive

        return waive(findings, self.waivers, self.today)

    def faults(self, findings: Iterable[Finding]) -> tuple[Finding, ...]:
        """Report the waivers that fit none of a drawing's findings, and those that have run out."""
        if not self.waivers:
            return ()
        from perpend.decisions.waivers import waiver_remarks

        return waiver_remarks(findings, self.waivers, self.today)


def accepted_for(drawing: Path, named: Path | None = None, today: date | None = None) -> Accepted:
    """Load the waivers of a drawing: the file that is named, or the one beside it if there is one.

    Args:
        drawing: the drawing that is read.
        named: a file of waivers, or None.
        today: the day on which they must count; None is the day of the run.

    Raises:
        InputError: the file can't be read or holds something wrong.
    """
    path = named or sidecar_of(drawing, SIDECAR_SUFFIX)
    if path is None:
        return Accepted()
    from perpend.decisions.waivers import load_waivers

    another = named is None and path.stem != f"{drawing.stem}.waivers"
    remark = f"{drawing.name} has no waivers of its own: those of {path.name} count." if another else ""
    return Accepted(load_waivers(path), today or date.today(), remark)


def waived_words(finding: Finding) -> str:
    """Return in one line what a waiver was given for, for the record in the drawing."""
    station = f" at {finding.at[0][0]:g}" if finding.at else ""
    return f"{finding.code}{station} in {finding.wall}"


def loose_waivers(
    before: Sequence[tuple[str, str]], accepted: Accepted, findings: Sequence[Finding]
) -> list[Decision]:
    """Return the waivers that fitted a finding of the last run and fit none now: they need a look.

    Args:
        before: fingerprints that were waived in the last run, with what they were.
        accepted: the waivers of the drawing.
        findings: every finding now.
    """
    if not before or not accepted.waivers:
        return []
    from perpend.decisions.waivers import matched

    fitting = {waiver.fingerprint for waiver, _ in matched(findings, accepted.waivers)}
    there = {waiver.fingerprint: waiver for waiver in accepted.waivers}
    return [
        Decision(
            "waiver-loose",
            what.rpartition(" in ")[2],
            note=f"{fingerprint} by {there[fingerprint].waived.who} was for {what}, which is no more",
        )
        for fingerprint, what in before
        if fingerprint in there and fingerprint not in fitting
    ]
