"""What a plate looks like to someone who has only the DXF file: text boxes, openings, overlaps.

Shares no code with the drafting. Widths are those of Helvetica as PyMuPDF measures it, so they do
not come from perpend's own table; a text's box is its letters' box, from descender to cap height.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import pymupdf
from ezdxf.document import Drawing
from shapely import STRtree
from shapely.affinity import rotate, translate
from shapely.geometry import LineString, Polygon, box

PREFIX = "A-ELEV-JNTC"
HELVETICA_CAP = 0.718
DEEP = set("gjpqy,;()_Q/")


@dataclass(frozen=True)
class Shown:
    """A text as it shows: what it says, its outline, whether it is perpend's."""

    text: str
    outline: Polygon
    ours: bool


def line_width(text: str, height: float, factor: float) -> float:
    return float(pymupdf.get_text_length(text, fontname="helv", fontsize=height / HELVETICA_CAP)) * factor


def text_outline(text: str, height: float, factor: float, insert, angle: float, halign: int, valign: int):
    width = line_width(text, height, factor)
    left = {0: 0.0, 1: -width / 2, 2: -width, 4: -width / 2}[halign]
    low = -height / 2 if halign == 4 else {0: 0.0, 1: 0.0, 2: -height / 2, 3: -height}[valign]
    drop = 0.2 * height if any(c in DEEP for c in text) else 0.0
    flat = box(left, low - drop, left + width, low + height)
    return translate(rotate(flat, angle, origin=(0, 0)), insert[0], insert[1])


def _of_text(entity, ours: bool) -> Shown:
    dxf = entity.dxf
    halign, valign = dxf.get("halign", 0), dxf.get("valign", 0)
    anchor = dxf.align_point if halign or valign else dxf.insert
    outline = text_outline(
        dxf.text, dxf.height, dxf.get("width", 1.0), anchor, dxf.get("rotation", 0.0), halign, valign
    )
    return Shown(dxf.text, outline, ours)


def shown_texts(doc: Drawing) -> Iterator[Shown]:
    """Every TEXT of modelspace and of the dimensions' blocks, and every MTEXT line by line."""
    for entity in doc.modelspace():
        ours = entity.dxf.layer.startswith(PREFIX)
        if entity.dxftype() == "TEXT":
            yield _of_text(entity, ours)
        elif entity.dxftype() == "DIMENSION":
            for part in entity.virtual_entities():
                if part.dxftype() == "TEXT":
                    yield _of_text(part, ours)
                elif part.dxftype() == "MTEXT":
                    yield from _of_mtext(part, ours)
        elif entity.dxftype() == "MTEXT":
            yield from _of_mtext(entity, ours)


def _of_mtext(entity, ours: bool) -> Iterator[Shown]:
    height, lines = entity.dxf.char_height, entity.plain_text(split=True)
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
        yield Shown(line, text_outline(line, height, 1.0, insert, angle, halign, 0), ours)


def openings(doc: Drawing, layer: str = "A-ELEV-OPNG") -> list[Polygon]:
    return [
        Polygon([(p[0], p[1]) for p in e.get_points("xy")])
        for e in doc.modelspace().query("LWPOLYLINE")
        if e.dxf.layer.startswith(layer)
    ]


def overlaps(doc: Drawing, slack: float = 0.05) -> list[str]:
    """List every overlap of a text of ours with a text of ours, of the drafter's, or an opening.

    Args:
        doc: the annotated drawing.
        slack: a touch of less than this (drawing units, in depth) is not an overlap.
    """
    texts = list(shown_texts(doc))
    ours = [t for t in texts if t.ours]
    others: list[tuple[str, Polygon]] = [(t.text, t.outline) for t in texts]
    others += [("an opening", outline) for outline in openings(doc)]
    tree = STRtree([outline for _, outline in others])
    found = []
    for text in ours:
        slim = text.outline.buffer(-slack)
        for index in tree.query(slim, predicate="intersects"):
            name, outline = others[index]
            if outline is not text.outline and outline.buffer(-slack).intersects(slim):
                found.append(f"{text.text!r} lies over {name!r}")
    return sorted(set(found))


def our_lines(doc: Drawing, kind: str) -> list[LineString]:
    """Lines of ours of one kind, as drawn."""
    found = []
    for entity in doc.modelspace():
        if entity.dxf.layer.startswith(PREFIX) and (1000, f"kind={kind}") in entity.get_xdata("PERPEND"):
            if entity.dxftype() == "LWPOLYLINE":
                found.append(LineString([(p[0], p[1]) for p in entity.get_points("xy")]))
            elif entity.dxftype() == "LINE":
                found.append(LineString([entity.dxf.start[:2], entity.dxf.end[:2]]))
    return found
