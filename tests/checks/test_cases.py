"""Every rule against its case files: which findings, where, with which numbers, and nothing else.

The expected numbers are reckoned by hand from the limits in the rule book; the titles name the source.
"""

from __future__ import annotations

from typing import Any

import pytest

from checks.cases import Case, read_cases
from perpend.checks.registry import CODES
from perpend.errors import InputError
from perpend.findings import Finding
from perpend.report.change_entries import change_entries
from perpend.units import parse_length

CASES = read_cases()
NEAR_IN = 1e-6
ALWAYS_UNTESTED = {"no-joint-at-thickness-change", "no-joint-at-pilaster", "no-joint-at-intersection"} | {
    "no-joint-at-foundation-joint",
    "no-joint-at-expansion-joint",
    "reinforcement-through-joint",
    "reinforcement-too-sparse",
}
"""What most small walls do not show: named in a case only where it is the point of the case."""


def _name(case: Case) -> str:
    return f"{case.code}/{case.path.stem}"


@pytest.mark.parametrize("case", [c for c in CASES if "error" not in c.content], ids=_name)
def test_the_findings_are_exactly_those_expected(case: Case) -> None:
    found, untested, tested = case.judged()
    expected = case.content.get("expect", [])
    assert sorted(f.code for f in found) == sorted(e["code"] for e in expected), [f.message for f in found]
    left = list(found)
    for wanted in expected:
        match = next((f for f in left if _fits(f, wanted)), None)
        assert match is not None, (wanted, [(f.code, f.at, f.measured_in, f.limit_in, f.cure) for f in left])
        left.remove(match)
    for rule, reason in case.content.get("untested", {}).items():
        assert reason in untested[rule]
    surprising = set(untested) - set(case.content.get("untested", {})) - ALWAYS_UNTESTED
    assert surprising == set()
    for rule, places in case.content.get("tested", {}).items():
        assert tested[rule] == places


def _fits(found: Finding, wanted: dict[str, Any]) -> bool:
    if found.code != wanted["code"]:
        return False
    if "at" in wanted and not _same_places(found, wanted["at"]):
        return False
    numbers = {"measured": found.measured_in, "limit": found.limit_in}
    for key, value in numbers.items():
        if key in wanted and (value is None or abs(value - parse_length(wanted[key])) > NEAR_IN):
            return False
    if wanted.get("no_numbers") and numbers != {"measured": None, "limit": None}:
        return False
    if wanted.get("message", "") not in found.message:
        return False
    if "changes" in wanted and not _same_changes(found, wanted["changes"]):
        return False
    if "complies" in wanted and (found.cure is None or found.cure.complies is not wanted["complies"]):
        return False
    plain = {"severity": found.severity.value, "handle": found.handle, "opening": found.opening}
    plain["waived"] = found.waived is not None  # type: ignore[assignment]
    plain["row"] = found.source.row if found.source is not None else ""
    return all(wanted[key] == value for key, value in plain.items() if key in wanted)


def _same_places(found: Finding, places: list[list[Any]]) -> bool:
    return len(found.at) == len(places) and all(
        abs(x - parse_length(u)) <= NEAR_IN and abs(y - parse_length(v)) <= NEAR_IN
        for (x, y), (u, v) in zip(found.at, places, strict=True)
    )


def _same_changes(found: Finding, wanted: list[dict[str, Any]]) -> bool:
    """Compare the changes of a cure with those of a case: kind, and station of the foot where it has one."""
    entries = change_entries(found.cure.changes if found.cure else ())
    return len(entries) == len(wanted) and all(
        entry.kind == given["kind"]
        and ("x" not in given or abs((entry.x_in or 0.0) - parse_length(given["x"])) <= NEAR_IN)
        and given.get("of", entry.opening) == entry.opening
        and given.get("value", entry.value) == entry.value
        for entry, given in zip(entries, wanted, strict=True)
    )


@pytest.mark.parametrize("case", [c for c in CASES if "error" in c.content], ids=_name)
def test_what_cannot_be_judged_is_refused_in_one_sentence(case: Case) -> None:
    with pytest.raises(InputError) as refused:
        case.judged()
    sentence = str(refused.value)
    assert case.content["error"] in sentence
    assert "\n" not in sentence


@pytest.mark.parametrize("code", CODES)
def test_every_code_has_a_case_that_passes_and_one_that_fails(code: str) -> None:
    kinds = {case.kind for case in CASES if case.code == code}
    assert kinds >= {"pass", "fail"}
    for case in CASES:
        if case.code == code and case.kind != "invalid":
            expected = [e["code"] for e in case.content.get("expect", [])]
            assert (code in expected) == (case.kind == "fail"), _name(case)


@pytest.mark.parametrize("case", [c for c in CASES if c.kind == "fail"], ids=_name)
def test_a_finding_names_its_place_its_source_and_a_cure(case: Case) -> None:
    for found in case.judged()[0]:
        assert (found.cure is None) is (found.waived is not None)
        assert found.cure is None or found.cure.changes
        assert found.message.endswith(".")
        if not found.code.startswith("waiver"):
            assert found.wall in found.message
            assert found.at
            assert found.source is not None or "au-ncc" in case.content.get("settings", "")
