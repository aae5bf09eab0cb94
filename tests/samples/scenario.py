"""The invented project behind the sample drawings: a growers' co-operative's produce depot.

Nothing here exists: no such firm, place or building. Lengths are inches. Walls and openings are in
the wall's own axes (x from its left end, y from its bottom); every edge is on the 8-inch module.

Glossary:
    view: one titled elevation; it may hold several adjoining walls.
    sheet: one drawing file with its border; it may hold several views.
    datum: the finished floor, elevation 100'-0", which is y = 1200 in every drawing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
OpeningKind = Literal["door", "pair", "overhead", "storefront", "window", "louver"]

PLOT_SCALE = 96.0
"""1/8" = 1'-0"."""

DATUM_IN = 1200.0
"""Drawing y of the finished floor, elevation 100'-0"."""

OWNER, OWNER_REST, PROJECT = "FENNICK VALE", "GROWERS' CO-OPERATIVE", "PRODUCE DEPOT"


def ft(feet: float, inches: float = 0.0) -> float:
    """Return feet and inches as inches."""
    return feet * 12.0 + inches


@dataclass(frozen=True, slots=True)
class Opening:
    """An opening: its tag, what fills it, left jamb, sill, width and height.

    Attributes:
        leaf_height: height of the door itself where it passes above the masonry; 0 when it does not.
    """

    tag: str
    kind: OpeningKind
    x: float
    sill: float
    width: float
    height: float
    leaf_height: float = 0.0


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall: tag, outline, openings.

    Attributes:
        offset: its left end, from the view's origin.
        top: corners of the top edge from left to right.
        tag_at: centre of its tag.
        half_high: True for units 4 in. high.
        old_polyline: True to draw the outline as an old-style POLYLINE.
        siding_to: height of the metal siding that stands on the wall; 0 for none.
        lights: centres of the wall lights.
    """

    tag: str
    offset: float
    top: tuple[Point, ...]
    tag_at: Point
    openings: tuple[Opening, ...] = ()
    half_high: bool = False
    old_polyline: bool = False
    siding_to: float = 0.0
    lights: tuple[Point, ...] = ()

    @property
    def length(self) -> float:
        """Length from end to end."""
        return self.top[-1][0]

    @property
    def outline(self) -> tuple[Point, ...]:
        """Corners in the wall's own axes, counter-clockwise from the lower left."""
        return ((0.0, 0.0), (self.length, 0.0), *reversed(self.top))


@dataclass(frozen=True, slots=True)
class Level:
    """A level mark: its height above the datum, name, and the side of the view it stands on."""

    height: float
    name: str
    side: Literal["left", "right"] = "right"


@dataclass(frozen=True, slots=True)
class View:
    """One titled elevation.

    Attributes:
        number: its number on the sheet.
        title: printed under it.
        remark: printed under the title, such as the units it is built of.
        origin: drawing point of its left end and bottom.
        note: material note, pointed at the wall by a leader, and the point it points at.
    """

    number: int
    title: str
    remark: str
    origin: Point
    walls: tuple[Wall, ...]
    levels: tuple[Level, ...]
    note: tuple[tuple[str, ...], Point]


@dataclass(frozen=True, slots=True)
class Sheet:
    """One drawing.

    Attributes:
        file: file name.
        number: sheet number.
        title: lines of the sheet title.
        size: width and height of the paper, inches.
        corner: drawing point of the paper's lower left corner.
        key_plan: drawing point of the key plan's origin.
        shown: wall tags that the key plan marks.
        notes: drawing point of the upper left corner of the general notes.
        schedule: drawing point of the upper left corner of the opening schedule, None for none.
        section: drawing point of the foot of the wall section, None for none.
    """

    file: str
    number: str
    title: tuple[str, ...]
    size: Point
    corner: Point
    views: tuple[View, ...]
    key_plan: Point
    shown: tuple[str, ...]
    notes: Point
    schedule: Point | None = None
    section: Point | None = None


def level_top(length: float, height: float) -> tuple[Point, ...]:
    """Return the top edge of a plain wall."""
    return ((0.0, height), (length, height))


ARCH_D, ARCH_C = (36.0, 24.0), (24.0, 18.0)

HEAD, SILL = ft(7, 4), ft(2, 8)
WINDOW = HEAD - SILL


def _north() -> Sheet:
    x0 = 24000.0
    wall = Wall(
        tag="W1",
        offset=0.0,
        top=level_top(ft(200), ft(20)),
        tag_at=(ft(23), ft(10)),
        openings=(
            Opening("L1", "louver", ft(64), ft(13, 4), ft(4), ft(2, 8)),
            Opening("L2", "louver", ft(132), ft(13, 4), ft(4), ft(2, 8)),
        ),
        lights=((ft(45), ft(10)), (ft(89), ft(10)), (ft(111), ft(10)), (ft(155), ft(10))),
    )
    view = View(
        1,
        "WAREHOUSE - NORTH ELEVATION",
        "",
        (x0, DATUM_IN),
        (wall,),
        (Level(ft(20), "T.O. WALL"), Level(0.0, "FIN. FLOOR")),
        (('8" CONCRETE MASONRY,', "RUNNING BOND"), (ft(192), ft(16))),
    )
    corner = (x0 - ft(26), DATUM_IN - ft(132))
    return Sheet(
        "warehouse-north.dxf",
        "A-201",
        ("WAREHOUSE", "NORTH ELEVATION"),
        ARCH_D,
        corner,
        (view,),
        key_plan=(corner[0] + ft(214), corner[1] + ft(58)),
        shown=("W1",),
        notes=(corner[0] + ft(206), corner[1] + ft(98)),
        section=(corner[0] + ft(152), corner[1] + ft(36)),
    )


def _south() -> Sheet:
    x0 = 48000.0
    wall = Wall(
        tag="W2",
        offset=0.0,
        top=level_top(ft(120), ft(16)),
        tag_at=(ft(26, 8), ft(13)),
        openings=(
            Opening("N1", "window", ft(8), SILL, ft(6), WINDOW),
            Opening("D1", "door", ft(20), 0.0, ft(3, 4), HEAD),
            Opening("SF1", "storefront", ft(32), 0.0, ft(14), ft(10, 8)),
            Opening("N2", "window", ft(54), SILL, ft(8), WINDOW),
            Opening("D2", "pair", ft(68), 0.0, ft(6, 8), HEAD),
            Opening("N3", "window", ft(84), ft(3, 4), ft(4, 8), ft(4)),
            Opening("OH1", "overhead", ft(94, 8), 0.0, ft(9, 4), ft(10)),
            Opening("D3", "door", ft(109, 4), 0.0, ft(3, 4), HEAD),
        ),
        lights=((ft(17), ft(9)), (ft(65, 4), ft(9)), (ft(106, 8), ft(9))),
    )
    view = View(
        1,
        "FARM SHOP - SOUTH ELEVATION",
        "",
        (x0, DATUM_IN),
        (wall,),
        (Level(ft(16), "T.O. WALL"), Level(0.0, "FIN. FLOOR")),
        (('8" CONCRETE MASONRY,', "RUNNING BOND"), (ft(116), ft(13))),
    )
    corner = (x0 - ft(18), DATUM_IN - ft(102))
    return Sheet(
        "shopfront-south.dxf",
        "A-202",
        ("FARM SHOP", "SOUTH ELEVATION"),
        ARCH_C,
        corner,
        (view,),
        key_plan=(corner[0] + ft(124), corner[1] + ft(42)),
        shown=("W2",),
        notes=(corner[0] + ft(112), corner[1] + ft(76)),
        schedule=(corner[0] + ft(62), corner[1] + ft(76)),
    )


def _east() -> Sheet:
    x0 = 72000.0
    wing = Wall(
        tag="W4",
        offset=0.0,
        top=level_top(ft(34, 8), ft(10, 8)),
        tag_at=(ft(20, 4), ft(5, 4)),
        openings=(
            Opening("N4", "window", ft(13, 4), SILL, ft(4), WINDOW),
            Opening("N5", "window", ft(23, 4), SILL, ft(5, 4), WINDOW),
        ),
        old_polyline=True,
    )
    main = Wall(
        tag="W3",
        offset=wing.length,
        top=((0.0, ft(16)), (ft(32), ft(16)), (ft(32), ft(20)), (ft(80), ft(20))),
        tag_at=(ft(40), ft(17)),
        openings=(
            Opening("D4", "door", ft(18, 8), 0.0, ft(3, 4), HEAD),
            Opening("OH2", "overhead", ft(50), 0.0, ft(12), ft(14)),
        ),
        lights=((ft(15), ft(9)), (ft(45), ft(9)), (ft(72), ft(9))),
    )
    view = View(
        1,
        "DEPOT AND COLD STORE WING - EAST ELEVATION",
        "",
        (x0, DATUM_IN),
        (wing, main),
        (
            Level(ft(20), "T.O. WALL"),
            Level(0.0, "FIN. FLOOR"),
            Level(ft(16), "T.O. LOW WALL"),
            Level(ft(10, 8), "T.O. WING", "left"),
        ),
        (('8" CONCRETE MASONRY,', "RUNNING BOND"), (ft(110), ft(18))),
    )
    corner = (x0 - ft(30), DATUM_IN - ft(100))
    return Sheet(
        "stepped-east.dxf",
        "A-203",
        ("DEPOT", "EAST ELEVATION"),
        ARCH_C,
        corner,
        (view,),
        key_plan=(corner[0] + ft(124), corner[1] + ft(42)),
        shown=("W3", "W4"),
        notes=(corner[0] + ft(112), corner[1] + ft(74)),
        schedule=(corner[0] + ft(62), corner[1] + ft(74)),
    )


def _west() -> Sheet:
    x0 = 96000.0
    wall = Wall(
        tag="W5",
        offset=0.0,
        top=level_top(ft(128), ft(4, 8)),
        tag_at=(ft(62), ft(2, 4)),
        openings=(
            Opening("D5", "door", ft(40), 0.0, ft(3, 4), ft(4, 8), leaf_height=HEAD),
            Opening("D6", "door", ft(92), 0.0, ft(4), ft(4, 8), leaf_height=HEAD),
        ),
        siding_to=ft(16),
    )
    view = View(
        1,
        "PACKING SHED - WEST ELEVATION",
        "MASONRY WAINSCOT BELOW METAL SIDING",
        (x0, DATUM_IN),
        (wall,),
        (Level(ft(16), "EAVE"), Level(ft(4, 8), "T.O. WAINSCOT"), Level(0.0, "FIN. FLOOR")),
        (('8" CONCRETE MASONRY WAINSCOT,', "RUNNING BOND"), (ft(122), ft(2))),
    )
    corner = (x0 - ft(14), DATUM_IN - ft(102))
    return Sheet(
        "wainscot-west.dxf",
        "A-204",
        ("PACKING SHED", "WEST ELEVATION"),
        ARCH_C,
        corner,
        (view,),
        key_plan=(corner[0] + ft(124), corner[1] + ft(42)),
        shown=("W5",),
        notes=(corner[0] + ft(112), corner[1] + ft(76)),
        schedule=(corner[0] + ft(62), corner[1] + ft(76)),
    )


def _courtyard() -> Sheet:
    x0 = 120000.0
    note = ('8" CONCRETE MASONRY,', '4" HIGH UNITS, RUNNING BOND')
    north = Wall(
        tag="W6",
        offset=0.0,
        top=level_top(ft(64), ft(13, 4)),
        tag_at=(ft(44), ft(8)),
        openings=(
            Opening("D7", "door", ft(9, 4), 0.0, ft(3, 4), HEAD),
            Opening("N6", "window", ft(26, 8), SILL, ft(8), WINDOW),
        ),
        half_high=True,
    )
    east = Wall(
        tag="W7",
        offset=0.0,
        top=level_top(ft(48), ft(9, 4)),
        tag_at=(ft(14), ft(6)),
        openings=(Opening("N7", "window", ft(22), SILL, ft(4), WINDOW),),
        half_high=True,
    )
    south = Wall(
        tag="W8", offset=0.0, top=level_top(ft(72), ft(6, 8)), tag_at=(ft(38), ft(3, 4)), half_high=True
    )
    half_high = '4" HIGH UNITS (HALF-HIGH)'
    floor = Level(0.0, "PAVING")
    views = (
        View(
            1,
            "COURTYARD - NORTH SIDE",
            half_high,
            (x0, DATUM_IN),
            (north,),
            (Level(ft(13, 4), "T.O. WALL"), floor),
            (note, (ft(59), ft(10))),
        ),
        View(
            2,
            "COURTYARD - EAST SIDE",
            half_high,
            (x0 + ft(132), DATUM_IN),
            (east,),
            (Level(ft(9, 4), "T.O. WALL"), floor),
            (note, (ft(44), ft(8))),
        ),
        View(
            3,
            "COURTYARD - SOUTH SIDE",
            half_high,
            (x0, DATUM_IN - ft(70)),
            (south,),
            (Level(ft(6, 8), "T.O. WALL"), floor),
            (note, (ft(68), ft(5))),
        ),
    )
    corner = (x0 - ft(26), DATUM_IN - ft(146))
    return Sheet(
        "sheet-courtyard.dxf",
        "A-205",
        ("COURTYARD", "ELEVATIONS"),
        ARCH_D,
        corner,
        views,
        key_plan=(corner[0] + ft(214), corner[1] + ft(58)),
        shown=("W6", "W7", "W8"),
        notes=(corner[0] + ft(206), corner[1] + ft(106)),
        schedule=(corner[0] + ft(150), corner[1] + ft(106)),
    )


SHEETS: tuple[Sheet, ...] = (_north(), _south(), _east(), _west(), _courtyard())
