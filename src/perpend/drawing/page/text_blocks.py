"""Blocks of lettering as such: a title, ruled rows, wrapped sentences; made first, placed later.

Glossary:
    block: marks about an origin at its own upper left corner, with the room they take.
    part: a block within a block; its marks are moved once, when the whole is put on the page, because
        most of the ways to set blocks are only measured.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.drawing.page.sheet_page import PARAGRAPH_PITCH, Identity, Letters, Paragraph, Piece, Stroke
from perpend.dxf.text_metrics import text_width, widest, wrap
from perpend.model import Point

LINE_PITCH = 1.7
TITLE_RATIO = 1.25


Simple = Stroke | Letters | Paragraph


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that hang from an upper left corner at (0, 0), their room, and parts by their corners."""

    marks: tuple[Simple, ...]
    width_in: float
    height_in: float
    parts: tuple[tuple[Block, Point], ...] = ()

    def at(self, corner: Point) -> tuple[Paragraph | Piece, ...]:
        """Return each part, moved with the whole to a place on the page: a paragraph, or a piece."""
        return tuple(block.whole(place) for block, place in self._leaves(corner) if block.marks)

    def _leaves(self, corner: Point) -> Iterator[tuple[Block, Point]]:
        yield self, corner
        for part, (right, up) in self.parts:
            yield from part._leaves((corner[0] + right, corner[1] + up))

    def whole(self, corner: Point) -> Paragraph | Piece:
        """Return the marks of the block itself as one thing."""
        moved = tuple(_moved(mark, corner) for mark in self.marks)
        if len(moved) == 1 and isinstance(moved[0], Paragraph):
            return moved[0]
        simple = tuple(mark for mark in moved if not isinstance(mark, Paragraph))
        identity = simple[0].identity
        return Piece(f"PERPEND-{identity.kind}".upper(), simple, corner, identity)

    def turned(self) -> Block:
        """Return the block turned upside down in its room, for a page that stands on its head."""
        marks = tuple(_turned(mark, self.width_in, -self.height_in) for mark in self.marks)
        parts = tuple(
            (part.turned(), (self.width_in - x - part.width_in, part.height_in - self.height_in - y))
            for part, (x, y) in self.parts
        )
        return Block(marks, self.width_in, self.height_in, parts)


def _turned(mark: Simple, x_sum: float, y_sum: float) -> Simple:
    """Turn a mark by half a turn; a line of text keeps its direction, which the page turns itself."""
    if isinstance(mark, Paragraph):
        return mark
    if isinstance(mark, Stroke):
        return replace(mark, path=tuple((x_sum - x, y_sum - y) for x, y in mark.path))
    place = (x_sum - mark.baseline[0], y_sum - mark.baseline[1] - mark.height_in)
    return replace(mark, baseline=place, align={"left": "right", "right": "left"}.get(mark.align, mark.align))


def _moved(mark: Simple, by: Point) -> Simple:
    # built anew by hand: `dataclasses.replace` costs four times as much, and a plate has hundreds of marks
    right, up = by
    if isinstance(mark, Paragraph):
        return replace(mark, corner=(mark.corner[0] + right, mark.corner[1] + up))
    if isinstance(mark, Letters):
        place = (mark.baseline[0] + right, mark.baseline[1] + up)
        return Letters(mark.layer, mark.text, place, mark.height_in, mark.identity, mark.align)
    path = tuple((x + right, y + up) for x, y in mark.path)
    return Stroke(mark.layer, path, mark.identity, mark.closed, mark.solid, mark.linetype, mark.weight)


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
    """Set numbered sentences under a title, as one paragraph.

    Args:
        title: heading.
        sentences: number or empty, and text, which is wrapped to the width. One without a number is set off
            from those before it.
        width_in: width of the block.
        h: letter height.
        layer: layer key.
        identity: what the marks are.
    """
    lines = [title, ""]
    longest = max((len(number) for number, _ in sentences), default=0)
    indent = " " * (longest + 2) if longest else ""
    before = ""
    for number, text in sentences:
        if before and not number:
            lines.append("")
        margin, before = indent if number else "", number
        for i, line in enumerate(wrap(text, width_in - text_width(margin, h), h)):
            lines.append(f"{f'{number:<{len(margin)}}' if not i else margin}{line}".rstrip())
    height = (1.3 + (len(lines) - 1) * PARAGRAPH_PITCH) * h
    size = (widest(lines, h), height)
    return Block((Paragraph(layer, tuple(lines), (0.0, 0.0), h, identity, size),), *size)


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
    parts = []
    x = 0.0
    for block in blocks:
        parts.append((block, (x, 0.0)))
        x += block.width_in + gap_in
    return Block((), x - gap_in, max(block.height_in for block in blocks), tuple(parts))


def stacked(blocks: Sequence[Block], gap_in: float) -> Block:
    """Set blocks one below the other, their left edges level."""
    parts = []
    y = 0.0
    for block in blocks:
        parts.append((block, (0.0, -y)))
        y += block.height_in + gap_in
    return Block((), max(block.width_in for block in blocks), y - gap_in, tuple(parts))
