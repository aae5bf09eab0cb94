"""The small picture of a drawing: true to scale, gaps closed up, a cross at each violation."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from batch.material import save_good
from cli.drawings import save_elevation
from perpend import annotate
from perpend.folders.thumbnail import HEIGHT, WIDTH, thumbnail


def paths(svg: str, kind: str) -> list[list[tuple[float, float]]]:
    root = ET.fromstring(svg)
    found = [path.attrib["d"] for path in root.iter("path") if path.attrib["class"] == kind]
    return [[(float(x), float(y)) for x, y in re.findall(r"([\d.]+) ([\d.]+)", d)] for d in found]


def size(path: list[tuple[float, float]]) -> tuple[float, float]:
    xs, ys = zip(*path, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def picture(drawing: Path) -> str:
    return thumbnail(annotate(drawing).results.walls)


def test_a_wall_keeps_its_proportions_and_fills_the_width(tmp_path: Path) -> None:
    (drawing,) = save_good(tmp_path, "a")
    svg = picture(drawing)
    ((wide, high),) = map(size, paths(svg, "w"))
    assert wide / high == pytest.approx(480 / 144, rel=0.01)
    assert wide == pytest.approx(WIDTH - 8, abs=0.2)
    ((door, _),) = map(size, paths(svg, "o"))
    assert door / wide == pytest.approx(40 / 480, rel=0.02)
    assert paths(svg, "v") == []
    box = ET.fromstring(svg).attrib
    assert float(box["height"]) <= HEIGHT
    assert float(box["height"]) == pytest.approx(high + 8, abs=1)


def test_far_walls_are_drawn_near_and_adjoining_ones_where_they_stand(tmp_path: Path) -> None:
    walls = [("W1", (0, 0, 320, 160)), ("W2", (320, 0, 640, 240)), ("W3", (5000, 9000, 5320, 9160))]
    svg = picture(save_elevation(tmp_path / "a.dxf", walls))
    first, second, third = sorted(paths(svg, "w"))
    assert max(x for x, _ in first) == pytest.approx(min(x for x, _ in second), abs=0.2)
    gap = min(x for x, _ in third) - max(x for x, _ in second)
    assert gap == pytest.approx(0.04 * 3 * size(first)[0], abs=0.3)
    assert max(y for _, y in third) < min(y for _, y in second), "it stands above the others"
    assert size(third) == pytest.approx(size(first), abs=0.3)


def test_a_cross_stands_in_the_middle_of_a_violation_and_the_label_counts_it(tmp_path: Path) -> None:
    """The panel from 8'-8" to 58'-8" of a wall of 200 ft is too long: its middle is at 404 in."""
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 2400, 56))], [("D1", (104, 0, 704, 48))])
    svg = picture(drawing)
    (cross,) = paths(svg, "v")
    scale = (WIDTH - 8) / 2400
    middle = sum(x for x, _ in cross) / len(cross)
    assert middle == pytest.approx(4 + 404 * scale, abs=0.2)
    assert 'aria-label="1 wall, 24 joints, 1 violation"' in svg


def test_without_walls_there_is_no_picture() -> None:
    assert thumbnail([]) == ""
