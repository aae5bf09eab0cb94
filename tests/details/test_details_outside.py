"""GDAL and LibreCAD read every detail of the sheets."""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pymupdf
import pytest

from details.sheets import SHEETS, details, sheet, sheet_bytes
from details.test_detail_layout import frame_of
from programs import need

LEAST_STROKES = 100


@pytest.fixture(params=SHEETS, ids=lambda s: f"{s[0]}-{'mm' if s[1] else 'in'}")
def written(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Path, str, bool]:
    book, metric = request.param
    path = tmp_path / "details.dxf"
    path.write_bytes(sheet_bytes(book, metric))
    return path, book, metric


def test_gdal_reads_the_lettering_of_every_detail(written: tuple[Path, str, bool]) -> None:
    path, book, metric = written
    done = subprocess.run(
        [need("ogrinfo", "gdal-bin"), "-q", "-al", str(path)],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    read = set(re.findall(r"Text \(String\) = (.*)", done.stdout))
    doc = sheet(book, metric)
    for key, insert in details(doc).items():
        texts = {t.dxf.text for t in insert.block().query("TEXT")}
        assert texts <= read, (key, texts - read)
        dimensions = {d.dxf.text for d in insert.block().query("DIMENSION")}
        assert dimensions <= read, (key, dimensions - read)


def test_librecad_draws_every_detail_in_its_place(written: tuple[Path, str, bool]) -> None:
    path, book, metric = written
    subprocess.run(
        [need("librecad", "librecad"), "dxf2pdf", "-a", str(path)],
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(path.parent)},
        capture_output=True,
        timeout=240,
        check=True,
    )
    strokes = list(_strokes(pymupdf.open(path.with_suffix(".pdf"))[0]))
    x0, y0 = min(s.x0 for s in strokes), min(s.y0 for s in strokes)
    x1, y1 = max(s.x1 for s in strokes), max(s.y1 for s in strokes)
    wide, high = (841.0, 594.0) if metric else (36.0, 24.0)
    assert (x1 - x0) / (y1 - y0) == pytest.approx(wide / high, rel=0.01)
    scale = (x1 - x0) / wide
    doc = sheet(book, metric)
    for key, insert in details(doc).items():
        if key != "sheet":
            (x, y, _), (w, h) = insert.dxf.insert, frame_of(insert)
            frame = pymupdf.Rect(x0 + x * scale, y1 - (y + h) * scale, x0 + (x + w) * scale, y1 - y * scale)
            inside = sum(1 for s in strokes if frame.contains(s))
            assert inside >= LEAST_STROKES, (key, inside)


def _strokes(page: pymupdf.Page) -> Iterator[pymupdf.Rect]:
    for shape in page.get_cdrawings():
        yield pymupdf.Rect(shape["rect"])
