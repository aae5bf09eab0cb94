"""The ways in which one wall could be built: every method and opening treatment that applies to it.

Glossary:
    variant: a method (with its crack control coefficient), a treatment of all openings, and in veneer
        a way to carry the lintels. The settings' own variant changes nothing.
    as set: each opening keeps the treatment that the settings or the drawing give it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

from perpend.model import Treatment, Wall
from perpend.rulebook import RuleBook, spacing_rule
from perpend.settings.resolve import resolve_wall, wall_options
from perpend.settings.settings_schema import Defaults, OpeningEntry, Settings, WallEntry
from perpend.slotted import dataclass

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
    """

    method: str
    units: str
    ccc: float | None = None
    treatment: Treatment | None = None
    all_alike: Treatment | None = None
    lintel_support: LintelSupport | None = None
    own: bool = False


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
            for ccc in _coefficients(book):
                yield method, ccc


def _coefficients(book: RuleBook) -> list[float]:
    rows = book.find("spacing", method=_ENGINEERED)
    return sorted({row.applies.ccc for row in rows if row.applies.ccc is not None})


def _coefficient(book: RuleBook, options: Defaults) -> float | None:
    """Return the coefficient that the wall's own method uses: the most severe one where none is given."""
    if options.method != _ENGINEERED:
        return None
    return options.ccc if options.ccc is not None else next(reversed(_coefficients(book)), None)


def _supports(options: Defaults, method: str, has_openings: bool) -> list[LintelSupport | None]:
    if method != _VENEER or not has_openings:
        return [None]
    return ["loose", "anchored"] if options.lintel_support == "loose" else ["anchored", "loose"]


def _treatments(book: RuleBook, treated: list[Treatment], alike: Treatment | None) -> list[Treatment | None]:
    """List the treatments to compare, as set first; one where the rule book does not tell them apart."""
    if not treated or book.first("opening-jambs") is None:
        return [None]
    return [None, *(t for t in Treatment if t is not alike)]


def _tighter_cap(book: RuleBook, options: Defaults, variant: Variant) -> float | None:
    rule = spacing_rule(book, method=variant.method, units=variant.units, ccc=variant.ccc)
    if rule.cap_in is None or options.spacing_cap is None or options.spacing_cap >= rule.cap_in:
        return None
    return options.spacing_cap
