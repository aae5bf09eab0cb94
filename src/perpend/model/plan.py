"""What a wall gets: limits, joints, panels, lintels, slip planes, steel; places in its own axes, inches."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import Literal

from perpend.model.elevation import EndCondition, HeightBasis, Opening, PlaceKind, Treatment, Wall
from perpend.model.geometry import Box, Path
from perpend.model.sizes import JointSizes
from perpend.model.sources import Source


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits that govern a panel of a given height.

    Attributes:
        method: ``empirical``, ``engineered``, ``veneer`` or ``no-joints``.
        units: ``full-height`` or ``half-high``.
        height_in: the height H the limits were taken at.
        height_basis: which height that is.
        max_spacing_in: greatest panel length; None when the method needs no joints.
        governing: ``ratio``, ``cap`` or ``none``.
        ratio: spacing over height, after any tightening.
        cap_in: greatest spacing whatever the height, after any tightening.
        corner_distance_in: greatest distance of the first joint from a corner.
        corner_min_in: least distance of a joint from a corner (0 when the book has none).
        tightened: what the settings tightened, in words, or empty.
        sources: the rows used.
        ccc: the crack control coefficient used; None for the other methods.
        material: of the units; empty where the book is about one alone.
    """

    method: str
    units: str
    height_in: float
    height_basis: HeightBasis
    max_spacing_in: float | None
    governing: Literal["ratio", "cap", "none"]
    ratio: float | None
    cap_in: float | None
    corner_distance_in: float | None
    corner_min_in: float = 0.0
    tightened: str = ""
    sources: tuple[Source, ...] = ()
    ccc: float | None = None
    material: str = ""


@dataclass(frozen=True, slots=True)
class Lintel:
    """The lintel over an opening, with its bearings or extensions."""

    box: Box
    bearing_left_in: float
    bearing_right_in: float
    note: str = ""


TreatmentOf = Literal["opening", "every", "none"]
"""Of what a treatment was said: of one opening, of every opening of a wall, or of none (the default)."""


@dataclass(frozen=True, slots=True)
class OpeningRule:
    """What the rule book and the settings require of one opening.

    Attributes:
        opening: the opening.
        treatment: reinforced or unreinforced.
        jambs_required: joints needed at its jambs: 0, 1 (either side) or 2.
        clear_in: a joint that does not serve this opening keeps at least this far from its jambs.
        step_in: how far a jamb joint steps out under the lintel (length of the slip plane); 0 when
            it runs straight up.
        lintel: the lintel to draw, None when there is no masonry above.
        boundary_case: True when the width falls in neither printed branch.
        wide: True when both jambs need a joint.
        near_within_in: a joint must be within this distance of one of its jambs, on either side;
            None where the book does not require it.
        sources: the rows used.
        bearing_in: usual bearing of the lintel at each end; 0 when it need not bear. What is
            really there is in `lintel`.
        bearing_least_in: bearing that is required: the book's least, or what the settings require.
        treatment_of: of what its treatment was said: of this opening, of every one, or of none.
        jambs_optional: True when a joint may stand at its jambs although none has to.
        away: True where joints keep `clear_in` from it, though it is unreinforced.
        clear_why: why joints may be nearer than the rule book says, in the project's words.
        clear_asked: True where the book has a distance from its jambs of its own, beyond the lintel's end.
    """

    opening: Opening
    treatment: Treatment
    jambs_required: Literal[0, 1, 2]
    clear_in: float
    step_in: float
    lintel: Lintel | None
    boundary_case: bool = False
    wide: bool = False
    near_within_in: float | None = None
    sources: tuple[Source, ...] = ()
    bearing_in: float = 0.0
    bearing_least_in: float = 0.0
    treatment_of: TreatmentOf = "opening"
    jambs_optional: bool = False
    away: bool = False
    clear_why: str = ""
    clear_asked: bool = False

    @property
    def bars_jambs(self) -> bool:
        """True where joints keep `clear_in` even if they stand at a jamb."""
        arched = self.opening.arched and self.jambs_required == 0
        return self.treatment is Treatment.REINFORCED or self.away or arched

    @property
    def keeps_clear(self) -> bool:
        """True where joints that are not at its jambs keep `clear_in`; else only its lintel is in the way."""
        return self.bars_jambs or self.clear_asked


Side = Literal["left", "right"]


class JointKind(StrEnum):
    """How a joint runs and what it answers to."""

    STRAIGHT = "straight"
    """On a module line, bottom to top."""
    JAMB = "jamb"
    """At the jamb of an opening, stepped around its lintel."""
    PARTIAL = "partial"
    """Below the sill or above the head of an opening that is long and low, where a panel of its own is."""
    FORCED = "forced"
    """Where the wall itself changes: height, thickness, pilaster, intersection, foundation joint."""
    END = "end"
    """At the end of the wall, where another wall adjoins."""
    EXISTING = "existing"
    """Drawn by someone else and kept."""


@dataclass(frozen=True, slots=True)
class SlipPlane:
    """The level piece of a stepped joint, under the bearing of a lintel."""

    x0_in: float
    x1_in: float
    y_in: float
    opening: str


@dataclass(frozen=True, slots=True)
class Joint:
    """One control joint.

    Attributes:
        number: 1, 2, ... from the wall's left end.
        x_in: station of its foot.
        path: the whole line from bottom to top, steps included.
        kind: how it runs.
        reason: why it is there, one clause.
        serves: tags of the openings whose jamb it serves.
        slip_planes: its level pieces.
        place: what forced it, or None.
        joint_type: key of the joint type, or None when none was named.
        existing: True when it was in the drawing already.
        handle: of the existing entity, or empty.
        sources: rows that require it.
        past_in: how far its line was drawn on below the wall's bottom and above its top.
        width_in: how wide it was drawn; 0 for a line.
        held: True when it stands where a person decided.
        label: the number on the drawing, such as ``4A``; empty where it is `number`.
        detail: the project's detail that shows it; empty for the usual one.
        found: True for an existing one that an earlier run drew, whose marks another program lost.
    """

    number: int
    x_in: float
    path: Path
    kind: JointKind
    reason: str
    serves: tuple[str, ...] = ()
    slip_planes: tuple[SlipPlane, ...] = ()
    place: PlaceKind | None = None
    joint_type: str | None = None
    existing: bool = False
    handle: str = ""
    sources: tuple[Source, ...] = ()
    past_in: tuple[float, float] = (0.0, 0.0)
    width_in: float = 0.0
    held: bool = False
    label: str = ""
    detail: str = ""
    found: bool = False

    @property
    def mark(self) -> str:
        """Its number as it is written on the drawing."""
        return self.label or str(self.number)

    @property
    def head_x_in(self) -> float:
        """Station of its upper end."""
        return self.path[-1][0]


@dataclass(frozen=True, slots=True)
class Panel:
    """The masonry between two joints, or between a joint and an end.

    Attributes:
        x0_in: foot of the left joint, or the wall's left end.
        x1_in: foot of the right joint, or the right end.
        length_in: greatest level distance between the two on any course; more than ``x1 - x0``
            where a stepped joint leans away.
        limit_in: greatest length allowed here; None when the method needs no joints.
        height_in: the height the limit was taken at.
        at_corner: True when the panel ends at a corner, so that its distance was tested too.
        corner_limit_in: greatest distance of the first joint from that corner, at the panel's height; None
            where no corner is, or none is required.
    """

    x0_in: float
    x1_in: float
    length_in: float
    limit_in: float | None
    height_in: float
    at_corner: bool = False
    corner_limit_in: float | None = None

    @property
    def utilisation(self) -> float | None:
        """Length over limit; above 1 the panel is too long."""
        return self.length_in / self.limit_in if self.limit_in else None


@dataclass(frozen=True, slots=True)
class Bar:
    """A line of steel drawn on the elevation.

    Attributes:
        path: its line.
        kind: ``jamb``, ``sill`` or ``head`` bar of an opening, ``bed`` joint reinforcement at an
            opening's corners, ``horizontal`` joint reinforcement between joints, or a ``bond-beam``.
        openings: tags of the openings that it serves; empty for what reinforces the whole wall.
        note: what it is, in a few words.
        stops_at: tags of the openings in its way, where it ends.
    """

    path: Path
    kind: Literal["jamb", "sill", "head", "bed", "horizontal", "bond-beam"]
    openings: tuple[str, ...] = ()
    note: str = ""
    stops_at: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReinforcementChoice:
    """One way to meet the horizontal reinforcement: what, and how far apart at most."""

    name: str
    area_in2: float
    max_spacing_in: float
    source: Source

    @property
    def in_beds(self) -> bool:
        """True for wires, which lie in bed joints; bars lie in bond beams."""
        return "wire" in self.name


@dataclass(frozen=True, slots=True)
class HorizontalReinforcement:
    """What the wall needs between its joints.

    Attributes:
        required_in2_per_ft: area per foot of wall height; None where the book requires none.
        choices: each of them meets it.
        source: the row that requires it.
        chosen: name of the choice that the settings made, or None.
    """

    required_in2_per_ft: float | None
    choices: tuple[ReinforcementChoice, ...]
    source: Source | None = None
    chosen: str | None = None

    @property
    def choice(self) -> ReinforcementChoice | None:
        """The choice that the settings made."""
        return next((c for c in self.choices if c.name == self.chosen), None)


@dataclass(frozen=True, slots=True)
class SearchCounts:
    """Work done by the search, in counts rather than seconds."""

    candidates: int = 0
    pairs_examined: int = 0


@dataclass(frozen=True, slots=True)
class Cost:
    """What a layout costs, in the order in which it is minimised.

    Attributes:
        violations: joints missing, requirements unserved and forced joints standing too near
            something.
        excess_in: inches by which limits are exceeded, summed.
        narrow: pieces of masonry narrower than the least panel.
        shortfall_in: by how much in all.
        joints: joints within the wall.
        slip_planes: level pieces of stepped joints.
        longest_in: longest panel.
        unevenness: sum of the squares of the panel lengths, in².
    """

    violations: int
    excess_in: float
    joints: int
    slip_planes: int
    longest_in: float
    unevenness: float
    narrow: int = 0
    shortfall_in: float = 0.0


@dataclass(frozen=True, slots=True)
class WallPlan:
    """Everything decided about one wall, ready to be drawn or reported.

    Attributes:
        wall: the wall.
        limits: limits of the whole wall (at its least height).
        left_end: condition used at the left end.
        right_end: likewise.
        openings: what is required of each opening, in the order of ``wall.openings``.
        joints: left to right; joints at the ends included.
        panels: left to right.
        bars: steel to draw.
        reinforcement: horizontal reinforcement.
        joint_type: key of the joint type used, or None.
        joint_type_name: as printed, with what is known of its shear transfer and fire rating.
        module_in: distance between the stations where a joint may be.
        cost: what the layout costs; None when the joints were read and not placed.
        counts: work done by the search.
        notes: remarks that belong in the note block, one sentence each, with their source.
        joint_type_source: the row that says what is known of the joint type, or None.
        superseded: lines of the drafter's joints that count no more.
        sizes: of the joint itself.
        sheet_notes: what the sheet has to say of places that show no joint here, one imperative each.
        debonded: where a structural bond beam runs through a joint, debonded on one side.
    """

    wall: Wall
    limits: Limits
    left_end: EndCondition
    right_end: EndCondition
    openings: tuple[OpeningRule, ...]
    joints: tuple[Joint, ...]
    panels: tuple[Panel, ...]
    bars: tuple[Bar, ...]
    reinforcement: HorizontalReinforcement
    joint_type: str | None
    joint_type_name: str
    module_in: float
    cost: Cost | None = None
    counts: SearchCounts = SearchCounts()
    notes: tuple[str, ...] = ()
    debonded: Path = ()
    joint_type_source: Source | None = None
    superseded: tuple[Path, ...] = ()
    sizes: JointSizes = field(default_factory=JointSizes)
    sheet_notes: tuple[str, ...] = ()

    @property
    def corner_limits_in(self) -> dict[Side, float]:
        """The ends that are corners, with the greatest distance of the first joint from each."""
        ends: tuple[tuple[Side, EndCondition, tuple[Panel, ...]], ...] = (
            ("left", self.left_end, self.panels[:1]),
            ("right", self.right_end, self.panels[-1:]),
        )
        return {
            side: panel.corner_limit_in
            for side, end, panels in ends
            for panel in panels
            if end is EndCondition.CORNER and panel.corner_limit_in is not None
        }
