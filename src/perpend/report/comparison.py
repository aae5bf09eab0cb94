"""Every method and opening treatment of each wall side by side, as a document another program can read.

What is counted is said in `COUNTED`; docs/results.md explains the keys.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, Final, Literal

from perpend.findings import Finding, Severity
from perpend.model import Bar, Elevation, Joint, Panel, Source, Wall, WallPlan
from perpend.report.document_parts import SCHEMA_VERSION, Document, Number, Part, described, part_of
from perpend.report.results_builder import SettingsUsed, finding_entry
from perpend.report.results_document import DrawingEntry, FindingEntry, RuleBookEntry, SourceEntry
from perpend.rulebook import Arching, ArchingCondition, RuleBook
from perpend.settings.method_variants import Variant
from perpend.version import __version__

COUNTED: Final = (
    "Joints: those within the wall and at its ends; feet of joint follow each joint up the wall, steps "
    "included.",
    "Steel: bars beside and below reinforced openings, joint reinforcement at the corners of unreinforced "
    "ones, horizontal reinforcement between joints or the bond beams of a wall without joints. Two wires "
    "count as two wires: cross wires, laps, hooks and the steel in lintels are left out.",
    "Feet of bond beam: those that the option needs, not those that the drawing shows.",
    "Fullest panel: the one that uses most of its own limit; where no panel has a limit, the longest.",
)
"""What the numbers stand for, one sentence each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelEntry(Part):
    """Pounds of steel, by what it is for."""

    jamb_bars_lb: Number
    sill_bars_lb: Number
    corner_beds_lb: Annotated[Number, described("Joint reinforcement at corners of unreinforced openings.")]
    horizontal_lb: Annotated[Number, described("Joint reinforcement in bed joints.")]
    bond_beams_lb: Number
    total_lb: Number


@part_of(ArchingCondition)
@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionEntry(Part):
    """One thing that arching needs."""

    name: str
    met: Annotated[bool | None, described("null: perpend cannot tell, the designer verifies it.")]
    measured_in: Number | None
    needed_in: Number | None
    says: str


@part_of(Arching)
@dataclass(frozen=True, slots=True, kw_only=True)
class ArchingEntry(Part):
    """The masonry load on one lintel with and without arching: a comparison, never a design."""

    opening: str
    span_in: Annotated[Number, described("Effective span: from middle to middle of the bearings.")]
    possible: Annotated[bool, described("True when no condition that can be tested fails.")]
    full_lb: Annotated[Number, described("All the masonry above the lintel.")]
    arched_lb: Annotated[Number, described("The masonry of the 45-degree triangle.")]
    conditions: list[ConditionEntry]
    sources: list[SourceEntry]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutEntry(Part):
    """What an option comes to."""

    max_spacing_in: Annotated[Number | None, described("null: no joints are needed.")]
    governing: Literal["ratio", "cap", "none"]
    corner_distance_in: Number | None
    joints: int
    slip_planes: int
    joint_length_in: Number
    lintel_length_in: Number
    bond_beam_length_in: Number
    horizontal_reinforcement: Annotated[str, described("What was weighed between joints, or empty.")]
    steel: SteelEntry
    longest_panel_in: Number
    longest_panel_limit_in: Number | None
    longest_panel_utilisation: Number | None
    fullest_panel_in: Annotated[
        Number | None,
        described("Of the panel that uses most of its limit, often but not always the longest."),
    ]
    fullest_panel_limit_in: Annotated[
        Number | None,
        described("That panel's own limit: other than max_spacing_in where limits differ by panel."),
    ]
    greatest_utilisation: Annotated[Number | None, described("fullest_panel_in over fullest_panel_limit_in.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionEntry(Part):
    """One way to build a wall."""

    rulebook: Annotated[str, described("Key of the rule book that it was laid out by.")]
    method: str
    units: str
    material: Annotated[str, described("Of the units; empty where the rule book is about one alone.")]
    ccc: float | None
    openings: Literal["as set", "reinforced", "unreinforced", "fewest-changes", "none"]
    all_alike: Annotated[
        Literal["reinforced", "unreinforced"] | None,
        described("The treatment of all openings where it is one; null where they differ."),
    ]
    lintel_support: Annotated[Literal["loose", "anchored"] | None, described("Veneer with openings only.")]
    changed: Annotated[
        list[str], described("Openings whose treatment changes, and to what: fewest-changes only.")
    ]
    own: Annotated[bool, described("True for what the settings ask for.")]
    why_not: Annotated[str, described("Why the option is not possible at all, or empty.")]
    layout: Annotated[LayoutEntry | None, described("null when the option is not possible at all.")]
    not_met: Annotated[list[FindingEntry], described("What a rule requires and this option breaks.")]
    arching: list[ArchingEntry]
    notes: list[str]
    sources: list[SourceEntry]
    unverified: Annotated[bool, described("True when one of its sources was typed from memory.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallComparison(Part):
    """The options of one wall."""

    tag: str
    handle: str
    length_in: Number
    height_in: Number
    openings: int
    options: list[OptionEntry]

    @property
    def own(self) -> OptionEntry:
        """What the settings ask for."""
        return next(option for option in self.options if option.own)


@dataclass(frozen=True, slots=True, kw_only=True)
class CompareResults(Document):
    """The comparison of one drawing."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    command: Literal["compare"] = "compare"
    drawing: DrawingEntry
    settings_files: list[str]
    settings_sha256: str
    rulebook: RuleBookEntry
    other_rulebooks: Annotated[list[RuleBookEntry], described("Those of --rulebooks.")]
    walls: list[WallComparison]
    counted: Annotated[list[str], described("What the numbers mean.")]
    remarks: list[str]
    unverified: list[SourceEntry]
    cautions: list[str]

    @property
    def violated(self) -> bool:
        """True when what the settings ask for breaks a rule in some wall."""
        return any(wall.own.not_met for wall in self.walls)


@dataclass(frozen=True, slots=True)
class Weights:
    """How the steel of an option is weighed.

    Attributes:
        opening_bar_lb_in: pounds per inch of a bar beside or below an opening.
        corner_bed_lb_in: of the joint reinforcement at an opening's corners.
        bed_lb_in: of the joint reinforcement between joints.
        bond_beam_lb_in: of the bar in each bond beam.
        horizontal: what is weighed between joints, in words.
        sources: the rows used.
    """

    opening_bar_lb_in: float
    corner_bed_lb_in: float
    bed_lb_in: float
    bond_beam_lb_in: float
    horizontal: str
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class Option:
    """One way to build a wall, laid out.

    Attributes:
        variant: the method and the treatments.
        plan: the wall laid out; None when it is not possible.
        bars: all its steel, with the horizontal reinforcement that the plan may leave to the notes.
        weights: how it is weighed; None when it is not possible.
        findings: what it breaks.
        arching: the loads on its lintels.
        why_not: why it is not possible, or empty.
        rulebook: key of its rule book; empty for the settings' own.
        changed: openings whose treatment changes, each with its new one.
    """

    variant: Variant
    plan: WallPlan | None = None
    bars: tuple[Bar, ...] = ()
    weights: Weights | None = None
    findings: tuple[Finding, ...] = ()
    arching: tuple[Arching, ...] = ()
    why_not: str = ""
    rulebook: str = ""
    changed: tuple[str, ...] = ()


def build_comparison(
    elevation: Elevation,
    walls: Sequence[tuple[Wall, Sequence[Option]]],
    book: RuleBook,
    *,
    settings: SettingsUsed,
    others: Sequence[RuleBook] = (),
    counted: Sequence[str] = (),
    remarks: Sequence[str] = (),
) -> CompareResults:
    """Gather the options of every wall.

    Args:
        elevation: what was read.
        walls: each wall with its options.
        book: the rule book.
        settings: the settings in force.
        others: further rule books that walls were laid out by.
        counted: what the numbers stand for, besides `COUNTED`.
        remarks: what is worth knowing about the run.
    """
    compared = [_wall(wall, options, book, metric=elevation.metric) for wall, options in walls]
    used = [s for wall in compared for option in wall.options for s in option.sources]
    return CompareResults(
        perpend_version=__version__,
        drawing=DrawingEntry.of(elevation, feet_beside=not book.metric),
        settings_files=list(settings.files),
        settings_sha256=settings.sha256,
        rulebook=RuleBookEntry.of(book),
        other_rulebooks=[RuleBookEntry.of(other) for other in others],
        walls=compared,
        counted=[*COUNTED, *counted],
        remarks=list(remarks),
        unverified=list(dict.fromkeys(s for s in used if s.unverified)),
        cautions=list(dict.fromkeys(text for known in (book, *others) for text in known.cautions)),
    )


def _wall(wall: Wall, options: Sequence[Option], own_book: RuleBook, *, metric: bool) -> WallComparison:
    return WallComparison.of(
        wall,
        openings=len(wall.openings),
        options=[_option(wall, option, own_book, metric=metric) for option in options],
    )


def _option(wall: Wall, option: Option, own_book: RuleBook, *, metric: bool) -> OptionEntry:
    variant = option.variant
    sources = [SourceEntry.of(s) for s in dict.fromkeys(_sources(option))]
    return OptionEntry.of(
        variant,
        option,
        rulebook=option.rulebook or own_book.key,
        material=option.plan.limits.material if option.plan else variant.material,
        openings="none"
        if not wall.openings
        else "fewest-changes"
        if variant.fewest_changes
        else "as set"
        if variant.treatment is None
        else variant.treatment.value,
        layout=_layout(option.plan, option.bars, option.weights) if option.plan and option.weights else None,
        not_met=[
            finding_entry(f, metric=metric, feet=not own_book.metric)
            for f in option.findings
            if f.severity is Severity.REQUIRED
        ],
        notes=list(option.plan.notes) if option.plan else [],
        sources=sources,
        unverified=any(s.unverified for s in sources),
    )


def _sources(option: Option) -> Iterable[Source]:
    plan = option.plan
    if plan is None:
        return
    yield from plan.limits.sources
    for joint in plan.joints:
        yield from joint.sources
    for rule in plan.openings:
        yield from rule.sources
    yield from option.weights.sources if option.weights else ()
    yield from (f.source for f in option.findings if f.source)
    for compared in option.arching:
        yield from compared.sources


def _layout(plan: WallPlan, bars: Sequence[Bar], weights: Weights) -> LayoutEntry:
    longest = max(plan.panels, key=lambda panel: (panel.length_in, panel.utilisation or 0.0))
    fullest = _fullest(plan.panels)
    lintels = [rule.lintel.box.width for rule in plan.openings if rule.lintel]
    return LayoutEntry.of(
        plan.limits,
        joints=len(plan.joints),
        slip_planes=sum(len(joint.slip_planes) for joint in plan.joints),
        joint_length_in=sum(joint_length(joint) for joint in plan.joints),
        lintel_length_in=sum(lintels),
        bond_beam_length_in=_length(bars, "bond-beam"),
        horizontal_reinforcement=weights.horizontal,
        steel=_steel(bars, weights),
        longest_panel_in=longest.length_in,
        longest_panel_limit_in=longest.limit_in,
        longest_panel_utilisation=longest.utilisation,
        fullest_panel_in=fullest.length_in if fullest else None,
        fullest_panel_limit_in=fullest.limit_in if fullest else None,
        greatest_utilisation=fullest.utilisation if fullest else None,
    )


def joint_length(joint: Joint) -> float:
    """Return the length of a joint's whole line, its level pieces included."""
    return sum(math.dist(a, b) for a, b in itertools.pairwise(joint.path))


def _fullest(panels: Sequence[Panel]) -> Panel | None:
    """Return the panel that uses most of its limit, of equals the longest; None where none has a limit."""
    limited = [panel for panel in panels if panel.utilisation is not None]
    return max(limited, key=lambda panel: (panel.utilisation or 0.0, panel.length_in), default=None)


def _length(bars: Iterable[Bar], kind: str) -> float:
    return sum(math.dist(bar.path[0], bar.path[-1]) for bar in bars if bar.kind == kind)


def _steel(bars: Sequence[Bar], weights: Weights) -> SteelEntry:
    jamb = _length(bars, "jamb") * weights.opening_bar_lb_in
    sill = (_length(bars, "sill") + _length(bars, "head")) * weights.opening_bar_lb_in
    corners = _length(bars, "bed") * weights.corner_bed_lb_in
    beds = _length(bars, "horizontal") * weights.bed_lb_in
    beams = _length(bars, "bond-beam") * weights.bond_beam_lb_in
    return SteelEntry(
        jamb_bars_lb=jamb,
        sill_bars_lb=sill,
        corner_beds_lb=corners,
        horizontal_lb=beds,
        bond_beams_lb=beams,
        total_lb=jamb + sill + corners + beds + beams,
    )
