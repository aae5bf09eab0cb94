"""The results document: what it holds, that it round-trips, and that its schema is the published one."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import jsonschema
import pytest
from pydantic import ValidationError

from perpend.report import Results
from perpend.report.limit_table import LimitsResults
from report.sample_results import elevation_of, opening, plain_wall, results_of, window_wall

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module")
def results() -> Results:
    return results_of(elevation_of(window_wall()))


def test_a_document_reads_back_equal(results: Results) -> None:
    assert Results.from_json(results.to_json()) == results


def test_the_published_schema_is_the_one_of_the_code() -> None:
    """Regenerate with: .venv/bin/python -m perpend.report.json_schemas > docs/results.schema.json."""
    published = json.loads((DOCS / "results.schema.json").read_text(encoding="utf-8"))
    assert published == Results.schema()


def test_the_schema_is_a_schema_and_accepts_a_document(results: Results) -> None:
    schema = Results.schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(results.to_json()), schema)


@pytest.mark.parametrize(
    "damage",
    [
        lambda d: d.update(colour="red"),
        lambda d: d["walls"][0].pop("limits"),
        lambda d: d["walls"][0]["joints"][0].update(state="moved"),
        lambda d: d.update(schema_version="2"),
    ],
    ids=["unknown key", "missing part", "unknown word", "other version"],
)
def test_what_is_no_document_is_refused(results: Results, damage: object) -> None:
    data = json.loads(results.to_json())
    damage(data)  # type: ignore[operator]
    with pytest.raises(ValidationError):
        Results.from_json(json.dumps(data))
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, Results.schema())


def test_limits_are_those_of_the_published_table(results: Results) -> None:
    """TEK 10-2C Table 1: 1.5 × 16'-8" = 25'-0", which is the cap as well; half of it at a corner."""
    limits = results.walls[0].limits
    assert (limits.height_in, limits.max_spacing_in, limits.ratio, limits.cap_in) == (200, 300, 1.5, 300)
    assert limits.corner_distance_in == 150
    assert limits.sources[0].document == "TEK 10-2C (2010)"


def test_every_length_key_says_its_unit(results: Results) -> None:
    """design.md: lengths in inches with ``_in`` in the key."""
    unitless = {"utilisation", "ratio", "angle_deg", "inches_per_unit"}
    squares = {"area_in2", "unevenness_in2", "required_in2_per_ft"}
    for key, value in _numbers(json.loads(results.to_json())):
        if isinstance(value, float):
            assert key.endswith("_in") or key in unitless | squares, key


def _numbers(node: object, key: str = "") -> list[tuple[str, object]]:
    if isinstance(node, dict):
        return [pair for k, v in node.items() for pair in _numbers(v, k)]
    if isinstance(node, list):
        points = key in {"path", "at", "top", "bottom"}
        return [] if points else [pair for v in node for pair in _numbers(v, key)]
    return [(key, node)]


def test_openings_name_the_joints_that_serve_them(results: Results) -> None:
    wall = results.walls[0]
    window, door = wall.openings
    assert (window.tag, window.treatment) == ("W1", "unreinforced")
    assert [wall.joints[n - 1].serves for n in window.joints] == [["W1"]]
    assert (door.treatment, door.joints) == ("reinforced", [])


def test_panels_reach_from_end_to_end_and_lengths_hold_the_lean_of_stepped_joints(results: Results) -> None:
    """A panel is as long as it is on its longest course (docs/decisions/0001)."""
    wall = results.walls[0]
    assert wall.panels[0].x0_in == 0
    assert wall.panels[-1].x1_in == wall.length_in
    assert all(a.x1_in == b.x0_in for a, b in itertools.pairwise(wall.panels))
    stepped = next(j for j in wall.joints if j.slip_planes)
    before = next(p for p in wall.panels if p.x1_in == stepped.x_in)
    lean = max(x for x, _ in stepped.path) - stepped.x_in
    assert lean == 8
    assert before.length_in == before.x1_in - before.x0_in + lean


def test_checks_count_what_every_rule_looked_at(results: Results) -> None:
    """5 panels, 2 corners, 1 unreinforced opening, 4 joints; the drawing marks no pilasters."""
    assert len(results.walls[0].panels) == 5
    tested = {run.rule: (run.tested, run.failed) for run in results.checks.rules}
    assert tested["panel-too-long"] == (5, 0)
    assert tested["corner-too-far"] == (2, 0)
    assert tested["opening-without-joint"] == (1, 0)
    assert tested["no-joint-at-pilaster"] == (0, 0)
    assert results.checks.ran == results.checks.passed == sum(t for t, _ in tested.values())
    untested = {entry.check: entry.why for entry in results.checks.could_not_run}
    assert "pilasters" in untested["no-joint-at-pilaster"]
    assert "panel-too-long" not in untested


def test_a_long_panel_is_a_failed_check_and_a_violation() -> None:
    """A 50'-0" reinforced door in a 4'-8" wall: no joint can stand for 54'-0"; 7'-0" is allowed."""
    results = results_of(elevation_of(plain_wall(800, 56, opening("D1", 104, 0, 704, 48))))
    left, finding, right = results.walls[0].findings
    for narrow, places, width in ((left, [40, 80], 40), (right, [728, 760], 32)):
        assert (narrow.code, narrow.severity) == ("panel-narrow", "advisory")
        assert ([x for x, _ in narrow.at], narrow.measured_in, narrow.limit_in) == (places, width, 48)
    assert (finding.code, finding.severity) == ("panel-too-long", "required")
    assert (finding.measured_in, finding.limit_in) == (648, 84)
    assert [x for x, _ in finding.at] == [80, 728]
    assert results.checks.ran - results.checks.passed == 3
    assert results.violated


def test_a_wall_without_joints_says_that_spacing_was_not_tested() -> None:
    settings = '[defaults]\nmethod = "no-joints"\n'
    results = results_of(elevation_of(plain_wall(720, 56)), settings)
    assert results.walls[0].limits.max_spacing_in is None
    untested = {(entry.check, entry.wall) for entry in results.checks.could_not_run}
    assert ("panel-too-long", "NORTH") in untested


def test_unverified_sources_are_listed_and_only_those(results: Results) -> None:
    assert {s.standing for s in results.unverified} == {"memory"}
    assert "opening.reinforced#clear" in {s.row for s in results.unverified}


def test_what_was_read_left_out_and_mended_is_told(results: Results) -> None:
    assert [(f.what, f.count, f.layers) for f in results.found] == [
        ("walls", 1, ["A-ELEV-WALL"]),
        ("openings", 2, ["A-ELEV-OPNG"]),
    ]
    assert [i.handle for i in results.ignored] == ["2B"] * 3
    assert len(results.repaired) == 1


def test_the_cautions_are_in_every_document(results: Results) -> None:
    """facts.md section 12."""
    words = " ".join(results.cautions)
    for part in ("an aid, not a design", "engineer or architect of record", "ocal codes", "shear walls"):
        assert part in words


def test_lengths_settle_to_a_millionth() -> None:
    drifted = plain_wall(719.9999999997, 200.0000000004)
    wall = results_of(elevation_of(drifted)).walls[0]
    assert (wall.length_in, wall.height_in) == (720.0, 200.0)


def test_the_limits_document_refuses_unknown_keys() -> None:
    with pytest.raises(ValidationError):
        LimitsResults.from_json('{"colour": "red"}')
