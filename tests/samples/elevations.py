"""Draws one elevation: walls, openings and what fills them, grade, roof edge, levels, dimensions."""

from __future__ import annotations

import itertools

from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.layouts import Modelspace

from .drafting import (
    TEXT_IN,
    TITLE_IN,
    closed,
    coursing,
    dimension,
    dimension_string,
    feet_inches,
    line,
    rectangle,
    ribs,
    text,
)
from .scenario import Opening, Point, View, Wall, ft

DOOR, GLASS, SWING = "A-ELEV-DOOR", "A-ELEV-GLAZ", "A-ELEV-DOOR-SWNG"
FRAME_IN = 2.0
CLEAR_BAND_IN = ft(10)
"""Kept empty below the grade line, for joints' dimensions and marks."""


def draw_view(msp: Modelspace, view: View) -> None:
    """Draw a titled elevation."""
    x0, y0 = view.origin
    for wall in view.walls:
        draw_wall(msp, wall, (x0 + wall.offset, y0))
    x1 = x0 + view.walls[-1].offset + view.walls[-1].length
    _grade(msp, x0, x1, y0)
    _levels(msp, view, x0, x1)
    _dimensions(msp, view, x0, x1)
    _material_note(msp, view)
    _title(msp, view)


def draw_wall(msp: Modelspace, wall: Wall, origin: Point) -> None:
    """Draw a wall with its coursing, coping, tag, openings and lights."""
    x0, y0 = origin
    outline = [(x0 + x, y0 + y) for x, y in wall.outline]
    if wall.old_polyline:
        msp.add_polyline2d(outline, close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    else:
        closed(msp, outline, "A-ELEV-WALL")
    tag_at = (x0 + wall.tag_at[0], y0 + wall.tag_at[1])
    holes = [_corners(opening, origin) for opening in wall.openings]
    coursing(msp, outline, [*holes, _wall_tag(msp, wall.tag, tag_at)], origin, 4.0 if wall.half_high else 8.0)
    if wall.siding_to:
        _siding(msp, wall, origin)
    else:
        _coping(msp, wall, origin)
    for opening in wall.openings:
        _opening(msp, opening, origin)
    for x, y in wall.lights:
        _light(msp, (x0 + x, y0 + y))


def _corners(opening: Opening, origin: Point, height: float = 0.0) -> list[Point]:
    x0, y0 = origin[0] + opening.x, origin[1] + opening.sill
    x1, y1 = x0 + opening.width, y0 + (height or opening.height)
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def _wall_tag(msp: Modelspace, tag: str, at: Point) -> list[Point]:
    """Draw a wall's tag in a lozenge and return the lozenge's corners."""
    x, y = at
    ring = [(x - 27, y), (x - 18, y - 13), (x + 18, y - 13), (x + 27, y), (x + 18, y + 13), (x - 18, y + 13)]
    closed(msp, ring, "A-ELEV-IDEN")
    text(msp, tag, at, "A-ELEV-IDEN", 12.0, Align.MIDDLE_CENTER, "TITL")
    return ring


def _coping(msp: Modelspace, wall: Wall, origin: Point) -> None:
    """Draw the coping as flat strips along each level of the top edge."""
    x0, y0 = origin
    for (xa, ya), (xb, yb) in zip(wall.top, wall.top[1:], strict=False):
        if ya == yb:
            rectangle(msp, x0 + xa - 2, y0 + ya, x0 + xb + 2, y0 + ya + 6, "A-ELEV-ROOF")


def _siding(msp: Modelspace, wall: Wall, origin: Point) -> None:
    x0, y0 = origin
    x1, low, high = x0 + wall.length, y0 + wall.top[0][1], y0 + wall.siding_to
    outline = [(x0, low), (x1, low), (x1, high), (x0, high)]
    holes = [
        [(a, low), (b, low), (b, y0 + o.leaf_height), (a, y0 + o.leaf_height)]
        for o in wall.openings
        for a, b in [(x0 + o.x, x0 + o.x + o.width)]
    ]
    ribs(msp, outline, holes, (x0, low))
    for x in (x0, x1):
        line(msp, (x, low), (x, high), "A-ELEV-SIDG")
    rectangle(msp, x0 - 12, high, x1 + 12, high + 8, "A-ELEV-ROOF")
    line(msp, (x0 - 12, high + 60), (x1 + 12, high + 60), "A-ELEV-ROOF")
    for x in (x0 - 12, x1 + 12):
        line(msp, (x, high + 8), (x, high + 60), "A-ELEV-ROOF")
    roof = [(x0 - 12, high + 8), (x1 + 12, high + 8), (x1 + 12, high + 60), (x0 - 12, high + 60)]
    ribs(msp, roof, (), (x0, high), 24.0)


def _light(msp: Modelspace, at: Point) -> None:
    x, y = at
    rectangle(msp, x - 5, y - 4, x + 5, y + 4, "A-ELEV-FIXT")
    closed(msp, ((x - 5, y - 4), (x + 5, y - 4), (x + 9, y - 11), (x - 9, y - 11)), "A-ELEV-FIXT")


def _opening(msp: Modelspace, opening: Opening, origin: Point) -> None:
    closed(msp, _corners(opening, origin), "A-ELEV-OPNG")
    x0, y0 = origin[0] + opening.x, origin[1] + opening.sill
    x1, y1 = x0 + opening.width, y0 + (opening.leaf_height or opening.height)
    draw = {
        "door": _door,
        "pair": _pair,
        "overhead": _overhead,
        "storefront": _storefront,
        "window": _window,
        "louver": _louver,
    }[opening.kind]
    tag_at = draw(msp, x0, y0, x1, y1)
    text(msp, opening.tag, tag_at, "A-ELEV-IDEN", TEXT_IN, Align.MIDDLE_CENTER)


def _frame(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> tuple[float, float, float]:
    """Draw a door frame (open at the floor) and return what is left inside it."""
    left, right, head = x0 + FRAME_IN, x1 - FRAME_IN, y1 - FRAME_IN
    path = [(left, y0), (left, head), (right, head), (right, y0)]
    msp.add_lwpolyline(path, dxfattribs={"layer": DOOR})
    msp.add_lwpolyline([(x0, y0), (x0, y1), (x1, y1), (x1, y0)], dxfattribs={"layer": DOOR})
    return left, right, head


def _leaf(msp: Modelspace, hinge: float, latch: float, y0: float, head: float) -> None:
    """Draw a leaf: edge, lite, lever, and the dashed lines that meet at its hinge side."""
    middle = (y0 + head) / 2
    toward = 1.0 if latch > hinge else -1.0
    line(msp, (latch, y0), (latch, head), DOOR)
    line(msp, (hinge, middle), (latch, head), SWING)
    line(msp, (hinge, middle), (latch, y0), SWING)
    lite = sorted((hinge + toward * 9, latch - toward * 8))
    rectangle(msp, lite[0], head - 34, lite[1], head - 8, GLASS)
    msp.add_circle((latch - toward * 3.5, y0 + 38), 1.5, dxfattribs={"layer": DOOR})


def _door(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    left, right, head = _frame(msp, x0, y0, x1, y1)
    _leaf(msp, left, right, y0, head)
    return (left + 12, y0 + 12)


def _pair(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    left, right, head = _frame(msp, x0, y0, x1, y1)
    middle = (left + right) / 2
    _leaf(msp, left, middle, y0, head)
    _leaf(msp, right, middle, y0, head)
    return (left + 12, y0 + 12)


def _overhead(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    """Draw a sectional door: guides, sections, a row of lites."""
    left, right, head = _frame(msp, x0, y0, x1, y1)
    sections = max(4, round((head - y0) / 24))
    rise = (head - y0) / sections
    for i in range(1, sections):
        line(msp, (left, y0 + i * rise), (right, y0 + i * rise), DOOR)
    count = max(3, round((right - left) / 32))
    bay = (right - left) / count
    for i in range(count):
        low = y0 + 3 * rise if sections > 5 else y0 + 2 * rise
        rectangle(msp, left + i * bay + 6, low + 5, left + (i + 1) * bay - 6, low + rise - 5, GLASS)
    return ((left + right) / 2, y0 + 1.5 * rise)


def _storefront(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    """Draw a glazed front: a pair of doors in the middle, two bays each side, a transom above."""
    left, right, head = _frame(msp, x0, y0, x1, y1)
    transom, middle = y0 + 86, (left + right) / 2
    rectangle(msp, left, transom, right, transom + 3, DOOR)
    bays = (left, (left + middle - 36) / 2, middle - 36, middle + 36, (right + middle + 36) / 2, right)
    for x in bays[1:-1]:
        rectangle(msp, x - 1, y0, x + 1, head, DOOR)
    for a, b in itertools.pairwise(bays):
        _glass(msp, a + 3, transom + 5, b - 3, head - 3)
        if b - a < 70:
            _glass(msp, a + 3, y0 + 10, b - 3, transom - 3)
    for a, b in ((middle - 35, middle), (middle + 35, middle)):
        line(msp, (b, y0), (b, transom), DOOR)
        low, high = sorted((a, b))
        rectangle(msp, low + 4, y0 + 10, high - 4, transom - 4, GLASS)
        line(msp, (a, y0 + 43), (b, transom), SWING)
        line(msp, (a, y0 + 43), (b, y0), SWING)
    return (middle, (transom + head) / 2 + 2)


def _glass(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> None:
    """Draw a pane: its edge and two slanting strokes in the upper right corner."""
    rectangle(msp, x0, y0, x1, y1, GLASS)
    run = min(x1 - x0, y1 - y0) / 3
    for part in (1.0, 0.6):
        line(msp, (x1 - 3 - run * part, y1 - 3), (x1 - 3, y1 - 3 - run * part), GLASS)


def _window(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    """Draw a window: frame, mullions not more than 3 ft apart, panes, a projecting sill."""
    rectangle(msp, x0 + FRAME_IN, y0 + FRAME_IN, x1 - FRAME_IN, y1 - FRAME_IN, DOOR)
    left, right = x0 + FRAME_IN, x1 - FRAME_IN
    count = max(1, -(-round(right - left) // 36))
    bay = (right - left) / count
    for i in range(count):
        a, b = left + i * bay, left + (i + 1) * bay
        if i:
            line(msp, (a - 1, y0 + FRAME_IN), (a - 1, y1 - FRAME_IN), DOOR)
            line(msp, (a + 1, y0 + FRAME_IN), (a + 1, y1 - FRAME_IN), DOOR)
        _glass(msp, a + 4, y0 + 6, b - 4, y1 - 6)
    rectangle(msp, x0 - 2, y0 - 3, x1 + 2, y0, DOOR)
    return (left + bay / 2, y0 + 16)


def _louver(msp: Modelspace, x0: float, y0: float, x1: float, y1: float) -> Point:
    """Draw a louver: frame and blades, left out behind its tag."""
    rectangle(msp, x0 + FRAME_IN, y0 + FRAME_IN, x1 - FRAME_IN, y1 - FRAME_IN, DOOR)
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    blades = round((y1 - y0) / 4)
    for i in range(1, blades):
        y = y0 + i * (y1 - y0) / blades
        if abs(y - middle_y) < TEXT_IN:
            line(msp, (x0 + FRAME_IN, y), (middle_x - 11, y), DOOR)
            line(msp, (middle_x + 11, y), (x1 - FRAME_IN, y), DOOR)
        else:
            line(msp, (x0 + FRAME_IN, y), (x1 - FRAME_IN, y), DOOR)
    return (middle_x, middle_y)


def _grade(msp: Modelspace, x0: float, x1: float, y0: float) -> None:
    """Draw the grade line with strokes of earth below it at each end."""
    left, right = x0 - ft(6), x1 + ft(6)
    line(msp, (left, y0), (right, y0), "A-ELEV-GRND")
    for start in (left + 12, right - 30):
        for i in range(5):
            x = start + i * 7
            msp.add_line((x, y0), (x - 10, y0 - 10), dxfattribs={"layer": "A-ELEV-GRND", "lineweight": 18})
    text(msp, "GRADE", (right + 10, y0 - 16))


def _levels(msp: Modelspace, view: View, x0: float, x1: float) -> None:
    for level in view.levels:
        y = view.origin[1] + level.height
        sign, edge = (1.0, x1) if level.side == "right" else (-1.0, x0)
        start = edge + (ft(6, 6) if level.height == 0.0 else 18.0) if sign > 0 else edge - ft(6)
        end = edge + sign * (ft(17) if sign > 0 else ft(20))
        line(msp, (start, y), (end, y), "A-ANNO-SYMB")
        msp.add_blockref("LEVEL-TARGET", (end, y), dxfattribs={"layer": "A-ANNO-SYMB"})
        at = end - 14 if sign > 0 else start
        elevation = feet_inches(ft(100) + level.height)
        text(msp, f"{level.name} EL. {elevation}", (at, y + 5), align=Align.RIGHT)


def _dimensions(msp: Modelspace, view: View, x0: float, x1: float) -> None:
    """Draw the jambs' string and the overall length below, the heights at the left."""
    y0 = view.origin[1]
    stations = {x0, x1}
    for wall in view.walls:
        start = x0 + wall.offset
        stations |= {start, start + wall.length}
        for opening in wall.openings:
            stations |= {start + opening.x, start + opening.x + opening.width}
    chain = sorted(stations)
    row = y0 - CLEAR_BAND_IN
    if len(chain) > 2:
        dimension_string(msp, chain, row + 24, row)
        row -= 36
    dimension(msp, (x0, row + 24), (x1, row + 24), (x0, row))
    first = view.walls[0]
    top = first.siding_to or first.top[0][1]
    dimension(msp, (x0 - 12, y0), (x0 - 12, y0 + top), (x0 - ft(4), y0), 90.0)


def _material_note(msp: Modelspace, view: View) -> None:
    """Write the material note above the wall's right part, with a leader to the masonry."""
    lines, (x, y) = view.note
    tip = (view.origin[0] + x, view.origin[1] + y)
    top = max(w.siding_to + 60 if w.siding_to else max(p[1] for p in w.top) for w in view.walls)
    foot = view.origin[1] + top + 30 + 15 * len(lines)
    start = tip[0] + 14
    for i, content in enumerate(lines):
        text(msp, content, (start + 22, foot - i * 15 - 4), "A-ANNO-NOTE")
    msp.add_leader(
        [tip, (start, foot), (start + 18, foot)],
        dimstyle="ARCH-96",
        dxfattribs={"layer": "A-ANNO-NOTE"},
    )


def _title(msp: Modelspace, view: View) -> None:
    """Write the number in a ring, the title over a line, and the scale."""
    x, y = view.origin[0] - ft(2), view.origin[1] - CLEAR_BAND_IN - ft(11)
    msp.add_circle((x, y), 24, dxfattribs={"layer": "A-ANNO-TEXT"})
    text(msp, str(view.number), (x, y), height=TITLE_IN, align=Align.MIDDLE_CENTER, style="TITL")
    width = len(view.title) * TITLE_IN * 0.82 + 24
    line(msp, (x + 24, y), (x + 24 + width, y), "A-ANNO-TEXT")
    text(msp, view.title, (x + 34, y + 8), height=TITLE_IN, style="TITL")
    scale = 'SCALE: 1/8" = 1\'-0"'
    text(msp, f"{scale}     {view.remark}".rstrip(), (x + 34, y - 18))
