"""Details lie in their frames, frames on the sheet, and no lettering is crossed, on every sheet."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import pytest
from ezdxf import bbox
from ezdxf.document import Drawing
from ezdxf.entities import Insert
from shapely import LineString, box

from details.sheets import BRICK, EVERY, details, sheet
from perpend.dxf.text_metrics import text_box

MARGIN_IN = 0.04
KEY_IN = 0.19


def unit(doc: Drawing) -> float:
    """Drawing units to one plotted inch."""
    return 25.4 if doc.header["$INSUNITS"] == 4 else 1.0


def frame_of(insert: Insert) -> tuple[float, float]:
    """Return width and height of a detail's frame: its largest closed rectangle."""
    rings = [line for line in insert.block().query("LWPOLYLINE") if line.closed and len(line) == 4]
    sizes = [
        (max(p[0] for p in r) - min(p[0] for p in r), max(p[1] for p in r) - min(p[1] for p in r))
        for r in rings
    ]
    return max(sizes, key=lambda size: size[0] * size[1])


def texts(doc: Drawing, insert: Insert) -> Iterator[tuple[str, object]]:
    """Yield lettering and its box; that of dimensions lies in blocks of their own."""
    block = insert.block()
    for layout in (block, *(doc.blocks.get(d.dxf.geometry) for d in block.query("DIMENSION"))):
        for text in layout.query("TEXT"):
            align, p0, p1 = text.get_placement()
            at = p1 or p0
            found = text_box(
                text.dxf.text, (at.x, at.y) if p1 else (p0.x, p0.y), text.dxf.height, align.name.lower()
            )
            yield text.dxf.text, box(found.x0, found.y0, found.x1, found.y1)


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_everything_of_a_detail_is_within_its_frame(book: str, metric: bool, settings: str) -> None:
    doc = sheet(book, metric, settings)
    margin = MARGIN_IN * unit(doc)
    for key, insert in details(doc).items():
        if key == "sheet":
            continue
        width, height = frame_of(insert)
        inner = [
            e
            for e in insert.block()
            if not (e.dxftype() == "LWPOLYLINE" and e.closed and is_frame(e, width, height))
        ]
        extents = bbox.extents(inner, fast=True)
        reach = box(extents.extmin.x, extents.extmin.y, extents.extmax.x, extents.extmax.y)
        assert box(0, 0, width, height).buffer(-margin).contains(reach), key
        for text, area in texts(doc, insert):
            assert box(0, 0, width, height).contains(area), (key, text)


def is_frame(line: object, width: float, height: float) -> bool:
    xs, ys = [p[0] for p in line], [p[1] for p in line]  # type: ignore[attr-defined]
    return abs(max(xs) - min(xs) - width) < 1e-6 and abs(max(ys) - min(ys) - height) < 1e-6


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_frames_are_on_the_sheet_in_rows_and_columns_and_apart(
    book: str, metric: bool, settings: str
) -> None:
    doc = sheet(book, metric, settings)
    one = unit(doc)
    wide, high = (841 / 25.4, 594 / 25.4) if metric or "a1" in settings else (36.0, 24.0)
    border = box(0.5 * one, 1.35 * one, (wide - 0.5) * one, (high - 0.5) * one)
    frames = []
    for key, insert in details(doc).items():
        if key != "sheet":
            (x, y, _), (w, h) = insert.dxf.insert, frame_of(insert)
            frames.append(box(x, y, x + w, y + h))
            assert border.contains(frames[-1]), key
    count, columns, rows = (3, 3, 1) if (book, metric) in BRICK else (16, 4, 4)
    if book == "au-ncc":
        count, rows = 10, 3
    assert len(frames) == count
    assert all(a.disjoint(b) for a, b in itertools.combinations(frames, 2))
    assert len({round(f.bounds[0], 3) for f in frames}) == columns
    assert len({round(f.bounds[1], 3) for f in frames}) == rows


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_no_lettering_meets_other_lettering_or_a_leader(book: str, metric: bool, settings: str) -> None:
    doc = sheet(book, metric, settings)
    for key, insert in details(doc).items():
        found = list(texts(doc, insert))
        for (text, a), (other, b) in itertools.combinations(found, 2):
            assert not a.intersects(b), (key, text, other)
        for leader in leaders(insert):
            for text, area in found:
                assert not leader.intersects(area), (key, text)


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_no_leader_crosses_another_one_or_a_key(book: str, metric: bool, settings: str) -> None:
    doc = sheet(book, metric, settings)
    for key, insert in details(doc).items():
        lines = list(leaders(insert))
        for a, b in itertools.combinations(lines, 2):
            assert not a.crosses(b), key
        squares = list(keys(doc, insert))
        for line in lines:
            touched = [square for square in squares if square.buffer(-0.01 * unit(doc)).intersects(line)]
            assert not touched, key


def leaders(insert: Insert) -> Iterator[LineString]:
    """Yield the lines of two points on the layer of dimensions that are not a dimension's own."""
    for line in insert.block().query("LWPOLYLINE"):
        if line.dxf.layer.endswith("-DIMS") and len(line) == 2:
            yield LineString([p[:2] for p in line])


def keys(doc: Drawing, insert: Insert) -> Iterator[object]:
    side = KEY_IN * unit(doc)
    for line in insert.block().query("LWPOLYLINE"):
        xs, ys = [p[0] for p in line], [p[1] for p in line]
        if line.closed and abs(max(xs) - min(xs) - side) < 1e-6 and abs(max(ys) - min(ys) - side) < 1e-6:
            yield box(min(xs), min(ys), max(xs), max(ys))


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_every_note_has_a_key_in_the_drawing_and_one_in_the_list(
    book: str, metric: bool, settings: str
) -> None:
    doc = sheet(book, metric, settings)
    for key, insert in details(doc).items():
        if key != "sheet":
            numbers = [t.dxf.text for t in insert.block().query("TEXT") if t.dxf.text.isdigit()]
            single = sorted(n for n in set(numbers))
            count = len(list(keys(doc, insert))) // 2
            assert count >= 4, key
            assert len(list(leaders(insert))) == count, key
            assert {str(n) for n in range(1, count + 1)} <= set(single), key


@pytest.mark.parametrize(("book", "metric", "settings"), EVERY)
def test_letters_plot_no_smaller_than_an_office_letters_them(book: str, metric: bool, settings: str) -> None:
    doc = sheet(book, metric, settings)
    heights = [t.dxf.height for i in details(doc).values() for t in i.block().query("TEXT")]
    assert min(heights) / unit(doc) == pytest.approx(3 / 32)
