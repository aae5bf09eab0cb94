"""Draws in inches on a sheet that has a unit of its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.enums import TextEntityAlignment

from zoo.sheets import Point, Rectangle

PER_INCH = {"in": 1.0, "ft": 1 / 12, "mm": 25.4, "cm": 2.54, "m": 0.0254}
INSUNITS = {"in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}


def corners(box: Rectangle, by: float = 0.0) -> tuple[Point, ...]:
    """Return the corners of a rectangle that is grown on all sides."""
    x0, y0, x1, y1 = box
    return ((x0 - by, y0 - by), (x1 + by, y0 - by), (x1 + by, y1 + by), (x0 - by, y1 + by))


class Pen:
    """A drawing of an office."""

    def __init__(
        self, unit: str = "in", *, header: bool = True, version: str = "R2010", at: Point = (0, 0)
    ) -> None:
        self.doc = ezdxf.new(version)
        self.doc.header["$INSUNITS"] = INSUNITS[unit] if header else 0
        self.doc.header["$MEASUREMENT"] = 0 if unit in ("in", "ft") else 1
        self.doc.header["$LUNITS"] = 2
        self.k = PER_INCH[unit]
        self.origin = at
        self.space: Any = self.doc.modelspace()

    def to(self, point: Sequence[float]) -> Point:
        return (self.origin[0] + point[0]) * self.k, (self.origin[1] + point[1]) * self.k

    def loop(self, points: Iterable[Sequence[float]], layer: str) -> None:
        self.space.add_lwpolyline([self.to(p) for p in points], close=True, dxfattribs={"layer": layer})

    def path(self, points: Iterable[Sequence[float]], layer: str) -> None:
        self.space.add_lwpolyline([self.to(p) for p in points], dxfattribs={"layer": layer})

    def line(self, a: Sequence[float], b: Sequence[float], layer: str) -> None:
        self.space.add_line(self.to(a), self.to(b), dxfattribs={"layer": layer})

    def lines(self, points: Sequence[Sequence[float]], layer: str) -> None:
        for a, b in zip(points, (*points[1:], points[0]), strict=True):
            self.line(a, b, layer)

    def circle(self, at: Sequence[float], radius: float, layer: str) -> None:
        self.space.add_circle(self.to(at), radius * self.k, dxfattribs={"layer": layer})

    def hatch(self, points: Iterable[Sequence[float]], layer: str) -> None:
        hatch = self.space.add_hatch(dxfattribs={"layer": layer})
        hatch.paths.add_polyline_path([self.to(p) for p in points], is_closed=True)

    def text(self, words: str, at: Sequence[float], layer: str, height: float = 6.0) -> None:
        text = self.space.add_text(words, dxfattribs={"layer": layer, "height": height * self.k})
        text.set_placement(self.to(at), align=TextEntityAlignment.MIDDLE_CENTER)

    def save(self, path: Path) -> Path:
        self.doc.saveas(path)
        return path
