"""What a plate of the gallery is made of, and how it is drawn with ezdxf. All lengths are inches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import ezdxf
from ezdxf.enums import TextEntityAlignment

Ring = tuple[tuple[float, float], ...]

WALLS, OPENINGS, TAGS = "A-ELEV-WALL", "A-ELEV-OPNG", "A-ELEV-IDEN"
PILASTERS, SUPPORTS, INTERSECTIONS = "A-ELEV-PILR", "A-ELEV-SUPT", "A-ELEV-INTS"
BEARINGS, NO_JOINTS, SHELF_ANGLES = "A-ELEV-BRNG", "A-ELEV-NOJT", "A-ELEV-SHLF"
THICKNESS, EXPANSION, FOUNDATION = "A-ELEV-THCK", "A-ELEV-EXPJ", "A-ELEV-FJNT"
JOINTS = "A-ELEV-JNTC"

FOOT = 12.0


@dataclass(frozen=True)
class Hole:
    """An opening: left jamb, sill, right jamb, head; a rise above 0 is an arch over it."""

    x0: float
    y0: float
    x1: float
    y1: float
    tag: str = ""
    rise: float = 0.0
    layer: str = OPENINGS


@dataclass(frozen=True)
class Shape:
    """A line, a closed outline, or a text on a layer."""

    layer: str
    points: Ring
    closed: bool = False
    text: str = ""


@dataclass(frozen=True)
class Upright:
    """Demand: a joint stands at a station over these heights."""

    x: float
    y0: float
    y1: float


@dataclass(frozen=True)
class Bare:
    """Demand: no upright piece of a joint stands inside this region."""

    x0: float
    y0: float
    x1: float
    y1: float


@dataclass(frozen=True)
class OneOf:
    """Demand: exactly so many of these stations have a joint over these heights."""

    stations: tuple[float, ...]
    y0: float
    y1: float
    count: int = 1


@dataclass(frozen=True)
class Count:
    """Demand: the number of joints on the plate."""

    least: int
    most: int


@dataclass(frozen=True)
class Says:
    """Demand: a finding of this code, or none of it."""

    code: str
    said: bool = True


@dataclass(frozen=True)
class Letters:
    """Demand: a text of ours within a box of the sheet, or none."""

    text: str
    x0: float
    y0: float
    x1: float
    y1: float
    there: bool = True


@dataclass(frozen=True)
class Spaced:
    """Demand: between two stations no masonry on a level line is longer than this without a joint."""

    y: float
    x0: float
    x1: float
    most: float


Demand = Upright | Bare | OneOf | Count | Says | Letters | Spaced


@dataclass(frozen=True)
class Plate:
    """One elevation of the gallery, with what must and must not hold.

    Attributes:
        name: file name without suffix.
        title: what it shows, in a few words.
        walls: tag and outline of each wall.
        holes: openings.
        shapes: what else is drawn.
        demands: what must hold in the output.
        settings: settings file, TOML.
        texts: other texts, with their middles.
        alone: stations between which masonry stands by itself, such as an unbonded pilaster.
        complies: True when every required rule can be met.
        point: what an engineer of record looks at here.
    """

    name: str
    title: str
    walls: tuple[tuple[str, Ring], ...]
    holes: tuple[Hole, ...] = ()
    shapes: tuple[Shape, ...] = ()
    demands: tuple[Demand, ...] = ()
    settings: str = ""
    complies: bool = True
    point: str = ""
    joints: tuple[Ring, ...] = field(default=())
    alone: tuple[tuple[float, float], ...] = ()
    texts: tuple[tuple[str, tuple[float, float]], ...] = ()


def box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    """Return the corners of a rectangle."""
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def wall(length: float, height: float, tag: str = "W1", x: float = 0.0, y: float = 0.0) -> tuple[str, Ring]:
    """Return a plain wall."""
    return tag, box(x, y, x + length, y + height)


def row(
    first: float, pitch: float, count: int, y0: float, width: float, y1: float, tag: str = "W"
) -> tuple[Hole, ...]:
    """Return openings of one size at one pitch."""
    return tuple(
        Hole(first + k * pitch, y0, first + k * pitch + width, y1, f"{tag}{k + 1}") for k in range(count)
    )


def line(layer: str, *points: tuple[float, float]) -> Shape:
    """Return a line on a layer."""
    return Shape(layer, tuple(points))


def strip(layer: str, x0: float, y0: float, x1: float, y1: float) -> Shape:
    """Return a closed rectangle on a layer."""
    return Shape(layer, box(x0, y0, x1, y1), closed=True)


def draw(plate: Plate, folder: Path) -> Path:
    """Draw a plate, with its settings beside it, and return the drawing's path."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 1
    doc.header["$MEASUREMENT"] = 0
    joints = (JOINTS,) if plate.joints else ()
    for name in (WALLS, OPENINGS, TAGS, *joints, *{s.layer for s in plate.shapes}):
        if name not in doc.layers:
            doc.layers.add(name)
    space = doc.modelspace()
    for tag, ring in plate.walls:
        space.add_lwpolyline(ring, close=True, dxfattribs={"layer": WALLS})
        _text(space, tag, _free_spot(plate, ring), 12.0)
    for hole in plate.holes:
        _draw_hole(space, hole)
    for shape in plate.shapes:
        space.add_lwpolyline(shape.points, close=shape.closed, dxfattribs={"layer": shape.layer})
        if shape.text:
            xs, ys = zip(*shape.points, strict=True)
            _text(space, shape.text, (sum(xs) / len(xs), sum(ys) / len(ys)), 6.0, shape.layer)
    for said, at in plate.texts:
        _text(space, said, at, 6.0)
    for path in plate.joints:
        space.add_lwpolyline(path, dxfattribs={"layer": JOINTS})
    target = folder / f"{plate.name}.dxf"
    doc.saveas(target)
    if plate.settings:
        (folder / f"{plate.name}.toml").write_text(plate.settings)
    return target


def _draw_hole(space: ezdxf.layouts.Modelspace, hole: Hole) -> None:
    bulge = 2 * hole.rise / (hole.x1 - hole.x0)
    points = [
        (hole.x0, hole.y0, 0.0),
        (hole.x1, hole.y0, 0.0),
        (hole.x1, hole.y1 - hole.rise, bulge),
        (hole.x0, hole.y1 - hole.rise, 0.0),
    ]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": hole.layer})
    if hole.tag:
        _text(space, hole.tag, ((hole.x0 + hole.x1) / 2, (hole.y0 + hole.y1) / 2), 6.0)


def _text(
    space: ezdxf.layouts.Modelspace, text: str, at: tuple[float, float], size: float, layer: str = TAGS
) -> None:
    space.add_text(text, height=size, dxfattribs={"layer": layer}).set_placement(
        at, align=TextEntityAlignment.MIDDLE_CENTER
    )


def _free_spot(plate: Plate, ring: Ring) -> tuple[float, float]:
    """Return a spot inside a wall and outside its openings."""
    xs, ys = [x for x, _ in ring], [y for _, y in ring]
    low, high = min(ys), max(ys)
    for share in (0.06, 0.5, 0.94, 0.3, 0.7):
        for x in (min(xs) + 20 + 24 * k for k in range(int((max(xs) - min(xs) - 40) / 24) + 1)):
            at = (x, max(low + share * (high - low), low + 10))
            clear = all(
                not (h.x0 - 16 <= at[0] <= h.x1 + 16 and h.y0 - 8 <= at[1] <= h.y1 + 8) for h in plate.holes
            )
            if clear and inside(at, ring):
                return at
    return (min(xs) + 10, low + 8)


def inside(at: tuple[float, float], ring: Sequence[tuple[float, float]]) -> bool:
    """Say whether a point is inside a ring, by counting crossings."""
    x, y = at
    found = False
    for (xa, ya), (xb, yb) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ya > y) != (yb > y) and x < xa + (xb - xa) * (y - ya) / (yb - ya):
            found = not found
    return found
