"""A detail in its frame: the drawing, its keys, the list of notes, and the title with number and scale.

Everything here is in plotted inches, from the frame's lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from perpend.drawing.details.detail_sketch import (
    DIMS,
    FRAME,
    KEY,
    NOTES,
    TEXT,
    Circle,
    Dimension,
    Letters,
    Line,
    Mark,
    Note,
    Sketch,
    mapped,
    ring,
)
from perpend.drawing.details.detail_values import SCALES
from perpend.dxf.text_metrics import text_box, text_width, wrap
from perpend.model import Box, Point

WIDTH: Final = 7.8
HEIGHT: Final = 5.2
"""Plotted size of a frame, the width at least: four columns and four rows fit A1 and ARCH D."""
_MARGIN: Final = 0.18
_TITLE_STRIP: Final = 0.72
_TITLE: Final = 5 / 32
_BUBBLE: Final = 0.28
_PITCH: Final = 1.7 * TEXT
_COLUMN: Final = 2.6
_KEY_PITCH: Final = KEY + 0.14
_SLANT: Final = 0.16
_DOT: Final = 0.022
_SPARE: Final = 0.16
"""How far a drawing may reach into the margins around it, plotted inches in all."""


@dataclass(frozen=True, slots=True)
class Frame:
    """One framed detail.

    Attributes:
        key: which detail it is.
        number: as lettered in its bubble.
        title: as lettered.
        scale: real inches to one plotted inch.
        marks: everything in it, in plotted inches; a dimension keeps its real length.
        width: its plotted width.
    """

    key: str
    number: str
    title: str
    scale: float
    marks: tuple[Mark, ...]
    width: float = WIDTH


def fits(sketch: Sketch, width: float = WIDTH) -> bool:
    """Say whether a detail fits its frame.

    Args:
        sketch: the detail, at full size.
        width: plotted width of the frame.
    """
    keys, numbered = _keyed(sketch)
    field = _field(_note_lines(numbered, width, beside=sketch.beside), width, beside=sketch.beside)
    box = Box.around(p for mark in (*sketch.marks, *keys) for p in _reach(_plotted(mark, sketch.scale)))
    return box.width <= field.width + _SPARE and box.height <= field.height + _SPARE


def framed(key: str, number: str, title: str, sketch: Sketch, width: float = WIDTH) -> Frame:
    """Set a detail into its frame.

    Args:
        key: which detail it is.
        number: as it is referred to.
        title: lettered beside the number.
        sketch: the detail, at full size.
        width: plotted width of the frame.
    """
    keys, numbered = _keyed(sketch)
    notes = _note_lines(numbered, width, beside=sketch.beside)
    field = _field(notes, width, beside=sketch.beside)
    drawing = [_plotted(mark, sketch.scale) for mark in (*sketch.marks, *keys)]
    box = Box.around(p for mark in drawing for p in _reach(mark))
    dx, dy = field.center[0] - box.center[0], field.center[1] - box.center[1]
    marks = [mapped(mark, lambda q: (q[0] + dx, q[1] + dy)) for mark in drawing]
    corner = (width - _MARGIN - _COLUMN, HEIGHT - _MARGIN) if sketch.beside else (_MARGIN, field.y0 - _MARGIN)
    marks += _listed(notes, corner, width)
    marks += _title(number, title, sketch, width)
    marks.append(Line(ring(0.0, 0.0, width, HEIGHT), FRAME, closed=True))
    return Frame(key, number, title, sketch.scale, tuple(marks), width)


def _keyed(sketch: Sketch) -> tuple[list[Mark], list[str]]:
    """Number the notes by their keys: above and below from the left, at the left from the top."""
    marks: list[Mark] = []
    texts: list[str] = []
    box = sketch.box
    rows = {
        "top": box.y1 + sketch.p(sketch.top_room),
        "bottom": box.y0 - sketch.p(sketch.bottom_room),
        "left": box.x0 - sketch.p(sketch.left_room),
    }
    for side, across in rows.items():
        axis = 1 if side == "left" else 0
        notes = sorted((n for n in sketch.notes if n.side == side), key=lambda n: _along(n, axis))
        places = _key_places(notes, sketch, axis)
        for note, along in sorted(zip(notes, places, strict=True), key=lambda pair: -pair[1] * axis):
            texts.append(note.text)
            marks += _key(sketch, (across, along) if axis else (along, across), note, str(len(texts)))
    return marks, texts


def _along(note: Note, axis: int) -> float:
    return note.target[axis] if note.key_at is None else note.key_at


def _key_places(notes: Sequence[Note], sketch: Sketch, axis: int) -> list[float]:
    """Return where the keys of one row are: near what they point at, and apart from each other."""
    pitch, slant = sketch.p(_KEY_PITCH), sketch.p(_SLANT)
    middle = sketch.box.center[axis]
    places: list[float] = []
    for note in notes:
        wish = _along(note, axis)
        if note.key_at is None:
            wish += slant if wish >= middle else -slant
        places.append(max(wish, places[-1] + pitch) if places else wish)
    far = (sketch.box.x1, sketch.box.y1)[axis]
    over = max((places[-1] - far) if places else 0.0, 0.0)
    for i in range(len(places) - 1, -1, -1):
        if over <= 0:
            break
        places[i] -= over
        over = pitch - (places[i] - places[i - 1]) if i else 0.0
    return places


def _key(sketch: Sketch, at: Point, note: Note, number: str) -> Iterator[Mark]:
    """Yield a key's square, its number, and its leader, which ends in a dot."""
    half = sketch.p(KEY / 2)
    x, y = at
    yield Line(ring(x - half, y - half, x + half, y + half), NOTES, closed=True)
    yield Letters(number, (x, y - sketch.p(TEXT / 2)), align="center")
    start = {"top": (x, y - half), "bottom": (x, y + half), "left": (x + half, y)}[note.side]
    yield Line((start, note.target), DIMS)
    yield Circle(note.target, sketch.p(_DOT), DIMS, filled=True)


def _note_lines(texts: Sequence[str], width: float, *, beside: bool) -> list[tuple[str, list[str]]]:
    """Return the notes as lines, each with its number."""
    column = (_COLUMN if beside else (width - 3 * _MARGIN) / 2) - KEY - 0.12
    return [(str(number), wrap(text, column, TEXT)) for number, text in enumerate(texts, start=1)]


def _columns(notes: Sequence[tuple[str, list[str]]]) -> list[list[tuple[str, list[str]]]]:
    """Split the notes below a drawing into two columns of about one length."""
    best = min(
        range(1, len(notes) + 1),
        key=lambda cut: max(_height_of(notes[:cut]), _height_of(notes[cut:])),
    )
    return [list(notes[:best]), list(notes[best:])]


def _height_of(notes: Iterable[tuple[str, list[str]]]) -> float:
    return sum(max(len(lines) * _PITCH, KEY) + 0.07 for _, lines in notes)


def _field(notes: Sequence[tuple[str, list[str]]], width: float, *, beside: bool) -> Box:
    """Return where the drawing goes."""
    low, high = _TITLE_STRIP + _MARGIN, HEIGHT - _MARGIN
    if beside:
        return Box(_MARGIN, low, width - 2 * _MARGIN - _COLUMN, high)
    taken = max(map(_height_of, _columns(notes)))
    return Box(_MARGIN, low + taken + _MARGIN, width - _MARGIN, high)


def _listed(notes: Sequence[tuple[str, list[str]]], corner: Point, width: float) -> Iterator[Mark]:
    """Yield the list of notes, from its upper left corner down."""
    beside = corner[0] > width / 2
    for number, column in enumerate([list(notes)] if beside else _columns(notes)):
        x = corner[0] + number * (width - _MARGIN) / 2
        y = corner[1]
        for key, lines in column:
            middle = y - KEY / 2
            yield Line(ring(x, y - KEY, x + KEY, y), NOTES, closed=True)
            yield Letters(key, (x + KEY / 2, middle - TEXT / 2), align="center")
            for row, text in enumerate(lines):
                yield Letters(text, (x + KEY + 0.12, middle - TEXT / 2 - row * _PITCH))
            y -= max(len(lines) * _PITCH, KEY) + 0.07


def _title(number: str, title: str, sketch: Sketch, width: float) -> Iterator[Mark]:
    """Yield the number's circle, the title over its line, and the scale below."""
    x, y = _MARGIN + _BUBBLE, _MARGIN / 2 + _BUBBLE
    yield Circle((x, y), _BUBBLE, FRAME)
    size = _TITLE if text_width(number, _TITLE) < 1.5 * _BUBBLE else TEXT
    yield Letters(number, (x, y - size / 2), size, "center", layer=FRAME)
    left = x + _BUBBLE + 0.12
    yield Line(((x + _BUBBLE, y), (width - _MARGIN, y)), FRAME)
    yield Letters(title, (left, y + 0.08), _TITLE, layer=FRAME)
    yield Letters(f"SCALE: {scale_text(sketch)}", (left, y - 0.08 - TEXT))


_LARGE = {1: "FULL SIZE", 2: "HALF SIZE"}


def scale_text(sketch: Sketch) -> str:
    """Return a scale as lettered: ``3" = 1'-0"``, ``1:5``, ``4:1``."""
    if sketch.scale < 1:
        return f"{1 / sketch.scale:g}:1"
    return (
        f"1:{sketch.scale:g}" if sketch.metric else _LARGE.get(int(sketch.scale)) or SCALES[int(sketch.scale)]
    )


def _plotted(mark: Mark, scale: float) -> Mark:
    """Reduce a mark from full size to plotted size."""
    return mapped(mark, lambda q: (q[0] / scale, q[1] / scale), 1 / scale)


def letters_of(mark: Mark) -> Letters | None:
    """Return the lettering of a mark that has some."""
    if isinstance(mark, Dimension):
        return Letters(mark.text, mark.text_at, align="center", layer=DIMS)
    return mark if isinstance(mark, Letters) else None


def _reach(mark: Mark) -> Iterator[Point]:
    """Yield points that hold a mark between them."""
    letters = letters_of(mark)
    if letters is not None:
        box = text_box(letters.text, letters.at, letters.height, letters.align)
        yield from ((box.x0, box.y0), (box.x1, box.y1))
    if isinstance(mark, Line):
        yield from ((q[0], q[1]) for q in mark.points)
    elif isinstance(mark, Circle):
        (x, y), r = mark.center, mark.radius
        yield from ((x - r, y - r), (x + r, y + r))
    elif isinstance(mark, Dimension):
        yield from (mark.a, mark.b)
