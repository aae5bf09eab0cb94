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

from perpend.model import EndCondition, Joint, OpeningRule, Source, Treatment, Wall
from perpend.rulebook import (
    Arching,
    JointChoices,
    JointType,
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
from perpend.rulebook.joint_sizes import joint_sizes
from perpend.rulebook.judgment import (
    JudgmentChoices,
    intersections_of,
    judgment,
    keep_outs_of,
    place_rules,
    restraints_of,
)
from perpend.rulebook.rule_book import value
from perpend.rulebook.strip_pieces import strip_spans
from perpend.rulebook.strip_steel import strip_masonry
from perpend.settings.basis_notes import notes_of, strip_notes, strip_sheet_notes
from perpend.settings.book_notes import book_notes
from perpend.settings.ganged_openings import one_lintel_notes, with_ganged_openings
from perpend.settings.open_type import key_and_name, words_left_open
from perpend.settings.opening_choices import (
    any_matches,
    opening_choices,
    other_treatments,
    refuse_looser_clearance_without_reason,
)
from perpend.settings.settings_schema import Defaults, Settings, matches
from perpend.settings.short_returns import is_short_return, return_note, sheet_notes
from perpend.settings.wall_ends import end_of
from perpend.units import off_module


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
    options, own = _wall_options(settings, wall)
    wall = with_ganged_openings(book, wall, options.ganged_up_to, options.one_lintel_over)
    choices = opening_choices(settings, options, own, book, wall, metric=metric)
    joint = joint_choices(options)
    spacing = spacing_rule(
        book,
        method=options.method,
        units=options.units,
        ccc=options.ccc if options.method == "engineered" else None,
        ratio=options.spacing_ratio,
        cap_in=options.spacing_cap,
        large_openings=any(is_large(book, opening) for opening in wall.openings),
        openings=len(wall.openings),
        material=options.material or "",
        parapet=bool(options.parapet),
        joint=joint,
        local_experience=options.local_experience or "",
    )
    grid = bond(book, options.units, metric=metric, material=spacing.material)
    type_named = "joint_type" in own or "joint_type" in settings.defaults.model_fields_set
    if not type_named:
        options = options.model_copy(update={"joint_type": _usual_joint_type(book, options)})
    kind = _joint_type(book, options.joint_type, named=type_named)
    type_key, type_name = key_and_name(kind, options)
    for entry in settings.joints:
        if entry.type is not None and matches(wall.tag, (entry.wall,)):
            joint_type(book, entry.type)
    refuse_joints_over_lintels(book, wall, choices)
    refuse_looser_clearance_without_reason(book, wall, choices)
    rules = opening_rules(book, wall, choices)
    corners = book.first("opening-corners", material=spacing.material)
    if corners is not None and options.opening_corner_reinforcement:
        rules = tuple(_with_corners(rule, book.sources(corners)) for rule in rules)
    left, right = end_of(settings, wall, "left"), end_of(settings, wall, "right")
    module = grid.module_in if options.module is None else options.module
    returns = is_short_return(book, wall, spacing, options, left, right)
    if returns:
        spacing = dataclasses.replace(spacing, corner_fraction=None)
    steel = no_joint_steel(book, wall, steel_choices(options)) if options.method == "no-joints" else None
    beds = reinforcement(
        book, options.units, options.method, chosen=options.horizontal_reinforcement, metric=metric
    )
    if steel is not None:
        spacing = dataclasses.replace(spacing, sources=(*spacing.sources, *steel.sources))
        rules = tuple(_with_sill_bar(book, rule) for rule in rules)
        beds = dataclasses.replace(beds, chosen=steel.bars)
    sizes = joint_sizes(
        book, wall, spacing.cap_in, joint, supports_in=options.shelf_angles, material=spacing.material
    )
    judged = _judgment_choices(options)
    beyond = judgment(book, judged)
    asked = place_rules(book, wall, judged)
    pieces = strip_masonry(book, wall, rules, beyond, spacing, steel_choices(options))
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
        joint_type=type_key,
        joint_type_name=type_name,
        transfers_shear=kind.transfers_shear if kind else None,
        reinforcement=beds,
        bar_offset_in=_bar_offset(book) * metric_share(book, metric=metric),
        corner_reinforcement_past_in=(
            value(corners, "past") if corners and options.opening_corner_reinforcement else 0.0
        ),
        corner_reinforcement_beds=round(value(corners, "beds")) if corners else 0,
        course_in=grid.course_in,
        metric=metric,
        feet_beside=not book.metric,
        unit_in=grid.unit_in,
        place_sources=(*place_sources(book), *row_sources(book)),
        notes=(
            *(doubt.words for doubt in wall.doubts),
            *(return_note(book, wall, spacing, options, metric=metric) if returns else ()),
            *notes_of(book, options, spacing, rules, steel),
            *strip_notes(book, pieces),
            *book_notes(
                book,
                options,
                spacing,
                wall,
                joint,
                sizes,
                ends={"left": left, "right": right},
                site=settings.site,
            ),
        ),
        short_return=returns,
        sheet_notes=(
            *one_lintel_notes(wall, options.one_lintel_over),
            *strip_sheet_notes(book.label, pieces),
            *sheet_notes(
                book,
                wall,
                spacing.at(wall.panel_height_in(0.0, wall.length_in, options.height_basis)).max_spacing_in,
                intersections_of(book, judged) == "unbonded",
                returns=returns,
                metric=metric,
            ),
        ),
        fewest_changes=options.openings == "fewest-changes",
        solid_grouted=options.method == "engineered"
        and options.core == "solid"
        and book.first("solid-grouted") is not None,
        other_treatments=other_treatments(book, wall, choices),
        other_spacings=_other_spacings(book, options, len(wall.openings)),
        joint_type_named=type_named,
        corner_stations_in=_corner_stations(wall, spacing, left, right, module, options.bond_origin),
        no_joint_steel=steel,
        draws_reinforcement=options.draw_horizontal_reinforcement,
        joint_type_source=kind.source if kind else None,
        sill_bar_past_in=_sill_bar_past(book) if steel is not None else None,
        returns_in=(options.left_return, options.right_return),
        sizes=sizes,
        label=book.label,
        judgment=beyond,
        strip_pieces=pieces,
        strip_spans=strip_spans(wall, beyond),
        place_rules=asked,
        keep_outs=keep_outs_of(book, wall, judged, asked),
        restraints=restraints_of(book, wall, judged),
    )


def _usual_joint_type(book: RuleBook, options: Defaults) -> str:
    """Return the joint type of a wall for which the project names none."""
    row = book.first("joint-default", method=options.method)
    return options.joint_type if row is None else row.says["key"]


def _judgment_choices(options: Defaults) -> JudgmentChoices:
    return JudgmentChoices(
        least_panel_in=options.least_panel,
        narrow_pier_in=options.narrow_pier_under,
        height_change_in=options.height_change_over,
        strip_in=options.strip_window_over,
        strip_steel_under_in=options.strip_steel_under,
        bearing_clear_in=options.bearing_clear,
        intersections=options.intersections,
        pilasters=options.pilasters,
    )


def unmatched_tags(settings: Settings, walls: Iterable[Wall]) -> list[str]:
    """Return the tags of walls, openings, joints and corners in the settings that fit nothing, each once."""
    found = tuple(walls)
    wall_tags = [name for wall in found for name in wall.names]
    opening_tags = [name for wall in found for opening in wall.openings for name in opening.names]
    patterns = [entry.tag for entry in settings.walls if entry.tag is not None]
    patterns += [entry.wall for entry in settings.joints]
    patterns += [tag for entry in settings.corners for tag in entry.walls]
    patterns += [entry.wall for entry in settings.openings if entry.wall is not None]
    of_openings = [entry.tag for entry in settings.openings if entry.tag is not None]
    sharing = (settings.defaults, *settings.walls)
    of_openings += [tag for entry in sharing for tags in entry.one_lintel_over for tag in tags]
    asked = ((patterns, wall_tags), (of_openings, opening_tags))
    missing = (p for some, tags in asked for p in some if not any(matches(tag, (p,)) for tag in tags))
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
    options, _ = _wall_options(settings, basis.wall)
    found = (
        arching(
            book,
            basis.wall,
            rule,
            joints,
            thickness_in=thickness_in(book, options.wall_thickness),
            weight_lb_ft3=_weight(book, options.masonry_weight),
            running_bond=options.bond == "running",
            metric=basis.metric,
        )
        for rule in basis.openings
    )
    return tuple(one for one in found if one is not None)


def wall_options(settings: Settings, wall: Wall) -> Defaults:
    """Return the options of a wall: the defaults, and over them what its entries say."""
    return _wall_options(settings, wall)[0]


def _wall_options(settings: Settings, wall: Wall) -> tuple[Defaults, dict[str, Any]]:
    """Return the options of a wall, and those that were given for it by its tag."""
    own: dict[str, Any] = {}
    for entry in settings.walls:
        if entry.tag is not None and any_matches(wall.names, entry.tag):
            own |= entry.options
    return settings.defaults.model_copy(update=own), own


def _joint_type(book: RuleBook, key: str, *, named: bool) -> JointType | None:
    """Return a joint type; None when it is left open, or when the book knows none.

    The usual type of the settings gives way to the book's first one in books that do not know it.
    """
    known = joint_types(book)
    if words_left_open(key) is not None or not known:
        return None
    if not named and all(kind.key != key for kind in known):
        return known[0]
    return joint_type(book, key)


def joint_choices(options: Defaults) -> JointChoices:
    """Return what the settings say of the joint itself."""
    return JointChoices(options.joint_width, options.sealant_movement, options.temperature_change)


def _weight(book: RuleBook, given: float | str | None) -> float | None:
    """Return the masonry's weight, lb/ft³; that of a class of units is its heaviest."""
    return value(book.need("weight"), given) if isinstance(given, str) else given


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


def _other_spacings(book: RuleBook, options: Defaults, openings: int) -> tuple[SpacingRule, ...]:
    """Return the spacings of the other methods for the same wall; a tightened cap stays tightened.

    Veneer is another wall, not another method for this one, so it is neither offered nor traded.
    """
    if options.method == "veneer":
        return ()
    others = [
        method
        for method in book.methods
        if method not in (options.method, "veneer")
        and book.find("spacing", method=method, units=options.units, material=options.material or "")
    ]
    rules = []
    for method in others:
        ccc = options.ccc if method == "engineered" else None
        rule = spacing_rule(
            book,
            method=method,
            units=options.units,
            ccc=ccc,
            openings=openings,
            material=options.material or "",
            parapet=bool(options.parapet),
            joint=joint_choices(options),
        )
        if rule.cap_in is not None and options.spacing_cap is not None:
            rule = dataclasses.replace(rule, cap_in=min(rule.cap_in, options.spacing_cap))
        rules.append(rule)
    return tuple(rules)
