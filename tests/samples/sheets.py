"""Draws a sheet around its elevations: border and title block, notes, key plan, schedule, section."""

from __future__ import annotations

from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.layouts import Modelspace

from .drafting import TEXT_IN, closed, feet_inches, line, rectangle, text
from .scenario import OWNER, OWNER_REST, PLOT_SCALE, PROJECT, Point, Sheet, ft

BORDER_IN = 0.5 * PLOT_SCALE
STRIP_IN = 2.5 * PLOT_SCALE

GENERAL_NOTES = (
    'DIMENSIONS ARE TO FACES OF MASONRY AND FOLLOW AN 8" MODULE.',
    'WALLS ARE 8" CONCRETE MASONRY IN RUNNING BOND, UNITS 8" HIGH UNLESS NOTED.',
    "BOND STARTS AT THE LEFT END OF EACH WALL AS DRAWN.",
    "ELEVATION 100'-0\" IS THE WAREHOUSE FINISHED FLOOR.",
    "TAGS: W WALL, D DOOR, OH OVERHEAD DOOR, SF GLAZED FRONT, N WINDOW, L LOUVER.",
    "CONTROL JOINTS: SEE THE LAYERS A-ELEV-JNTC*.",
    "AN INVENTED PROJECT, DRAWN AS A SAMPLE. NOT FOR CONSTRUCTION.",
)

KEY_PLAN_SCALE = 1 / 6
# Plan outlines in feet, x east and y north; the walls are the elevations' walls seen from above.
_PLAN_RINGS: tuple[tuple[Point, ...], ...] = (
    ((0, 0), (200, 0), (200, 48), (0, 48)),
    ((0, -32), (200, -32), (200, 0), (0, 0)),
    ((120, -66.667), (200, -66.667), (200, -32), (120, -32)),
    ((-84, -96), (-20, -96), (-20, 32), (-84, 32)),
)
_PLAN_WALLS: dict[str, tuple[Point, Point]] = {
    "W1": ((0, 48), (200, 48)),
    "W2": ((0, -32), (120, -32)),
    "W3": ((200, -32), (200, 48)),
    "W4": ((200, -66.667), (200, -32)),
    "W5": ((-84, -96), (-84, 32)),
    "W6": ((-84, -96), (-20, -96)),
    "W7": ((-20, -144), (-20, -96)),
    "W8": ((-92, -144), (-20, -144)),
}
_PLAN_TAGS: dict[str, Point] = {
    "W1": (100, 60),
    "W2": (60, -46),
    "W3": (216, 8),
    "W4": (216, -50),
    "W5": (-102, -32),
    "W6": (-52, -110),
    "W7": (-2, -120),
    "W8": (-56, -156),
}
_PLAN_NAMES: tuple[tuple[str, Point], ...] = (
    ("WAREHOUSE", (100, 24)),
    ("SHOP", (60, -16)),
    ("WING", (160, -50)),
    ("SHED", (-52, -32)),
)


def draw_sheet(doc: Drawing, sheet: Sheet) -> None:
    """Draw everything on the sheet but the elevations."""
    msp = doc.modelspace()
    _title_block(doc, sheet)
    _notes(msp, sheet.notes)
    _key_plan(msp, sheet)
    if sheet.schedule:
        _schedule(msp, sheet, sheet.schedule)
    if sheet.section:
        _section(msp, sheet.section)


def _title_block(doc: Drawing, sheet: Sheet) -> None:
    """Define the border as a block with attributes, and insert it at the sheet's corner."""
    width, height = sheet.size[0] * PLOT_SCALE, sheet.size[1] * PLOT_SCALE
    name = f"BORDER-{sheet.size[0]:.0f}X{sheet.size[1]:.0f}"
    block = doc.blocks.new(name)
    layer = {"layer": "0"}
    thin = {"layer": "0", "lineweight": 13}
    block.add_lwpolyline([(0, 0), (width, 0), (width, height), (0, height)], close=True, dxfattribs=thin)
    right, top = width - BORDER_IN, height - BORDER_IN
    frame = [(BORDER_IN, BORDER_IN), (right, BORDER_IN), (right, top), (BORDER_IN, top)]
    block.add_lwpolyline(frame, close=True, dxfattribs=layer)
    left, middle = right - STRIP_IN, right - STRIP_IN / 2
    block.add_line((left, BORDER_IN), (left, top), dxfattribs=layer)
    rows = [BORDER_IN + y for y in (84.0, 132.0, 180.0, 300.0)]
    for y in (*rows, top - 168, top - 192):
        block.add_line((left, y), (right, y), dxfattribs=thin)
    fixed = (
        (OWNER, top - 50, 18.0, "TITL"),
        (OWNER_REST, top - 80, 11.0, "TITL"),
        (PROJECT, top - 130, 18.0, "TITL"),
        ("REVISIONS", top - 184, TEXT_IN, "ANNO"),
        ("DATUM: EL. 100'-0\" = FIN. FLOOR", rows[2] + 14, 7.0, "ANNO"),
    )
    for content, y, size, style in fixed:
        entity = block.add_text(content, height=size, dxfattribs={"layer": "0", "style": style})
        entity.set_placement((middle, y), align=Align.MIDDLE_CENTER)
    for label, y in (("SHEET", rows[0]), ("SCALE", rows[1]), ("ISSUE", rows[2]), ("TITLE", rows[3])):
        block.add_text(label, height=6.0, dxfattribs={"layer": "0", "style": "ANNO"}).set_placement(
            (left + 6, y - 11)
        )
    fields = {
        "SHEET_NO": (sheet.number, rows[0] - 50, 36.0),
        "SCALE": ('1/8" = 1\'-0"', rows[1] - 30, 12.0),
        "ISSUE": ("FOR REVIEW", rows[2] - 30, 12.0),
        "TITLE_1": (sheet.title[0], rows[3] - 52, 16.0),
        "TITLE_2": (sheet.title[1], rows[3] - 82, 16.0),
    }
    insert = doc.modelspace().add_blockref(name, sheet.corner, dxfattribs={"layer": "A-ANNO-TTLB"})
    for tag, (value, y, size) in fields.items():
        at = (middle, y)
        attribs = {"layer": "0", "style": "TITL"}
        definition = block.add_attdef(tag, text="-", height=size, dxfattribs=attribs)
        definition.set_placement(at, align=Align.MIDDLE_CENTER)
        attrib = insert.add_attrib(tag, value, dxfattribs={"layer": "A-ANNO-TTLB", "style": "TITL"})
        attrib.dxf.height = size
        here = (sheet.corner[0] + at[0], sheet.corner[1] + at[1])
        attrib.set_placement(here, align=Align.MIDDLE_CENTER)


def _notes(msp: Modelspace, at: Point) -> None:
    text(msp, "GENERAL NOTES", at, height=12.0, style="TITL")
    numbered = "\\P".join(f"{i}. {note}" for i, note in enumerate(GENERAL_NOTES, start=1))
    msp.add_mtext(
        numbered,
        dxfattribs={
            "layer": "A-ANNO-NOTE",
            "style": "ANNO",
            "char_height": TEXT_IN,
            "width": ft(46),
            "insert": (at[0], at[1] - 18),
            "attachment_point": 1,
        },
    )


def _key_plan(msp: Modelspace, sheet: Sheet) -> None:
    """Draw the depot from above, the walls of this sheet heavy and tagged."""
    x0, y0 = sheet.key_plan

    def place(point: Point) -> Point:
        return (x0 + ft(point[0] * KEY_PLAN_SCALE), y0 + ft(point[1] * KEY_PLAN_SCALE))

    for ring in _PLAN_RINGS:
        closed(msp, [place(p) for p in ring], "A-FLOR-OTLN")
    for tag, (start, end) in _PLAN_WALLS.items():
        weight = 70 if tag in sheet.shown else 18
        colour = 7 if tag in sheet.shown else 256
        msp.add_line(
            place(start),
            place(end),
            dxfattribs={"layer": "A-FLOR-OTLN", "lineweight": weight, "color": colour},
        )
        if tag in sheet.shown:
            text(msp, tag, place(_PLAN_TAGS[tag]), height=TEXT_IN, align=Align.MIDDLE_CENTER)
    for name, at in _PLAN_NAMES:
        text(msp, name, place(at), height=8.0, align=Align.MIDDLE_CENTER)
    text(msp, "KEY PLAN - NOT TO SCALE", place((-92, -182)), height=TEXT_IN)
    _north_arrow(msp, place((170, -110)))


def _north_arrow(msp: Modelspace, at: Point) -> None:
    x, y = at
    msp.add_circle(at, 30, dxfattribs={"layer": "A-ANNO-TEXT"})
    msp.add_solid(
        [(x, y + 30), (x - 9, y - 22), (x, y - 12), (x, y - 12)], dxfattribs={"layer": "A-ANNO-TEXT"}
    )
    line(msp, (x, y + 30), (x + 9, y - 22), "A-ANNO-TEXT")
    line(msp, (x + 9, y - 22), (x, y - 12), "A-ANNO-TEXT")
    text(msp, "N", (x, y + 42), height=12.0, align=Align.MIDDLE_CENTER, style="TITL")


_SCHEDULE_COLUMNS = (("MARK", ft(6)), ("WIDTH", ft(9)), ("HEIGHT", ft(9)), ("KIND", ft(18)))
_KIND_NAMES = {
    "door": "DOOR, H.M.",
    "pair": "PAIR OF DOORS, H.M.",
    "overhead": "SECTIONAL DOOR",
    "storefront": "GLAZED FRONT",
    "window": "WINDOW, ALUM.",
    "louver": "LOUVER, ALUM.",
}


def _schedule(msp: Modelspace, sheet: Sheet, at: Point) -> None:
    """Draw the table of openings."""
    openings = [o for view in sheet.views for wall in view.walls for o in wall.openings]
    rows = [
        (o.tag, feet_inches(o.width), feet_inches(o.leaf_height or o.height), _KIND_NAMES[o.kind])
        for o in openings
    ]
    step, layer = 18.0, "A-ANNO-SCHD"
    left, top = at[0], at[1] - 12
    right = left + sum(width for _, width in _SCHEDULE_COLUMNS)
    bottom = top - step * (len(rows) + 1)
    text(msp, "OPENING SCHEDULE", at, height=12.0, style="TITL")
    rectangle(msp, left, bottom, right, top, layer)
    for i in range(1, len(rows) + 1):
        line(msp, (left, top - i * step), (right, top - i * step), layer)
    x = left
    for column, (head, width) in enumerate(_SCHEDULE_COLUMNS):
        if column:
            line(msp, (x, bottom), (x, top), layer)
        text(msp, head, (x + 6, top - 13), layer, style="TITL")
        for i, row in enumerate(rows, start=1):
            text(msp, row[column], (x + 6, top - i * step - 13), layer)
        x += width


def _section(msp: Modelspace, at: Point) -> None:
    """Draw a typical wall section, four times the size of the elevation (1/2" = 1'-0")."""
    cut, pattern = "A-SECT-MCUT", "A-SECT-PATT"
    scale, courses, broken_at = 4.0, 13, 7
    unit, gap = 8.0 * scale, 24.0
    x0, y0 = at
    x1 = x0 + unit

    def foot(course: int) -> float:
        return y0 + course * unit + (gap if course >= broken_at else 0.0)

    for course in range(courses):
        y = foot(course)
        rectangle(msp, x0, y, x1, y + unit, cut)
        rectangle(msp, x0 + 5, y, x1 - 5, y + unit, pattern)
    for y in (foot(broken_at) - gap, foot(broken_at)):
        line(msp, (x0 - 24, y), (x1 + 24, y), pattern)
    top = foot(courses - 1) + unit
    rectangle(msp, x0 - 10, top, x1 + 10, top + 12, cut)
    rectangle(msp, x0 - 32, y0 - 40, x1 + 32, y0, cut)
    slab = y0 + unit
    rectangle(msp, x1 + 4, slab - 16, x1 + ft(8), slab, cut)
    line(msp, (x0 - ft(8), y0 + unit - 16), (x0, y0 + unit - 16), "A-ELEV-GRND")
    for content, y in (
        ("METAL COPING", top + 6),
        ("BOND BEAM", top - unit / 2),
        ('8" CONCRETE MASONRY', foot(broken_at + 2)),
        ("SLAB ON GRADE", slab - 8),
        ("FOOTING", y0 - 20),
    ):
        line(msp, (x1 + 12, y), (x1 + ft(9), y), "A-ANNO-NOTE")
        text(msp, content, (x1 + ft(9, 6), y), "A-ANNO-NOTE", align=Align.MIDDLE_LEFT)
    text(msp, "TYPICAL WALL SECTION", (x0 - ft(6), y0 - 84), height=12.0, style="TITL")
    text(msp, 'SCALE: 1/2" = 1\'-0"', (x0 - ft(6), y0 - 102))
