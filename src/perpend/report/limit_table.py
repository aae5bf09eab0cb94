"""The limits of a wall of a given height, as data and as text, before there is a drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

from perpend.model import HorizontalReinforcement, Limits, Source
from perpend.report.document_parts import SCHEMA_VERSION, Document, Number, Part, described
from perpend.report.results_document import (
    HorizontalReinforcementEntry,
    LimitsEntry,
    RuleBookEntry,
    SourceEntry,
)
from perpend.report.spacing_words import governing_words
from perpend.report.summary import WIDTH, cite, labelled, wrapped
from perpend.report.text_lines import Line
from perpend.rulebook.no_joint_steel import NoJointSteel
from perpend.rulebook.rule_book import RuleBook
from perpend.units import format_both, format_length, system_of
from perpend.version import __version__
from perpend.wording import counted


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherMethodEntry(Part):
    """What another method, or other units, would allow at the same height."""

    method: str
    units: str
    ccc: float | None
    material: Annotated[str, described("Of the units; empty where the rule book is about one alone.")]
    large_openings: Annotated[
        bool, described("True for a wall with openings that the rule book counts as large.")
    ]
    openings_from: Annotated[int, described("Least number of openings in the wall for which it counts.")]
    max_spacing_in: Number | None
    governing: Literal["ratio", "cap", "none"]
    corner_distance_in: Number | None
    unverified: Annotated[bool, described("True when one of its numbers was typed from memory.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class WithoutJointsEntry(Part):
    """The steel that lets a wall of this height go without joints."""

    wall: Annotated[str, described("Thickness and core of its section.")]
    bar: Annotated[str, described("The bar in each bond beam.")]
    bond_beams: int
    max_bar_spacing_in: Annotated[
        Number | None,
        described("By the formula, down to a course; null when not even every course is enough."),
    ]
    required_in2: Number
    provided_in2: Number
    enough: bool
    sources: list[SourceEntry]


@dataclass(frozen=True, slots=True)
class Other:
    """The limits by another method, other units, or with large openings."""

    limits: Limits
    ccc: float | None = None
    large_openings: bool = False
    openings_from: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitsResults(Document):
    """The limits of a plain wall of one height."""

    schema_version: Literal["1"] = SCHEMA_VERSION
    perpend_version: str
    rulebook: RuleBookEntry
    height_in: Number
    metric: Annotated[bool, described("True when the height was given in metric units.")]
    feet_beside: Annotated[
        bool,
        described("True when feet and inches are printed beside millimeters."),
    ] = True
    method: str
    units: str
    material: Annotated[str, described("Of the units; empty where the rule book is about one alone.")]
    ccc: float | None
    limits: LimitsEntry
    module_in: Annotated[Number, described("Joints are on multiples of this from the bond's origin.")]
    max_spacing_on_module_in: Annotated[
        Number | None,
        described("Greatest multiple of the module within the spacing; limits are never rounded up."),
    ]
    horizontal_reinforcement: HorizontalReinforcementEntry
    without_joints: Annotated[WithoutJointsEntry | None, described("The method no-joints only.")]
    others: list[OtherMethodEntry]
    notes: list[str]
    unverified: list[SourceEntry]
    cautions: list[str]


def build_limits(
    book: RuleBook,
    limits: Limits,
    *,
    metric: bool,
    ccc: float | None,
    module_in: float,
    max_spacing_on_module_in: float | None,
    reinforcement: HorizontalReinforcement,
    others: Sequence[Other],
    notes: list[str],
    steel: NoJointSteel | None = None,
) -> LimitsResults:
    """Gather the limits of one height.

    Args:
        book: the rule book.
        limits: the limits by the method given.
        metric: whether the height was given in metric units.
        ccc: the crack control coefficient used, engineered only.
        module_in: distance between the stations where a joint may be.
        max_spacing_on_module_in: greatest multiple of the module within the spacing.
        reinforcement: the horizontal reinforcement and its choices.
        others: limits by the other methods and units.
        notes: remarks, one sentence each.
        steel: the steel of a wall without joints, that method only.
    """
    used: list[Source] = [*limits.sources, *(c.source for c in reinforcement.choices)]
    used += [reinforcement.source] if reinforcement.source else []
    used += steel.sources if steel else ()
    return LimitsResults.of(
        limits,
        perpend_version=__version__,
        rulebook=RuleBookEntry.of(book),
        metric=metric,
        feet_beside=not book.metric,
        ccc=ccc,
        limits=LimitsEntry.of(limits),
        module_in=module_in,
        max_spacing_on_module_in=max_spacing_on_module_in,
        horizontal_reinforcement=HorizontalReinforcementEntry.of(reinforcement),
        without_joints=_without_joints(steel) if steel else None,
        others=[_other(other) for other in others],
        notes=notes,
        unverified=[SourceEntry.of(s) for s in dict.fromkeys(used) if s.unverified],
        cautions=list(book.cautions),
    )


def _without_joints(steel: NoJointSteel) -> WithoutJointsEntry:
    (strip,) = steel.strips
    return WithoutJointsEntry.of(
        strip,
        steel,
        wall=f"{steel.section.nominal} in. {steel.section.core}",
        bond_beams=len(steel.courses),
        max_bar_spacing_in=steel.table_spacing_in,
    )


def _other(other: Other) -> OtherMethodEntry:
    return OtherMethodEntry.of(
        other, other.limits, unverified=any(s.unverified for s in other.limits.sources)
    )


def limits_text(results: LimitsResults) -> list[Line]:
    """Print the limits for a person, at most `WIDTH` columns wide."""
    lines = [Line(_height_line(results), "title")]
    method = _method_name(results.method, results.units, results.ccc, results.material)
    lines += labelled("Method", f"{method}; rule book {results.rulebook.key} {results.rulebook.version}")
    lines += _spacing(results)
    lines += _reinforcement(results)
    for note in results.notes:
        lines += labelled("Note", note)
    lines += [Line(""), *_sources(results)]
    if results.others:
        lines += [Line(""), *_others(results)]
    if results.unverified or any(other.unverified for other in results.others):
        lines += wrapped("* not verified against the source.", tone="advisory")
    lines.append(Line(""))
    for caution in results.cautions:
        lines += wrapped(caution, tone="quiet")
    return lines


def _height_line(results: LimitsResults) -> str:
    height = results.height_in
    forms = [format_length(height), f"{height / 12:g} ft" if height % 12 == 0 else f"{height / 12:.3f} ft"]
    forms += [f"{height:g} in.", f"{height * 0.0254:.3f} m", f"{format_length(height, 'metric')} mm"]
    if results.metric:
        forms.reverse()
    return f"A wall {forms[0]} high ({', '.join(forms[1:])})"


def _method_name(method: str, units: str, ccc: float | None, material: str) -> str:
    coefficient = f", CCC {ccc:.4f}" if ccc is not None else ""
    return f"{method}{coefficient}, {material or f'{units} units'}"


def _length(results: LimitsResults, inches: float) -> str:
    return format_both(inches, system_of(metric=results.metric), feet=results.feet_beside)


def _spacing(results: LimitsResults) -> Iterator[Line]:
    limits = results.limits
    if limits.max_spacing_in is None:
        why = limits.sources[0].text if limits.sources else "no joints are needed"
        yield from labelled("Spacing", f"none: {why}")
        yield from _bond_beams(results)
        return
    terms = []
    if limits.ratio is not None:
        terms.append(f"{limits.ratio:g} × H = {_length(results, limits.ratio * limits.height_in)}")
    if limits.cap_in is not None:
        terms.append(f"cap {_length(results, limits.cap_in)}")
    governs = f"; {governing_words(limits)}: {'; '.join(terms)}" if limits.ratio else ", whatever the height"
    yield from labelled("Spacing", f"{_length(results, limits.max_spacing_in)} at most{governs}")
    if limits.tightened:
        yield from labelled("", f"tightened by the settings: {limits.tightened}")
    on_module = results.max_spacing_on_module_in
    if on_module is not None:
        grid = f"the {_length(results, results.module_in)} grid"
        shown = f"{_length(results, on_module)} between joints on {grid}"
        yield from labelled("On the module", shown if on_module else f"{grid} is wider than that: none fits")
    if limits.corner_distance_in is not None:
        corner = f"the first joint not more than {_length(results, limits.corner_distance_in)} away"
        if limits.corner_min_in > 0:
            corner += f" and no nearer than {_length(results, limits.corner_min_in)}"
        yield from labelled("From a corner", corner)


def _bond_beams(results: LimitsResults) -> Iterator[Line]:
    steel = results.without_joints
    if steel is None:
        return
    beams = counted(steel.bond_beams, "bond beam")
    there = f"{steel.provided_in2:.2f} in², where {steel.required_in2:.2f} in² is needed"
    lacks = "" if steel.enough else ", which is not enough: use larger bars"
    yield from labelled("Steel", f"{steel.wall} masonry, one {steel.bar} in each of {beams}: {there}{lacks}.")
    if steel.max_bar_spacing_in is not None:
        apart = _length(results, steel.max_bar_spacing_in)
        yield from labelled("", f"By the formula: one {steel.bar} every {apart} at most.")


def _reinforcement(results: LimitsResults) -> Iterator[Line]:
    needed = results.horizontal_reinforcement
    if results.limits.max_spacing_in is None:
        return
    if needed.required_in2_per_ft is None:
        yield from labelled("Reinforcement", "the rule book asks for none between joints here")
        return
    per_metre = needed.required_in2_per_ft * 25.4**2 / 0.3048
    beside = f" ({per_metre:.1f} mm²/m)" if results.metric else ""
    yield from labelled(
        "Reinforcement",
        f"horizontal, at least {needed.required_in2_per_ft:g} in² per foot of height{beside}, by one of:",
    )
    for choice in needed.choices:
        mark = " *" if choice.source.unverified else ""
        spacing = f"{_length(results, choice.max_spacing_in)} apart at most{mark}"
        area = f"{choice.area_in2 * 25.4**2:5.0f} mm²" if results.metric else f"{choice.area_in2:.3f} in²"
        yield from labelled("", f"{choice.name:<26} {area}   {spacing}")


def _sources(results: LimitsResults) -> Iterator[Line]:
    used = [*results.limits.sources]
    if results.horizontal_reinforcement.source:
        used.append(results.horizontal_reinforcement.source)
    used += [choice.source for choice in results.horizontal_reinforcement.choices]
    used += results.without_joints.sources if results.without_joints else []
    for number, (text, unverified) in enumerate(dict.fromkeys((cite(s), s.unverified) for s in used)):
        mark = " *" if unverified else ""
        yield from labelled("Sources" if number == 0 else "", f"{text}{mark}", margin="")


def _others(results: LimitsResults) -> Iterator[Line]:
    yield Line("At the same height by the other methods and units", "title")
    for other in results.others:
        name = _method_name(other.method, other.units, other.ccc, other.material)
        name += ", large openings" if other.large_openings else ""
        name += f", {other.openings_from} openings or more" if other.openings_from else ""
        if other.max_spacing_in is None:
            yield Line(f"  {name:<44} none, with enough horizontal steel"[:WIDTH])
            continue
        corner = (
            "" if other.corner_distance_in is None else f"corner {_length(results, other.corner_distance_in)}"
        )
        spacing, mark = _length(results, other.max_spacing_in), " *" if other.unverified else ""
        yield Line(f"  {name:<44} {spacing:<21} {corner}{mark}"[:WIDTH])
