# ruff: noqa: ANN401 - ezdxf gives the attributes of an entity no static types
"""What a plate looks like to someone who has only the DXF file: text boxes, openings, overlaps.

Shares no code with the drafting. Widths are those of Helvetica as PyMuPDF measures it, so they do
not come from perpend's own table; a text's box is its letters' box, from descender to cap height.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import pymupdf
from ezdxf.document import Drawing
from shapely import STRtree
from shapely.geometry import LineString, Point, Polygon

from drawing.seen import entities

PREFIX = "A-ELEV-JNTC"
KEYNOTES = "A-ANNO-KEYN"
HELVETICA_CAP = 0.718
DEEP = set("gjpqy,;()_Q/")


@dataclass(frozen=True)
class Shown:
    """A text as it shows: what it says, its outline, whether it is perpend's."""

    text: str
    outline: Polygon
    ours: bool


@lru_cache(maxsize=1 << 14)
def line_width(text: str, height: float, factor: float) -> float:
    return float(pymupdf.get_text_length(text, fontname="helv", fontsize=height / HELVETICA_CAP)) * factor


def text_outline(
    text: str, height: float, factor: float, insert: Any, angle: float, halign: int, valign: int
) -> Polygon:
    """Return the outline of a line of text about its insertion point, by its alignment."""
    width = line_width(text, height, factor)
    left = {0: 0.0, 1: -width / 2, 2: -width, 4: -width / 2}[halign]
    low = -height / 2 if halign == 4 else {0: 0.0, 1: 0.0, 2: -height / 2, 3: -height}[valign]
    drop = 0.2 * height if any(c in DEEP for c in text) else 0.0
    turn = math.radians(angle)
    cos, sin = math.cos(turn), math.sin(turn)
    right, bottom, top = left + width, low - drop, low + height
    flat = ((right, bottom), (right, top), (left, top), (left, bottom))
    return Polygon([(insert[0] + x * cos - y * sin, insert[1] + x * sin + y * cos) for x, y in flat])


def _of_text(entity: Any, ours: bool) -> Shown:
    dxf = entity.dxf
    halign, valign = dxf.get("halign", 0), dxf.get("valign", 0)
    anchor = dxf.align_point if halign or valign else dxf.insert
    outline = text_outline(
        dxf.text, dxf.height, dxf.get("width", 1.0), anchor, dxf.get("rotation", 0.0), halign, valign
    )
    return Shown(dxf.text, outline, ours)


def shown_texts(doc: Drawing) -> Iterator[Shown]:
    """Every TEXT of modelspace and of the dimensions' blocks, and every MTEXT line by line."""
    for entity in entities(doc):
        ours = entity.dxf.layer.startswith(PREFIX)
        if entity.dxftype() == "TEXT":
            yield _of_text(entity, ours)
        elif entity.dxftype() == "DIMENSION":
            for part in entity.get_geometry_block():
                if part.dxftype() == "TEXT":
                    yield _of_text(part, ours)
                elif part.dxftype() == "MTEXT":
                    yield from _of_mtext(part, ours)
        elif entity.dxftype() == "MTEXT":
            yield from _of_mtext(entity, ours)


def _of_mtext(entity: Any, ours: bool) -> Iterator[Shown]:
    height, lines = entity.dxf.char_height, entity.plain_text(split=True)
    style = entity.doc.styles.get(entity.dxf.style) if ours else None
    factor = style.dxf.width if style else 1.0
    point = entity.dxf.get("attachment_point", 1)
    halign = {1: 0, 2: 1, 0: 2}[point % 3]
    total = height + (len(lines) - 1) * height * 5 / 3
    top = {0: 0.0, 1: total / 2, 2: total}[(point - 1) // 3]
    angle = entity.get_rotation()
    for index, line in enumerate(lines):
        drop = top - height - index * height * 5 / 3
        turn = math.radians(angle)
        place = entity.dxf.insert
        insert = (place[0] - drop * math.sin(turn), place[1] + drop * math.cos(turn))
        yield Shown(line, text_outline(line, height, factor, insert, angle, halign, 0), ours)


def openings(doc: Drawing, layer: str = "A-ELEV-OPNG") -> list[Polygon]:
    return [
        Polygon([(p[0], p[1]) for p in e.get_points("xy")])
        for e in doc.modelspace().query("LWPOLYLINE")
        if e.dxf.layer.startswith(layer)
    ]


def overlaps(doc: Drawing, slack: float = 0.05, texts: Iterable[Shown] | None = None) -> list[str]:
    """List every overlap of a text of ours with a text of ours, of the drafter's, or an opening.

    Args:
        doc: the annotated drawing.
        slack: a touch of less than this (drawing units, in depth) is not an overlap.
        texts: what `shown_texts` gives, where that is known already.
    """
    shown = [(t.text, t.ours, t.outline.buffer(-slack)) for t in texts or shown_texts(doc)]
    shown += [("an opening", False, outline.buffer(-slack)) for outline in openings(doc)]
    tree = STRtree([outline for _, _, outline in shown])
    ours = [index for index, (_, is_ours, _) in enumerate(shown) if is_ours]
    pairs = tree.query([shown[index][2] for index in ours], predicate="intersects")
    hits = {(ours[i], int(j)) for i, j in zip(*pairs, strict=True) if ours[i] != j}
    return sorted(f"{shown[i][0]!r} lies over {shown[j][0]!r}" for i, j in hits)


def struck(doc: Drawing, texts: Iterable[Shown], slack: float = 0.05) -> list[str]:
    """List the texts of ours through which a line runs that no label may lie over.

    These are our joints, slip planes and lintels, dimensions, and the bubbles and keynotes of the drafter.
    """
    lines = our_lines(doc, "joint", "slip-plane", "lintel")
    for entity in doc.modelspace():
        if entity.dxftype() == "CIRCLE":
            around = Point(entity.dxf.center.vec2).buffer(entity.dxf.radius)
            lines.append(("a bubble", LineString(around.exterior.coords)))
        elif entity.dxftype() == "LWPOLYLINE" and entity.dxf.layer == KEYNOTES:
            points = [p[:2] for p in entity.get_points("xy")]
            lines.append(("a keynote", LineString([*points, points[0]])))
        elif entity.dxftype() == "DIMENSION":
            parts = entity.get_geometry_block().query("LINE")
            lines += [("a dimension", LineString([p.dxf.start.vec2, p.dxf.end.vec2])) for p in parts]
    ours = [(text.text, text.outline.buffer(-slack)) for text in texts if text.ours and text.text]
    tree = STRtree([line for _, line in lines])
    found = zip(*tree.query([outline for _, outline in ours], predicate="intersects"), strict=True)
    return sorted({f"{ours[i][0]!r} lies over {lines[j][0]}" for i, j in found})


def our_lines(doc: Drawing, *kinds: str) -> list[tuple[str, LineString]]:
    """Lines of ours of some kinds, as drawn, each with its kind."""
    found = []
    for entity in doc.modelspace().query("LWPOLYLINE LINE"):
        if not entity.dxf.layer.startswith(PREFIX):
            continue
        kind = str(entity.get_xdata("PERPEND")[0].value).removeprefix("kind=")
        if kind not in kinds:
            continue
        if entity.dxftype() == "LWPOLYLINE":
            points = [(p[0], p[1]) for p in entity.get_points("xy")]
        else:
            points = [entity.dxf.start.vec2, entity.dxf.end.vec2]
        found.append((kind, LineString(points)))
    return found
