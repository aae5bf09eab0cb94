"""What was read from a drawing: walls, their openings, and what stands in or at them.

Everything a wall holds is in the wall's own axes (inches; x from its left end, y from its bottom).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field
from enum import StrEnum

from perpend.model.geometry import Box, Frame, Path, Profile, at_break, lowest_height, parts_uncovered
from perpend.notices import ENTITY_IGNORED, Notice
from perpend.units import SAME_IN


class EndCondition(StrEnum):
    """What a wall meets at one of its ends."""

    CORNER = "corner"
    """A return wall: a joint is needed within the corner distance."""
    FREE = "free"
    """Nothing: the panel is measured to the end."""
    CONTINUES = "continues"
    """A joint or the rest of the wall beyond the sheet: the panel is measured to the end."""
    JOINT = "joint"
    """A joint stands at the end itself: an adjoining wall begins there."""


class Treatment(StrEnum):
    """How an opening is dealt with."""

    REINFORCED = "reinforced"
    UNREINFORCED = "unreinforced"


class HeightBasis(StrEnum):
    """Which height the spacing is measured against."""

    WALL = "wall"
    STOREY = "storey"


class PlaceKind(StrEnum):
    """Why a joint is forced at a station."""

    HEIGHT_CHANGE = "height-change"
    THICKNESS_CHANGE = "thickness-change"
    PILASTER = "pilaster"
    INTERSECTION = "intersection"
    FOUNDATION_JOINT = "foundation-joint"
    ADJOINING_WALL = "adjoining-wall"
    EXPANSION_JOINT = "expansion-joint"
    EXISTING = "existing"
    HELD = "held"


class ZoneKind(StrEnum):
    """Why no joint may stand in a part of a wall."""

    BEARING = "bearing"
    """A beam, a joist girder or a bearing plate bears there."""
    NO_JOINTS = "no-joints"
    """The drawing says so: a shear wall segment, an embedded plate, a sign."""


@dataclass(frozen=True, slots=True)
class Opening:
    """A hole in a wall.

    Attributes:
        tag: the drafter's mark, or one made up (``opening 3``) when there is none.
        handle: DXF handle of the entity it came from.
        box: left jamb, sill, right jamb, head; the bounding rectangle when arched or sloped.
        outline: closed ring of its corners, arcs flattened; the box's corners when rectangular.
        layer: DXF layer it stands on.
        treatment: what the drawing itself says (by layer or tag), or None.
        arched: True when the head is not straight and level.
        parts: tags of the openings that it was put together from, or empty.
    """

    tag: str
    handle: str
    box: Box
    outline: Path = ()
    layer: str = ""
    treatment: Treatment | None = None
    arched: bool = False
    parts: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Its tag, and those of the openings that it was put together from: settings may name any."""
        return (self.tag, *self.parts)

    @property
    def width_in(self) -> float:
        """Clear width between the jambs."""
        return self.box.width

    @property
    def called(self) -> str:
        """Its name within a sentence: ``opening W9``, ``opening 3``."""
        return self.tag if self.tag.lower().startswith("opening ") else f"opening {self.tag}"


@dataclass(frozen=True, slots=True)
class Place:
    """A station where something other than spacing asks for a joint.

    Attributes:
        x_in: the station.
        kind: what asks for it.
        handle: of the entity, or of the outline of the wall that adjoins.
        note: what it is, in a few words.
        wall: tag of the wall that adjoins, or empty.
        faces_in: stations of its left and its right side, where it was drawn with a width.
        levels_in: heights between which this wall and the one that adjoins meet, or None.
    """

    x_in: float
    kind: PlaceKind
    handle: str = ""
    note: str = ""
    wall: str = ""
    faces_in: tuple[float, float] | None = None
    levels_in: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Zone:
    """A part of a wall that the drawing keeps free of joints.

    Attributes:
        box: what was drawn.
        kind: why.
        handle: of its entity.
        text: what stands in it.
    """

    box: Box
    kind: ZoneKind
    handle: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class DrawnJoint:
    """A joint that stands in the drawing already.

    Attributes:
        path: its line from bottom to top, wall axes.
        handle: handle of its first entity.
        handles: every entity it was put together from.
        ours: True when an earlier run of perpend drew it.
        joint_type: type named by the drawing, or None.
        past_in: how far its line was drawn on below the wall's bottom and above its top; the path is
            without that.
        width_in: how wide it was drawn, a strip or two lines, whose middle the path is; 0 for one line.
        held: True when a person decided that it stays where it is: it is drawn as ours. A path of one point
            then gives its station alone.
        label: the number under which it is known, such as ``4`` or ``4A``; empty where it has none yet.
        detail: the project's detail that shows it, such as ``5/A-501``; empty for the usual one.
    """

    path: Path
    handle: str
    handles: tuple[str, ...] = ()
    ours: bool = False
    joint_type: str | None = None
    layer: str = ""
    past_in: tuple[float, float] = (0.0, 0.0)
    width_in: float = 0.0
    held: bool = False
    label: str = ""
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Support:
    """A line of lateral support (floor, roof): its height and where it starts and stops."""

    y_in: float
    x0_in: float
    x1_in: float
    handle: str = ""


@dataclass(frozen=True, slots=True)
class BondBeam:
    """A bond beam drawn on the elevation; structural ones run through joints."""

    box: Box
    structural: bool = False
    handle: str = ""
    layer: str = ""


@dataclass(frozen=True, slots=True)
class Wall:
    """One wall of an elevation, in its own axes.

    Attributes:
        tag: the drafter's mark, or one made up (``wall 1``).
        handle: DXF handle of its outline.
        frame: where its axes lie in the drawing.
        length_in: from its left end to its right end.
        top: upper edge.
        bottom: lower edge.
        openings: sorted by left jamb, then sill.
        left_end: what the drawing says of the left end (adjoining wall), or None.
        right_end: likewise.
        places: stations that need a joint for a reason the drawing shows.
        drawn_joints: joints already in the drawing.
        supports: lateral support lines.
        bond_beams: drawn bond beams.
        texts: every text inside the wall or an opening of it, as drawn.
        layer: DXF layer of the outline.
        doubts: what it shows and was not read, or may have been read wrongly.
        fronts: upper edges of lower walls that stand in front of it on its foot: what is below is hidden.
        part_of: tag of the wall of which it is a run, or empty.
        base_in: height of its foot above that of the wall of which it is a storey.
        whole_height_in: height of that wall, where it is one; else 0.
        zones: parts of it that the drawing keeps free of joints.
        no_joint_at_in: stations of feet where a person decided that no joint is placed.
        no_joint_within_in: nor one for its spacing alone nearer to them than this.
        corner_marks: marks of the corners of the building at its left and its right end, or empty.
    """

    tag: str
    handle: str
    length_in: float
    top: Profile
    bottom: Profile
    frame: Frame = field(default_factory=Frame)
    openings: tuple[Opening, ...] = ()
    left_end: EndCondition | None = None
    right_end: EndCondition | None = None
    places: tuple[Place, ...] = ()
    drawn_joints: tuple[DrawnJoint, ...] = ()
    supports: tuple[Support, ...] = ()
    bond_beams: tuple[BondBeam, ...] = ()
    texts: tuple[str, ...] = ()
    layer: str = ""
    doubts: tuple[Notice, ...] = ()
    fronts: tuple[Profile, ...] = ()
    part_of: str = ""
    base_in: float = 0.0
    whole_height_in: float = 0.0
    zones: tuple[Zone, ...] = ()
    no_joint_at_in: tuple[float, ...] = ()
    no_joint_within_in: float = 0.0
    corner_marks: tuple[str, str] = ("", "")

    @property
    def names(self) -> tuple[str, ...]:
        """Its tag, and that of the wall of which it is a run: settings may name either."""
        return (self.tag, self.part_of) if self.part_of else (self.tag,)

    def seen(self, path: Path) -> tuple[Path, ...]:
        """Return the parts of a path in it that no wall in front hides."""
        parts: tuple[Path, ...] = (path,)
        for front in self.fronts:
            parts = tuple(piece for part in parts for piece in parts_uncovered(part, front))
        return parts

    def joint_levels(self, x_in: float) -> tuple[float, float]:
        """Return where a joint at a station begins and ends: what the masonry on both sides of it shares.

        At an end where another wall adjoins it ends at the lower top of the two.
        """
        low, high = max(self.bottom.at(x_in)), min(self.top.at(x_in))
        for place in self.places:
            if place.levels_in is not None and abs(place.x_in - x_in) <= SAME_IN:
                low, high = max(low, place.levels_in[0]), min(high, place.levels_in[1])
        return low, high

    @property
    def height_in(self) -> float:
        """Least height of the whole wall, from edge to edge."""
        return lowest_height(self.top, self.bottom, 0.0, self.length_in)

    @property
    def greatest_height_in(self) -> float:
        """Distance from the lowest point of the bottom to the highest of the top."""
        return max(y for _, y in self.top.points) - min(y for _, y in self.bottom.points)

    def panel_height_in(self, x0_in: float, x1_in: float, basis: HeightBasis = HeightBasis.WALL) -> float:
        """Return the height H of the panel between two stations.

        With `HeightBasis.STOREY` this is the least height between neighbouring lateral supports, the
        wall's bottom among them; what is above the topmost one is parapet and no storey. A joint runs
        through every storey, so the lowest one governs.
        """
        whole = lowest_height(self.top, self.bottom, x0_in, x1_in)
        if basis is HeightBasis.WALL:
            return whole
        breaks = {x for edge in (self.top, self.bottom) for x, _ in edge.points}
        x0_in, x1_in = at_break(x0_in, breaks), at_break(x1_in, breaks)
        base = max(y for _, y in self.bottom.between(x0_in, x1_in))
        crown = min(y for _, y in self.top.between(x0_in, x1_in))
        inner = sorted(
            s.y_in for s in self.supports if s.x0_in < x1_in and s.x1_in > x0_in and base < s.y_in < crown
        )
        levels = [base, *inner]
        return min(b - a for a, b in itertools.pairwise(levels)) if inner else whole


@dataclass(frozen=True, slots=True)
class Elevation:
    """All that was read from one drawing.

    Attributes:
        path: the drawing's path as given.
        sha256: of the file's bytes.
        dxf_version: such as ``R2010``.
        units: the drawing's length unit, such as ``in`` or ``mm``.
        units_why: how the unit was known (header, setting, or a guess and its reason).
        inches_per_unit: inches in one drawing unit.
        metric: True when lengths are printed in millimetres.
        walls: left to right, top row first.
        notices: what was noticed while reading: doubts, repairs, and entities that were left out. Doubts
            about one wall are that wall's.
        layout: name of the layout on which it is drawn; None is modelspace.
    """

    path: str
    sha256: str
    dxf_version: str
    units: str
    walls: tuple[Wall, ...]
    units_why: str = "header"
    inches_per_unit: float = 1.0
    metric: bool = False
    notices: tuple[Notice, ...] = ()
    layout: str | None = None

    @property
    def ignored(self) -> tuple[Notice, ...]:
        """Entities on layers of interest that were not used; the words say why."""
        return tuple(notice for notice in self.notices if notice.code == ENTITY_IGNORED)

    @property
    def repaired(self) -> tuple[str, ...]:
        """All other notices, one sentence each."""
        return tuple(dict.fromkeys(n.words for n in self.notices if n.code != ENTITY_IGNORED))
