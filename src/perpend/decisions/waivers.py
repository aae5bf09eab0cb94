"""Waivers: findings that a person accepted, kept in a TOML list beside the drawing.

    [[waivers]]
    fingerprint = "3f0c6a51d2b84e97"
    reason = "Existing joint, agreed with the engineer on site."
    who = "R. Oduya"
    until = 2027-06-30        # optional: the last day it counts

A waiver counts for the finding with its fingerprint, whatever else is on the drawing; one that fits none
counts for the same finding an inch aside at most, so that a joint may move within the drafting tolerance. One
that fits nothing, and one that has run out, are reported.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import product
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from perpend.errors import InputError
from perpend.findings import WAIVER_EXPIRED, WAIVER_UNUSED, Finding, Waived
from perpend.model import Advice, Cure
from perpend.rulebook.validation_words import explain, parse_toml, read_toml_file

_MOST_ALONE = 3
"""Places of a finding that are moved aside each by itself; more are moved together."""

_FINGERPRINT = re.compile(r"[0-9a-f]{16}")


def _sixteen_digits(given: str) -> str:
    digits = given.strip().lower()
    if not _FINGERPRINT.fullmatch(digits):
        raise ValueError(f"{given!r} is not sixteen hexadecimal digits: copy the finding's fingerprint")
    return digits


_Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    fingerprint: Annotated[str, AfterValidator(_sixteen_digits)]
    reason: _Words
    who: _Words
    until: date | None = None


class WaiverFile(BaseModel):
    """What a file of waivers may hold, and nothing else."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    waivers: Annotated[tuple[_Entry, ...], Field(default=())]


@dataclass(frozen=True, slots=True)
class Waiver:
    """One accepted finding.

    Attributes:
        fingerprint: of the finding.
        waived: reason, who, and how long.
        where: file and entry, for the reader.
    """

    fingerprint: str
    waived: Waived
    where: str

    def counts(self, today: date) -> bool:
        """Say whether it still counts on a day."""
        return self.waived.until is None or today <= self.waived.until


def load_waivers(path: Path) -> tuple[Waiver, ...]:
    """Load a file of waivers.

    Raises:
        InputError: the file can't be read, is not TOML, or has an unknown key or a wrong value.
    """
    return parse_waivers(read_toml_file(path, "the file of waivers"), str(path))


def parse_waivers(text: str, where: str = "waivers") -> tuple[Waiver, ...]:
    """Read waivers from a text.

    Args:
        text: TOML with a list ``[[waivers]]``.
        where: the file, as the user knows it.

    Raises:
        InputError: not TOML, an unknown key, a wrong value, or one fingerprint twice.
    """
    try:
        file = WaiverFile.model_validate(parse_toml(text, where, keep="\n\t"))
    except ValidationError as error:
        raise InputError(explain(error, WaiverFile, where, text)) from error
    found: dict[str, Waiver] = {}
    for number, entry in enumerate(file.waivers, start=1):
        if entry.fingerprint in found:
            raise InputError(
                f"{where}: waivers {number} repeats the fingerprint {entry.fingerprint}: keep one of the two."
            )
        waived = Waived(" ".join(entry.reason.split()), " ".join(entry.who.split()), entry.until)
        found[entry.fingerprint] = Waiver(entry.fingerprint, waived, f"{where}, waivers {number}")
    return tuple(found.values())


def waive(findings: Iterable[Finding], waivers: Iterable[Waiver], today: date) -> tuple[Finding, ...]:
    """Mark the findings that a waiver accepts; the others stay as they are.

    Args:
        findings: in any order, of one wall or of many.
        waivers: those of the drawing.
        today: the day on which they must count.
    """
    found = tuple(findings)
    given = {id(f): w.waived for w, f in matched(found, waivers) if w.counts(today)}
    return tuple(replace(f, waived=given.get(id(f))) for f in found)


def matched(findings: Iterable[Finding], waivers: Iterable[Waiver]) -> list[tuple[Waiver, Finding]]:
    """Pair waivers with the findings that they are for, run out or not.

    Args:
        findings: in any order.
        waivers: those of the drawing; one that fits nothing is in no pair.
    """
    exact: dict[str, list[Finding]] = {}
    for finding in findings:
        exact.setdefault(finding.fingerprint, []).append(finding)
    pairs, loose = [], {}
    for waiver in waivers:
        fitting = exact.pop(waiver.fingerprint, None)
        if fitting is None:
            loose[waiver.fingerprint] = waiver
        else:
            pairs += [(waiver, finding) for finding in fitting]
    for finding in (f for rest in exact.values() for f in rest) if loose else ():
        near = next((name for name in _fingerprints_aside(finding) if name in loose), None)
        if near is not None:
            pairs.append((loose.pop(near), finding))
    return pairs


def _fingerprints_aside(finding: Finding) -> Iterator[str]:
    """Yield the fingerprints that a finding would have with its places up to an inch aside."""
    steps = [(dx, dy) for dx in (0, -1, 1) for dy in (0, -1, 1)]
    alone = len(finding.at) <= _MOST_ALONE
    for shifts in (
        product(steps, repeat=len(finding.at)) if alone else ((s,) * len(finding.at) for s in steps)
    ):
        at = tuple((x + dx, y + dy) for (x, y), (dx, dy) in zip(finding.at, shifts, strict=True))
        yield replace(finding, at=at).fingerprint


def waiver_remarks(
    findings: Iterable[Finding], waivers: Iterable[Waiver], today: date
) -> tuple[Finding, ...]:
    """Report the waivers that fit no finding, and those that have run out.

    Args:
        findings: every finding of the drawing.
        waivers: those of the drawing.
        today: the day on which they must count.

    Returns:
        Advisory findings that belong to no wall.
    """
    every = tuple(waivers)
    there = {waiver.fingerprint: finding for waiver, finding in matched(findings, every)}
    remarks = []
    for waiver in every:
        match = there.get(waiver.fingerprint)
        if match is None:
            remarks.append(
                WAIVER_UNUSED.finding(
                    f"{waiver.where}: no finding has the fingerprint {waiver.fingerprint}.",
                    cure=Cure((Advice("waiver-correct", waiver.fingerprint),)),
                )
            )
        elif not waiver.counts(today):
            remarks.append(
                WAIVER_EXPIRED.finding(
                    f"{waiver.where}: the waiver of {match.code} in {match.wall} by {waiver.waived.who} ran "
                    f"out on {waiver.waived.until}.",
                    wall=match.wall,
                    opening=match.opening,
                    cure=Cure((Advice("waiver-renew", match.code),)),
                )
            )
    return tuple(remarks)
