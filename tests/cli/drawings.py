"""Small drawings for the tests of the command line, in inches, R2010."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

Box = tuple[float, float, float, float]


def new_drawing() -> Drawing:
    """Return an empty drawing in inches with the layers of the defaults."""
    doc = ezdxf.new("R2010", setup=True)
    doc.header["$INSUNITS"] = 1
    doc.header["$MEASUREMENT"] = 0
    for name in ("A-ELEV-WALL", "A-ELEV-OPNG", "A-ANNO-TEXT"):
        doc.layers.add(name)
    return doc


def add_box(doc: Drawing, box: Box, layer: str, *, closed: bool = True) -> str:
    """Draw a rectangle as a polyline; return its handle."""
    x0, y0, x1, y1 = box
    points = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    line = doc.modelspace().add_lwpolyline(points, close=closed, dxfattribs={"layer": layer})
    return str(line.dxf.handle)


def add_text(doc: Drawing, text: str, at: tuple[float, float]) -> None:
    """Draw a line of text."""
    doc.modelspace().add_text(text, height=9, dxfattribs={"layer": "A-ANNO-TEXT", "insert": at})


def save_elevation(
    path: Path, walls: Iterable[tuple[str, Box]], openings: Iterable[tuple[str, Box]] = ()
) -> Path:
    """Write an elevation of rectangular walls and openings with their tags."""
    doc = new_drawing()
    for layer, shapes in (("A-ELEV-WALL", walls), ("A-ELEV-OPNG", openings)):
        for tag, box in shapes:
            add_box(doc, box, layer)
            add_text(doc, tag, (box[0] + 6, box[3] - 15))
    doc.saveas(path)
    return path
