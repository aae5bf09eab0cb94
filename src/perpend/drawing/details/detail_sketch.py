"""A typical detail as marks: lines, fills, dimensions and keyed notes, at full size, in inches.

Glossary:
    full size: a detail is drawn in real inches; its scale says how many of them are one plotted inch.
    plotted: measured on the sheet of paper. Letters, gaps and key boxes are plotted sizes.
    key: a small square with a number, on a leader to what a note is about.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, Literal

from perpend.dxf.text_metrics import plain, text_width
from perpend.model import Box, Point

CUT, FINE, HATCH, STEEL, SEAL, JOINT, DIMS, NOTES, FRAME = (
    "CUT",
    "FINE",
    "HTCH",
    "STEL",
    "SEAL",
    "JNTC",
    "DIMS",
    "NOTE",
    "FRAM",
)
"""Layers of a detail, by the tail of their names."""

TEXT: Final = 3 / 32
"""Plotted height of notes and dimensions, inches."""
KEY: Final = 0.19
"""Plotted side of a key's square."""

Side = Literal["top", "bottom", "left"]
Pattern = Literal["masonry", "grout", "mortar", "solid", "concrete"]
Vertex = tuple[float, ...]
"""x, y and, where the piece up to the next one is an arc, its bulge."""


@dataclass(frozen=True, slots=True)
class Line:
    """A polyline; a vertex may carry a bulge."""

    points: tuple[Vertex, ...]
    layer: str
    closed: bool = False
    dashed: bool = False
    heavy: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle, or a dot where it is filled."""

    center: Point
    radius: float
    layer: str
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Fill:
    """A hatched area: an outer ring, and rings left out of it."""

    rings: tuple[tuple[Vertex, ...], ...]
    pattern: Pattern


@dataclass(frozen=True, slots=True)
class Letters:
    """A line of text; its place is a point of its baseline."""

    text: str
    at: Point
    height: float = TEXT
    align: Literal["left", "center", "right"] = "left"
    layer: str = NOTES


@dataclass(frozen=True, slots=True)
class Dimension:
    """A dimension between two points, level or upright.

    Attributes:
        name: what is measured: a name of the detail's values, or a few words.
        a: first point measured.
        b: second point measured.
        line: y of a level dimension's line, x of an upright one's.
        upright: measures heights.
        text_at: middle of the text's baseline.
        text: as lettered.
        real: the length measured, inches.
    """

    name: str
    a: Point
    b: Point
    line: float
    upright: bool
    text_at: Point
    text: str
    real: float


Mark = Line | Circle | Fill | Letters | Dimension


def mapped(mark: Mark, change: Callable[[Point], Point], size: float = 1.0) -> Mark:
    """Return a mark with every point changed.

    Args:
        mark: the mark.
        change: where a point goes: a move, a scaling, or, but for dimensions, a quarter turn.
        size: by what the change makes radii larger; a dimension's real length and letters stay.
    """

    def each(ring_: Sequence[Vertex]) -> tuple[Vertex, ...]:
        return tuple((*change((q[0], q[1])), *q[2:]) for q in ring_)

    if isinstance(mark, Line):
        return replace(mark, points=each(mark.points))
    if isinstance(mark, Fill):
        return replace(mark, rings=tuple(map(each, mark.rings)))
    if isinstance(mark, Circle):
        return replace(mark, center=change(mark.center), radius=mark.radius * size)
    if isinstance(mark, Letters):
        return replace(mark, at=change(mark.at))
    (ax, ay), line = mark.a, mark.line
    moved = change((line, ay))[0] if mark.upright else change((ax, line))[1]
    return replace(mark, a=change(mark.a), b=change(mark.b), line=moved, text_at=change(mark.text_at))


@dataclass(frozen=True, slots=True)
class Note:
    """A keyed note: its text, what it points at, and on which side of the detail its key is.

    `key_at` is the place of the key along that side, inches, where it is not to be near what it points at.
    """

    text: str
    target: Point
    side: Side
    key_at: float | None = None


@dataclass(slots=True)
class Sketch:
    """Collects the marks of one detail.

    Attributes:
        scale: real inches to one plotted inch.
        metric: dimensions in millimetres.
        box: the part of the wall that is shown; key boxes lie above and below it.
        marks: what has been drawn.
        notes: keyed notes, in the order of their numbers.
        beside: the notes are listed at the right, instead of below.
        top_room: plotted distance of the keys above from the box.
        bottom_room: likewise, below.
        left_room: likewise, at the left.
    """

    scale: float
    metric: bool
    box: Box
    marks: list[Mark] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)
    beside: bool = False
    top_room: float = 0.35
    bottom_room: float = 0.35
    left_room: float = 0.8

    def p(self, plotted: float) -> float:
        """Return a plotted length at full size."""
        return plotted * self.scale

    def line(
        self,
        *points: Vertex,
        layer: str = CUT,
        closed: bool = False,
        dashed: bool = False,
        heavy: bool = False,
    ) -> None:
        """Draw a polyline."""
        self.marks.append(Line(tuple(points), layer, closed, dashed, heavy))

    def rect(self, x0: float, y0: float, x1: float, y1: float, layer: str = CUT) -> None:
        """Draw a rectangle."""
        self.line(*ring(x0, y0, x1, y1), layer=layer, closed=True)

    def fill(self, pattern: Pattern, *rings: Sequence[Vertex]) -> None:
        """Hatch an area."""
        self.marks.append(Fill(tuple(tuple(r) for r in rings), pattern))

    def dot(self, x: float, y: float, diameter: float) -> None:
        """Draw a bar in section; one too thin to see is drawn as thick as a pen can show."""
        self.marks.append(Circle((x, y), max(diameter / 2, self.p(0.02)), STEEL, filled=True))

    def note(self, text: str, target: Point, side: Side = "top", key_at: float | None = None) -> None:
        """Add a keyed note."""
        self.notes.append(Note(plain(text), target, side, key_at))

    def measure_h(self, name: str, x0: float, x1: float, foot: float, line: float, text: str) -> None:
        """Dimension a level length; a text wider than its span goes beyond the right end."""
        width = text_width(text, TEXT) * self.scale
        inside = width + self.p(0.04) <= x1 - x0
        middle = (x0 + x1) / 2 if inside else x1 + self.p(0.12) + width / 2
        rise = line + self.p(0.05) if inside else line - self.p(TEXT / 2)
        self.marks.append(Dimension(name, (x0, foot), (x1, foot), line, False, (middle, rise), text, x1 - x0))

    def measure_v(self, name: str, y0: float, y1: float, foot: float, line: float, text: str) -> None:
        """Dimension a height; its text stands level, on the far side of the line."""
        width = text_width(text, TEXT) * self.scale
        away = self.p(0.08) + width / 2
        x = line - away if line < foot else line + away
        y = (y0 + y1) / 2 - self.p(TEXT / 2)
        self.marks.append(Dimension(name, (foot, y0), (foot, y1), line, True, (x, y), text, y1 - y0))


def ring(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    """Return the corners of a rectangle, counter-clockwise."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
