"""Two issues of a drawing, drawn by script: walls, openings and joints of another hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ezdxf.document import Drawing

from cli.drawings import add_box, add_text, new_drawing

JOINTS = "A-ELEV-JNTC"
MARKS = "PERPEND-CHECK"
LAYER = "A-ELEV-JNTC-CHNG"
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class DrawnWall:
    """A wall to be drawn; openings and joints in its own axes, inches."""

    tag: str = "W1"
    at: tuple[float, float] = (0.0, 0.0)
    length: float = 720.0
    height: float = 200.0
    openings: tuple[tuple[str, Box], ...] = ()
    joints: tuple[float, ...] = ()
    layer: str = JOINTS

    def but(self, **changes: object) -> DrawnWall:
        """Return the wall as another issue has it."""
        return replace(self, **changes)  # type: ignore[arg-type]


def draw(path: Path, *walls: DrawnWall, unit: float = 1.0, insunits: int = 1, release: str = "R2010") -> Path:
    """Write a drawing; `unit` is how many drawing units are in an inch."""
    doc = new_drawing() if release == "R2010" else _of_release(release)
    doc.header["$INSUNITS"] = insunits
    for wall in walls:
        _draw(doc, wall, unit)
    doc.saveas(path)
    return path


def _of_release(release: str) -> Drawing:
    import ezdxf

    doc = ezdxf.new(release)
    for name in ("A-ELEV-WALL", "A-ELEV-OPNG", "A-ANNO-TEXT"):
        doc.layers.add(name)
    return doc


def _draw(doc: Drawing, wall: DrawnWall, unit: float) -> None:
    if wall.layer not in doc.layers:
        doc.layers.add(wall.layer)
    left, low = wall.at

    def place(x: float, y: float) -> tuple[float, float]:
        return ((left + x) * unit, (low + y) * unit)

    def box(sides: Box, layer: str) -> None:
        corners = (*place(sides[0], sides[1]), *place(sides[2], sides[3]))
        if doc.dxfversion == "AC1009":
            x0, y0, x1, y1 = corners
            ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            doc.modelspace().add_polyline2d(ring, close=True, dxfattribs={"layer": layer})
        else:
            add_box(doc, corners, layer)

    box((0.0, 0.0, wall.length, wall.height), "A-ELEV-WALL")
    if wall.tag:
        add_text(doc, wall.tag, place(6, wall.height - 15))
    for tag, sides in wall.openings:
        box(sides, "A-ELEV-OPNG")
        if tag:
            add_text(doc, tag, place(sides[0] + 6, sides[3] - 15))
    for x in wall.joints:
        attributes = {"layer": wall.layer}
        doc.modelspace().add_line(place(x, 0), place(x, wall.height), dxfattribs=attributes)


def kinds(changes: Sequence[object]) -> list[tuple[str, str, str]]:
    """Return thing, kind and name of every change."""
    return [(c.thing, c.change, c.name) for c in changes]  # type: ignore[attr-defined]
