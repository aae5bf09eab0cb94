"""Findings: what is wrong, where, by how much, by which source, and what would cure it.

A finding's code is a stable slug that names the fault. `CODES` lists them all; every rendering
(terminal, results, markers on the drawing, review sheet) is made from the one type `Finding`.

Glossary:
    fingerprint: a short hash that stays the same when the drawing is shifted or judged again, so
        that a waiver can name a finding.
    waived: accepted by a person, who gave a reason.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from enum import StrEnum
from typing import Final

from perpend.model import Point, Source
from perpend.slotted import dataclass

_GRID_OFFSET_IN: Final = 1 / 32
"""Fingerprints put places on a grid of whole inches whose lines lie 1/32 in. below them: no multiple
of 1/16 in. and no whole millimetre lies on such a line, so noise of the last digit changes nothing."""


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
        CodeEntry("no-joint-at-thickness-change", "The wall changes thickness without a joint", _R),
        CodeEntry("no-joint-at-pilaster", "A pilaster has no joint", _R),
        CodeEntry("no-joint-at-intersection", "An intersecting wall has no joint", _R),
        CodeEntry(
            "no-joint-at-foundation-joint", "A movement joint of the foundation goes on without one", _R
        ),
        CodeEntry("no-joint-at-adjoining-wall", "Two walls that adjoin have no joint between them", _R),
        CodeEntry("opening-without-joint", "An unreinforced opening lacks its jamb joint", _R),
        CodeEntry("opening-needs-both-jambs", "A wide unreinforced opening has a joint at one jamb only", _R),
        CodeEntry("no-joint-near-opening", "A large opening has no joint near enough to it", _R),
        CodeEntry("joint-off-place", "A joint slipped off the station where the wall asks for it", _R),
        CodeEntry("joint-in-keep-out", "A joint stands nearer to an opening than its treatment allows", _R),
        CodeEntry("panel-too-short", "A piece of masonry between two joints is too narrow", _R),
        CodeEntry("pier-shares-joint", "One joint at a narrow pier serves both openings", _A),
        CodeEntry("joint-through-pilaster", "A joint runs through a pilaster", _R),
        CodeEntry("joint-under-bearing", "A joint stands under a bearing, or too near to one", _R),
        CodeEntry("joint-in-no-joint-zone", "A joint stands where the drawing lets none stand", _R),
        CodeEntry("joint-at-bonded-wall", "A joint stands at a bonded intersecting wall", _R),
        CodeEntry("no-joint-at-expansion-joint", "An expansion joint of the building goes on without one", _R),
        CodeEntry("footing-step-large", "A footing steps by a great part of the wall's height", _A),
        CodeEntry("joint-through-opening", "A joint runs through an opening", _R),
        CodeEntry("joint-through-lintel", "A joint runs through a lintel", _R),
        CodeEntry("step-without-slip-plane", "A joint steps or leans aside without a slip plane", _R),
        CodeEntry("slip-plane-too-short", "A slip plane is shorter than the lintel's bearing", _R),
        CodeEntry("shear-transfer-needed", "Slip planes at both ends need a joint that transfers shear", _R),
        CodeEntry("lintel-without-bearing", "There is not enough masonry for a lintel's bearing", _R),
        CodeEntry("joint-stops-short", "A joint does not run from the bottom of the wall to its top", _R),
        CodeEntry("joint-doubled", "Two joints stand on one line, or meet", _R),
        CodeEntry("joint-type-missing", "No joint type is named", _R),
        CodeEntry("reinforcement-too-sparse", "Bond beams are farther apart than their steel allows", _R),
        CodeEntry(
            "too-little-horizontal-steel", "A wall without joints lacks the horizontal steel it needs", _R
        ),
        CodeEntry("reinforcement-through-joint", "Horizontal reinforcement runs through a joint", _R),
        CodeEntry(
            "bond-beam-not-debonded", "A structural bond beam crosses a joint, debonding not shown", _A
        ),
        CodeEntry("joints-too-close", "Two joints stand nearer to each other than a unit is long", _A),
        CodeEntry("joint-runs-past", "The line of a joint goes on past the wall", _A),
        CodeEntry("joint-out-of-plumb", "A joint leans no more than drafting allows", _A),
        CodeEntry("joint-in-wall-without-joints", "A wall that is built to go without joints has one", _A),
        CodeEntry("joint-off-module", "A joint stands off the half-unit module", _A),
        CodeEntry("opening-off-module", "A jamb stands off the half-unit module", _A),
        CodeEntry("wall-off-module", "The wall's length is off the half-unit module", _A),
        CodeEntry("width-on-boundary", "An opening's width falls in neither printed branch", _A),
        CodeEntry("waiver-unused", "A waiver fits no finding", _A),
        CodeEntry("waiver-expired", "A waiver has run out", _A),
    )
}


@dataclass(frozen=True, slots=True)
class Waived:
    """Why a finding was accepted, by whom, and for how long.

    Attributes:
        reason: in the words of whoever accepted it.
        who: name or initials.
        until: last day it counts, or None for good.
    """

    reason: str
    who: str
    until: date | None = None


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
        opening: tag of the opening concerned, or empty.
        waived: who accepted it and why, or None.
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
    opening: str = ""
    waived: Waived | None = None

    @property
    def fingerprint(self) -> str:
        """Sixteen hexadecimal digits from the wall's tag, the code, the opening and the places.

        The places are in the wall's own axes and rounded to an inch: the fingerprint stays the same
        when the drawing is shifted, saved again or judged again.
        """
        places = " ".join(f"{_inch(x)},{_inch(y)}" for x, y in self.at)
        text = "\n".join((self.wall, self.code, self.opening, places))
        return hashlib.sha256(text.encode()).hexdigest()[:16]


def _inch(value: float) -> int:
    return math.floor(value + _GRID_OFFSET_IN)


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
    opening: str = "",
    severity: Severity | None = None,
) -> Finding:
    """Make a finding, with the default severity of its code unless another one is given.

    Raises:
        KeyError: the code is not listed in `CODES`.
    """
    weight = CODES[code].severity if severity is None else severity
    return Finding(code, message, weight, wall, measured_in, limit_in, source, at, cure, handle, opening)


def reweighed(findings: Iterable[Finding], severities: Mapping[str, str]) -> tuple[Finding, ...]:
    """Return the findings with the severities that a project's settings give to their codes.

    Args:
        findings: the findings.
        severities: ``required`` or ``advisory`` by code; a code that is not named keeps its own.
    """
    return tuple(
        replace(f, severity=Severity(severities[f.code])) if f.code in severities else f for f in findings
    )
