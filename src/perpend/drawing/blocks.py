"""Blocks of lettering as such: a title, ruled rows, wrapped sentences; made first, placed later.

Glossary:
    block: marks about an origin at its own upper left corner, with the room they take.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from perpend.drawing.lettering import text_width, widest, wrap
from perpend.drawing.page import Identity, Letters, Stroke
from perpend.model import Point

LINE_PITCH = 1.7
TITLE_RATIO = 1.25


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that hang from an upper left corner at (0, 0), and their room."""

    marks: tuple[Stroke | Letters, ...]
    width_in: float
    height_in: float

    def at(self, corner: Point) -> tuple[Stroke | Letters, ...]:
        """Return the marks with the upper left corner moved to a place on the page."""
        return tuple(_moved(mark, corner) for mark in self.marks)

    def turned(self) -> Block:
        """Return the block turned upside down in its room, for a page that stands on its head."""
        marks = tuple(_turned(mark, self.width_in, -self.height_in) for mark in self.marks)
        return Block(marks, self.width_in, self.height_in)


def _turned(mark: Stroke | Letters, x_sum: float, y_sum: float) -> Stroke | Letters:
    """Turn a mark by half a turn; a line of text keeps its direction, which the page turns itself."""
    if isinstance(mark, Stroke):
        return replace(mark, path=tuple((x_sum - x, y_sum - y) for x, y in mark.path))
    place = (x_sum - mark.baseline[0], y_sum - mark.baseline[1] - mark.height_in)
    return replace(mark, baseline=place, align={"left": "right", "right": "left"}.get(mark.align, mark.align))


def _moved(mark: Stroke | Letters, by: Point) -> Stroke | Letters:
    if isinstance(mark, Letters):
        return replace(mark, baseline=(mark.baseline[0] + by[0], mark.baseline[1] + by[1]))
    return replace(mark, path=tuple((x + by[0], y + by[1]) for x, y in mark.path))


def title_marks(title: str, layer: str, h: float, identity: Identity) -> tuple[Stroke | Letters, ...]:
    """Return an underlined title whose room is `title_height`."""
    size = h * TITLE_RATIO
    base = -1.2 * size
    end = text_width(title, size)
    return (
        Letters(layer, title, (0.0, base), size, identity),
        Stroke(layer, ((0.0, base - 0.45 * size), (end, base - 0.45 * size)), identity),
    )


def title_height(h: float) -> float:
    """Return the room that a title takes from the top of its block."""
    return h * TITLE_RATIO * 2.1


def sentences_block(
    title: str,
    sentences: Sequence[tuple[str, str]],
    width_in: float,
    h: float,
    layer: str,
    identity: Identity,
) -> Block:
    """Set numbered sentences under a title.

    Args:
        title: heading.
        sentences: number or empty, and text; a text is wrapped to the width.
        width_in: width of the block.
        h: letter height.
        layer: layer key.
        identity: what the marks are.
    """
    marks = list(title_marks(title, layer, h, identity))
    indent = widest([number for number, _ in sentences], h) + h
    y = -title_height(h) - h
    for number, text in sentences:
        if number:
            marks.append(Letters(layer, number, (0.0, y), h, identity))
        for line in wrap(text, width_in - indent, h):
            marks.append(Letters(layer, line, (indent, y), h, identity))
            y -= LINE_PITCH * h
        y -= 0.4 * h
    room = max(mark.box.x1 for mark in marks if isinstance(mark, Letters))
    return Block(tuple(marks), room, -y - 0.5 * h)


def table_block(
    title: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    widths_in: Sequence[float],
    h: float,
    layer: str,
    identity: Identity,
) -> Block:
    """Set a ruled table; every cell is wrapped to the greatest width of its column.

    Args:
        title: heading above the table.
        heads: column heads.
        rows: cells, as many in each row as there are heads.
        widths_in: greatest width of each column's text.
        h: letter height.
        layer: layer key.
        identity: what the marks are.
    """
    wrapped = [
        [wrap(cell, width, h) or [""] for cell, width in zip(row, widths_in, strict=True)]
        for row in (heads, *rows)
    ]
    pad = 0.8 * h
    columns = [widest([line for row in wrapped for line in row[i]], h) + 2 * pad for i in range(len(heads))]
    edges = [0.0]
    for column in columns:
        edges.append(edges[-1] + column)
    marks = list(title_marks(title, layer, h, identity))
    y = -title_height(h) - 0.3 * h
    rules = [y]
    for row in wrapped:
        for left, lines in zip(edges, row, strict=False):
            for index, line in enumerate(lines):
                if line:
                    base = y - (1.7 + index * LINE_PITCH) * h
                    marks.append(Letters(layer, line, (left + pad, base), h, identity))
        y -= (1.4 + LINE_PITCH * max(len(lines) for lines in row)) * h
        rules.append(y)
    marks += [Stroke(layer, ((0.0, r), (edges[-1], r)), identity) for r in rules]
    marks += [Stroke(layer, ((x, rules[0]), (x, rules[-1])), identity) for x in edges]
    title_end = text_width(title, h * TITLE_RATIO)
    return Block(tuple(marks), max(edges[-1], title_end), -y)


def beside(blocks: Sequence[Block], gap_in: float) -> Block:
    """Set blocks side by side, their tops level."""
    marks: list[Stroke | Letters] = []
    x = 0.0
    for block in blocks:
        marks += block.at((x, 0.0))
        x += block.width_in + gap_in
    return Block(tuple(marks), x - gap_in, max(block.height_in for block in blocks))


def stacked(blocks: Sequence[Block], gap_in: float) -> Block:
    """Set blocks one below the other, their left edges level."""
    marks: list[Stroke | Letters] = []
    y = 0.0
    for block in blocks:
        marks += block.at((0.0, -y))
        y += block.height_in + gap_in
    return Block(tuple(marks), max(block.width_in for block in blocks), y - gap_in)
