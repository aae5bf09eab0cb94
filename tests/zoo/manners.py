"""How offices draw an elevation: each manner takes a sheet of the zoo and returns a pen that has drawn it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from zoo.pen import Pen, corners
from zoo.sheets import Opening, Point, Sheet, Wall


@dataclass(frozen=True)
class Scheme:
    """Layers of an office."""

    wall: str
    window: str
    door: str
    text: str
    grade: str
    hatch: str
    border: str
    dims: str


NATIONAL: Final = Scheme(
    "A-WALL", "A-GLAZ", "A-DOOR", "A-ANNO-TEXT", "A-ELEV-GRAD", "A-WALL-PATT", "A-ANNO-TTLB", "A-ANNO-DIMS"
)
NATIONAL_LONG: Final = Scheme(
    "A-WALL-MASN-EXTR",
    "A-GLAZ-SILL",
    "A-DOOR-FRAM",
    "A-ANNO-SYMB",
    "C-TOPO",
    "A-ELEV-PATT",
    "G-ANNO-TTLB",
    "A-DIMS",
)
GERMAN: Final = Scheme(
    "A_MAUERWERK", "A_FENSTER", "A_TÜREN", "A_TEXT", "A_GELÄNDE", "A_SCHRAFFUR", "A_RAHMEN", "A_BEMASSUNG"
)
SPANISH: Final = Scheme("MUROS", "VENTANAS", "PUERTAS", "TEXTOS", "TERRENO", "SOMBREADO", "MARCO", "COTAS")
FRENCH: Final = Scheme(
    "MUR-FACADE", "FENETRES", "PORTES", "TEXTES", "TERRAIN", "HACHURES", "CADRE", "COTATION"
)
BRITISH: Final = Scheme(
    "A-210-M-Walls", "A-314-M-Windows", "A-315-M-Doors", "A-900-T-Text", "A-100-M-Ground",
    "A-210-H-Brickwork", "A-900-M-Sheet", "A-900-D-Dimensions",
)  # fmt: skip


def _middle(wall: Wall, opening: Opening) -> Point:
    x0, y0, x1, y1 = wall.placed_box(opening)
    return (x0 + x1) / 2, (y0 + y1) / 2


def _extent(sheet: Sheet) -> tuple[float, float, float, float]:
    points = [p for wall in sheet.walls for p in wall.placed()]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def notes(pen: Pen, sheet: Sheet, s: Scheme) -> None:
    """Write the marks, titles and notes of a sheet, and draw its grade line and border."""
    for wall in sheet.walls:
        x, y = wall.at
        wide = max(px for px, _ in wall.corners)
        if wall.tag:
            pen.text(wall.tag, (x + 24, y + 108), s.text, 9)
        for opening in wall.openings:
            pen.text(opening.tag, _middle(wall, opening), s.text, 5)
        if wall.title:
            pen.text(wall.title, (x + wide / 2, y - 40), s.text, 12)
            pen.text('SCALE: 1/8" = 1\'-0"', (x + wide / 2, y - 60), s.text, 6)
        pen.text("BRICK VENEER, RUNNING BOND", (x + wide / 2, y + 118), s.text, 5)
    x0, y0, x1, y1 = _extent(sheet)
    foot = sheet.walls[0].at[1]
    pen.line((x0 - 60, foot), (x1 + 60, foot), s.grade)
    frame = (x0 - 200, y0 - 160, x1 + 420, y1 + 160)
    pen.loop(corners(frame), s.border)
    pen.loop(corners((frame[2] - 160, frame[1], frame[2], frame[1] + 120)), s.border)
    pen.text("PROJECT TITLE", (frame[2] - 80, frame[1] + 90), s.text, 8)
    pen.text("A-201", (frame[2] - 80, frame[1] + 30), s.text, 16)


def keynotes(pen: Pen, sheet: Sheet, s: Scheme) -> None:
    """Put keynotes with leaders, door numbers in bubbles and grid bubbles on a sheet."""
    for wall in sheet.walls:
        x, y = wall.at
        wide, high = max(px for px, _ in wall.corners), max(py for _, py in wall.corners)
        for number, at in enumerate(((x + 40, y + 20), (x + wide - 24, y + 60)), 3):
            pen.loop([(at[0] + dx, at[1] + dy) for dx, dy in _HEXAGON], s.text)
            pen.text(str(number), at, s.text, 5)
        for name, gx in (("A", x), ("B", x + wide)):
            pen.circle((gx, y + high + 60), 9, s.text)
            pen.text(name, (gx, y + high + 60), s.text, 8)
            pen.line((gx, y - 30), (gx, y + high + 51), "A-GRID")


_HEXAGON: Final = ((8, 0), (4, 7), (-4, 7), (-8, 0), (-4, -7), (4, -7))


def _plain(pen: Pen, sheet: Sheet, s: Scheme) -> Pen:
    """Closed outlines: windows with a frame and a sill with ears, doors with a leaf."""
    for wall in sheet.walls:
        pen.loop(wall.placed(), s.wall)
        for opening in wall.openings:
            box = wall.placed_box(opening)
            layer = s.door if opening.is_door else s.window
            pen.loop(corners(box), layer)
            pen.loop(corners(box, -2.5), layer)
            if not opening.is_door:
                pen.loop(corners((box[0] - 4, box[1] - 4, box[2] + 4, box[1])), layer)
                middle = (box[0] + box[2]) / 2
                pen.line((middle, box[1] + 2.5), (middle, box[3] - 2.5), layer)
    notes(pen, sheet, s)
    return pen


def national(sheet: Sheet) -> Pen:
    """Layers of the national CAD standard, walls hatched, inches."""
    pen = _plain(Pen("in"), sheet, NATIONAL)
    for wall in sheet.walls:
        pen.hatch(wall.placed(), NATIONAL.hatch)
    keynotes(pen, sheet, NATIONAL)
    return pen


def national_feet(sheet: Sheet) -> Pen:
    """The same with longer names, in feet that the header does not name."""
    return _plain(Pen("ft", header=False), sheet, NATIONAL_LONG)


def german(sheet: Sheet) -> Pen:
    """German layers, millimeters, far from the origin as surveyed drawings are."""
    return _plain(Pen("mm", at=(40000.0, 20000.0)), sheet, GERMAN)


def spanish(sheet: Sheet) -> Pen:
    """Spanish layers, meters, without a unit in the header."""
    return _plain(Pen("m", header=False), sheet, SPANISH)


def french(sheet: Sheet) -> Pen:
    """French layers, centimeters; openings as loose lines."""
    pen = Pen("cm")
    for wall in sheet.walls:
        pen.loop(wall.placed(), FRENCH.wall)
        for opening in wall.openings:
            layer = FRENCH.door if opening.is_door else FRENCH.window
            pen.lines(corners(wall.placed_box(opening)), layer)
            pen.lines(corners(wall.placed_box(opening), -2), layer)
    notes(pen, sheet, FRENCH)
    return pen


def british(sheet: Sheet) -> Pen:
    """British layer codes, millimeters, outlines of lines."""
    pen = Pen("mm")
    for wall in sheet.walls:
        pen.lines(wall.placed(), BRITISH.wall)
        for opening in wall.openings:
            layer = BRITISH.door if opening.is_door else BRITISH.window
            pen.loop(corners(wall.placed_box(opening)), layer)
    notes(pen, sheet, BRITISH)
    return pen


def one_layer(sheet: Sheet) -> Pen:
    """Everything on layer 0: border, title block, notes, wall, openings."""
    everything = Scheme(*["0"] * 8)
    pen = Pen("in")
    for wall in sheet.walls:
        pen.loop(wall.placed(), "0")
        for opening in wall.openings:
            pen.loop(corners(wall.placed_box(opening)), "0")
            pen.loop(corners(wall.placed_box(opening), -2), "0")
    notes(pen, sheet, everything)
    return pen


def nested_blocks(sheet: Sheet) -> Pen:
    """A façade block that holds blocks of windows and doors with frames and sill ears."""
    pen = Pen("in")
    facade = pen.doc.blocks.new("FACADE")
    names: dict[tuple[float, float, bool], str] = {}
    for wall in sheet.walls:
        facade.add_lwpolyline(wall.placed(), close=True, dxfattribs={"layer": "A-WALL-FULL"})
        for opening in wall.openings:
            box = wall.placed_box(opening)
            size = (box[2] - box[0], box[3] - box[1], opening.is_door)
            if size not in names:
                names[size] = f"{'Door' if opening.is_door else 'Window'} {size[0]:g}x{size[1]:g}"
                _unit_block(pen, names[size], *size)
            facade.add_blockref(names[size], box[:2], dxfattribs={"layer": "0"})
    pen.space.add_blockref("FACADE", (0, 0), dxfattribs={"layer": "A-ELEV"})
    notes(pen, sheet, NATIONAL)
    return pen


def _unit_block(pen: Pen, name: str, width: float, height: float, is_door: bool) -> None:
    block = pen.doc.blocks.new(name)
    attribs = {"layer": "0"}
    for by in (0.0, -2.0):
        block.add_lwpolyline(corners((0, 0, width, height), by), close=True, dxfattribs=attribs)
    if is_door:
        block.add_circle((width - 5, height / 2), 1.5, dxfattribs=attribs)
    else:
        block.add_lwpolyline(corners((-4, -4, width + 4, 0)), close=True, dxfattribs=attribs)
        block.add_line((width / 2, 2), (width / 2, height - 2), dxfattribs=attribs)


def exploded(sheet: Sheet) -> Pen:
    """Everything exploded to lines, with the layers of walls, openings and the rest kept."""
    pen = Pen("in")
    for wall in sheet.walls:
        pen.lines(wall.placed(), "WALL")
        for opening in wall.openings:
            box = wall.placed_box(opening)
            layer = "DOOR" if opening.is_door else "WINDOW"
            pen.lines(corners(box), layer)
            pen.lines(corners(box, -2), layer)
            if not opening.is_door:
                pen.lines(corners((box[0] - 4, box[1] - 3, box[2] + 4, box[1])), layer)
    s = Scheme("WALL", "WINDOW", "DOOR", "TEXT", "GRADE", "PATTERN", "BORDER", "DIM")
    notes(pen, sheet, s)
    for wall in sheet.walls:
        foot = min(y for _, y in wall.placed())
        x0, x1 = wall.at[0], wall.at[0] + max(px for px, _ in wall.corners)
        for at in (x0, x1):
            pen.line((at, foot - 50), (at, foot - 20), "DIM")
        pen.line((x0, foot - 25), (x1, foot - 25), "DIM")
    return pen


def traced(sheet: Sheet) -> Pen:
    """Traced over a picture on numbered layers: lines that miss each other by up to 3/4 in."""
    pen = Pen("in", header=False)
    for wall in sheet.walls:
        _traced(pen, wall.placed(), "L1")
        for opening in wall.openings:
            _traced(pen, corners(wall.placed_box(opening)), "L2")
    notes(pen, sheet, Scheme("L1", "L2", "L2", "L3", "L4", "L5", "L6", "L7"))
    return pen


def _traced(pen: Pen, points: Sequence[Point], layer: str) -> None:
    """Draw the sides of a shape; each begins 3/4 in. after its corner."""
    for (xa, ya), (xb, yb) in zip(points, (*points[1:], points[0]), strict=True):
        length = max(abs(xb - xa) + abs(yb - ya), 1.0)
        t = 0.75 / length
        pen.line((xa + t * (xb - xa), ya + t * (yb - ya)), (xb, yb), layer)


def standard_walls(sheet: Sheet) -> Pen:
    """Walls on the layer that is expected; windows and doors as blocks with sill ears and trim, on others."""
    pen = Pen("in")
    names: dict[tuple[float, float, bool], str] = {}
    for wall in sheet.walls:
        pen.loop(wall.placed(), "A-ELEV-WALL")
        for opening in wall.openings:
            box = wall.placed_box(opening)
            size = (box[2] - box[0], box[3] - box[1], opening.is_door)
            if size not in names:
                names[size] = f"{'DOOR' if opening.is_door else 'WINDOW'}-{len(names)}"
                _unit_block(pen, names[size], *size)
            pen.space.add_blockref(names[size], box[:2], dxfattribs={"layer": "E1"})
    notes(pen, sheet, NATIONAL)
    return pen


def one_layer_lines(sheet: Sheet) -> Pen:
    """Everything on layer 0 and exploded to lines, border and title block too."""
    everything = Scheme(*["0"] * 8)
    pen = Pen("in", header=False)
    drawn = Pen("in")
    for wall in sheet.walls:
        pen.lines(wall.placed(), "0")
        for opening in wall.openings:
            pen.lines(corners(wall.placed_box(opening)), "0")
    notes(drawn, sheet, everything)
    for entity in drawn.space:
        if entity.dxftype() == "LWPOLYLINE":
            pen.lines([(x, y) for x, y, *_ in entity.get_points()], "0")
        else:
            pen.space.add_foreign_entity(entity.copy())
    return pen


def hatched(sheet: Sheet) -> Pen:
    """Openings as solid fills, walls as outlines with a brick pattern."""
    pen = Pen("mm")
    for wall in sheet.walls:
        pen.loop(wall.placed(), "WALLS")
        pen.hatch(wall.placed(), "WALL PATTERN")
        for opening in wall.openings:
            pen.hatch(corners(wall.placed_box(opening)), "DOORS" if opening.is_door else "GLASS")
    notes(pen, sheet, Scheme("WALLS", "GLASS", "DOORS", "NOTES", "GROUND", "PATTERN", "FRAME", "DIMS"))
    return pen


def grade_and_roof(sheet: Sheet) -> Pen:
    """Walls drawn as their corners and steps alone; roof edge and grade, on other layers, close them."""
    pen = Pen("in")
    for wall in sheet.walls:
        points = wall.placed()
        foot, ends = min(y for _, y in points), {min(x for x, _ in points), max(x for x, _ in points)}
        bottom = [p for p in points if p[1] <= foot + 24]
        for a, b in zip(points, (*points[1:], points[0]), strict=True):
            upright = a[0] == b[0]
            low = a in bottom and b in bottom
            pen.line(a, b, "A-GRAD" if low else "A-WALL" if upright and a[0] in ends else "A-ROOF-EDGE")
        for opening in wall.openings:
            layer = "A-DOOR" if opening.is_door else "A-GLAZ"
            pen.loop(corners(wall.placed_box(opening)), layer)
    notes(pen, sheet, NATIONAL)
    return pen


def mixed_office(sheet: Sheet) -> Pen:
    """Walls and openings on one layer with a name of the office's own; the rest on others, in feet."""
    pen = Pen("ft")
    for wall in sheet.walls:
        pen.loop(wall.placed(), "ELEVATION-HEAVY")
        for opening in wall.openings:
            pen.loop(corners(wall.placed_box(opening)), "ELEVATION-HEAVY")
            pen.loop(corners(wall.placed_box(opening), -2), "ELEVATION-FINE")
    notes(pen, sheet, Scheme("ELEVATION-HEAVY", "", "", "TXT", "ELEVATION-GROUND", "", "TITLEBLOCK", ""))
    keynotes(pen, sheet, Scheme("", "", "", "TXT", "", "", "", ""))
    return pen


MANNERS: Final[tuple[Callable[[Sheet], Pen], ...]] = (
    national,
    national_feet,
    german,
    spanish,
    french,
    british,
    one_layer,
    nested_blocks,
    exploded,
    traced,
    standard_walls,
    one_layer_lines,
    hatched,
    grade_and_roof,
    mixed_office,
)
