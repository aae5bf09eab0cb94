"""The page: the drawing turned so that walls run level, in inches; and what is put on it.

Glossary:
    page axes: drawing axes turned back by the walls' angle and scaled to inches. Every wall of one
        angle lies level on the same page, so labels, rows and boxes are axis-parallel there.
    mark: one thing to draw (a stroke, a line of text, a dimension), in page axes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from perpend.dxf.text_metrics import text_box
from perpend.model import Box, Frame, Path, Point


@dataclass(frozen=True, slots=True)
class Page:
    """Axes in which walls of one angle lie level.

    Attributes:
        angle_rad: direction of the walls in the drawing.
        inches_per_unit: inches in one drawing unit.
    """

    angle_rad: float = 0.0
    inches_per_unit: float = 1.0

    def to_drawing(self, point: Point) -> Point:
        """Carry a point from page axes (inches) to drawing axes (drawing units)."""
        x, y = point[0] / self.inches_per_unit, point[1] / self.inches_per_unit
        if self.angle_rad == 0.0:
            return (x, y)
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return (x * cos - y * sin, x * sin + y * cos)

    def from_drawing(self, point: Point) -> Point:
        """Carry a point from drawing axes (drawing units) to page axes (inches)."""
        x, y = point[0] * self.inches_per_unit, point[1] * self.inches_per_unit
        if self.angle_rad == 0.0:
            return (x, y)
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        return (x * cos + y * sin, y * cos - x * sin)

    def turn(self, points: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        """Carry many points from drawing axes to page axes; the last axis holds x and y."""
        scaled: npt.NDArray[np.float64] = points * self.inches_per_unit
        if self.angle_rad == 0.0:
            return scaled
        cos, sin = math.cos(self.angle_rad), math.sin(self.angle_rad)
        x, y = scaled[..., 0], scaled[..., 1]
        return np.stack((x * cos + y * sin, y * cos - x * sin), axis=-1)

    @property
    def upside_down(self) -> bool:
        """True when letters along the page's x axis would stand on their heads in the drawing."""
        degrees = math.degrees(self.angle_rad) % 360.0
        return 90.0 + 1e-6 < degrees < 270.0 + 1e-6

    @property
    def text_degrees(self) -> float:
        """Direction of a readable line of text in the drawing, degrees."""
        degrees = math.degrees(self.angle_rad) + (180.0 if self.upside_down else 0.0)
        return math.remainder(degrees, 360.0) if degrees else 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a wall lies on its page."""

    origin: Point

    @classmethod
    def of(cls, frame: Frame, page: Page) -> Spot:
        """Return the place of a wall's own axes on the page."""
        return cls(page.from_drawing(frame.origin))

    def point(self, p: Point) -> Point:
        """Carry a point from wall axes to page axes."""
        return (p[0] + self.origin[0], p[1] + self.origin[1])

    def path(self, path: Path) -> Path:
        """Carry a line from wall axes to page axes."""
        return tuple(self.point(p) for p in path)

    def box(self, box: Box) -> Box:
        """Carry a box from wall axes to page axes."""
        x, y = self.origin
        return Box(box.x0 + x, box.y0 + y, box.x1 + x, box.y1 + y)


@dataclass(frozen=True, slots=True)
class Identity:
    """What an entity of ours is: its kind, the number of what it shows, the rule it stands for.

    Attributes:
        kind: such as ``joint`` or ``tag``.
        number: of what it shows, such as ``W1-4``.
        rule: row of the rule book.
        said: further words of its XDATA, such as ``change=moved``.
    """

    kind: str
    number: str = ""
    rule: str = ""
    said: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line of straight pieces.

    Attributes:
        layer: layer key.
        path: its points.
        identity: what it is.
        closed: True when it ends where it starts.
        solid: True when it is continuous whatever the line type of its layer.
        linetype: line type of its own, with the weight that goes with it; empty for its layer's.
        weight: line weight of its own, hundredths of a millimetre; 0 for its layer's or line type's.
    """

    layer: str
    path: Path
    identity: Identity
    closed: bool = False
    solid: bool = False
    linetype: str = ""
    weight: int = 0


@dataclass(frozen=True, slots=True)
class Letters:
    """One line of text.

    Attributes:
        layer: layer key.
        text: ASCII letters.
        baseline: left end, middle or right end of the baseline, as ``align`` says.
        height_in: cap height.
        align: ``left``, ``center`` or ``right``.
        identity: what it is.
    """

    layer: str
    text: str
    baseline: Point
    height_in: float
    identity: Identity
    align: str = "left"

    @property
    def box(self) -> Box:
        """The room it takes."""
        return text_box(self.text, self.baseline, self.height_in, self.align)


@dataclass(frozen=True, slots=True)
class Measure:
    """A level dimension between two points.

    Attributes:
        x0_in: first station.
        x1_in: second station.
        feet: heights at which the two extension lines start.
        line_y_in: height of the dimension line.
        strokes: how it looks: extension lines, dimension line, ticks.
        letters: its text.
        words: what a person wrote in place of the length.
    """

    x0_in: float
    x1_in: float
    feet: tuple[float, float]
    line_y_in: float
    strokes: tuple[Stroke, ...]
    letters: Letters
    identity: Identity
    words: str = ""


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Lines of text that are one entity.

    Attributes:
        layer: layer key.
        lines: ASCII letters.
        corner: upper left corner of its room.
        height_in: cap height.
        identity: what it is.
        room: width and height.
    """

    layer: str
    lines: tuple[str, ...]
    corner: Point
    height_in: float
    identity: Identity
    room: tuple[float, float]

    @property
    def box(self) -> Box:
        """The room it takes."""
        (x, y), (width, height) = self.corner, self.room
        return Box(x, y - height, x + width, y)

    def letters(self, *, upside_down: bool = False) -> tuple[Letters, ...]:
        """Return it line by line, for what knows no paragraphs."""
        (x, y), h = self.corner, self.height_in
        lines = self.lines[::-1] if upside_down else self.lines
        return tuple(
            Letters(self.layer, line, (x, y - (1.0 + i * PARAGRAPH_PITCH) * h), h, self.identity)
            for i, line in enumerate(lines)
            if line
        )


PARAGRAPH_PITCH = 5 / 3
"""From line to line of a paragraph, letter heights: what every program takes for single spacing."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Lines and texts that are moved as one: a block and its reference.

    Attributes:
        name: of the block.
        marks: its parts, page axes.
        corner: where its reference is placed.
        identity: what it is.
    """

    name: str
    marks: tuple[Stroke | Letters, ...]
    corner: Point
    identity: Identity


Mark = Stroke | Letters | Measure | Paragraph | Piece


def parts_of(mark: Mark) -> tuple[Stroke | Letters | Paragraph, ...]:
    """Return the lines and texts that a mark consists of."""
    if isinstance(mark, Measure):
        return (*mark.strokes, mark.letters)
    return mark.marks if isinstance(mark, Piece) else (mark,)


@dataclass(slots=True)
class Board:
    """The marks made so far on one page."""

    page: Page
    marks: list[Mark] = field(default_factory=list)

    def add(self, *marks: Mark) -> None:
        """Put marks on the page, in the order in which they are to be drawn."""
        self.marks.extend(marks)

    def join(self, first: int, corner: Point, identity: Identity) -> None:
        """Make one piece of the marks from the given one on, so that a person moves them as one."""
        parts = tuple(part for mark in self.marks[first:] for part in parts_of(mark))
        simple = tuple(part for part in parts if not isinstance(part, Paragraph))
        self.marks[first:] = [Piece(f"PERPEND-{identity.kind}".upper(), simple, corner, identity)]
