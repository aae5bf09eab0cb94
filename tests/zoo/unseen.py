"""Drawings of a drafter who had not seen how they are read: what was read wrongly, or asked for."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from zoo.odd import WALL, Odd
from zoo.pen import Pen, corners
from zoo.sheets import Opening, Point, Rectangle, Sheet, Wall, rectangle


def unmarked(
    title: str, read_as: str, *boxes: Rectangle, corners_of: tuple[Point, ...] = WALL.corners
) -> Wall:
    openings = tuple(Opening(f"opening {n}", box) for n, box in enumerate(boxes, 1))
    return Wall("", corners_of, openings, title=title, read_as=read_as)


def sheet_of_lines() -> Odd:
    """Border, title block, elevation, grid bubbles and notes: lines and circles on layer 0."""
    wall = unmarked("SOUTH ELEVATION", "S1", *(o.box for o in WALL.openings))
    pen = Pen("in")
    for frame in ((-200, -300, 900, 400), (-190, -290, 890, 390), (720, -290, 890, -160)):
        pen.lines(corners(frame), "0")
    for y in (-200, -240):
        pen.line((720, y), (890, y), "0")
    pen.text("FLAT CREEK SCHOOL", (805, -180), "0", 9)
    pen.text("A-201", (805, -265), "0", 24)
    pen.lines(wall.placed(), "0")
    for opening in wall.openings:
        pen.lines(corners(opening.box), "0")
    for x, letter in ((0, "A"), (480, "F")):
        pen.circle((x, 230), 18, "0")
        pen.line((x, 160), (x, 212), "0")
        pen.text(letter, (x, 230), "0", 18)
    pen.text(wall.title, (240, -120), "0", 16)
    pen.text('SCALE: 1/8" = 1\'-0"', (240, -145), "0", 8)
    return pen, Sheet("lines", (wall,))


def wainscot() -> Odd:
    """Brick below, block above, each with an outline of its own; a door stands in both."""
    boxes = ((80, 48, 152, 112), (200, 0, 240, 88), (312, 48, 384, 112))
    wall = unmarked("WEST ELEVATION", "W1", *boxes, corners_of=rectangle(480, 200))
    pen = Pen("in")
    pen.loop(corners((0, 0, 480, 40)), "A-ELEV-BRCK")
    pen.loop(corners((0, 40, 480, 200)), "A-ELEV-CMU")
    pen.loop(corners((-1, 38, 481, 42)), "A-ELEV-SILL")
    for box in boxes:
        pen.loop(corners(box), "A-DOOR" if box[1] == 0 else "A-GLAZ")
    pen.text("SPLIT-FACE CMU", (240, 180), "A-ANNO-NOTE")
    pen.text(wall.title, (240, -60), "A-ANNO-TITL", 16)
    return pen, Sheet("wainscot", (wall,))


def wainscot_unnamed() -> Odd:
    """The same on layers whose names say nothing: the door that is in both makes one wall of them."""
    pen, sheet = wainscot()
    for entity in pen.space:
        layer = entity.dxf.layer
        entity.dxf.layer = {"A-ELEV-BRCK": "MATERIAL-1", "A-ELEV-CMU": "MATERIAL-2"}.get(layer, layer)
    return pen, sheet


def trim_on_one_layer() -> Odd:
    """Shutters, soldier courses over the heads, sills with ears and lamps on the layer of everything."""
    boxes = ((80, 40, 144, 96), (200, 0, 240, 88), (304, 40, 368, 96))
    wall = unmarked("NORTH ELEVATION", "N1", *boxes)
    pen = Pen("in")
    pen.loop(wall.placed(), "ELEV")
    for x0, y0, x1, y1 in boxes:
        pen.loop(corners((x0, y0, x1, y1)), "ELEV")
        pen.loop(corners((x0 - 8, y1, x1 + 8, y1 + 8)), "ELEV")
        if y0 > 0:
            pen.loop(corners((x0 - 4, y0 - 4, x1 + 4, y0)), "ELEV")
            pen.loop(corners((x0 - 18, y0, x0 - 2, y1)), "ELEV")
            pen.loop(corners((x1 + 2, y0, x1 + 18, y1)), "ELEV")
    pen.loop(corners((256, 96, 264, 112)), "ELEV")
    pen.text(wall.title, (240, -60), "ELEV", 12)
    return pen, Sheet("trim", (wall,))


def transoms_and_frames() -> Odd:
    """A door with sidelights and a transom, and a storefront framed by thin rectangles."""
    boxes = ((40, 0, 136, 112), (200, 0, 440, 112))
    wall = unmarked("SOUTH ELEVATION", "S1", *boxes)
    pen = Pen("in")
    pen.loop(wall.placed(), "A-WALL")
    pen.loop(corners((64, 0, 112, 88)), "A-DOOR")
    for light in ((40, 0, 64, 88), (112, 0, 136, 88), (40, 88, 136, 112)):
        pen.loop(corners(light), "A-GLAZ")
    for y in (0, 110):
        pen.loop(corners((200, y, 440, y + 2)), "A-GLAZ")
    for x in (200, 279, 358, 438):
        pen.loop(corners((x, 2, x + 2, 110)), "A-GLAZ")
    for x0, x1 in ((202, 279), (281, 358), (360, 438)):
        pen.loop(corners((x0, 2, x1, 110)), "A-GLAZ")
    pen.text(wall.title, (240, -60), "A-ANNO-TEXT", 12)
    return pen, Sheet("transoms", (wall,))


def fanlight() -> Odd:
    """A round fanlight stands on its door: one opening, arched."""
    wall = unmarked("FRONT ELEVATION", "F1", (100, 0, 140, 108))
    pen = Pen("in")
    pen.loop(wall.placed(), "A-WALL")
    pen.loop(corners((100, 0, 140, 88)), "A-DOOR")
    arch = [(100, 88, 0), (140, 88, 1)]
    pen.space.add_lwpolyline(arch, format="xyb", close=True, dxfattribs={"layer": "A-GLAZ"})
    pen.text(wall.title, (240, -60), "A-ANNO-TEXT", 12)
    return pen, Sheet("fanlight", (wall,))


def joinery() -> Odd:
    """French joinery and an American abbreviation are layers of openings; an awning over the door is none."""
    wall = unmarked("OUEST", "O1", *(o.box for o in WALL.openings))
    pen = Pen("in")
    pen.loop(wall.placed(), "FACADE_BRIQUE")
    door, left, right = wall.openings
    pen.loop(corners(door.box), "PORTES")
    pen.loop(corners(left.box), "MENUISERIES_EXT")
    pen.loop(corners(right.box), "A-ELEV-WNDW")
    pen.loop(corners((80, 90, 152, 120)), "A-AWNG")
    pen.text(wall.title, (240, -60), "TEXTE", 12)
    return pen, Sheet("joinery", (wall,))


def filled_windows() -> Odd:
    """A presentation: one outline, and doors and windows that are solid fills on layers of their own."""
    wall = unmarked("NORTH ELEVATION", "N1", *(o.box for o in WALL.openings))
    pen = Pen("in")
    pen.loop(wall.placed(), "Elevation")
    for opening in wall.openings:
        pen.hatch(corners(opening.box), "Doors" if opening.is_door else "Glass")
    pen.text(wall.title, (240, -60), "Labels", 12)
    return pen, Sheet("fills", (wall,))


UNSEEN: Final[tuple[Callable[[], Odd], ...]] = (
    sheet_of_lines,
    wainscot,
    wainscot_unnamed,
    trim_on_one_layer,
    transoms_and_frames,
    fanlight,
    joinery,
    filled_windows,
)
