"""From settings, rule book and wall to the basis of that wall's layout.

What counts, from the strongest to the weakest:
    a wall's options: ``[[walls]]`` by tag (a later entry wins), ``[defaults]``;
    a wall's end: ``[[walls]]`` (of both, where another wall adjoins), what the drawing shows, ``[defaults]``;
    an opening's treatment: ``[[openings]]`` by tag, by layer, the drawing's own layers, ``[[walls]]``,
    ``[[openings]]`` by width or wall alone, ``[defaults]``;
    an opening's other options: ``[[openings]]`` (tag over layer over width), ``[[walls]]``, ``[defaults]``.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence
from typing import Any

from perpend.model import EndCondition, Joint, Opening, OpeningRule, Source, Treatment, TreatmentOf, Wall
from perpend.rulebook import (
    Arching,
    JointType,
    OpeningChoices,
    RuleBook,
    SpacingRule,
    SteelChoices,
    WallBasis,
    arching,
    bond,
    height_change_over,
    is_large,
    joint_type,
    joint_types,
    metric_share,
    no_joint_steel,
    opening_rules,
    place_sources,
    refuse_joints_over_lintels,
    reinforcement,
    row_sources,
    spacing_rule,
    thickness_in,
)
from perpend.rulebook.rule_book import value
from perpend.settings.basis_notes import notes_of
from perpend.settings.settings_schema import Defaults, OpeningEntry, OpeningOptions, Settings, matches
from perpend.settings.wall_ends import end_of
from perpend.units import exceeds, falls_short, off_module

NO_TYPE = "none"
"""The joint type of a project that leaves it open: reported as missing."""

_OPENING_KEYS = tuple(OpeningOptions.model_fields)


def resolve_wall(settings: Settings, book: RuleBook, wall: Wall, *, metric: bool = False) -> WallBasis:
    """Return everything that binds the joints of one wall.

    Args:
        settings: the project's settings.
        book: the rule book that they name.
        wall: the wall as read.
        metric: True when the drawing is in metric units: the module is the metric one then.

    Raises:
        InputError: a setting is looser than the rule book or asks for something it does not have.
    """
    options, own = _wall_options(settings, wall.tag)
    choices = tuple(
        dataclasses.replace(_opening_choices(settings, options, own, wall, opening), metric=metric)
        for opening in wall.openings
    )
    spacing = spacing_rule(
        book,
        method=options.method,
        units=options.units,
        ccc=options.ccc if options.method == "engineered" else None,
        ratio=options.spacing_ratio,
        cap_in=options.spacing_cap,
        large_openings=any(is_large(book, opening) for opening in wall.openings),
    )
    grid = bond(book, options.units, metric=metric)
    kind = _joint_type(book, options.joint_type)
    refuse_joints_over_lintels(book, wall, choices)
    rules = opening_rules(book, wall, choices)
    corners = book.first("opening-corners")
    if corners is not None and options.opening_corner_reinforcement:
        rules = tuple(_with_corners(rule, book.sources(corners)) for rule in rules)
    left, right = end_of(settings, wall, "left"), end_of(settings, wall, "right")
    module = grid.module_in if options.module is None else options.module
    steel = no_joint_steel(book, wall, steel_choices(options)) if options.method == "no-joints" else None
    beds = reinforcement(
        book, options.units, options.method, chosen=options.horizontal_reinforcement, metric=metric
    )
    if steel is not None:
        spacing = dataclasses.replace(spacing, sources=(*spacing.sources, *steel.sources))
        rules = tuple(_with_sill_bar(book, rule) for rule in rules)
        beds = dataclasses.replace(beds, chosen=steel.bars)
    return WallBasis(
        wall=wall,
        spacing=spacing,
        height_basis=options.height_basis,
        left_end=left,
        right_end=right,
        openings=rules,
        module_in=module,
        bond_origin_in=options.bond_origin,
        height_change_over=height_change_over(book),
        joint_type=None if options.joint_type == NO_TYPE else options.joint_type,
        joint_type_name=kind.printed() if kind else options.joint_type.removeprefix(NO_TYPE),
        transfers_shear=kind.transfers_shear if kind else None,
        reinforcement=beds,
        bar_offset_in=_bar_offset(book) * metric_share(book, metric=metric),
        corner_reinforcement_past_in=(
            value(corners, "past") if corners and options.opening_corner_reinforcement else 0.0
        ),
        corner_reinforcement_beds=round(value(corners, "beds")) if corners else 0,
        course_in=grid.course_in,
        metric=metric,
        unit_in=grid.unit_in,
        place_sources=(*place_sources(book), *row_sources(book)),
        notes=(*(doubt.words for doubt in wall.doubts), *notes_of(book, options, spacing, rules, steel)),
        other_treatments=opening_rules(book, wall, tuple(_turned(choice) for choice in choices)),
        other_spacings=_other_spacings(book, options),
        joint_type_named="joint_type" in own or "joint_type" in settings.defaults.model_fields_set,
        corner_stations_in=_corner_stations(wall, spacing, left, right, module, options.bond_origin),
        no_joint_steel=steel,
        draws_reinforcement=options.draw_horizontal_reinforcement,
        joint_type_source=kind.source if kind else None,
        sill_bar_past_in=_sill_bar_past(book) if steel is not None else None,
    )


def unmatched_tags(settings: Settings, walls: Iterable[Wall]) -> list[str]:
    """Return the tags of ``[[walls]]`` and ``[[openings]]`` that fit nothing in the drawing, each once."""
    found = tuple(walls)
    wall_tags = [wall.tag for wall in found]
    opening_tags = [opening.tag for wall in found for opening in wall.openings]
    named = [entry.tag for entry in settings.walls if entry.tag is not None]
    missing = [tag for tag in named if not any(matches(t, (tag,)) for t in wall_tags)]
    for entry in settings.openings:
        if entry.tag is not None and not any(matches(t, (entry.tag,)) for t in opening_tags):
            missing.append(entry.tag)
        if entry.wall is not None and not any(matches(t, (entry.wall,)) for t in wall_tags):
            missing.append(entry.wall)
    return list(dict.fromkeys(missing))


def compare_arching(
    settings: Settings, book: RuleBook, basis: WallBasis, joints: Sequence[Joint]
) -> tuple[Arching, ...]:
    """Compare the masonry load on each bearing lintel of a wall with and without arching.

    Args:
        settings: the project's settings.
        book: the rule book; one without rows for arching gives no comparison.
        basis: the wall's basis.
        joints: the wall's joints.
    """
    if book.first("arching") is None:
        return ()
    options, _ = _wall_options(settings, basis.wall.tag)
    found = (
        arching(
            book,
            basis.wall,
            rule,
            joints,
            thickness_in=thickness_in(book, options.wall_thickness),
            weight_lb_ft3=options.masonry_weight,
            running_bond=options.bond == "running",
            metric=basis.metric,
        )
        for rule in basis.openings
    )
    return tuple(one for one in found if one is not None)


def wall_options(settings: Settings, tag: str) -> Defaults:
    """Return the options of a wall: the defaults, and over them what its entries say."""
    return _wall_options(settings, tag)[0]


def _wall_options(settings: Settings, tag: str) -> tuple[Defaults, dict[str, Any]]:
    """Return the options of a wall, and those that were given for it by its tag."""
    own: dict[str, Any] = {}
    for entry in settings.walls:
        if entry.tag is not None and matches(tag, (entry.tag,)):
            own |= entry.options
    return settings.defaults.model_copy(update=own), own


def _opening_choices(
    settings: Settings, options: Defaults, own: dict[str, Any], wall: Wall, opening: Opening
) -> OpeningChoices:
    ranked = _entries(settings, wall, opening)
    said: dict[str, Any] = {key: getattr(options, key) for key in _OPENING_KEYS}
    for _, entry in ranked:
        said |= {key: getattr(entry, key) for key in _OPENING_KEYS if key in entry.model_fields_set}
    treatment, said_of = _treatment(settings, ranked, options, own, opening)
    return OpeningChoices(
        treatment=treatment,
        treatment_of=said_of,
        method=options.method,
        wide_from_in=said["wide_opening_from"],
        bearing=said["lintel_bearing"],
        lintel_depth_in=said["lintel_depth"],
        clear_in=said["joint_clear_of_opening"],
        lintel_support=said["lintel_support"],
    )


_TAG, _LAYER, _WIDTH = 2, 1, 0


def _entries(settings: Settings, wall: Wall, opening: Opening) -> list[tuple[int, OpeningEntry]]:
    """Return the entries that fit an opening, the strongest last."""
    found = []
    for entry in settings.openings:
        if _fits(entry, wall, opening):
            rank = _TAG if entry.tag is not None else _LAYER if entry.layer is not None else _WIDTH
            found.append((rank, entry))
    return sorted(found, key=lambda pair: pair[0])


def _fits(entry: OpeningEntry, wall: Wall, opening: Opening) -> bool:
    return (
        (entry.tag is None or matches(opening.tag, (entry.tag,)))
        and (entry.layer is None or matches(opening.layer, (entry.layer,)))
        and (entry.wall is None or matches(wall.tag, (entry.wall,)))
        and (entry.width_from is None or not falls_short(opening.width_in, entry.width_from))
        and (entry.width_to is None or not exceeds(opening.width_in, entry.width_to))
    )


def _treatment(
    settings: Settings,
    ranked: list[tuple[int, OpeningEntry]],
    options: Defaults,
    own: dict[str, Any],
    opening: Opening,
) -> tuple[Treatment, TreatmentOf]:
    """Return how an opening is treated, and of what that was said: of it, of every opening, or of none."""
    said = {rank: entry.treatment for rank, entry in ranked if entry.treatment is not None}
    blanket: TreatmentOf = "every" if "openings" in settings.defaults.model_fields_set else "none"
    nearest_first: tuple[tuple[str | None, TreatmentOf], ...] = (
        (said.get(_TAG), "opening"),
        (said.get(_LAYER), "opening"),
        (opening.treatment, "opening"),
        (own.get("openings"), "every"),
        (said.get(_WIDTH), "every"),
        (options.openings, blanket),
    )
    return next((Treatment(t), said_of) for t, said_of in nearest_first if t is not None)


def _joint_type(book: RuleBook, key: str) -> JointType | None:
    """Return a joint type; None when it is left open, or when the book knows none."""
    return joint_type(book, key) if key != NO_TYPE and joint_types(book) else None


def _bar_offset(book: RuleBook) -> float:
    row = book.first("opening-bars")
    return value(row, "bar_offset") if row else 0.0


def _sill_bar_past(book: RuleBook) -> float | None:
    """Return how far the bar below an opening runs past a jamb in a wall that has no joints to run to."""
    row = book.first("opening-clear", treatment="reinforced")
    return value(row, "clear") if row else None


def steel_choices(options: Defaults) -> SteelChoices:
    """Return what the settings say of the section and the steel of a wall without joints."""
    return SteelChoices(
        thickness=options.wall_thickness,
        core=options.core,
        bar=options.bond_beam_bar,
        edition=options.shells,
        wire=options.joint_reinforcement,
        wire_spacing_in=options.joint_reinforcement_spacing,
    )


def _corner_stations(
    wall: Wall,
    spacing: SpacingRule,
    left: EndCondition,
    right: EndCondition,
    module: float,
    origin: float,
) -> tuple[float, ...]:
    """Return the stations a corner asks for that the module does not reach."""
    near = spacing.corner_max_in
    if near is None or near >= module:
        return ()
    ends = ((left, near), (right, wall.length_in - near))
    inside = (x for end, x in ends if end is EndCondition.CORNER and 0.0 < x < wall.length_in)
    return tuple(x for x in inside if off_module(x, module, origin))


def _with_sill_bar(book: RuleBook, rule: OpeningRule) -> OpeningRule:
    """Return the rule of a reinforced opening with the row that its sill bar takes its length from."""
    row = book.first("opening-clear", treatment="reinforced")
    if row is None or rule.treatment is Treatment.UNREINFORCED:
        return rule
    return dataclasses.replace(rule, sources=(*rule.sources, *book.sources(row, "clear")))


def _with_corners(rule: OpeningRule, sources: tuple[Source, ...]) -> OpeningRule:
    """Return the rule of an unreinforced opening with the rows of the steel drawn at its corners."""
    if rule.treatment is Treatment.REINFORCED:
        return rule
    return dataclasses.replace(rule, sources=tuple(dict.fromkeys((*rule.sources, *sources))))


def _turned(choices: OpeningChoices) -> OpeningChoices:
    """Return the same choices with the other treatment."""
    reinforced = choices.treatment is Treatment.REINFORCED
    return dataclasses.replace(
        choices, treatment=Treatment.UNREINFORCED if reinforced else Treatment.REINFORCED
    )


def _other_spacings(book: RuleBook, options: Defaults) -> tuple[SpacingRule, ...]:
    """Return the spacings of the other methods for the same wall; a tightened cap stays tightened.

    Veneer is another wall, not another method for this one, so it is neither offered nor traded.
    """
    if options.method == "veneer":
        return ()
    others = [method for method in book.methods if method not in (options.method, "veneer")]
    rules = []
    for method in others:
        ccc = options.ccc if method == "engineered" else None
        rule = spacing_rule(book, method=method, units=options.units, ccc=ccc)
        if rule.cap_in is not None and options.spacing_cap is not None:
            rule = dataclasses.replace(rule, cap_in=min(rule.cap_in, options.spacing_cap))
        rules.append(rule)
    return tuple(rules)
