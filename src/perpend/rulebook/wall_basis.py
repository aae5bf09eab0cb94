"""The basis of a wall's layout: every number the rule book and the settings decided, per wall.

Both the designer (`layout`) and the judge (`checks`) start from a `WallBasis`; neither looks at
settings or at the rule book's files.

Glossary:
    ratio: joint spacing over wall height.
    cap: greatest spacing whatever the height.
    corner fraction: greatest distance of the first joint from a corner, as a part of the spacing.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field, replace
from operator import attrgetter

from perpend.model import (
    EndCondition,
    HeightBasis,
    HorizontalReinforcement,
    JointSizes,
    Limits,
    OpeningRule,
    Source,
    Wall,
    WallPlan,
)
from perpend.rulebook.judgment import Judgment, KeepOut, PlaceRule, Restraint
from perpend.rulebook.no_joint_steel import NoJointSteel
from perpend.rulebook.strip_pieces import StripPiece
from perpend.units import SAME_IN, exceeds, format_both, same, system_of

_middle = attrgetter("middle_in")


@dataclass(frozen=True, slots=True)
class SpacingRule:
    """How far apart joints may stand in a wall of any height, by one method.

    Attributes:
        method: ``empirical``, ``engineered``, ``veneer`` or ``no-joints``.
        units: ``full-height`` or ``half-high``.
        ratio: spacing over height; None when only the cap counts.
        cap_in: greatest spacing; None when the method needs no joints.
        corner_fraction: corner distance as a part of the spacing; None when `corner_max_in` rules.
        corner_max_in: corner distance as a length; None when `corner_fraction` rules.
        corner_min_in: least distance of a joint from a corner.
        tightened: what the settings tightened, in words.
        sources: the rows used.
        ccc: the crack control coefficient used; None for the other methods.
        material: of the units; empty where the book is about one alone.
        corner_around: greatest length of masonry round a corner, joint to joint, as a part of the spacing;
            None where the book does not measure round corners.
        corner_legs: what counts round a corner: ``one``: a joint near it in one of the two walls is enough;
            ``each``: each wall has its own; ``returns``: so it has, but a return without a joint counts with
            its whole length.
        corner_round_sources: the rows that say so of two drawn walls, where they are rows of their own.
        loosened: what local experience loosened, in words.
    """

    method: str
    units: str
    ratio: float | None
    cap_in: float | None
    corner_fraction: float | None = None
    corner_max_in: float | None = None
    corner_min_in: float = 0.0
    tightened: str = ""
    sources: tuple[Source, ...] = ()
    ccc: float | None = None
    material: str = ""
    corner_around: float | None = None
    corner_legs: str = ""
    loosened: str = ""
    corner_round_sources: tuple[Source, ...] = ()

    @property
    def corner_one_leg(self) -> bool:
        """True where a joint near the corner in one of the two walls is enough."""
        return self.corner_legs == "one"

    def at(self, height_in: float, basis: HeightBasis = HeightBasis.WALL) -> Limits:
        """Return the limits that govern a panel of this height.

        The spacing is the lesser of ratio × height and the cap; the corner distance is the lesser
        of the fraction of that spacing and the fixed distance, where the book has both.
        """
        by_ratio = None if self.ratio is None else self.ratio * height_in
        known = [term for term in (by_ratio, self.cap_in) if term is not None]
        spacing = min(known) if known else None
        return Limits(
            method=self.method,
            units=self.units,
            height_in=height_in,
            height_basis=basis,
            max_spacing_in=spacing,
            governing="none" if spacing is None else "ratio" if spacing != self.cap_in else "cap",
            ratio=self.ratio,
            cap_in=self.cap_in,
            corner_distance_in=self._corner_distance(spacing),
            corner_min_in=self.corner_min_in,
            tightened=self.tightened,
            sources=self.sources,
            ccc=self.ccc,
            material=self.material,
        )

    def _corner_distance(self, spacing_in: float | None) -> float | None:
        terms = []
        if spacing_in is not None and self.corner_fraction is not None:
            terms.append(spacing_in * self.corner_fraction)
        if self.corner_max_in is not None:
            terms.append(self.corner_max_in)
        return min(terms) if terms else None

    def beside_restraint_in(self, limits: Limits) -> float | None:
        """Return how far the next joint of a panel may be from a restraint; None: as far as it likes."""
        if limits.max_spacing_in is None or self.corner_fraction is None:
            return None
        return limits.max_spacing_in * self.corner_fraction

    def round_corner(self, limits: Limits, return_in: float) -> float | None:
        """Return how far from a corner the first joint may stand where that beyond the corner is known.

        Args:
            limits: the limits of the panel at the corner.
            return_in: distance of the first joint of the adjoining wall from the corner.
        """
        near, spacing = limits.corner_distance_in, limits.max_spacing_in
        if self.corner_around is None or spacing is None or near is None:
            return near
        rest = max(self.corner_around * spacing - return_in, 0.0)
        served = self.corner_one_leg and return_in <= near
        return rest if served else min(rest, near)


@dataclass(frozen=True, slots=True)
class WallBasis:
    """Everything that binds the joints of one wall.

    Attributes:
        wall: the wall.
        spacing: how far apart joints may stand.
        height_basis: which height the spacing is measured against.
        left_end: condition at the left end.
        right_end: condition at the right end.
        openings: what is asked of each opening, in the order of ``wall.openings``.
        module_in: distance between stations where a joint may stand.
        bond_origin_in: station of one module line.
        height_change_over: least change of height, as a part of the lower height, that needs a
            joint (0: any change).
        joint_type: key of the joint type, or None when none was named.
        joint_type_name: as printed.
        transfers_shear: what is known of the type's out-of-plane shear transfer; None: not known.
        reinforcement: horizontal reinforcement required and the choices that meet it.
        bar_offset_in: distance of a jamb bar from the jamb; 0 where the book says nothing of such bars.
        corner_reinforcement_past_in: how far bed reinforcement runs past the jambs of an
            unreinforced opening; 0 when it is off.
        corner_reinforcement_beds: how many bed joints above the head and below the sill carry it.
        course_in: height of a course.
        place_sources: rows that ask for joints at changes, intersections and the like, by place kind,
            and rows that say how a thing is done, by their id.
        judgment: what binds the joints beyond spacing and openings.
        place_rules: what the places of the drawing ask for; None: a joint at the station of each.
        keep_outs: stations that no joint may enter, openings left aside.
        restraints: what holds the masonry, so that the next joints have to be near it; left to right.
        short_return: True when the wall is a return between two corners that needs no joint.
        sheet_notes: what the sheet says of places that show no joint on this face, one imperative each.
        fewest_changes: True when placement may change the treatment of openings, of as few as it can.
        solid_grouted: True when the engineered method is used on a wall grouted solid.
        strip_spans: stretches that such openings take up.
        strip_pieces: masonry below and above long, low openings that is laid out by itself.
        notes: remarks for the note block.
        other_treatments: for each opening the rule it would have under the other treatment, or None
            where there is none; used to say what would free a wall that can't be satisfied.
        other_spacings: spacing rules of the other methods that apply to this wall, likewise.
        corner_stations_in: stations off the module where a joint may stand because the corner asks for
            one nearer than the module reaches (veneer).
        no_joint_steel: the horizontal steel of a wall without joints; None for every other method.
        sill_bar_past_in: how far the bar below an opening runs past each jamb; None: from joint to joint.
        draws_reinforcement: False when the chosen horizontal reinforcement is not to be drawn.
        joint_type_source: the row that says what is known of the joint type, or None.
        joint_type_named: False when the joint type is the usual one and no settings file named it.
        returns_in: for the left and the right corner, how far round it the first joint of the adjoining wall
            stands; None where that is not known.
        sizes: of the joint itself: width, ties, horizontal joints.
        label: what a joint is called on the sheet, such as ``CJ``.
        metric: True when the drawing is in metric units: lengths are then printed in millimetres.
        feet_beside: True where feet and inches are printed beside millimeters: the rule book is not metric.
        unit_in: length of a masonry unit; 0 when it is not known.
    """

    wall: Wall
    spacing: SpacingRule
    height_basis: HeightBasis
    left_end: EndCondition
    right_end: EndCondition
    openings: tuple[OpeningRule, ...]
    module_in: float
    bond_origin_in: float
    height_change_over: float
    joint_type: str | None
    joint_type_name: str
    transfers_shear: bool | None
    reinforcement: HorizontalReinforcement
    bar_offset_in: float
    corner_reinforcement_past_in: float
    corner_reinforcement_beds: int
    course_in: float
    place_sources: tuple[tuple[str, Source], ...] = ()
    notes: tuple[str, ...] = ()
    other_treatments: tuple[OpeningRule | None, ...] = ()
    other_spacings: tuple[SpacingRule, ...] = ()
    joint_type_named: bool = True
    corner_stations_in: tuple[float, ...] = ()
    no_joint_steel: NoJointSteel | None = None
    draws_reinforcement: bool = True
    sill_bar_past_in: float | None = None
    joint_type_source: Source | None = None
    metric: bool = False
    feet_beside: bool = True
    unit_in: float = 0.0
    returns_in: tuple[float | None, float | None] = (None, None)
    sizes: JointSizes = field(default_factory=JointSizes)
    label: str = "CJ"
    judgment: Judgment = field(default_factory=Judgment)
    place_rules: tuple[PlaceRule, ...] | None = None
    keep_outs: tuple[KeepOut, ...] = ()
    restraints: tuple[Restraint, ...] = ()
    strip_pieces: tuple[StripPiece, ...] = ()
    strip_spans: tuple[tuple[float, float], ...] = ()
    solid_grouted: bool = False
    fewest_changes: bool = False
    short_return: bool = False
    sheet_notes: tuple[str, ...] = ()

    @property
    def asked_places(self) -> tuple[PlaceRule, ...]:
        """What the places that the drawing marks ask for; each its own station unless the book says more."""
        if self.place_rules is not None:
            return self.place_rules
        return tuple(PlaceRule(place, (place.x_in,)) for place in self.wall.places)

    def stands_alone(self, x0_in: float, x1_in: float) -> bool:
        """Say whether what is between two joints is no panel but stands by itself: an unbonded pilaster."""
        pieces = (rule.own_piece_in for rule in self.place_rules or ())
        return any(piece and same(piece[0], x0_in) and same(piece[1], x1_in) for piece in pieces)

    def restraints_between(self, x0_in: float, x1_in: float) -> tuple[Restraint, ...]:
        """Return the restraints between two stations; at an end that is no corner, beyond it too."""
        left = same(x0_in, 0.0) and self.left_end is not EndCondition.CORNER
        right = same(x1_in, self.wall.length_in) and self.right_end is not EndCondition.CORNER
        first = 0 if left else bisect_right(self.restraints, x0_in + SAME_IN, key=_middle)
        last = None if right else bisect_left(self.restraints, x1_in - SAME_IN, key=_middle)
        return self.restraints[first:last]

    def show(self, inches: float) -> str:
        """Print a length for a sentence; millimeters with feet beside where the rule book has feet."""
        return format_both(inches, system_of(metric=self.metric), feet=self.feet_beside)

    def limits(self, x0_in: float, x1_in: float) -> Limits:
        """Return the limits of the panel between two stations.

        Where it reaches to corners round which the next joint is known, its corner distance is measured round
        them; of two the nearer counts.
        """
        height = self.wall.panel_height_in(x0_in, x1_in, self.height_basis)
        limits = self.spacing.at(height, self.height_basis)
        if not self.measures_round_corners:
            return limits
        ends = (
            (self.left_end, x0_in, self.returns_in[0]),
            (self.right_end, self.wall.length_in - x1_in, self.returns_in[1]),
        )
        found = [
            limits.corner_distance_in if beyond is None else self.spacing.round_corner(limits, beyond)
            for end, distance, beyond in ends
            if end is EndCondition.CORNER and same(distance, 0.0)
        ]
        return replace(limits, corner_distance_in=min((d for d in found if d is not None), default=None))

    def bare_plan(self) -> WallPlan:
        """Return the wall with all that governs it, and nothing yet in it."""
        return WallPlan(
            wall=self.wall,
            limits=self.limits(0.0, self.wall.length_in),
            left_end=self.left_end,
            right_end=self.right_end,
            openings=self.openings,
            joints=(),
            panels=(),
            bars=(),
            reinforcement=self.reinforcement,
            joint_type=self.joint_type,
            joint_type_name=self.joint_type_name,
            joint_type_source=self.joint_type_source,
            module_in=self.module_in,
            notes=self.notes,
            sizes=self.sizes,
            sheet_notes=self.sheet_notes,
        )

    @property
    def measures_round_corners(self) -> bool:
        """True where it is known how far round one of the wall's corners the next joint stands."""
        return any(distance is not None for distance in self.returns_in)

    @property
    def served_corners(self) -> tuple[bool, bool]:
        """For the left and the right corner: True when the joint near it in the adjoining wall is enough."""
        near = self.spacing.corner_max_in
        left, right = (
            self.spacing.corner_one_leg
            and end is EndCondition.CORNER
            and beyond is not None
            and near is not None
            and not exceeds(beyond, near)
            for end, beyond in zip((self.left_end, self.right_end), self.returns_in, strict=True)
        )
        return left, right

    def other_treatment(self, index: int) -> OpeningRule | None:
        """Return what would be asked of an opening, by index, under its other treatment, or None."""
        return self.other_treatments[index] if index < len(self.other_treatments) else None

    def with_opening(self, index: int, rule: OpeningRule) -> WallBasis:
        """Return the basis with another rule for one opening, by index."""
        return replace(self, openings=(*self.openings[:index], rule, *self.openings[index + 1 :]))

    def source_of(self, kind: str) -> tuple[Source, ...]:
        """Return the rows that ask for a joint at this kind of place, or the row of this id."""
        return tuple(source for key, source in self.place_sources if key == kind)

    def first_source(self, *rows: str) -> Source | None:
        """Return the first row that one of some ids names, in their order, or None."""
        return next((source for row in rows for source in self.source_of(row)), None)
