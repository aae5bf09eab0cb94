"""The ways in which one wall could be built: every method and opening treatment that applies to it.

Glossary:
    variant: a method (with its crack control coefficient), a treatment of all openings, and in veneer
        a way to carry the lintels. The settings' own variant changes nothing.
    as set: each opening keeps the treatment that the settings or the drawing give it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

from perpend.model import Treatment, Wall
from perpend.rulebook import RuleBook, spacing_rule
from perpend.rulebook.joint_spacing import material_of
from perpend.settings.resolve import resolve_wall, wall_options
from perpend.settings.settings_schema import Defaults, OpeningEntry, Settings, WallEntry

_ENGINEERED, _VENEER = "engineered", "veneer"
_WITH_BARS = ("empirical", _ENGINEERED)
"""Methods that share their choices of horizontal reinforcement."""

LintelSupport = Literal["loose", "anchored"]


@dataclass(frozen=True, slots=True)
class Variant:
    """One way to build a wall.

    Attributes:
        method: as the rule book names it.
        units: ``full-height`` or ``half-high``.
        ccc: crack control coefficient, engineered only.
        treatment: of every opening; None leaves each as it is set.
        all_alike: the treatment that all openings have when each is as set, or None where they differ.
        lintel_support: ``loose`` or ``anchored``, veneer with openings only.
        own: True when this is what the settings ask for.
        material: of the units; empty where the settings' own counts.
        fewest_changes: True when the treatment of the fewest openings is changed so that the wall complies.
    """

    method: str
    units: str
    ccc: float | None = None
    treatment: Treatment | None = None
    all_alike: Treatment | None = None
    lintel_support: LintelSupport | None = None
    own: bool = False
    material: str = ""
    fewest_changes: bool = False

    def differs_by_treatment(self, other: Variant) -> bool:
        """Say whether two variants differ in nothing but the treatment of openings."""
        kept = {"treatment": None, "all_alike": None, "own": False, "fewest_changes": False}
        return replace(self, **kept) == replace(other, **kept)  # type: ignore[arg-type]


def variants_of(
    settings: Settings, book: RuleBook, wall: Wall, *, veneer: bool = False
) -> tuple[Variant, ...]:
    """List the variants of a wall, the methods in the order of the rule book.

    Veneer is another wall, not another method: a veneer is compared with veneers alone, and another wall
    with veneer only when that is asked for.

    Args:
        settings: the project's settings.
        book: the rule book.
        wall: the wall.
        veneer: True to list veneer for a wall that is none.

    Raises:
        InputError: the settings' own variant is not possible.
    """
    options = wall_options(settings, wall)
    treated = [rule.treatment for rule in resolve_wall(settings, book, wall).openings]
    alike = treated[0] if treated and len(set(treated)) == 1 else None
    found = []
    for method, ccc in _methods(book, options, veneer=veneer):
        for support in _supports(options, method, bool(treated)):
            for treatment in _treatments(book, treated, alike):
                same_method = method == options.method and ccc == _coefficient(book, options)
                same_lintel = support in (None, options.lintel_support)
                found.append(
                    Variant(
                        method=method,
                        units=options.units,
                        ccc=ccc,
                        treatment=treatment,
                        all_alike=alike if treatment is None else treatment,
                        lintel_support=support,
                        own=same_method and same_lintel and treatment is None,
                    )
                )
    return tuple(found)


def with_variant(settings: Settings, book: RuleBook, wall: Wall, variant: Variant) -> Settings:
    """Return settings under which a wall is built as a variant says.

    A tighter cap of the settings stays where it is tighter than the other method's own; a tighter ratio
    belongs to its method and goes with it.
    """
    if variant.own:
        return settings
    options = wall_options(settings, wall)
    entry: dict[str, Any] = {"tag": wall.tag, "method": variant.method, "ccc": variant.ccc}
    if variant.material:
        entry["material"] = variant.material
    if variant.method != options.method or variant.ccc != _coefficient(book, options):
        entry |= {"spacing_ratio": None, "spacing_cap": _tighter_cap(book, options, variant)}
    if not (variant.method == options.method or {variant.method, options.method} <= {*_WITH_BARS}):
        entry["horizontal_reinforcement"] = None
    every: dict[str, Any] = {"tag": "*", "wall": wall.tag}
    if variant.treatment is not None:
        every["treatment"] = variant.treatment
    if variant.lintel_support is not None:
        every["lintel_support"] = variant.lintel_support
    return settings.model_copy(
        update={
            "walls": (*settings.walls, WallEntry(**entry)),
            "openings": (*settings.openings, OpeningEntry(**every)),
        }
    )


_OF_A_BOOK = {"ccc", "spacing_ratio", "spacing_cap", "horizontal_reinforcement", "joint_type", "module"}
_OF_AN_OPENING = {
    *("openings", "treatment", "joint_clear_of_opening", "joint_clear_reason"),
    *("lintel_bearing", "wide_opening_from"),
}
"""Settings that are said in the words, or measured against the numbers, of one rule book."""


def settings_for_book(settings: Settings, book: RuleBook) -> Settings:
    """Return the settings for another rule book than the one they were written for.

    What belongs to a rule book is left to the other one; ends, heights and what was verified stay.
    """
    return settings.model_copy(
        update={
            "rulebook": book.key,
            "defaults": Defaults(**_kept(settings.defaults, book)),
            "walls": tuple(WallEntry(**_kept(entry, book)) for entry in settings.walls),
            "openings": tuple(OpeningEntry(**_kept(entry, book)) for entry in settings.openings),
        }
    )


def _kept(options: Defaults | WallEntry | OpeningEntry, book: RuleBook) -> dict[str, Any]:
    said = {key: getattr(options, key) for key in options.model_fields_set}
    kept = {key: given for key, given in said.items() if key not in _OF_A_BOOK | _OF_AN_OPENING}
    if kept.get("method") not in book.methods:
        kept.pop("method", None)
    if kept.get("material") not in book.materials:
        kept.pop("material", None)
    if isinstance(options, Defaults) and options.method not in book.methods:
        kept["method"] = book.methods[0]
    return kept


def variants_in_book(settings: Settings, book: RuleBook, wall: Wall) -> Iterator[Variant]:
    """Yield a wall by each method of a book, in each material where the settings name none, as it is set."""
    options = wall_options(settings, wall)
    materials = [options.material] if options.material else list(book.materials)
    for variant in variants_of(settings, book, wall):
        if variant.treatment is not None or variant.lintel_support not in (None, options.lintel_support):
            continue
        known = [m for m in materials if book.find("spacing", method=variant.method, material=m or "")]
        usual = material_of(book, options.material or "")
        for material in known or [""]:
            yield replace(variant, material=material or "", own=variant.own and material in ("", usual))


def _methods(book: RuleBook, options: Defaults, *, veneer: bool) -> Iterator[tuple[str, float | None]]:
    for method in book.methods:
        if options.method == _VENEER and method != _VENEER:
            continue
        if method == _VENEER and not (veneer or options.method == _VENEER):
            continue
        if method != _ENGINEERED:
            yield method, None
        elif options.ccc is not None:
            yield method, options.ccc
        else:
            known: list[float | None] = [*book.coefficients]
            yield from ((method, ccc) for ccc in known or [None])


def _coefficient(book: RuleBook, options: Defaults) -> float | None:
    """Return the coefficient that the wall's own method uses: the most severe one where none is given."""
    if options.method != _ENGINEERED:
        return None
    return options.ccc if options.ccc is not None else next(reversed(book.coefficients), None)


def _supports(options: Defaults, method: str, has_openings: bool) -> list[LintelSupport | None]:
    if method != _VENEER or not has_openings:
        return [None]
    return ["loose", "anchored"] if options.lintel_support == "loose" else ["anchored", "loose"]


def _treatments(book: RuleBook, treated: list[Treatment], alike: Treatment | None) -> list[Treatment | None]:
    """List the treatments to compare, as set first; one where the rule book does not tell them apart."""
    if not treated or book.first("opening-jambs") is None or book.first("opening-treatment"):
        return [None]
    return [None, *(t for t in Treatment if t is not alike)]


def _tighter_cap(book: RuleBook, options: Defaults, variant: Variant) -> float | None:
    rule = spacing_rule(book, method=variant.method, units=variant.units, ccc=variant.ccc)
    if rule.cap_in is None or options.spacing_cap is None or options.spacing_cap >= rule.cap_in:
        return None
    return options.spacing_cap
