"""Draws the two brick samples: a branch library in clay brick veneer (inches), a row of houses (millimetres).

Run from the repository's top folder::

    .venv/bin/python -m tests.samples.brick [FOLDER]

Both projects are invented. Each has a folder of its own in ``sample_drawings``, with its own settings.
"""

from __future__ import annotations

import itertools
import sys
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.layouts import Modelspace

from .drafting import feet_inches

DEFAULT_FOLDER = Path(__file__).resolve().parents[2] / "sample_drawings"
Point = tuple[float, float]

LAYERS = (
    ("A-ELEV-WALL", 4, 50),
    ("A-ELEV-OPNG", 2, 35),
    ("A-ELEV-GLAZ", 140, 13),
    ("A-ELEV-GRND", 7, 70),
    ("A-ELEV-ROOF", 5, 35),
    ("A-ELEV-SHLF", 6, 25),
    ("A-ELEV-PATT", 253, 5),
    ("A-ELEV-IDEN", 1, 25),
    ("A-ANNO-TEXT", 7, 25),
    ("A-ANNO-DIMS", 1, 18),
)


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening: tag, left jamb, sill, width, height."""

    tag: str
    x: float
    sill: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class BrickWall:
    """A wall: tag, left end, length, height, openings, heights of its shelf angles."""

    tag: str
    left: float
    length: float
    height: float
    holes: tuple[Hole, ...] = ()
    shelf_angles: tuple[float, ...] = ()
    unit: Point = (8.0, 8.0 / 3)


@dataclass(frozen=True, slots=True)
class BrickSheet:
    """A drawing; `size` is what one inch is in its units."""

    file: str
    title: str
    note: str
    units: int
    size: float
    walls: tuple[BrickWall, ...]


def _row(
    prefix: str, first: int, xs: tuple[float, ...], sill: float, width: float, height: float
) -> tuple[Hole, ...]:
    return tuple(Hole(f"{prefix}{first + i}", x, sill, width, height) for i, x in enumerate(xs))


_BAYS = (72.0, 216.0, 360.0, 632.0, 776.0, 920.0, 1064.0)
LIBRARY = BrickSheet(
    file="brick-us/library-west.dxf",
    title="BRANCH LIBRARY - WEST ELEVATION",
    note="CLAY BRICK VENEER; SHELF ANGLE AT SECOND FLOOR. AN INVENTED PROJECT, NOT FOR CONSTRUCTION.",
    units=1,
    size=1.0,
    walls=(
        BrickWall(
            "W1",
            0.0,
            1248.0,
            320.0,
            (
                *_row("N", 1, _BAYS, 32.0, 80.0, 72.0),
                Hole("D1", 512.0, 0.0, 48.0, 88.0),
                *_row("N", 11, _BAYS, 192.0, 80.0, 64.0),
            ),
            (152.0,),
        ),
    ),
)
_BRICK, _BLOCK = (225.0, 75.0), (450.0, 225.0)
ROW = BrickSheet(
    file="brick-uk/row-rear.dxf",
    title="ROW OF HOUSES - REAR ELEVATION AND GARDEN WALL",
    note="CLAY FACING BRICK; GARDEN WALL OF BLOCK. AN INVENTED PROJECT, NOT FOR CONSTRUCTION.",
    units=4,
    size=25.4,
    walls=(
        BrickWall(
            "R1",
            0.0,
            28_800.0,
            5_400.0,
            (
                *(h for i in range(4) for h in _row("N", 10 * i + 1, (7_200 * i + 900,), 900, 1_350, 1_200)),
                *(h for i in range(4) for h in _row("D", i + 1, (7_200 * i + 3_600,), 0, 1_800, 2_100)),
                *(
                    h
                    for i in range(4)
                    for h in _row("N", 10 * i + 2, (7_200 * i + 900,), 3_300, 1_350, 1_200)
                ),
                *(
                    h
                    for i in range(4)
                    for h in _row("N", 10 * i + 3, (7_200 * i + 3_825,), 3_300, 1_350, 1_200)
                ),
            ),
            unit=_BRICK,
        ),
        BrickWall("G1", 36_000.0, 18_000.0, 1_800.0, unit=_BLOCK),
    ),
)
SHEETS = (LIBRARY, ROW)


def build(sheet: BrickSheet) -> Drawing:
    """Return one sheet as a drawing in memory."""
    doc = ezdxf.new("R2010", setup=False)
    doc.header["$INSUNITS"] = sheet.units
    doc.header["$MEASUREMENT"] = int(sheet.units == 4)
    for name, color, weight in LAYERS:
        doc.layers.add(name, color=color, lineweight=weight)
    doc.styles.add("ANNO", font="arial.ttf")
    _dimension_style(doc, sheet)
    msp = doc.modelspace()
    for wall in sheet.walls:
        _wall(msp, sheet, wall)
    left, right = sheet.walls[0].left, sheet.walls[-1].left + sheet.walls[-1].length
    below, size = -230.0 * sheet.size, sheet.size
    msp.add_line((left - 72 * size, 0), (right + 72 * size, 0), dxfattribs={"layer": "A-ELEV-GRND"})
    _text(msp, sheet.title, (left, below), 18 * size)
    _text(msp, sheet.note, (left, below - 24 * size), 9 * size)
    return doc


def _dimension_style(doc: Drawing, sheet: BrickSheet) -> None:
    style = doc.dimstyles.add("BRICK")
    style.dxf.dimscale = 96.0 * sheet.size
    style.dxf.dimtxt = style.dxf.dimasz = 3 / 32
    style.dxf.dimtxsty = "ANNO"
    style.set_tick(1 / 16)
    style.dxf.dimlunit = 4 if sheet.units == 1 else 2
    style.dxf.dimdec = 4 if sheet.units == 1 else 0
    style.dxf.dimtad = 1
    style.dxf.dimgap = 1 / 32
    style.dxf.dimexe = style.dxf.dimexo = 1 / 16


def _text(msp: Modelspace, content: str, at: Point, height: float, layer: str = "A-ANNO-TEXT") -> None:
    entity = msp.add_text(content, height=height, dxfattribs={"layer": layer, "style": "ANNO"})
    entity.set_placement(at, align=Align.LEFT if layer == "A-ANNO-TEXT" else Align.MIDDLE_CENTER)


def _ring(msp: Modelspace, x0: float, y0: float, x1: float, y1: float, layer: str) -> list[Point]:
    points = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    msp.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    return points


def _wall(msp: Modelspace, sheet: BrickSheet, wall: BrickWall) -> None:
    size, x0, x1 = sheet.size, wall.left, wall.left + wall.length
    outline = _ring(msp, x0, 0.0, x1, wall.height, "A-ELEV-WALL")
    _ring(msp, x0 - 2 * size, wall.height, x1 + 2 * size, wall.height + 6 * size, "A-ELEV-ROOF")
    holes = []
    for hole in wall.holes:
        left, right, top = x0 + hole.x, x0 + hole.x + hole.width, hole.sill + hole.height
        holes.append(_ring(msp, left, hole.sill, right, top, "A-ELEV-OPNG"))
        _ring(msp, left + 3 * size, hole.sill + 3 * size, right - 3 * size, top - 3 * size, "A-ELEV-GLAZ")
        _text(msp, hole.tag, ((left + right) / 2, (hole.sill + top) / 2), 9 * size, "A-ELEV-IDEN")
    for height in wall.shelf_angles:
        msp.add_line((x0, height), (x1, height), dxfattribs={"layer": "A-ELEV-SHLF"})
    clear = min((h.x for h in wall.holes), default=wall.length)
    _text(msp, wall.tag, (x0 + min(clear, wall.length) / 2, wall.height * 0.55), 12 * size, "A-ELEV-IDEN")
    _coursing(msp, wall, outline, holes)
    stations = sorted({x0, x1, *(x0 + x for h in wall.holes for x in (h.x, h.x + h.width))})
    for a, b in itertools.pairwise(stations):
        _dimension(msp, sheet, a, b, -130 * size)
    _dimension(msp, sheet, x0, x1, -165 * size)


def _dimension(msp: Modelspace, sheet: BrickSheet, a: float, b: float, y: float) -> None:
    foot = y + 20 * sheet.size
    dimension = msp.add_linear_dim(
        base=(a, y),
        p1=(a, foot),
        p2=(b, foot),
        text=feet_inches(b - a) if sheet.units == 1 else "<>",
        dimstyle="BRICK",
        dxfattribs={"layer": "A-ANNO-DIMS"},
    )
    dimension.render()
    dimension.dimension.dxf.text = ""


def _coursing(msp: Modelspace, wall: BrickWall, outline: list[Point], holes: list[list[Point]]) -> None:
    length, course = wall.unit
    hatch = msp.add_hatch(dxfattribs={"layer": "A-ELEV-PATT"})
    definition = [
        [0.0, (wall.left, 0.0), (0.0, course), []],
        [90.0, (wall.left, 0.0), (-length / 2, course), [course, -course]],
    ]
    hatch.set_pattern_fill("BRICKWORK", color=256, scale=1.0, style=0, definition=definition)
    hatch.paths.add_polyline_path(outline, is_closed=True, flags=1)
    for hole in holes:
        hatch.paths.add_polyline_path(hole, is_closed=True, flags=16)


def build_all(folder: Path) -> list[Path]:
    """Write both sheets below a folder, the same on every run."""
    paths = []
    fixed = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        for sheet in SHEETS:
            path = folder / sheet.file
            path.parent.mkdir(exist_ok=True)
            doc = build(sheet)
            doc.classes.add_required_classes(doc.dxfversion)
            for key in sorted(doc.classes.classes):
                doc.classes.classes.move_to_end(key)
            doc.saveas(path)
            paths.append(path)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = fixed
    return paths


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else DEFAULT_FOLDER
    for written in build_all(target):
        sys.stdout.write(f"{written}\n")
