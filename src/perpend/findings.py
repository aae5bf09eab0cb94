"""Findings: what is wrong, where, by how much, by which source, and what would cure it.

A finding's code is a stable slug that names the fault. `CODES` lists them all; every rendering
(terminal, results, markers on the drawing, review sheet) is made from the one type `Finding`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from perpend.model import Point, Source


class Severity(StrEnum):
    """How much a finding weighs: required by a rule's wording, or advice."""

    REQUIRED = "required"
    ADVISORY = "advisory"


@dataclass(frozen=True, slots=True)
class CodeEntry:
    """One kind of finding: its slug, what it means and how much it weighs by default."""

    code: str
    title: str
    severity: Severity


_R, _A = Severity.REQUIRED, Severity.ADVISORY

CODES: dict[str, CodeEntry] = {
    entry.code: entry
    for entry in (
        CodeEntry("panel-too-long", "A panel is longer than the joint spacing allows", _R),
        CodeEntry("corner-too-far", "The first joint is too far from a corner", _R),
        CodeEntry("corner-too-near", "A joint is nearer to a corner than the rule book allows", _R),
        CodeEntry("no-joint-at-height-change", "The wall changes height without a joint", _R),
        CodeEntry("no-joint-at-place", "A place that needs a joint has none", _R),
        CodeEntry("opening-without-joint", "An unreinforced opening lacks its jamb joint", _R),
        CodeEntry("opening-needs-both-jambs", "A wide unreinforced opening has a joint at one jamb only", _R),
        CodeEntry("no-joint-near-opening", "A large opening has no joint near enough to it", _R),
        CodeEntry("joint-in-keep-out", "A joint stands nearer to an opening than its treatment allows", _R),
        CodeEntry("joint-through-opening", "A joint runs through an opening", _R),
        CodeEntry("joint-through-lintel", "A joint runs through a lintel", _R),
        CodeEntry("joint-off-module", "A joint stands off the half-unit module", _A),
        CodeEntry("opening-off-module", "A jamb stands off the half-unit module", _A),
        CodeEntry("wall-off-module", "The wall's length is off the half-unit module", _A),
        CodeEntry("width-on-boundary", "An opening's width falls in neither printed branch", _A),
        CodeEntry("lintel-without-bearing", "There is not enough masonry for a lintel's bearing", _R),
        CodeEntry("shear-transfer-needed", "Slip planes at both ends need a joint that transfers shear", _R),
        CodeEntry("joint-type-missing", "No joint type is named", _R),
    )
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault or remark.

    Attributes:
        code: slug from `CODES`.
        message: one sentence that a person can act on.
        severity: required or advisory.
        wall: tag of the wall, or empty for the whole drawing.
        measured_in: what was measured, inches, or None.
        limit_in: what the limit is, inches, or None.
        source: the rule row it rests on.
        at: places in the wall's own axes.
        cure: what would set it right, one sentence.
        handle: DXF handle of the entity concerned, or empty.
    """

    code: str
    message: str
    severity: Severity
    wall: str = ""
    measured_in: float | None = None
    limit_in: float | None = None
    source: Source | None = None
    at: tuple[Point, ...] = ()
    cure: str = ""
    handle: str = ""


def finding(
    code: str,
    message: str,
    *,
    wall: str = "",
    measured_in: float | None = None,
    limit_in: float | None = None,
    source: Source | None = None,
    at: tuple[Point, ...] = (),
    cure: str = "",
    handle: str = "",
) -> Finding:
    """Make a finding with the default severity of its code.

    Raises:
        KeyError: the code is not listed in `CODES`.
    """
    severity = CODES[code].severity
    return Finding(code, message, severity, wall, measured_in, limit_in, source, at, cure, handle)
