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
import os
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from perpend.checks.registry import CODES
from perpend.report.finding_numbers import Numbered, difference, numbered
from perpend.report.lengths import Lengths
from perpend.report.results_document import NotTestedEntry, Results, WaivedEntry

SCHEMA_URI: Final = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
_LEVELS: Final = {"required": "error", "advisory": "warning"}
_Place = dict[str, str]
"""Where a drawing is: its URI, and what that starts from."""

_FOLDER: Final = "DRAWINGS"
"""What the places of a project's drawings start from."""

_FINGERPRINT: Final = "perpend/v1"
_INDEX: Final = {code: index for index, code in enumerate(CODES)}


def sarif_text(results: Results) -> str:
    """Return the findings of a run as SARIF text that ends with a line end."""
    return _text(sarif_log(results))


def sarif_log(results: Results) -> dict[str, Any]:
    """Return the findings of a run as a SARIF log with one run."""
    return _log([(results, {"uri": _uri(results.drawing.path)})])


def project_sarif(found: Sequence[tuple[str, Results]], folder: Path, undone: Sequence[str] = ()) -> str:
    """Return the findings of many drawings as SARIF text with one run, so that tools show them as one.

    Args:
        found: each drawing's path below the folder, and its results; one at least.
        folder: where the drawings are; their places are told from there.
        undone: why the other drawings could not be done, one sentence each.
    """
    log = _log(
        [(results, {"uri": quote(os.fsencode(name)), "uriBaseId": _FOLDER}) for name, results in found]
    )
    (run,) = log["runs"]
    run["originalUriBaseIds"] = {_FOLDER: {"uri": f"{folder.resolve().as_uri()}/"}}
    (invocation,) = run["invocations"]
    invocation["executionSuccessful"] = not undone
    invocation["toolExecutionNotifications"] += [
        {"level": "error", "message": {"text": sentence}} for sentence in undone
    ]
    return _text(log)


def _text(log: dict[str, Any]) -> str:
    return json.dumps(log, indent=2, ensure_ascii=False) + "\n"


def _log(found: Sequence[tuple[Results, _Place]]) -> dict[str, Any]:
    every = [results for results, _ in found]
    first = every[0]
    places = [{**place, "index": index} for index, (_, place) in enumerate(found)]
    notes = [
        _notification(entry, place)
        for results, place in zip(every, places, strict=True)
        for entry in results.checks.could_not_run
    ]
    run = {
        "tool": {"driver": _driver(first)},
        "invocations": [{"executionSuccessful": True, "toolExecutionNotifications": notes}],
        "artifacts": [_artifact(results, place) for results, place in found],
        "results": [
            _result(item, place, lengths)
            for results, place in zip(every, places, strict=True)
            for lengths in [Lengths.of(results)]
            for item in numbered(results)
        ],
        "properties": {
            "command": first.command,
            "rulebook": ", ".join(sorted({f"{r.rulebook.key} {r.rulebook.version}" for r in every})),
            "checks_ran": sum(results.checks.ran for results in every),
            "checks_passed": sum(results.checks.passed for results in every),
            "cautions": list(dict.fromkeys(caution for results in every for caution in results.cautions)),
            "unverified_rows": sorted({source.row for results in every for source in results.unverified}),
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


def _notification(entry: NotTestedEntry, place: Mapping[str, Any]) -> dict[str, Any]:
    where = f" on {entry.wall}" if entry.wall else ""
    location: dict[str, Any] = {"physicalLocation": {"artifactLocation": place}}
    if entry.wall:
        location["logicalLocations"] = [{"name": entry.wall, "kind": "wall"}]
    return {
        "level": "note",
        "message": {"text": f"{entry.check} was not tested{where}: {entry.why}"},
        "locations": [location],
    }


def _artifact(results: Results, place: _Place) -> dict[str, Any]:
    return {
        "location": place,
        "roles": ["analysisTarget"],
        "mimeType": "image/vnd.dxf",
        "hashes": {"sha-256": results.drawing.sha256},
    }


def _uri(path: str) -> str:
    """Return a path as a URI: absolute with its scheme, relative as a reference."""
    plain = Path(path)
    return plain.as_uri() if plain.is_absolute() else quote(plain.as_posix())


def _result(item: Numbered, place: Mapping[str, Any], lengths: Lengths) -> dict[str, Any]:
    finding = item.finding
    result: dict[str, Any] = {
        "ruleId": finding.code,
        "level": _LEVELS[finding.severity],
        "kind": "fail",
        "message": {"text": f"{finding.message} Cure: {finding.cure}" if finding.cure else finding.message},
        "locations": [_location(item, place)],
        "partialFingerprints": {_FINGERPRINT: finding.fingerprint},
        "properties": _properties(item, lengths),
    }
    if finding.code in _INDEX:
        result["ruleIndex"] = _INDEX[finding.code]
    if finding.waived is not None:
        result["suppressions"] = [_suppression(finding.waived)]
    return result


def _location(item: Numbered, place: Mapping[str, Any]) -> dict[str, Any]:
    finding = item.finding
    location: dict[str, Any] = {"physicalLocation": {"artifactLocation": place}}
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
            "complies": finding.complies or None,
            "changes": [_given(asdict(change)) for change in finding.changes],
            "other_changes": [[_given(asdict(c)) for c in way] for way in finding.other_changes],
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
    return {key: value for key, value in properties.items() if value not in (None, "", [])}
