"""LibreCAD draws our joints and texts: its PDF is measured, line by line, against the results.

LibreCAD 2.2 prints a drawing to PDF without a screen (``dxf2pdf``); letters come out as strokes. The
sheet's edge fixes where the drawing lies on the page.
"""

from __future__ import annotations

import functools
import itertools
import os
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pymupdf
import pytest
from ezdxf.document import Drawing

from drawing.seen import entities
from outside.annotated import APPLICATION, Annotated, annotated
from programs import need

NAMES = ("shopfront-south.dxf", "sheet-courtyard.dxf")
MOST_LINES = 20
Segments = np.ndarray
"""One row for each line piece: x0, y0, x1, y1 in inches of the drawing."""


@dataclass(frozen=True)
class Print:
    """What LibreCAD drew: every straight piece, in the drawing's inches."""

    segments: Segments

    def strokes_in(self, x0: float, y0: float, x1: float, y1: float) -> int:
        """Count the pieces that lie wholly in a box."""
        s = self.segments
        xs, ys = s[:, [0, 2]], s[:, [1, 3]]
        inside = (xs > x0).all(1) & (xs < x1).all(1) & (ys > y0).all(1) & (ys < y1).all(1)
        return int(inside.sum())

    def drawn_part(self, a: tuple[float, float], b: tuple[float, float], within: float = 0.5) -> float:
        """Measure how much of an upright or level line is drawn: dash by dash, between 0 and 1."""
        axis = 0 if abs(a[0] - b[0]) < abs(a[1] - b[1]) else 1
        across, along = axis, 1 - axis
        lo, hi = sorted((a[along], b[along]))
        s = self.segments
        on = (abs(s[:, [across, across + 2]] - a[across]) < within).all(1)
        pieces = np.sort(s[on][:, [along, along + 2]], axis=1).clip(lo, hi)
        cells = np.zeros(1000, bool)
        for start, end in (pieces - lo) / (hi - lo) * len(cells):
            cells[int(start) : int(np.ceil(end))] = end > start
        return float(cells.mean())


@functools.cache
def printed(path: Path, folder: Path) -> Print:
    copy = folder / path.name
    shutil.copyfile(path, copy)
    subprocess.run(
        [need("librecad", "librecad"), "dxf2pdf", "-a", str(copy)],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(folder)},
        capture_output=True,
        timeout=120,
        check=True,
    )
    page = pymupdf.open(copy.with_suffix(".pdf"))[0]
    return Print(np.array([piece for shape in page.get_cdrawings() for piece in _pieces(shape)]))


def _pieces(shape: dict[str, Any]) -> Iterator[tuple[float, float, float, float]]:
    """Yield the lines of a shape; of a curve, which comes as hundreds of them, only where it lies."""
    if len(shape["items"]) > MOST_LINES:
        yield shape["rect"]
        return
    for kind, *points in shape["items"]:
        if kind == "l":
            (x0, y0), (x1, y1) = points
            yield x0, y0, x1, y1


def in_inches(raw: Print, doc: Drawing) -> Print:
    """Carry points of the page to inches of the drawing by the sheet's edge."""
    (ex0, ey0, _), (ex1, ey1, _) = doc.header["$EXTMIN"], doc.header["$EXTMAX"]
    s = raw.segments
    x0, x1 = s[:, [0, 2]].min(), s[:, [0, 2]].max()
    y0, y1 = s[:, [1, 3]].min(), s[:, [1, 3]].max()
    scale = (ex1 - ex0) / (x1 - x0)
    assert scale == pytest.approx((ey1 - ey0) / (y1 - y0), rel=1e-3)
    moved = s.copy()
    moved[:, [0, 2]] = ex0 + (s[:, [0, 2]] - x0) * scale
    moved[:, [1, 3]] = ey0 + (y1 - s[:, [1, 3]]) * scale
    return Print(moved)


@pytest.fixture(scope="module", params=NAMES)
def sample(request: pytest.FixtureRequest) -> Annotated:
    return annotated(request.param)


@pytest.fixture(scope="module")
def prints(sample: Annotated, tmp_path_factory: pytest.TempPathFactory) -> tuple[Print, Print]:
    """The output and the original as LibreCAD prints them."""
    after = printed(sample.output, tmp_path_factory.mktemp("after"))
    before = printed(sample.source, tmp_path_factory.mktemp("before"))
    return in_inches(after, sample.before), in_inches(before, sample.before)


def test_every_joint_is_drawn_from_foot_to_head(sample: Annotated, prints: tuple[Print, Print]) -> None:
    """The joint's line type is dashed: 0.1875 + 0.0313 of 0.3125 drawn, so 70 % of the length."""
    after, before = prints
    missing = 0
    for number, wall in enumerate(sample.results.walls):
        for joint in wall.joints:
            corners = [sample.on_sheet(number, point) for point in joint.path]
            for a, b in itertools.pairwise(corners):
                assert after.drawn_part(a, b) > 0.55, f"{wall.tag} joint {joint.number}: {a} to {b}"
                missing += before.drawn_part(a, b) < 0.3
    assert missing > 0.8 * sum(len(wall.joints) for wall in sample.results.walls)


def test_every_text_of_ours_is_drawn_where_it_stands(sample: Annotated, prints: tuple[Print, Print]) -> None:
    """A letter takes strokes: each text has at least one for each letter in its box, before it had none."""
    after, before = prints
    texts = [
        entity
        for entity in entities(sample.after)
        if entity.dxftype() == "TEXT" and entity.has_xdata(APPLICATION) and not entity.dxf.get("rotation", 0)
    ]
    assert len(texts) > 10
    clear = 0
    for text in texts:
        x, y, _ = text.get_placement()[1]
        letters, height = len(text.dxf.text.replace(" ", "")), text.dxf.height
        half = len(text.dxf.text) * height
        left = x if text.get_placement()[2] is None and text.dxf.halign == 0 else x - half / 2
        box = (left - height / 2, y - height, left + half, y + 1.5 * height)
        assert after.strokes_in(*box) >= letters, text.dxf.text
        clear += before.strokes_in(*box) == 0
    assert clear > 0.5 * len(texts)
