"""More drawings made without looking at how they are read: each was read wrongly, or refused, at first."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Final

from zoo.odd import WALL, Odd
from zoo.pen import Pen, corners
from zoo.sheets import Opening, Sheet, Wall, rectangle
from zoo.unseen import unmarked

BOXES: Final = tuple(opening.box for opening in WALL.openings)


def coping_and_grade() -> Odd:
    """Two corners on a layer of masonry; the coping is a closed outline, grade runs on past the wall."""
    wall = unmarked("NORTH SIDE", "N1", *BOXES)
    pen = Pen("in")
    for x in (0, 480):
        pen.line((x, 0), (x, 144), "A-ELEV-MSNY")
    pen.loop(corners((-2, 144, 482, 150)), "A-ELEV-CPNG")
    pen.line((-120, 0), (600, 0), "A-ELEV-GRND")
    for box in BOXES:
        pen.loop(corners(box), "A-GLAZ")
    for x in (0, 480):
        pen.line((x, -10), (x, 190), "EJES")
    pen.text(wall.title, (240, -60), "A-ANNO", 12)
    return pen, Sheet("coping", (wall,))


def fills_named_fills() -> Odd:
    """Doors and windows are solid fills on layers that say both glass and fill."""
    wall = unmarked("2 WEST WALL", "W1", *BOXES)
    pen = Pen("in")
    pen.loop(wall.placed(), "BRICK")
    for box in BOXES:
        pen.hatch(corners(box), "DOOR-FILL" if box[1] == 0 else "GLASS-FILL")
    pen.text(wall.title, (240, -60), "TXT", 12)
    return pen, Sheet("fills", (wall,))


def fittings_on_one_layer() -> Odd:
    """Heads of downspouts, a sign with its words and a block of a light, all on the layer of the wall."""
    wall = unmarked("EAST FACADE", "E1", *BOXES)
    pen = Pen("in", header=False)
    light = pen.doc.blocks.new("WALL-LIGHT-2")
    light.add_lwpolyline(corners((0, 0, 20, 30)), close=True)
    pen.loop(wall.placed(), "0")
    for box in BOXES:
        pen.loop(corners(box), "0")
    for x in (10, 454):
        pen.loop(corners((x, 0, x + 4, 124)), "0")
        pen.loop(corners((x - 4, 124, x + 12, 144)), "0")
    pen.loop(corners((160, 100, 220, 140)), "0")
    pen.text("SIGN", (190, 120), "0", 5)
    pen.space.add_blockref("WALL-LIGHT-2", (40, 90), dxfattribs={"layer": "0"})
    pen.text(wall.title, (240, -60), "0", 12)
    return pen, Sheet("fittings", (wall,))


def feet_called_inches() -> Odd:
    """Drawn in feet while the header says inches; a gable as high as two garden walls of inches."""
    gable = ((0.0, 0.0), (432.0, 0.0), (432.0, 120.0), (216.0, 216.0), (0.0, 120.0))
    wall = unmarked("SUED", "S1", (48, 36, 104, 84), (176, 0, 256, 88), (328, 36, 384, 84), corners_of=gable)
    pen = Pen("ft")
    pen.doc.header["$INSUNITS"] = 1
    pen.loop(wall.placed(), "BLDG-LINES")
    for opening in wall.openings:
        pen.loop(corners(opening.box), "WINDOWS")
    pen.text(wall.title, (216, -40), "NOTES", 10)
    return pen, Sheet("feet", (wall,))


def title_on_paper() -> Odd:
    """The title is on the layout whose viewport shows the elevation."""
    wall = unmarked("SOUTH ELEVATION", "S1", *BOXES)
    pen = Pen("in")
    pen.loop(wall.placed(), "A-WALL")
    for box in BOXES:
        pen.loop(corners(box), "A-GLAZ")
    paper = pen.doc.layout("Layout1")
    paper.page_setup(size=(36, 24), margins=(0, 0, 0, 0), units="inch")
    paper.add_viewport((14, 14), size=(24, 10), view_center_point=(240, 52), view_height=480)
    paper.add_text(wall.title, height=0.25).set_placement((3.6, 8))
    paper.add_text("NORTH ELEVATION", height=0.25).set_placement((30, 2))
    return pen, Sheet("paper", (wall,))


def plan_above() -> Odd:
    """A floor plan on the layers of the elevation; its partition makes a shape that looks like a window."""
    wall = unmarked("FRONT ELEVATION", "F1", *BOXES)
    pen = Pen("in")
    pen.loop(wall.placed(), "A-WALL")
    for box in BOXES:
        pen.loop(corners(box), "A-GLAZ")
    pen.origin = (0, 420)
    pen.lines(rectangle(480, 360), "A-WALL")
    pen.lines(corners((8, 8, 472, 352)), "A-WALL")
    for x in (300, 305):
        pen.line((x, 8), (x, 352), "A-WALL")
    pen.loop(corners((72, 0, 128, 8)), "A-GLAZ")
    pen.line((180, 8), (180, 48), "A-DOOR")
    pen.space.add_arc(pen.to((180, 8)), 40, 0, 90, dxfattribs={"layer": "A-DOOR"})
    pen.text("OFFICE", (150, 180), "A-ANNO")
    pen.text("FIRST FLOOR PLAN", (120, -50), "A-ANNO", 12)
    pen.origin = (0, 0)
    pen.text(wall.title, (120, -50), "A-ANNO", 12)
    return pen, Sheet("plan", (wall,))


def plan_without_a_title() -> Odd:
    """A plan beside the elevation, without a title; its rooms alone give it away, which is doubted."""
    wall = unmarked("REAR ELEVATION", "R1", *BOXES)
    pen = Pen("in")
    pen.loop(wall.placed(), "A-WALL")
    for box in BOXES:
        pen.loop(corners(box), "A-GLAZ")
    pen.loop(corners((700, 0, 1180, 360)), "A-WALL")
    pen.loop(corners((708, 8, 1000, 352)), "A-WALL")
    pen.loop(corners((1005, 8, 1172, 352)), "A-WALL")
    pen.loop(corners((760, 0, 820, 8)), "A-GLAZ")
    pen.text("STORAGE", (850, 180), "A-ANNO")
    pen.text(wall.title, (240, -50), "A-ANNO", 12)
    return pen, Sheet("plan", (wall,))


def pens() -> Odd:
    """Layers are the pens they are plotted with; one line of grade runs under two walls of three lines."""
    walls = []
    pen = Pen("in", header=False, version="R12")
    pen.line((-80, 0), (1400, 0), "PEN3")
    for n, (title, tag, left) in enumerate((("EAST ELEV.", "E1", 0), ("WEST ELEV.", "W1", 760))):
        openings = tuple(Opening(f"opening {3 * n + i}", box) for i, box in enumerate(BOXES, 1))
        walls.append(Wall("", WALL.corners, openings, (left, 0), title, tag))
        pen.origin = (left, 0)
        for a, b in itertools.pairwise(((0, 0), (0, 144), (480, 144), (480, 0))):
            pen.line(a, b, "PEN7")
        for box in BOXES:
            pen.lines(corners(box), "PEN2")
        pen.text(title, (120, -40), "PEN1", 10)
    pen.origin = (0, 0)
    return pen, Sheet("pens", tuple(walls))


def ornament() -> Odd:
    """The header says metric and no unit, a title says feet; bands and a cornice are on the one layer."""
    wall = unmarked("FRONT ELEVATION", "F1", *BOXES, corners_of=rectangle(480, 240))
    pen = Pen("in", header=False)
    pen.doc.header["$MEASUREMENT"] = 1
    pen.loop(wall.placed(), "FRONT")
    for band in ((-6, 240, 486, 254), (0, 112, 480, 122), (40, 124, 440, 138)):
        pen.loop(corners(band), "FRONT")
    for box in BOXES:
        pen.loop(corners(box), "FRONT")
    pen.text(wall.title, (240, -50), "FRONT", 12)
    pen.text('SCALE: 1/4"=1\'-0"', (240, -66), "FRONT", 6)
    return pen, Sheet("ornament", (wall,))


STRANGERS: Final[tuple[Callable[[], Odd], ...]] = (
    coping_and_grade,
    fills_named_fills,
    fittings_on_one_layer,
    feet_called_inches,
    title_on_paper,
    plan_above,
    plan_without_a_title,
    pens,
    ornament,
)
