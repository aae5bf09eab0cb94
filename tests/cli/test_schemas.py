"""What ``--json`` prints is what the schemas in docs/ say, by a validator that is not ours."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from cli.drawings import save_elevation
from cli.harness import perpend
from perpend.report.json_schemas import DOCUMENTS, publish

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "sample_drawings").glob("*.dxf"))


@cache
def validator(document: str) -> jsonschema.Draft202012Validator:
    schema = json.loads((ROOT / "docs" / f"{document}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def printed(*arguments: str | Path) -> dict[str, Any]:
    ending = perpend(*arguments, "--json")
    assert ending.code in (0, 1), ending.err
    found: dict[str, Any] = json.loads(ending.out)
    return found


@cache
def compared(drawing: Path) -> dict[str, Any]:
    """Return the comparison of a drawing, for several tests to look at."""
    return printed("compare", drawing)


def test_the_published_schemas_are_those_of_the_code(tmp_path: Path) -> None:
    """Regenerate with: .venv/bin/python -m perpend.report.json_schemas docs."""
    publish(tmp_path)
    fresh = {place.name: place.read_text(encoding="utf-8") for place in tmp_path.iterdir()}
    docs = ROOT / "docs"
    assert fresh == {p.name: p.read_text(encoding="utf-8") for p in docs.glob("*.schema.json")}
    assert len(fresh) == len(DOCUMENTS)


@pytest.mark.parametrize("drawing", SAMPLES, ids=lambda d: d.stem)
def test_a_comparison_fits_its_schema(drawing: Path) -> None:
    validator("compare").validate(printed("compare", drawing, "--veneer"))


def test_a_comparison_with_findings_fits_its_schema(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))], [("OH1", (160, 0, 280, 112))])
    text = "[defaults]\njoint_type = 'raked'\nopenings = 'unreinforced'\n"
    (tmp_path / "perpend.toml").write_text(text, encoding="utf-8")
    found = printed("compare", drawing)
    assert any(option["not_met"] for wall in found["walls"] for option in wall["options"])
    validator("compare").validate(found)


@pytest.mark.parametrize(
    "damage",
    [
        lambda d: d.update(colour="red"),
        lambda d: d.update(command="annotate"),
        lambda d: d.update(schema_version="2"),
        lambda d: d["walls"][0]["options"][0].pop("why_not"),
        lambda d: d["walls"][0]["options"][0].update(openings="some"),
        lambda d: d["walls"][0]["options"][0]["layout"].update(joints="three"),
        lambda d: d["walls"][0]["options"][0]["layout"]["steel"].update(total_lb=None),
    ],
    ids=["unknown key", "other command", "other version", "missing", "unknown word", "no number", "null"],
)
def test_what_is_no_comparison_does_not_fit(damage: Callable[[dict[str, Any]], object]) -> None:
    whole = compared(SAMPLES[0])
    broken = copy.deepcopy(whole)
    damage(broken)
    assert validator("compare").is_valid(whole)
    assert not validator("compare").is_valid(broken)


@pytest.mark.parametrize(
    "arguments",
    [
        ("--height", "16'-8\""),
        ("--height", "6 m", "--method", "engineered", "--ccc", "0.00125"),
        ("--height", "12ft", "--method", "no-joints"),
        ("--height", "3m", "--rulebook", "au-ncc"),
    ],
    ids=["plain", "engineered", "no-joints", "au-ncc"],
)
def test_limits_fit_their_schema(arguments: tuple[str, ...]) -> None:
    found = printed("limits", *arguments)
    validator("limits").validate(found)
    assert not validator("limits").is_valid({**found, "height_in": "high"})


def test_layers_fit_their_schema() -> None:
    found = printed("layers", SAMPLES[0])
    validator("layers").validate(found)
    assert not validator("layers").is_valid({k: v for k, v in found.items() if k != "units"})
