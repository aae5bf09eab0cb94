# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""Grid lines as an architect draws them: a bubble (circle), its letter or number, and a line from it.

The bubble may be a circle with a text in it or a block with an attribute; its line runs upright on the page.
"""

from __future__ import annotations

import contextlib
import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ezdxf.document import Drawing
from ezdxf.layouts.base import BaseLayout

from perpend.drawing.page.obstacles import Survey
from perpend.drawing.page.sheet_page import Page
from perpend.dxf.damage import DAMAGED
from perpend.dxf.partial.skipped_records import left_out_of
from perpend.model import Point

_NAME = re.compile(r"[A-Z]{0,2}\.?\d{0,3}(\.\d{1,2})?")
_OFF_AXIS, _TO_BUBBLE, _LONG = 0.25, 1.7, 3.0


@dataclass(frozen=True, slots=True)
class Datum:
    """A grid line's name and its station."""

    name: str
    x_in: float


@dataclass(frozen=True, slots=True)
class _Bubble:
    center: Point
    radius: float


def nearest_datum(lines: Sequence[Datum], x_in: float) -> Datum | None:
    """Return the grid line nearest to a station, the left one of two; None without any."""
    return min(lines, key=lambda line: (abs(line.x_in - x_in), line.x_in), default=None)


def grid_lines(doc: Drawing, page: Page, found: Survey, space: BaseLayout) -> list[Datum]:
    """Return the upright grid lines of a page, stations in page axes, from left to right."""
    bubbles, texts = _Gathered.of(doc, space)
    if not bubbles or not texts:
        return []
    upright = _upright(page, found)
    lines: dict[str, float] = {}
    for bubble in bubbles:
        name = next((text for text, at in texts if math.dist(at, bubble.center) < bubble.radius), None)
        if name is None:
            continue
        x, y = page.from_drawing(bubble.center)
        r = bubble.radius * page.inches_per_unit
        if any(abs(lx - x) < _OFF_AXIS * r and _reaches(low, high, y, r) for lx, low, high in upright):
            lines.setdefault(name, x)
    return sorted((Datum(name, x) for name, x in lines.items()), key=lambda line: line.x_in)


def _reaches(low: float, high: float, y: float, r: float) -> bool:
    """Say whether an upright line ends at a bubble and is longer than the bubble is wide."""
    return high - low > _LONG * r and min(abs(low - y), abs(high - y)) < _TO_BUBBLE * r


def _upright(page: Page, found: Survey) -> list[tuple[float, float, float]]:
    pieces = page.turn(found.lines)
    wide = abs(pieces[:, 0, 0] - pieces[:, 1, 0])
    high = abs(pieces[:, 0, 1] - pieces[:, 1, 1])
    some = pieces[(wide < 0.01 * high) & (high > 0.0)]
    return [(a[0], min(a[1], b[1]), max(a[1], b[1])) for a, b in some.tolist()]


class _Gathered:
    """Collects bubbles and the short texts that may name them."""

    def __init__(self) -> None:
        self.bubbles: list[_Bubble] = []
        self.texts: list[tuple[str, Point]] = []

    @classmethod
    def of(cls, doc: Drawing, space: BaseLayout) -> tuple[list[_Bubble], list[tuple[str, Point]]]:
        """Gather from a layout, and from the records of modelspace that were kept from ezdxf."""
        made = cls()
        for entity in space:
            kind = entity.DXFTYPE
            if kind in ("CIRCLE", "TEXT", "MTEXT", "INSERT"):
                made._read(kind, entity, doc)
        for shown in left_out_of(doc).shown.values():
            made.bubbles += [_Bubble((x, y), radius) for x, y, radius in shown.circles()]
            for block, x, y, sx, _, _ in shown.references:
                made._block(doc, block, (x, y), abs(sx))
            for line in (*shown.texts, *shown.attributes):
                made._line(line.text, line.insert, line.second, line.align, line.valign, line.height)
        return made.bubbles, made.texts

    def _read(self, kind: str, entity: Any, doc: Drawing) -> None:
        """Gather from an entity; what cannot be read is left out."""
        with contextlib.suppress(*DAMAGED):
            self._gather(kind, entity, doc)

    def _gather(self, kind: str, entity: Any, doc: Drawing) -> None:
        dxf = entity.dxf
        if kind == "CIRCLE":
            self.bubbles.append(_Bubble((dxf.center.x, dxf.center.y), dxf.radius))
        elif kind == "TEXT":
            self._text(entity)
        elif kind == "MTEXT":
            if dxf.get("attachment_point", 1) == 5 and len(entity.text) <= _LONGEST:
                self._named(entity.plain_text(), (dxf.insert.x, dxf.insert.y))
        else:
            self._block(doc, dxf.name, (dxf.insert.x, dxf.insert.y), abs(dxf.xscale))
            for attrib in entity.attribs:
                self._text(attrib)

    def _text(self, entity: Any) -> None:
        dxf = entity.dxf
        second = dxf.get("align_point")
        self._line(dxf.text, dxf.insert, second, dxf.get("halign", 0), dxf.get("valign", 0), dxf.height)

    def _line(self, text: str, insert: Any, second: Any, halign: int, valign: int, height: float) -> None:
        if len(text) > _LONGEST:
            return
        place = second if second is not None and (halign or valign) else insert
        x, y = place[0], place[1]
        rise = {0: 0.5, 1: 0.5, 2: 0.0, 3: -0.5}.get(valign, 0.0) if halign != 4 else 0.0
        run = 0.4 * len(text) * {0: 1.0, 2: -1.0}.get(halign, 0.0)
        self._named(text, (x + run * height, y + rise * height))

    def _named(self, text: str, at: Point) -> None:
        name = text.strip().upper()
        if name and _NAME.fullmatch(name):
            self.texts.append((name, at))

    def _block(self, doc: Drawing, name: str, at: Point, scale: float) -> None:
        for circle in _circles(doc, name):
            x, y = at[0] + circle.center[0] * scale, at[1] + circle.center[1] * scale
            self.bubbles.append(_Bubble((x, y), circle.radius * scale))


_LONGEST = 6


def _circles(doc: Drawing, name: str) -> Iterator[_Bubble]:
    block = doc.blocks.get(name)
    parts: Iterable[Any] = () if block is None else block
    for part in parts:
        if part.DXFTYPE == "CIRCLE" and part.dxf.hasattr("center") and part.dxf.hasattr("radius"):
            yield _Bubble((part.dxf.center.x, part.dxf.center.y), part.dxf.radius)
