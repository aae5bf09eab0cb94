"""Compare the ways in which the walls of one drawing could be built; nothing is drawn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from perpend.dxf.insert.atomic_file import whole_file
from perpend.errors import InputError
from perpend.jobs.annotate import read_afresh
from perpend.jobs.judge_plan import judged_plan
from perpend.jobs.output_places import check_place
from perpend.jobs.settings_to_options import reading_options
from perpend.jobs.unused_settings import lone_ends, missing_tags
from perpend.layout import plan_wall
from perpend.layout.steel.horizontal_bars import horizontal_bars
from perpend.model import Bar, Wall, WallPlan
from perpend.report import SettingsUsed
from perpend.report.compare_csv import compare_csv
from perpend.report.comparison import CompareResults, Option, Weights, build_comparison
from perpend.report.csv_tables import CSV_ENCODING
from perpend.rulebook import RuleBook, WallBasis, bar_weight_lb, load_rulebook, steel_weight_lb, wire_area_in2
from perpend.settings import Settings, compare_arching, load_settings, resolve_wall, wall_options
from perpend.settings.method_variants import Variant, variants_of, with_variant


def compare(
    drawing: Path,
    *,
    settings: Path | None = None,
    csv: Path | None = None,
    veneer: bool = False,
    units_of_drawing: str | None = None,
    layout: str | None = None,
) -> CompareResults:
    """Lay every wall of a drawing out by every method and opening treatment that applies to it.

    Args:
        drawing: the DXF file; it is never changed.
        settings: a settings file; None looks for ``perpend.toml`` and the drawing's sidecar.
        csv: where the table goes as comma-separated values, or None.
        veneer: True to lay walls out as veneer too that are none.
        units_of_drawing: ``in``, ``ft``, ``mm``, ``cm`` or ``m``; overrules header and settings.
        layout: name of the layout to read; overrules the settings.

    Raises:
        InputError: anything wrong with the drawing, the settings or the place to write.
    """
    if csv is not None:
        check_place(csv, drawing, "--csv")
    project = load_settings(settings, drawing)
    book = load_rulebook(project.rulebook)
    elevation = read_afresh(drawing, reading_options(project, units_of_drawing, layout)).elevation
    walls = [
        (wall, options_of(wall, project, book, metric=elevation.metric, veneer=veneer))
        for wall in elevation.walls
    ]
    found = build_comparison(
        elevation,
        walls,
        book,
        settings=SettingsUsed(project.files, project.sha256),
        counted=_counted(book),
        remarks=_remarks(project, elevation.walls),
    )
    if csv is not None:
        with whole_file(csv) as file:
            file.write_text(compare_csv(found), encoding=CSV_ENCODING, newline="\n")
    return found


def _remarks(settings: Settings, walls: Sequence[Wall]) -> list[str]:
    # The coefficient is heeded: engineered is one of the options.
    said = missing_tags(settings, walls) + lone_ends(settings, walls)
    tighter = [wall.tag for wall in walls if wall_options(settings, wall).spacing_ratio is not None]
    if tighter:
        listed = ", ".join(tighter)
        said.append(f"The tighter ratio of the settings counts for the wall's own method only: {listed}.")
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
    return [_option(wall, settings, book, variant, metric=metric) for variant in variants]


def _option(wall: Wall, settings: Settings, book: RuleBook, variant: Variant, *, metric: bool) -> Option:
    changed = with_variant(settings, book, wall, variant)
    try:
        basis = resolve_wall(changed, book, wall, metric=metric)
    except InputError as error:
        if variant.own:
            raise
        return Option(variant, why_not=str(error))
    plan = plan_wall(basis)
    return Option(
        variant=variant,
        plan=plan,
        bars=(*_without_horizontal(plan, basis), *_horizontal(basis, plan)),
        weights=_weights(book, basis),
        findings=judged_plan(basis, plan, settings.severities).findings,
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
