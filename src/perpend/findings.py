"""Findings: what is wrong, where, by how much, by which source, and what would cure it.

A finding's code is a stable slug that names the fault. Each rule module declares its own as a `Rule`;
`perpend.checks.registry` lists them all. Every rendering (terminal, results, markers on the drawing, review
sheet) is made from the one type `Finding`.

Glossary:
    fingerprint: a short hash that stays the same when the drawing is shifted or judged again, so
        that a waiver can name a finding.
    waived: accepted by a person, who gave a reason.
"""

from __future__ import annotations

import hashlib
import itertools
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Final, TypeVar

from perpend.model import Cure, Point, Source

T = TypeVar("T")

_GRID_OFFSET_IN: Final = 1 / 32
"""Fingerprints put places on a grid of whole inches whose lines lie 1/32 in. below them: no multiple
of 1/16 in. and no whole millimetre lies on such a line, so noise of the last digit changes nothing."""


class Severity(StrEnum):
    """How much a finding weighs: required by a rule's wording, or advice."""

    REQUIRED = "required"
    ADVISORY = "advisory"


class Extent(StrEnum):
    """How far the mark of a finding reaches."""

    POINT = "point"
    """Around its places."""
    STATION = "station"
    """A whole upright line: the mark may be anywhere along it."""
    STRETCH = "stretch"
    """The whole stretch between its two places."""


class WaiverMeaning(StrEnum):
    """What a proposal leaves as it is where a finding is waived; a joint that it names stays in any case."""

    JOINT = "the joint stays"
    PANEL = "the panel is not cut"
    CORNER = "no joint is needed nearer to the corner"
    BONDED = "no joint is needed nearer to the bonded wall"
    TWIN = "both joints stay"
    PLACE = "the place gets no joint"
    JAMBS = "the opening gets no jamb joint"
    ONE_JAMB = "one jamb joint is enough"
    NEAR = "no joint is needed near the opening"


@dataclass(frozen=True, slots=True)
class Rule:
    """One kind of finding, declared where it is raised.

    Attributes:
        code: stable slug that names the fault.
        title: what it means.
        severity: how much it weighs by default.
        mark: how far its mark reaches.
        waiver: what a waiver of it means for a proposal.
        by_joints: False when where joints are neither causes nor cures it.
    """

    code: str
    title: str
    severity: Severity = Severity.REQUIRED
    mark: Extent = Extent.POINT
    waiver: WaiverMeaning = WaiverMeaning.JOINT
    by_joints: bool = True

    def finding(
        self,
        message: str,
        *,
        wall: str = "",
        measured_in: float | None = None,
        limit_in: float | None = None,
        source: Source | None = None,
        at: tuple[Point, ...] = (),
        handle: str = "",
        opening: str = "",
        joints: tuple[int, ...] = (),
        severity: Severity | None = None,
        cure: Cure | None = None,
    ) -> Finding:
        """Make a finding of this kind, with its default severity unless another one is given."""
        return Finding(
            code=self.code,
            message=message,
            severity=self.severity if severity is None else severity,
            wall=wall,
            measured_in=measured_in,
            limit_in=limit_in,
            source=source,
            at=at,
            cure=cure,
            handle=handle,
            opening=opening,
            joints=joints,
        )


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
        code: slug of its rule.
        message: one sentence that a person can act on.
        severity: required or advisory.
        wall: tag of the wall, or empty for the whole drawing.
        measured_in: what was measured, inches, or None.
        limit_in: what the limit is, inches, or None.
        source: the rule row it rests on.
        at: places in the wall's own axes.
        cure: what would set it right, or None where nobody asked; the judge never says.
        handle: DXF handle of the entity concerned, or empty.
        opening: tag of the opening concerned, or empty.
        waived: who accepted it and why, or None.
        joints: numbers of the judged joints that it is about.
    """

    code: str
    message: str
    severity: Severity
    wall: str = ""
    measured_in: float | None = None
    limit_in: float | None = None
    source: Source | None = None
    at: tuple[Point, ...] = ()
    cure: Cure | None = None
    handle: str = ""
    opening: str = ""
    waived: Waived | None = None
    joints: tuple[int, ...] = ()

    @property
    def fingerprint(self) -> str:
        """Sixteen hexadecimal digits from the wall's tag, the code, the opening and the places.

        The places are in the wall's own axes and rounded to an inch: the fingerprint stays the same
        when the drawing is shifted, saved again or judged again.
        """
        places = " ".join(f"{_inch(x)},{_inch(y)}" for x, y in self.at)
        text = "\n".join((self.wall, self.code, self.opening, places))
        return hashlib.sha256(text.encode(errors="surrogatepass")).hexdigest()[:16]


def _inch(value: float) -> int:
    return math.floor(value + _GRID_OFFSET_IN)


def numbered(
    found: Iterable[T], severity: Callable[[T], str], after: tuple[int, int] = (0, 0)
) -> list[tuple[str, T]]:
    """Number findings: V1, V2, ... for what a rule requires, then A1, A2, ... for advice.

    Args:
        found: findings, or what stands for them, in the order of their walls.
        severity: tells how much one weighs.
        after: greatest V and A numbers that are on the sheet already.
    """
    violations, advice = (itertools.count(greatest + 1) for greatest in after)
    weighed = [(item, severity(item) == Severity.REQUIRED) for item in found]
    return [(f"V{next(violations)}", item) for item, required in weighed if required] + [
        (f"A{next(advice)}", item) for item, required in weighed if not required
    ]


def reweighed(findings: Iterable[Finding], severities: Mapping[str, str]) -> tuple[Finding, ...]:
    """Return the findings with the severities that a project's settings give to their codes.

    Args:
        findings: the findings.
        severities: ``required`` or ``advisory`` by code; a code that is not named keeps its own.
    """
    return tuple(
        replace(f, severity=Severity(severities[f.code])) if f.code in severities else f for f in findings
    )


WAIVER_UNUSED: Final = Rule("waiver-unused", "A waiver fits no finding", Severity.ADVISORY, by_joints=False)
WAIVER_EXPIRED: Final = Rule("waiver-expired", "A waiver has run out", Severity.ADVISORY, by_joints=False)
