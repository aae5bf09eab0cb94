"""The office's drafting standard: document set-up, layers, styles, blocks, and small drawing helpers."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import ezdxf
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment as Align
from ezdxf.layouts import Modelspace

from .scenario import PLOT_SCALE, Point

TEXT_IN = 3 / 32 * PLOT_SCALE
"""Height of ordinary text: 3/32 in. on paper."""

TITLE_IN = 3 / 16 * PLOT_SCALE
"""Height of an elevation's title: 3/16 in. on paper."""

# name, colour index, lineweight in 1/100 mm, linetype, description
LAYERS: tuple[tuple[str, int, int, str, str], ...] = (
    ("A-ELEV-WALL", 4, 50, "CONTINUOUS", "Wall outlines"),
    ("A-ELEV-OPNG", 2, 35, "CONTINUOUS", "Masonry openings"),
    ("A-ELEV-DOOR", 3, 25, "CONTINUOUS", "Doors, frames and windows"),
    ("A-ELEV-DOOR-SWNG", 8, 13, "HIDDEN", "Door swings"),
    ("A-ELEV-GLAZ", 140, 13, "CONTINUOUS", "Glazing"),
    ("A-ELEV-GRND", 7, 70, "CONTINUOUS", "Grade line"),
    ("A-ELEV-ROOF", 5, 35, "CONTINUOUS", "Roof edge and coping"),
    ("A-ELEV-SIDG", 8, 9, "CONTINUOUS", "Metal siding"),
    ("A-ELEV-PATT", 253, 5, "CONTINUOUS", "Masonry coursing"),
    ("A-ELEV-FIXT", 6, 18, "CONTINUOUS", "Wall lights"),
    ("A-ELEV-IDEN", 1, 25, "CONTINUOUS", "Wall and opening tags"),
    ("A-FLOR-OTLN", 8, 18, "CONTINUOUS", "Key plan"),
    ("A-SECT-MCUT", 7, 35, "CONTINUOUS", "Wall section, cut"),
    ("A-SECT-PATT", 253, 9, "CONTINUOUS", "Wall section, patterns"),
    ("A-ANNO-TEXT", 7, 25, "CONTINUOUS", "Titles and texts"),
    ("A-ANNO-NOTE", 7, 18, "CONTINUOUS", "Notes and leaders"),
    ("A-ANNO-DIMS", 1, 18, "CONTINUOUS", "Dimensions"),
    ("A-ANNO-SYMB", 1, 18, "CENTER", "Level marks"),
    ("A-ANNO-SCHD", 7, 18, "CONTINUOUS", "Schedules"),
    ("A-ANNO-TTLB", 7, 50, "CONTINUOUS", "Border and title block"),
)

LINETYPES: tuple[tuple[str, str, tuple[float, ...]], ...] = (
    ("HIDDEN", "Hidden __ __ __", (0.1875, 0.125, -0.0625)),
    ("CENTER", "Center ____ _ ____", (0.875, 0.5, -0.125, 0.125, -0.125)),
)

CURRENT_DIMENSION_VARIABLES = (
    *("dimscale", "dimtxt", "dimasz", "dimtsz", "dimexe", "dimexo", "dimgap"),
    *("dimtad", "dimtih", "dimtoh", "dimlunit", "dimdec", "dimzin", "dimclrd", "dimclre", "dimclrt"),
)
"""Repeated in the header: some readers draw dimensions by the header and not by their style."""


def new_document() -> Drawing:
    """Return an empty R2010 drawing in inches, with the office's layers and styles."""
    doc = ezdxf.new("R2010", setup=False)
    header = doc.header
    header["$INSUNITS"] = 1
    header["$MEASUREMENT"] = 0
    header["$LUNITS"] = 4
    header["$LUPREC"] = 4
    header["$LTSCALE"] = PLOT_SCALE
    header["$LWDISPLAY"] = 1
    header["$TEXTSIZE"] = TEXT_IN
    for name, description, pattern in LINETYPES:
        doc.linetypes.add(name, list(pattern), description=description)
    for name, colour, weight, linetype, description in LAYERS:
        layer = doc.layers.add(name, color=colour, lineweight=weight, linetype=linetype)
        layer.description = description
    doc.styles.add("ANNO", font="arial.ttf")
    doc.styles.add("TITL", font="arialbd.ttf")
    header["$TEXTSTYLE"] = "ANNO"
    _dimension_style(doc)
    header["$DIMSTYLE"] = "ARCH-96"
    _level_block(doc)
    return doc


def _dimension_style(doc: Drawing) -> None:
    style = doc.dimstyles.add("ARCH-96")
    style.dxf.dimscale = PLOT_SCALE
    style.dxf.dimtxt = 3 / 32
    style.dxf.dimtxsty = "ANNO"
    style.dxf.dimasz = 3 / 32
    style.set_tick(1 / 16)
    style.dxf.dimexe = 1 / 16
    style.dxf.dimexo = 1 / 16
    style.dxf.dimdle = 0.0
    style.dxf.dimgap = 1 / 32
    style.dxf.dimtad = 1
    style.dxf.dimtih = 0
    style.dxf.dimtoh = 0
    style.dxf.dimlunit = 4
    style.dxf.dimdec = 4
    style.dxf.dimzin = 3
    style.dxf.dimfxlon = 1
    style.dxf.dimfxl = 3 / 16
    style.dxf.dimclrd = 1
    style.dxf.dimclre = 1
    style.dxf.dimclrt = 1
    style.dxf.dimlwd = 13
    style.dxf.dimlwe = 13
    for name in CURRENT_DIMENSION_VARIABLES:
        doc.header["$" + name.upper()] = style.dxf.get(name)


def _level_block(doc: Drawing) -> None:
    """Define the target of a level mark: a circle with a cross and two filled quarters."""
    block = doc.blocks.new("LEVEL-TARGET")
    block.add_circle((0, 0), 8, dxfattribs={"layer": "0"})
    block.add_line((-11, 0), (11, 0), dxfattribs={"layer": "0"})
    block.add_line((0, -11), (0, 11), dxfattribs={"layer": "0"})
    for corner in ((8.0, 8.0), (-8.0, -8.0)):
        quarter = block.add_hatch(dxfattribs={"layer": "0", "color": 0})
        sign = 1.0 if corner[0] > 0 else -1.0
        path = quarter.paths.add_edge_path()
        path.add_line((0, 0), (8 * sign, 0))
        path.add_arc((0, 0), 8, 0 if sign > 0 else 180, 90 if sign > 0 else 270)
        path.add_line((0, 8 * sign), (0, 0))


def feet_inches(inches: float) -> str:
    """Print a whole number of inches as a drafter writes it."""
    feet, rest = divmod(round(inches), 12)
    return f"{feet}'-{rest}\""


def closed(msp: Modelspace, points: Iterable[Point], layer: str) -> None:
    """Draw a closed LWPOLYLINE."""
    msp.add_lwpolyline(list(points), close=True, dxfattribs={"layer": layer})


def rectangle(msp: Modelspace, x0: float, y0: float, x1: float, y1: float, layer: str) -> None:
    """Draw a rectangle as a closed LWPOLYLINE."""
    closed(msp, ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), layer)


def line(msp: Modelspace, start: Point, end: Point, layer: str) -> None:
    """Draw a LINE."""
    msp.add_line(start, end, dxfattribs={"layer": layer})


def text(
    msp: Modelspace,
    content: str,
    at: Point,
    layer: str = "A-ANNO-TEXT",
    height: float = TEXT_IN,
    align: Align = Align.LEFT,
    style: str = "ANNO",
) -> None:
    """Draw a TEXT."""
    entity = msp.add_text(content, height=height, dxfattribs={"layer": layer, "style": style})
    entity.set_placement(at, align=align)


def dimension(msp: Modelspace, p1: Point, p2: Point, base: Point, angle: float = 0.0) -> None:
    """Draw a true linear DIMENSION that reads in feet and inches.

    The picture of the dimension is drawn with the text in feet and inches; the dimension itself
    keeps the measured value, so that a CAD program prints it by the dimension style.
    """
    measured = abs(p2[0] - p1[0]) if angle == 0.0 else abs(p2[1] - p1[1])
    override = msp.add_linear_dim(
        base=base,
        p1=p1,
        p2=p2,
        angle=angle,
        text=feet_inches(measured),
        dimstyle="ARCH-96",
        dxfattribs={"layer": "A-ANNO-DIMS"},
    )
    override.render()
    override.dimension.dxf.text = ""
    override.dimension.dxf.actual_measurement = measured


def dimension_string(msp: Modelspace, stations: Sequence[float], y_at: float, y_line: float) -> None:
    """Draw a chain of horizontal dimensions through the stations."""
    for left, right in itertools.pairwise(stations):
        dimension(msp, (left, y_at), (right, y_at), (left, y_line))


def coursing(
    msp: Modelspace,
    outline: Sequence[Point],
    holes: Iterable[Sequence[Point]],
    origin: Point,
    course: float = 8.0,
) -> None:
    """Hatch an outline as running bond of units 16 in. long, with holes left open.

    Args:
        msp: where to draw.
        outline: corners of the hatched area.
        holes: outlines to leave open.
        origin: where the bond starts.
        course: height of a course, inches.
    """
    name = "AR-B816" if course == 8.0 else "AR-B416"
    hatch = msp.add_hatch(dxfattribs={"layer": "A-ELEV-PATT"})
    definition = [
        [0.0, origin, (0.0, course), []],
        [90.0, origin, (-8.0, course), [course, -course]],
    ]
    hatch.set_pattern_fill(name, color=256, scale=1.0, style=0, definition=definition)
    hatch.paths.add_polyline_path(list(outline), is_closed=True, flags=1)
    for hole in holes:
        hatch.paths.add_polyline_path(list(hole), is_closed=True, flags=16)


def ribs(
    msp: Modelspace,
    outline: Sequence[Point],
    holes: Iterable[Sequence[Point]],
    origin: Point,
    apart: float = 12.0,
) -> None:
    """Hatch an outline as sheet metal with upright ribs so far apart."""
    hatch = msp.add_hatch(dxfattribs={"layer": "A-ELEV-SIDG"})
    definition = [[90.0, origin, (-apart, 0.0), []]]
    hatch.set_pattern_fill(f"RIBS{apart:.0f}", color=256, scale=1.0, style=0, definition=definition)
    hatch.paths.add_polyline_path(list(outline), is_closed=True, flags=1)
    for hole in holes:
        hatch.paths.add_polyline_path(list(hole), is_closed=True, flags=16)
