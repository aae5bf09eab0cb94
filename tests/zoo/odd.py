"""Drawings with what offices draw besides walls and openings; each says what is to be read in it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Final

from zoo.manners import NATIONAL, Scheme, notes
from zoo.pen import Pen, corners
from zoo.sheets import Opening, Sheet, Wall, rectangle

ONE: Final = Scheme(*["0"] * 8)
WALL: Final = Wall(
    "W1",
    rectangle(480, 144),
    (Opening("D1", (96, 0, 136, 88)), Opening("N1", (240, 40, 304, 96)), Opening("N2", (360, 40, 424, 96))),
)
SHEET: Final = Sheet("odd", (WALL,))
Odd = tuple[Pen, Sheet]


def _draw(pen: Pen, wall: Wall, wall_layer: str, opening_layer: str) -> None:
    pen.loop(wall.placed(), wall_layer)
    for opening in wall.openings:
        pen.loop(corners(wall.placed_box(opening)), opening_layer)


def plan() -> Odd:
    """A floor plan is no elevation: rooms, doors with their swings, windows in bands."""
    pen = Pen("in")
    pen.loop(rectangle(480, 360), "A-WALL")
    pen.loop(corners((8, 8, 472, 352)), "A-WALL")
    pen.loop(corners((100, 0, 160, 8)), "A-GLAZ")
    pen.loop(corners((300, 0, 336, 8)), "A-DOOR")
    pen.line((300, 8), (300, 44), "A-DOOR")
    pen.space.add_arc((300, 8), 36, 0, 90, dxfattribs={"layer": "A-DOOR"})
    pen.text("OFFICE", (240, 180), "A-ANNO-TEXT")
    pen.text("101", (240, 170), "A-ANNO-TEXT")
    pen.text("FIRST FLOOR PLAN", (240, -40), "A-ANNO-TEXT", 12)
    return pen, Sheet("plan", ())


def foundation() -> Odd:
    """A strip of foundation below the wall on the wall's layer."""
    pen = Pen("in")
    _draw(pen, WALL, "A-WALL", "A-GLAZ")
    pen.loop(corners((-12, -36, 492, -12)), "A-WALL")
    pen.loop(corners((0, -12, 480, 0)), "A-WALL")
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


def plinth() -> Odd:
    """A plinth at the wall's foot on the wall's layer, cut by the door."""
    pen = Pen("in")
    _draw(pen, WALL, "A-WALL", "A-GLAZ")
    pen.loop(corners((0, 0, 96, 16)), "A-WALL")
    pen.loop(corners((136, 0, 480, 16)), "A-WALL")
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


def siding() -> Odd:
    """Siding above the masonry on a layer of its own, with boards."""
    pen = Pen("in")
    _draw(pen, WALL, "MASONRY", "WINDOWS")
    pen.loop(corners((0, 144, 480, 240)), "SIDING")
    for y in range(150, 240, 6):
        pen.line((0, y), (480, y), "SIDING")
    notes(pen, SHEET, Scheme("", "", "", "TEXT", "GRADE", "", "BORDER", ""))
    return pen, SHEET


def sloping_grade() -> Odd:
    """The foot of the wall follows a sloping grade on a layer of its own."""
    wall = Wall("W1", ((0, 36), (480, 0), (480, 180), (0, 180)), (Opening("N1", (200, 80, 264, 136)),))
    pen = Pen("in")
    pen.path(((0, 36), (0, 180), (480, 180), (480, 0)), "A-WALL")
    pen.path(((-72, 41.4), (540, -4.5)), "C-GRADE")
    pen.loop(corners((200, 80, 264, 136)), "A-GLAZ")
    pen.text("W1", (60, 150), "A-ANNO")
    pen.text("N1", (232, 108), "A-ANNO")
    return pen, Sheet("sloping", (wall,))


def dimensions_exploded() -> Odd:
    """Dimensions exploded to lines, arrowheads and texts, on the one layer of the drawing."""
    pen = Pen("in")
    _draw(pen, WALL, "0", "0")
    xs = (0, 96, 136, 240, 304, 360, 424, 480)
    pen.line((0, -30), (480, -30), "0")
    for x in xs:
        pen.line((x, -34), (x, -4), "0")
        pen.space.add_solid([(x, -30), (x + 4, -31), (x + 4, -29)], dxfattribs={"layer": "0"})
    for a, b in itertools.pairwise(xs):
        pen.text(f"{(b - a) // 12}'-{(b - a) % 12}\"", ((a + b) / 2, -26), "0", 4)
    notes(pen, SHEET, ONE)
    return pen, SHEET


def rooms_and_details() -> Odd:
    """Room names, keynotes and detail bubbles in the wall, which has no mark of its own."""
    wall = Wall("", WALL.corners, WALL.openings, title="EAST ELEVATION", read_as="E1")
    pen = Pen("in")
    _draw(pen, wall, "A-WALL", "A-GLAZ")
    notes(pen, Sheet("rooms", (wall,)), NATIONAL)
    for words, at in (("LOBBY", (180, 70)), ("101", (180, 60)), ("5", (200, 120)), ("A-501", (200, 112))):
        pen.text(words, at, "A-ANNO-TEXT", 5)
    pen.circle((200, 116), 12, "A-ANNO-SYMB")
    pen.text("12", (330, 70), "A-ANNO-KEYN", 5)
    pen.circle((330, 70), 7, "A-ANNO-KEYN")
    return pen, Sheet("rooms", (wall,))


def in_a_layout(name: str = "Layout1") -> Odd:
    """The elevation is drawn in a layout; modelspace is empty."""
    pen = Pen("in")
    pen.space = pen.doc.layout(name) if name in pen.doc.layout_names() else pen.doc.new_layout(name)
    _draw(pen, WALL, "A-WALL", "A-GLAZ")
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


def two_scales() -> Odd:
    """Two elevations on one sheet, one drawn at half the scale of the other."""
    pen = Pen("in")
    _draw(pen, WALL, "A-WALL", "A-GLAZ")
    small = Wall("W2", tuple((x / 2 + 700, y / 2) for x, y in WALL.corners))
    pen.loop(small.corners, "A-WALL")
    for opening in WALL.openings:
        x0, y0, x1, y1 = (side / 2 for side in opening.box)
        pen.loop(corners((x0 + 700, y0, x1 + 700, y1)), "A-GLAZ")
    pen.text("W1", (24, 108), "A-ANNO")
    pen.text("W2", (712, 54), "A-ANNO")
    for opening in WALL.openings:
        x, y = (opening.box[0] + opening.box[2]) / 2, (opening.box[1] + opening.box[3]) / 2
        pen.text(opening.tag, (x, y), "A-ANNO", 5)
        pen.text(opening.tag.replace("N", "M"), (700 + x / 2, y / 2), "A-ANNO", 5)
    pen.text('SCALE: 1/4" = 1\'-0"', (240, -30), "A-ANNO")
    pen.text('SCALE: 1/8" = 1\'-0"', (820, -30), "A-ANNO")
    second = Wall(
        "W2", WALL.corners, tuple(Opening(o.tag.replace("N", "M"), o.box) for o in WALL.openings), (700, 0)
    )
    return pen, Sheet("scales", (WALL, second))


def filled_on_one_layer() -> Odd:
    """Wall and notes on layer 0; openings are solid fills alone. A patch of brick and a lamp are none."""
    pen = Pen("in")
    pen.loop(WALL.placed(), "0")
    brick = pen.space.add_hatch(dxfattribs={"layer": "0"})
    brick.set_pattern_fill("ANSI32", scale=8)
    brick.paths.add_polyline_path(corners((300, 24, 360, 88)), is_closed=True)
    pen.hatch(corners((390, 90, 398, 98)), "0")
    for opening in WALL.openings:
        pen.hatch(corners(WALL.placed_box(opening)), "0")
    notes(pen, SHEET, ONE)
    return pen, SHEET


def border_block() -> Odd:
    """The border and its title block are a block; the elevation is on layer 0."""
    pen = Pen("in")
    block = pen.doc.blocks.new("SHEET-D")
    block.add_lwpolyline(corners((-200, -160, 900, 400)), close=True)
    block.add_lwpolyline(corners((-190, -150, 890, 390)), close=True)
    block.add_lwpolyline(corners((720, -150, 890, -40)), close=True)
    block.add_text("SCALE", height=6).set_placement((730, -60))
    pen.space.add_blockref("SHEET-D", (0, 0), dxfattribs={"layer": "0"})
    _draw(pen, WALL, "0", "0")
    pen.text("W1", (24, 108), "0", 9)
    for opening in WALL.openings:
        x0, y0, x1, y1 = opening.box
        pen.text(opening.tag, ((x0 + x1) / 2, (y0 + y1) / 2), "0", 5)
    return pen, SHEET


def window_blocks_of_no_name() -> Odd:
    """Windows are blocks called T1 on layer 0 with mullions and a sill with ears; the wall has its layer."""
    pen = Pen("in")
    block = pen.doc.blocks.new("T1")
    for by in (0.0, -2.0):
        block.add_lwpolyline(corners((0, 0, 64, 56), by), close=True)
    block.add_line((32, 2), (32, 54))
    block.add_lwpolyline(corners((-4, -4, 68, 0)), close=True)
    pen.loop(WALL.placed(), "A-ELEV-WALL")
    pen.loop(corners((96, 0, 136, 88)), "A-DOOR")
    for x in (240, 360):
        pen.space.add_blockref("T1", (x, 40), dxfattribs={"layer": "0"})
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


def facade_fittings() -> Odd:
    """Downspouts, lamps, a sign and a canopy on the elevation's layer."""
    pen = Pen("in")
    _draw(pen, WALL, "ELEV", "ELEV")
    pen.loop(corners((6, 0, 10, 140)), "ELEV")
    pen.loop(corners((470, 0, 474, 140)), "ELEV")
    pen.loop(corners((80, 90, 86, 100)), "ELEV")
    pen.circle((200, 110), 4, "ELEV")
    notes(pen, SHEET, Scheme("", "", "", "NOTES", "GROUND", "", "SHEET-BORDER", ""))
    return pen, SHEET


def level_lines() -> Odd:
    """Lines of levels across the wall and past it, with their marks."""
    pen = Pen("in")
    _draw(pen, WALL, "A-WALL", "A-GLAZ")
    for y, words in ((0, "FIRST FLOOR"), (120, "ROOF BRG."), (144, "T.O. MASONRY")):
        pen.line((-80, y), (560, y), "A-LEVL")
        pen.text(words, (600, y), "A-LEVL", 5)
        pen.text(f"{100 + y // 12}'-0\"", (600, y - 8), "A-LEVL", 5)
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


def coursing() -> Odd:
    """The coursing is drawn line by line on a layer of its own whose name says nothing."""
    pen = Pen("in")
    _draw(pen, WALL, "WALL", "OPENINGS")
    for y in range(8, 144, 8):
        for x0, x1 in ((0, 96), (136, 240), (304, 360), (424, 480)):
            pen.line((x0, y), (x1, y), "THIN")
    for y in range(0, 144, 8):
        for x in range(8 if y % 16 else 16, 96, 16):
            pen.line((x, y), (x, y + 8), "THIN")
    notes(pen, SHEET, Scheme("", "", "", "TEXT", "GRADE", "", "BORDER", ""))
    return pen, SHEET


def arched() -> Odd:
    """Round-headed openings on a national layer; the box of their extremes counts."""
    pen = Pen("in")
    pen.loop(WALL.placed(), "A-WALL")
    for opening in WALL.openings:
        x0, y0, x1, y1 = opening.box
        rise = (x1 - x0) / 8
        bulge = math.tan(math.atan2(rise, (x1 - x0) / 2))
        rows = [(x0, y0, 0), (x1, y0, 0), (x1, y1 - rise, bulge), (x0, y1 - rise, 0)]
        pen.space.add_lwpolyline(rows, format="xyb", close=True, dxfattribs={"layer": "A-GLAZ"})
    notes(pen, SHEET, NATIONAL)
    return pen, SHEET


ODD: Final[tuple[Callable[[], Odd], ...]] = (
    plan,
    foundation,
    plinth,
    siding,
    sloping_grade,
    dimensions_exploded,
    rooms_and_details,
    in_a_layout,
    two_scales,
    filled_on_one_layer,
    border_block,
    window_blocks_of_no_name,
    facade_fittings,
    level_lines,
    coursing,
    arched,
)
