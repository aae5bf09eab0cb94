"""The numbers of findings: V1, V2, ... for what a rule requires, A1, A2, ... for advice.

They count wall by wall, the findings of the whole drawing last, as the marks on the drawing do. What a
rule requires comes before advice, in every list that is made from them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from perpend.checks.registry import CODES
from perpend.findings import numbered as number_findings
from perpend.report.results_document import FindingEntry, Results, SourceEntry, WallEntry
from perpend.wording import counted, listed


@dataclass(frozen=True, slots=True)
class Numbered:
    """A finding with its number and its wall.

    Attributes:
        number: such as ``V1``.
        finding: the finding.
        wall: the wall it belongs to, or None for the whole drawing.
        wall_key: key of that wall in a sheet, or empty.
    """

    number: str
    finding: FindingEntry
    wall: WallEntry | None
    wall_key: str

    @property
    def tag(self) -> str:
        """Tag of its wall, or empty."""
        return self.wall.tag if self.wall else ""


def numbered(results: Results) -> list[Numbered]:
    """Number every finding of a run, waived ones included: V1, V2, ... and then A1, A2, ...

    On a drawing whose plate carries such numbers already they go on from there.
    """
    every: list[tuple[FindingEntry, WallEntry | None, str]] = [
        (finding, wall, wall_key(index))
        for index, wall in enumerate(results.walls)
        for finding in wall.findings
    ]
    every += [(finding, None, "") for finding in results.findings]
    found = number_findings(every, lambda entry: entry[0].severity, results.numbered_after)
    return [Numbered(number, finding, wall, key) for number, (finding, wall, key) in found]


def wall_key(index: int) -> str:
    """Return the key of a wall, counted from 0: unlike its tag it is unique and safe as an identifier."""
    return f"w{index + 1}"


def difference(finding: FindingEntry) -> float | None:
    """Return measured minus limit in inches, or None when there is nothing to compare."""
    if finding.measured_in is None or finding.limit_in is None:
        return None
    return finding.measured_in - finding.limit_in


def unverified_words(sources: Iterable[SourceEntry]) -> str:
    """Say how many numbers are not verified, and from where: ``2 numbers of TEK 10-2C (2010), Figure 1``."""
    rows = {source.row: ", ".join(filter(None, (source.document, source.clause))) for source in sources}
    places = listed(dict.fromkeys(rows.values()), 3)
    return f"{counted(len(rows), 'number')} of {places} (perpend limits --unverified lists what to look up)"


def finding_title(code: str) -> str:
    """Return the title of a finding, for people; its code is for settings and machines."""
    return CODES[code].title if code in CODES else code.replace("-", " ")


def advice_counted(count: int) -> str:
    """Return the advisories with their count: ``no advisories``, ``1 advisory``."""
    return "1 advisory" if count == 1 else f"{count or 'no'} advisories"
