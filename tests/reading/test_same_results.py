"""One elevation in many ways, laid out: the results documents differ only in what has to differ."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from perpend.jobs.annotate import annotate
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
    found = without(document.model_dump(mode="json"))["walls"]
    return [{k: v for k, v in wall.items() if k not in PLACE} for wall in found]


@pytest.mark.parametrize("way", WAYS)
def test_the_same_joints_in_every_way(tmp_path: Path, way: str) -> None:
    plain = walls(zoo.plain(tmp_path / "plain.dxf"))
    assert plain[0]["joints"]
    assert walls(zoo.WAYS[way](tmp_path / "other.dxf")) == plain
