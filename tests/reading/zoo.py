"""A zoo of small drawings: one elevation drawn in every way an office might draw it.

`STANDARD` is the elevation; each function in `WAYS` draws it differently and returns the file. The
numbers are typed here once, in inches, and the tests compare what was read with them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf.document import Drawing

from perpend.model import Wall

Point = tuple[float, float]

WALL, OPENING, TAG, JOINT = "A-ELEV-WALL", "A-ELEV-OPNG", "A-ELEV-IDEN", "A-ELEV-JNTC"
INCHES = {"in": 1.0, "ft": 12.0, "mm": 1 / 25.4, "cm": 1 / 2.54, "m": 1000 / 25.4}
INSUNITS = {"in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}


@dataclass(frozen=True)
class Hole:
    """An opening: left jamb, sill, right jamb, head; inches from the wall's left end and bottom."""

    tag: str
    box: tuple[float, float, float, float]


@dataclass(frozen=True)
class Face:
    """A wall: its corners, openings and joints, inches."""

    tag: str
    corners: tuple[Point, ...]
    holes: tuple[Hole, ...] = ()
    joints: tuple[float, ...] = ()
    at: Point = (0.0, 0.0)


def rectangle(width: float, height: float) -> tuple[Point, ...]:
    return ((0, 0), (width, 0), (width, height), (0, height))


STANDARD = Face(
    "W1",
    rectangle(480, 144),
    (Hole("D1", (96, 0, 136, 88)), Hole("N1", (240, 40, 288, 88))),
    joints=(384,),
)


def doubts_of(wall: Wall) -> tuple[str, ...]:
    """Return what is said of a wall's doubts."""
    return tuple(doubt.words for doubt in wall.doubts)


def layers_of(drawing: Path, words: str) -> set[str]:
    """Return the layers on which a written drawing says something; upper and lower case are the same."""
    found = set()
    for text in ezdxf.readfile(drawing).modelspace().query("MTEXT TEXT"):
        said = text.plain_text() if text.dxftype() == "MTEXT" else text.dxf.text  # type: ignore[attr-defined]
        if words in " ".join(said.lower().split()):
            found.add(text.dxf.layer)
    return found


def corners_of(box: Sequence[float]) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


@dataclass
class Pen:
    """Draws in inches; knows the drawing's unit and where the elevation lies on the sheet."""

    version: str = "R2010"
    unit: str = "in"
    header: bool = True
    angle: float = 0.0
    origin: Point = (0.0, 0.0)
    doc: Drawing = field(init=False)
    space: Any = field(init=False)

    def __post_init__(self) -> None:
        self.doc = ezdxf.new(self.version)
        if self.version != "R12":
            self.doc.header["$INSUNITS"] = INSUNITS[self.unit] if self.header else 0
        self.doc.header["$MEASUREMENT"] = 0 if self.unit in ("in", "ft") else 1
        self.doc.header["$LUNITS"] = 2
        self.space = self.doc.modelspace()

    def at(self, point: Sequence[float]) -> Point:
        """Carry a point from the elevation (inches) to the sheet (drawing units)."""
        x, y = point[0] / INCHES[self.unit], point[1] / INCHES[self.unit]
        turn = math.radians(self.angle)
        return (
            self.origin[0] + x * math.cos(turn) - y * math.sin(turn),
            self.origin[1] + x * math.sin(turn) + y * math.cos(turn),
        )

    def loop(self, points: Iterable[Sequence[float]], layer: str, **more: Any) -> Any:  # noqa: ANN401
        carried = [self.at(p) for p in points]
        attribs = {"layer": layer, **more}
        if self.version == "R12":
            return self.space.add_polyline2d(carried, close=True, dxfattribs=attribs)
        return self.space.add_lwpolyline(carried, close=True, dxfattribs=attribs)

    def path(self, points: Iterable[Sequence[float]], layer: str) -> Any:  # noqa: ANN401
        carried = [self.at(p) for p in points]
        if self.version == "R12":
            return self.space.add_polyline2d(carried, dxfattribs={"layer": layer})
        return self.space.add_lwpolyline(carried, dxfattribs={"layer": layer})

    def line(self, a: Sequence[float], b: Sequence[float], layer: str) -> Any:  # noqa: ANN401
        return self.space.add_line(self.at(a), self.at(b), dxfattribs={"layer": layer})

    def lines(self, points: Sequence[Sequence[float]], layer: str) -> None:
        for a, b in zip(points, (*points[1:], points[0]), strict=True):
            self.line(a, b, layer)

    def box(self, box: Sequence[float], layer: str = OPENING) -> Any:  # noqa: ANN401
        return self.loop(corners_of(box), layer)

    def hide(self, layer: str, *ways: str) -> None:
        """Hide a layer: ``freeze`` it, turn it ``off``, or both."""
        record = self.doc.layers.get(layer) if layer in self.doc.layers else self.doc.layers.add(layer)
        for way in ways:
            getattr(record, way)()

    def text(self, words: str, at: Sequence[float], layer: str = TAG, height: float = 9.0) -> Any:  # noqa: ANN401
        attribs = {"layer": layer, "height": height / INCHES[self.unit], "rotation": self.angle}
        entity = self.space.add_text(words, dxfattribs=attribs)
        entity.set_placement(self.at(at), align=ezdxf.enums.TextEntityAlignment.MIDDLE_CENTER)
        return entity

    def tags(self, face: Face = STANDARD) -> None:
        x, y = face.at
        self.text(face.tag, (x + 30, y + 120))
        for hole in face.holes:
            x0, y0, x1, y1 = hole.box
            self.text(hole.tag, (x + (x0 + x1) / 2, y + (y0 + y1) / 2), height=6)

    def joints(self, face: Face = STANDARD) -> None:
        top = max(y for _, y in face.corners)
        for x in face.joints:
            self.line((face.at[0] + x, face.at[1]), (face.at[0] + x, face.at[1] + top), JOINT)

    def face(self, face: Face = STANDARD) -> None:
        """Draw a wall the plain way."""
        x, y = face.at
        self.loop([(x + a, y + b) for a, b in face.corners], WALL)
        for hole in face.holes:
            x0, y0, x1, y1 = hole.box
            self.box((x + x0, y + y0, x + x1, y + y1))
        self.tags(face)
        self.joints(face)

    def save(self, path: Path, fmt: str = "asc") -> Path:
        self.doc.saveas(path, fmt=fmt)
        return path


def marked_wall(box: Sequence[float], mark_at: Point, **pen: Any) -> Pen:  # noqa: ANN401
    """A wall with the mark W1 and nothing else."""
    drawing = Pen(**pen)
    drawing.box(box, WALL)
    drawing.text("W1", mark_at)
    return drawing


def plain(path: Path, fmt: str = "asc", **pen: Any) -> Path:  # noqa: ANN401
    """Closed polylines, tags as TEXT, the joint a LINE."""
    drawing = Pen(**pen)
    drawing.face()
    return drawing.save(path, fmt)


def _with(path: Path, wall: Callable[[Pen], None], opening: Callable[[Pen, Hole], None], **pen: Any) -> Path:  # noqa: ANN401
    drawing = Pen(**pen)
    wall(drawing)
    for hole in STANDARD.holes:
        opening(drawing, hole)
    drawing.tags()
    drawing.joints()
    return drawing.save(path)


def from_lines(path: Path) -> Path:
    """Every outline made of single LINEs, in shuffled order and direction."""

    def shuffled(pen: Pen, points: Sequence[Point], layer: str) -> None:
        sides = list(zip(points, (*points[1:], points[0]), strict=True))
        for a, b in (sides[2], sides[0][::-1], sides[3], sides[1][::-1]):
            pen.line(a, b, layer)

    return _with(
        path,
        lambda pen: shuffled(pen, STANDARD.corners, WALL),
        lambda pen, hole: shuffled(pen, corners_of(hole.box), OPENING),
    )


def from_lines_with_gaps(path: Path) -> Path:
    """LINEs whose ends miss each other by up to half an inch."""

    def loose(pen: Pen, points: Sequence[Point], layer: str) -> None:
        (x0, y0), (x1, _), (_, y1), _ = points
        pen.line((x0, y0), (x1 - 0.5, y0), layer)
        pen.line((x1, y0 + 0.25), (x1, y1), layer)
        pen.line((x1 - 0.5, y1), (x0, y1), layer)
        pen.line((x0, y1), (x0, y0), layer)

    return _with(
        path,
        lambda pen: loose(pen, STANDARD.corners, WALL),
        lambda pen, hole: shuffled_box(pen, hole),
    )


def shuffled_box(pen: Pen, hole: Hole) -> None:
    pen.lines(corners_of(hole.box), OPENING)


def from_crossing_lines(path: Path) -> Path:
    """LINEs that overshoot the corners by a quarter of an inch, as when drawn without trimming."""

    def crossing(pen: Pen, box: Sequence[float], layer: str) -> None:
        x0, y0, x1, y1 = box
        pen.line((x0 - 0.25, y0), (x1 + 0.25, y0), layer)
        pen.line((x1, y0 - 0.25), (x1, y1 + 0.25), layer)
        pen.line((x1 + 0.25, y1), (x0 - 0.25, y1), layer)
        pen.line((x0, y1 + 0.25), (x0, y0 - 0.25), layer)

    return _with(
        path,
        lambda pen: crossing(pen, (0, 0, 480, 144), WALL),
        lambda pen, hole: pen.box(hole.box),
    )


def foot_broken_at_the_door(path: Path) -> Path:
    """The wall as LINEs whose foot stops at the door's jambs, the door a shape of its own."""
    door = STANDARD.holes[0].box

    def wall(pen: Pen) -> None:
        (x0, y0), (x1, _), (_, y1), _ = STANDARD.corners
        for a, b in (
            ((x0, y0), (door[0], y0)),
            ((x1, y0), (door[2], y0)),
            ((x1, y0), (x1, y1)),
            ((x0, y1), (x1, y1)),
            ((x0, y1), (x0, y0)),
        ):
            pen.line(a, b, WALL)

    return _with(path, wall, lambda pen, hole: pen.box(hole.box))


def open_polylines(path: Path) -> Path:
    """Polylines that end where they began without the closed flag."""

    def ring(pen: Pen, points: Sequence[Point], layer: str) -> None:
        pen.path([*points, points[0]], layer)

    return _with(
        path,
        lambda pen: ring(pen, STANDARD.corners, WALL),
        lambda pen, hole: ring(pen, corners_of(hole.box), OPENING),
    )


def three_d_polylines(path: Path) -> Path:
    """Outlines as closed 3D polylines."""

    def ring(pen: Pen, points: Sequence[Point], layer: str) -> None:
        carried = [(*pen.at(p), 0) for p in points]
        pen.space.add_polyline3d(carried, close=True, dxfattribs={"layer": layer})

    return _with(
        path,
        lambda pen: ring(pen, STANDARD.corners, WALL),
        lambda pen, hole: ring(pen, corners_of(hole.box), OPENING),
    )


def hatched(path: Path) -> Path:
    """The wall as a HATCH alone, with its openings cut out and outlined."""

    def wall(pen: Pen) -> None:
        hatch = pen.space.add_hatch(dxfattribs={"layer": WALL})
        hatch.paths.add_polyline_path([pen.at(p) for p in STANDARD.corners], is_closed=True)
        for hole in STANDARD.holes:
            hatch.paths.add_polyline_path([pen.at(p) for p in corners_of(hole.box)], is_closed=True, flags=16)

    return _with(path, wall, lambda pen, hole: pen.box(hole.box))


def solids(path: Path) -> Path:
    """The wall and the openings as SOLIDs, whose third and fourth corner are swapped."""

    def solid(pen: Pen, points: Sequence[Point], layer: str) -> None:
        a, b, c, d = (pen.at(p) for p in points)
        pen.space.add_solid([a, b, d, c], dxfattribs={"layer": layer})

    return _with(
        path,
        lambda pen: solid(pen, STANDARD.corners, WALL),
        lambda pen, hole: solid(pen, corners_of(hole.box), OPENING),
    )


def mirrored_extrusion(path: Path) -> Path:
    """Outlines drawn in the mirrored plane (extrusion 0, 0, -1), as CAD mirroring leaves them."""

    def ring(pen: Pen, points: Sequence[Point], layer: str) -> None:
        pen.loop([(-x, y) for x, y in points], layer, extrusion=(0, 0, -1))

    return _with(
        path,
        lambda pen: ring(pen, STANDARD.corners, WALL),
        lambda pen, hole: ring(pen, corners_of(hole.box), OPENING),
    )


def _fill_block(pen: Pen, block: Any) -> None:  # noqa: ANN401
    """Draw the standard elevation into a block, in inches."""
    kept, pen.space = pen.space, block
    pen.face()
    pen.space = kept


def one_block(path: Path) -> Path:
    """The whole elevation as one block."""
    pen = Pen()
    _fill_block(pen, pen.doc.blocks.new("ELEVATION"))
    pen.space.add_blockref("ELEVATION", (1000, 2000))
    return pen.save(path)


def block_layer_zero(path: Path) -> Path:
    """Blocks drawn on layer 0, whose references stand on the layers that count."""
    pen = Pen()
    wall = pen.doc.blocks.new("FACE")
    wall.add_lwpolyline(STANDARD.corners, close=True, dxfattribs={"layer": "0"})
    unit = pen.doc.blocks.new("UNIT-SQUARE", base_point=(1, 1))
    unit.add_lwpolyline([(1, 1), (2, 1), (2, 2), (1, 2)], close=True, dxfattribs={"layer": "0"})
    pen.space.add_blockref("FACE", (0, 0), dxfattribs={"layer": WALL})
    for hole in STANDARD.holes:
        x0, y0, x1, y1 = hole.box
        scale = {"xscale": x1 - x0, "yscale": y1 - y0, "layer": OPENING}
        pen.space.add_blockref("UNIT-SQUARE", (x0, y0), dxfattribs=scale)
    pen.tags()
    pen.joints()
    return pen.save(path)


def nested_blocks(path: Path) -> Path:
    """Three blocks in each other, turned and turned back, moved, and scaled from feet."""
    pen = Pen()
    pen.unit = "ft"
    _fill_block(pen, pen.doc.blocks.new("INNER", base_point=(5, 5)))
    pen.unit = "in"
    middle = pen.doc.blocks.new("MIDDLE")
    middle.add_blockref("INNER", (3, 4), dxfattribs={"rotation": 90, "xscale": 2, "yscale": 2, "zscale": 2})
    outer = pen.doc.blocks.new("OUTER")
    outer.add_blockref("MIDDLE", (7, -2), dxfattribs={"rotation": -90, "xscale": 6, "yscale": 6, "zscale": 6})
    pen.space.add_blockref("OUTER", (-400, 900))
    return pen.save(path)


def mirrored_block(path: Path) -> Path:
    """A block with the elevation drawn backwards, inserted mirrored."""
    pen = Pen()
    block = pen.doc.blocks.new("BACKWARDS")
    block.add_lwpolyline([(-x, y) for x, y in STANDARD.corners], close=True, dxfattribs={"layer": WALL})
    for hole in STANDARD.holes:
        points = [(-x, y) for x, y in corners_of(hole.box)]
        block.add_lwpolyline(points, close=True, dxfattribs={"layer": OPENING})
    pen.space.add_blockref("BACKWARDS", (0, 0), dxfattribs={"xscale": -1})
    pen.tags()
    pen.joints()
    return pen.save(path)


def mirrored_with_tags(path: Path) -> Path:
    """A block with the elevation and its tags drawn backwards, inserted mirrored."""
    pen = Pen()
    block = pen.doc.blocks.new("BACKWARDS")
    kept, pen.space = pen.space, block
    pen.loop([(-x, y) for x, y in STANDARD.corners], WALL)
    for hole in STANDARD.holes:
        pen.loop([(-x, y) for x, y in corners_of(hole.box)], OPENING)
        pen.text(hole.tag, (-(hole.box[0] + hole.box[2]) / 2, (hole.box[1] + hole.box[3]) / 2), height=6)
    pen.text(STANDARD.tag, (-30, 120))
    pen.line((-384, 0), (-384, 144), JOINT)
    pen.space = kept
    pen.space.add_blockref("BACKWARDS", (0, 0), dxfattribs={"xscale": -1})
    return pen.save(path)


def door_blocks(path: Path) -> Path:
    """Openings as door and window blocks of single lines, known by their names alone."""
    pen = Pen()
    pen.loop(STANDARD.corners, WALL)
    for name, hole in zip(("DOOR-3040", "WINDOW-4040"), STANDARD.holes, strict=True):
        x0, y0, x1, y1 = hole.box
        block = pen.doc.blocks.new(name)
        wide, high = x1 - x0, y1 - y0
        for a, b in (((0, 0), (0, high)), ((0, high), (wide, high)), ((wide, high), (wide, 0))):
            block.add_line(a, b, dxfattribs={"layer": "0"})
        block.add_line((0, 0), (wide, high), dxfattribs={"layer": "SWING"})
        pen.space.add_blockref(name, (x0, y0), dxfattribs={"layer": "A-DOOR"})
    pen.tags()
    pen.joints()
    return pen.save(path)


def attribute_tags(path: Path) -> Path:
    """Marks as attributes of tag blocks, as schedules need them."""
    pen = Pen()
    pen.loop(STANDARD.corners, WALL)
    bubble = pen.doc.blocks.new("DOOR-TAG")
    bubble.add_circle((0, 0), 9, dxfattribs={"layer": "0"})
    bubble.add_attdef("MARK", (-3, -3), dxfattribs={"height": 6})
    marks = [(STANDARD.tag, (30.0, 120.0))]
    for hole in STANDARD.holes:
        pen.box(hole.box)
        marks.append((hole.tag, ((hole.box[0] + hole.box[2]) / 2, (hole.box[1] + hole.box[3]) / 2)))
    for words, at in marks:
        reference = pen.space.add_blockref("DOOR-TAG", at, dxfattribs={"layer": TAG})
        reference.add_auto_attribs({"MARK": words})
    pen.joints()
    return pen.save(path)


def mtext_tags(path: Path) -> Path:
    """Marks as MTEXT with formatting."""
    pen = Pen()
    pen.loop(STANDARD.corners, WALL)
    for hole in STANDARD.holes:
        pen.box(hole.box)
        at = ((hole.box[0] + hole.box[2]) / 2, (hole.box[1] + hole.box[3]) / 2)
        pen.space.add_mtext(
            "{\\fArial|b1;" + hole.tag + "}",
            dxfattribs={"char_height": 6, "insert": at, "attachment_point": 5},
        )
    pen.space.add_mtext("\\LW1\\l", dxfattribs={"char_height": 9, "insert": (20, 125), "attachment_point": 1})
    pen.joints()
    return pen.save(path)


def bound_layers(path: Path) -> Path:
    """Layers that came in with a bound drawing."""
    pen = Pen()
    pen.loop(STANDARD.corners, "SHEET-A2$0$A-ELEV-WALL-FULL")
    for hole in STANDARD.holes:
        pen.loop(corners_of(hole.box), "sheet-a2$0$a-elev-opng")
    pen.tags()
    pen.joints()
    return pen.save(path)


WAYS: dict[str, Callable[[Path], Path]] = {
    "polylines": plain,
    "lines": from_lines,
    "foot broken at the door": foot_broken_at_the_door,
    "lines with gaps": from_lines_with_gaps,
    "crossing lines": from_crossing_lines,
    "open polylines": open_polylines,
    "3D polylines": three_d_polylines,
    "hatch": hatched,
    "solids": solids,
    "mirrored plane": mirrored_extrusion,
    "one block": one_block,
    "layer 0 blocks": block_layer_zero,
    "nested blocks": nested_blocks,
    "mirrored block": mirrored_block,
    "mirrored with tags": mirrored_with_tags,
    "door blocks": door_blocks,
    "attribute tags": attribute_tags,
    "mtext tags": mtext_tags,
    "bound layers": bound_layers,
    "R12": lambda p: plain(p, version="R12"),
    "R2000": lambda p: plain(p, version="R2000"),
    "R2004": lambda p: plain(p, version="R2004"),
    "R2007": lambda p: plain(p, version="R2007"),
    "R2013": lambda p: plain(p, version="R2013"),
    "R2018": lambda p: plain(p, version="R2018"),
    "binary R12": lambda p: plain(p, "bin", version="R12"),
    "binary R2018": lambda p: plain(p, "bin", version="R2018"),
    "millimetres": lambda p: plain(p, unit="mm"),
    "centimetres": lambda p: plain(p, unit="cm"),
    "metres": lambda p: plain(p, unit="m"),
    "feet": lambda p: plain(p, unit="ft"),
    "guessed inches": lambda p: plain(p, header=False),
    "guessed feet": lambda p: plain(p, header=False, unit="ft"),
    "guessed millimetres": lambda p: plain(p, header=False, unit="mm"),
    "guessed metres": lambda p: plain(p, header=False, unit="m"),
    "guessed centimetres": lambda p: plain(p, header=False, unit="cm"),
    "turned 30": lambda p: plain(p, angle=30.0),
    "turned 90": lambda p: plain(p, angle=90.0),
    "upside down": lambda p: plain(p, angle=180.0),
    "turned -120 far away in mm": lambda p: plain(p, angle=-120.0, unit="mm", origin=(4.5e6, -2.25e6)),
    "far away": lambda p: plain(p, origin=(123456.5, -98765.25)),
}
