"""Compare the ways in which the walls of one drawing could be built; nothing is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from perpend.errors import InputError
from perpend.jobs.blame import blames_the_drawing
from perpend.jobs.judge_plan import judged_plan
from perpend.jobs.output_kinds import COMPARISON
from perpend.jobs.output_places import Place, check_places, read_files
from perpend.jobs.read_revision import read_with_decisions
from perpend.jobs.request import AnyPath, as_path
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.staging import staged, write_text
from perpend.jobs.unused_settings import note_lone_ends, note_missing_tags
from perpend.layout import plan_wall
from perpend.layout.steel.horizontal_bars import horizontal_bars
from perpend.layout.treatment_mix import (
    COMPARED_LAYOUTS,
    LayoutsSpentError,
    changed_treatments,
    fewest_changes,
    with_fewest_changes,
)
from perpend.model import Bar, Wall, WallPlan
from perpend.notices import Notices
from perpend.report import SettingsUsed
from perpend.report.compare_csv import compare_csv
from perpend.report.comparison import CompareResults, Option, Weights, build_comparison
from perpend.rulebook import RuleBook, WallBasis, bar_weight_lb, steel_weight_lb, wire_area_in2
from perpend.settings import Settings, book_of, compare_arching, load_settings, resolve_wall, wall_options
from perpend.settings.method_variants import (
    Variant,
    settings_for_book,
    variants_in_book,
    variants_of,
    with_variant,
)
from perpend.wording import counted, listed


@blames_the_drawing
def compare(
    drawing: AnyPath,
    *,
    settings: AnyPath | None = None,
    csv: AnyPath | None = None,
    veneer: bool = False,
    rulebooks: Sequence[str] = (),
    units_of_drawing: str | None = None,
    layout: str | None = None,
    overwrite: bool = False,
) -> CompareResults:
    """Lay every wall of a drawing out by every method and opening treatment that applies to it.

    Args:
        drawing: the DXF file; it is never changed.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        csv: where the table goes as comma-separated values, or None.
        veneer: True to lay walls out as veneer too that are none.
        rulebooks: keys of other rule books, to lay every wall out by each of them instead of by every
            treatment.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.
        overwrite: replace whatever stands where the table goes.

    Raises:
        InputError: anything wrong with the drawing, the settings or the place to write.
    """
    drawing, settings, csv = Path(drawing), as_path(settings), as_path(csv)
    if csv is not None:
        place = Place("--csv", COMPARISON, csv)
        check_places([place], read_files(drawing, settings), overwrite=overwrite)
    project = load_settings(settings, drawing)
    book = book_of(project)
    elevation = read_with_decisions(drawing, reading_options(project, units_of_drawing, layout), project)
    others = [book_of(project, key) for key in dict.fromkeys(rulebooks) if key != book.key]
    walls = [
        (
            wall,
            by_rulebooks(wall, project, [book, *others], metric=elevation.metric)
            if rulebooks
            else options_of(wall, project, book, metric=elevation.metric, veneer=veneer),
        )
        for wall in elevation.walls
    ]
    found = build_comparison(
        elevation,
        walls,
        book,
        others=others,
        settings=SettingsUsed(project.files, project.sha256),
        counted=_counted(book),
        remarks=_remarks(project, elevation.walls),
    )
    if csv is not None:
        with staged({"--csv": csv}) as where:
            write_text(where["--csv"], compare_csv(found), table=True)
    return found


def _remarks(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    # The coefficient counts: engineered is one of the options.
    notices = Notices()
    note_missing_tags(settings, walls, notices)
    note_lone_ends(settings, walls, notices)
    said = [notice.words for notice in notices]
    tighter = [wall.tag for wall in walls if wall_options(settings, wall).spacing_ratio is not None]
    if tighter:
        said.append(
            f"The tighter ratio of the settings counts for the wall's own method only: {listed(tighter)}."
        )
    return said


def options_of(
    wall: Wall, settings: Settings, book: RuleBook, *, metric: bool = False, veneer: bool = False
) -> list[Option]:
    """Lay one wall out in every variant.

    Args:
        wall: the wall.
        settings: the project's settings.
        book: the rule book.
        metric: True for a drawing in metric units.
        veneer: True to list veneer for a wall that is none.

    Raises:
        InputError: what the settings ask for is not possible.
    """
    variants = variants_of(settings, book, wall, veneer=veneer)
    found = [_option(wall, settings, book, variant, metric=metric) for variant in variants]
    own = next(variant for variant in variants if variant.own)
    by_treatment = [n for n, variant in enumerate(variants) if variant.differs_by_treatment(own)]
    if len(by_treatment) > 1 and not any(_is_met(found[n]) for n in by_treatment):
        basis = resolve_wall(settings, book, wall, metric=metric)
        if not basis.fewest_changes:
            mixed = replace(own, own=False, all_alike=None, fewest_changes=True)
            found.insert(by_treatment[-1] + 1, _fewest(basis, settings, book, mixed))
    return found


def _is_met(option: Option) -> bool:
    """Say whether a layout complies, whatever is wrong that no joint and no treatment cures."""
    cost = option.plan.cost if option.plan else None
    return cost is not None and cost.violations == 0 and cost.narrow == 0


def by_rulebooks(
    wall: Wall, settings: Settings, books: Sequence[RuleBook], *, metric: bool = False
) -> list[Option]:
    """Lay one wall out by every method and material of several rule books, each opening as it is set.

    Args:
        wall: the wall.
        settings: the project's settings.
        books: the settings' own rule book, and the others.
        metric: True for a drawing in metric units.

    Raises:
        InputError: what the settings ask for is not possible.
    """
    found = []
    for book in books:
        own = book is books[0]
        chosen = settings if own else settings_for_book(settings, book)
        plain = replace(wall, openings=tuple(replace(o, treatment=None) for o in wall.openings))
        drawn = plain if book.first("opening-treatment") and not own else wall
        for variant in variants_in_book(chosen, book, drawn):
            option = _option(drawn, chosen, book, variant, metric=metric)
            found.append(
                replace(option, variant=replace(variant, own=variant.own and own), rulebook=book.key)
            )
    return found


def _option(wall: Wall, settings: Settings, book: RuleBook, variant: Variant, *, metric: bool) -> Option:
    changed = with_variant(settings, book, wall, variant)
    try:
        basis = resolve_wall(changed, book, wall, metric=metric)
    except InputError as error:
        if variant.own:
            raise
        return Option(variant, why_not=str(error))
    if not basis.fewest_changes or variant.treatment is not None:
        return _option_of(basis, changed, book, variant)
    mixed = with_fewest_changes(basis)
    alike = variant.all_alike if mixed.openings == basis.openings else None
    return _option_of(mixed, changed, book, replace(variant, all_alike=alike))


def _fewest(basis: WallBasis, settings: Settings, book: RuleBook, variant: Variant) -> Option:
    """Lay a wall out with the fewest treatments changed for which it complies."""
    try:
        mixed = fewest_changes(basis, COMPARED_LAYOUTS)
    except LayoutsSpentError:
        more = 'openings = "fewest-changes" in the settings tries more'
        return Option(variant, why_not=f"not known after {COMPARED_LAYOUTS:,} layouts; {more}")
    if mixed is None:
        count = counted(len(basis.openings), "opening")
        return Option(variant, why_not=f"no change of treatment of its {count} makes {basis.wall.tag} comply")
    return replace(_option_of(mixed, settings, book, variant), changed=changed_treatments(basis, mixed))


def _option_of(basis: WallBasis, changed: Settings, book: RuleBook, variant: Variant) -> Option:
    plan = plan_wall(basis)
    return Option(
        variant=variant,
        plan=plan,
        bars=(*_without_horizontal(plan, basis), *_horizontal(basis, plan)),
        weights=_weights(book, basis),
        findings=judged_plan(basis, plan, changed.severities).findings,
        arching=compare_arching(changed, book, basis, plan.joints),
    )


def _without_horizontal(plan: WallPlan, basis: WallBasis) -> Iterator[Bar]:
    """Yield the steel that does not depend on the choice of horizontal reinforcement."""
    without = basis.no_joint_steel is not None
    return (bar for bar in plan.bars if without or bar.kind not in ("horizontal", "bond-beam"))


def _horizontal(basis: WallBasis, plan: WallPlan) -> tuple[Bar, ...]:
    """Return the horizontal reinforcement: the choice of the settings, or else the book's first."""
    choices = basis.reinforcement.choices
    if basis.no_joint_steel is not None or not choices:
        return ()
    return horizontal_bars(basis, plan.joints, basis.reinforcement.choice or choices[0])


def _weights(book: RuleBook, basis: WallBasis) -> Weights:
    steel = basis.no_joint_steel
    compared = book.first("comparison")
    bar = bar_weight_lb(book, compared.says["bar"], 1.0) if compared else 0.0
    corner = _wires_lb(book, compared.says["wire"]) if compared else 0.0
    sources = [source for row in (compared, book.first("weight")) if row for source in book.sources(row)]
    if steel is not None:
        words = steel.bars + (f" and {steel.wire} joint reinforcement" if steel.wire else "")
        beds = _wires_lb(book, steel.wire) if steel.wire else 0.0
        beams = bar_weight_lb(book, steel.bar, 1.0)
        return Weights(bar, corner, beds, beams, words, (*sources, *steel.sources))
    choices = basis.reinforcement.choices
    if not choices:
        return Weights(bar, corner, 0.0, 0.0, "", tuple(sources))
    choice = basis.reinforcement.choice or choices[0]
    each = steel_weight_lb(book, choice.area_in2, 1.0)
    return Weights(bar, corner, each, each, choice.name, (*sources, choice.source))


def _wires_lb(book: RuleBook, wire: str) -> float:
    return steel_weight_lb(book, wire_area_in2(book, wire), 1.0)


def _counted(book: RuleBook) -> list[str]:
    row = book.first("comparison")
    return [f"{row.text.rstrip('.')} [{book.source(row).cite()}]."] if row else []
