"""One elevation in many ways, laid out: the results documents differ only in what has to differ."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from perpend import annotate
from perpend.reading import read_drawing
from reading import zoo

WAYS = [
    "lines",
    "open polylines",
    "one block",
    "nested blocks",
    "mirrored block",
    "mtext tags",
    "turned 30",
    "upside down",
    "far away",
    "feet",
    "R12",
    "R2000",
    "R2018",
    "binary R2018",
]
PLACE = {"x0_in", "y0_in", "angle_deg"}
"""Where a wall stands on its sheet."""

DIFFERS = {
    "handle",
    "path",
    "sha256",
    "dxf_version",
    "units",
    "units_why",
    "frame",
    "layer",
    "ignored",
    "repaired",
}


def without(content: Any) -> Any:  # noqa: ANN401
    """Leave out handles and what the document says of the file."""
    if isinstance(content, dict):
        return {
            k: without(v)
            for k, v in content.items()
            if k not in DIFFERS or (k == "path" and isinstance(v, list))
        }
    if isinstance(content, list):
        return [without(entry) for entry in content]
    return content


def walls(drawing: Path) -> Any:  # noqa: ANN401
    document = annotate(drawing).results
    found = without(json.loads(document.to_json()))["walls"]
    return [{k: v for k, v in wall.items() if k not in PLACE} for wall in found]


@pytest.mark.parametrize("way", WAYS)
def test_the_same_joints_in_every_way(tmp_path: Path, way: str) -> None:
    plain = walls(zoo.plain(tmp_path / "plain.dxf"))
    assert plain[0]["joints"]
    assert walls(zoo.WAYS[way](tmp_path / "other.dxf")) == plain


@pytest.mark.parametrize("way", ["polylines", "one block", "turned 30", "millimetres", "R12", "binary R2018"])
def test_what_we_drew_is_read_back_as_ours_and_changes_nothing_else(tmp_path: Path, way: str) -> None:
    """Read the annotated drawing: the drafter's walls as before, our joints as ours, our words nowhere."""
    drawing = zoo.WAYS[way](tmp_path / "drawing.dxf")
    outcome = annotate(drawing)
    (before,) = read_drawing(drawing).elevation.walls
    after_all = read_drawing(outcome.output).elevation
    (after,) = after_all.walls
    theirs = tuple(j for j in after.drawn_joints if not j.ours)
    assert replace(after, drawn_joints=theirs) == before
    ours = [j.path for j in after.drawn_joints if j.ours]
    new = [j.path for j in outcome.results.walls[0].joints if j.state == "new"]
    assert len(ours) == len(new) > 0
    for path, expected in zip(ours, new, strict=True):
        assert [pytest.approx(tuple(p), abs=1 / 64) for p in expected] == list(path)
    assert after_all.ignored == read_drawing(drawing).elevation.ignored
