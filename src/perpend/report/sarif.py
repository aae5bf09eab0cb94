"""The findings of a run as SARIF 2.1.0, the open interchange format for results of analysis tools.

SARIF was made for program text; a drawing fits in this way:

- the artifact is the drawing, with the hash of its bytes;
- a rule is a finding's code, a result is a finding: ``error`` where a rule requires it, else ``warning``;
- the logical location is the wall (and the opening); the place in it stands in the location's properties
  as ``at_in``, inches in the wall's own axes, because a drawing has no lines and columns;
- the fingerprint is a partial fingerprint, so that tools can follow a finding from run to run;
- a waived finding is suppressed, with its reason;
- a check that could not run is a notification of the run.

Source: OASIS Standard, Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from perpend.findings import CODES
from perpend.report.document import NotTestedEntry, Results, WaivedEntry
from perpend.report.numbers import Numbered, difference, numbered
from perpend.report.sheet.lengths import Lengths

SCHEMA_URI: Final = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_LEVELS: Final = {"required": "error", "advisory": "warning"}
_FINGERPRINT: Final = "perpend/v1"
_INDEX: Final = {code: index for index, code in enumerate(CODES)}


def sarif_text(results: Results) -> str:
    """Return the findings of a run as SARIF text that ends with a line end."""
    return json.dumps(sarif_log(results), indent=2, ensure_ascii=False) + "\n"


def sarif_log(results: Results) -> dict[str, Any]:
    """Return the findings of a run as a SARIF log with one run."""
    lengths = Lengths.of(results)
    run = {
        "tool": {"driver": _driver(results)},
        "invocations": [_invocation(results)],
        "artifacts": [_artifact(results)],
        "results": [_result(item, results, lengths) for item in numbered(results)],
        "properties": {
            "command": results.command,
            "rulebook": f"{results.rulebook.key} {results.rulebook.version}",
            "checks_ran": results.checks.ran,
            "checks_passed": results.checks.passed,
            "cautions": results.cautions,
            "unverified_rows": sorted({source.row for source in results.unverified}),
        },
    }
    return {"$schema": SCHEMA_URI, "version": "2.1.0", "runs": [run]}


def _driver(results: Results) -> dict[str, Any]:
    rules = [
        {
            "id": entry.code,
            "shortDescription": {"text": entry.title},
            "defaultConfiguration": {"level": _LEVELS[entry.severity.value]},
        }
        for entry in CODES.values()
    ]
    return {"name": "perpend", "version": results.perpend_version, "rules": rules}


def _invocation(results: Results) -> dict[str, Any]:
    notes = [_notification(entry) for entry in results.checks.could_not_run]
    return {"executionSuccessful": True, "toolExecutionNotifications": notes}


def _notification(entry: NotTestedEntry) -> dict[str, Any]:
    where = f" on {entry.wall}" if entry.wall else ""
    note: dict[str, Any] = {
        "level": "note",
        "message": {"text": f"{entry.check} was not tested{where}: {entry.why}"},
    }
    if entry.wall:
        note["locations"] = [{"logicalLocations": [{"name": entry.wall, "kind": "wall"}]}]
    return note


def _artifact(results: Results) -> dict[str, Any]:
    return {
        "location": {"uri": _uri(results.drawing.path)},
        "roles": ["analysisTarget"],
        "mimeType": "image/vnd.dxf",
        "hashes": {"sha-256": results.drawing.sha256},
    }


def _uri(path: str) -> str:
    """Return a path as a URI: absolute with its scheme, relative as a reference."""
    plain = Path(path)
    return plain.as_uri() if plain.is_absolute() else quote(plain.as_posix())


def _result(item: Numbered, results: Results, lengths: Lengths) -> dict[str, Any]:
    finding = item.finding
    result: dict[str, Any] = {
        "ruleId": finding.code,
        "level": _LEVELS[finding.severity],
        "kind": "fail",
        "message": {"text": f"{finding.message} Cure: {finding.cure}" if finding.cure else finding.message},
        "locations": [_location(item, results)],
        "partialFingerprints": {_FINGERPRINT: finding.fingerprint},
        "properties": _properties(item, lengths),
    }
    if finding.code in _INDEX:
        result["ruleIndex"] = _INDEX[finding.code]
    if finding.waived is not None:
        result["suppressions"] = [_suppression(finding.waived)]
    return result


def _location(item: Numbered, results: Results) -> dict[str, Any]:
    finding = item.finding
    location: dict[str, Any] = {
        "physicalLocation": {"artifactLocation": {"uri": _uri(results.drawing.path), "index": 0}},
    }
    if item.wall is not None:
        logical = [{"name": item.tag, "fullyQualifiedName": item.tag, "kind": "wall"}]
        if finding.opening:
            whole = f"{item.tag}/{finding.opening}"
            logical.append({"name": finding.opening, "fullyQualifiedName": whole, "kind": "opening"})
        location["logicalLocations"] = logical
    if finding.at:
        location["properties"] = {"at_in": [list(place) for place in finding.at]}
    return location


def _properties(item: Numbered, lengths: Lengths) -> dict[str, Any]:
    finding = item.finding
    source = finding.source
    by = difference(finding)
    return _given(
        {
            "number": item.number,
            "severity": finding.severity,
            "measured_in": finding.measured_in,
            "limit_in": finding.limit_in,
            "difference_in": None if by is None else round(by, 6),
            "measured": None if finding.measured_in is None else lengths.plain(finding.measured_in),
            "limit": None if finding.limit_in is None else lengths.limit(finding.limit_in),
            "cure": finding.cure,
            "handle": finding.handle,
            "source": source and asdict(source),
        }
    )


def _suppression(waived: WaivedEntry) -> dict[str, Any]:
    until = waived.until.isoformat() if waived.until else None
    return {
        "kind": "external",
        "status": "accepted",
        "justification": waived.reason,
        "properties": _given({"who": waived.who, "until": until}),
    }


def _given(properties: Mapping[str, Any]) -> dict[str, Any]:
    """Return the properties that say something."""
    return {key: value for key, value in properties.items() if value not in (None, "")}
