"""How far apart joints may stand: the lesser of ratio × height and a cap, by method.

Glossary:
    CCC: crack control coefficient, the sum of a unit's strains in in/in (engineered method only).
    tightening: a project setting that asks for less than the rule book allows. The other way is refused, but
        for a ratio that the project loosens by local experience, in words of its own, where the book lets it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Any

from perpend.errors import InputError
from perpend.model import HeightBasis, Limits, Source
from perpend.rulebook.book_schema import Row
from perpend.rulebook.movement import JointChoices, calculated_spacing, is_calculated
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.rulebook.validation_words import nearest
from perpend.rulebook.wall_basis import SpacingRule
from perpend.units import exceeds, format_length

_RATIO_GRAIN = 1e-9
"""Ratios nearer than this are one ratio: far below anything a person types."""


@dataclass(frozen=True, slots=True)
class _Terms:
    """Ratio and cap with the rows they come from."""

    ratio: float | None
    cap_in: float | None
    ratio_source: Source | None
    cap_source: Source | None
    sources: tuple[Source, ...]
    ccc: float | None = None


_AS_THE_BOOK_SAYS = JointChoices()


def spacing_rule(
    book: RuleBook,
    *,
    method: str = "empirical",
    units: str = "full-height",
    ccc: float | None = None,
    ratio: float | None = None,
    cap_in: float | None = None,
    large_openings: bool = False,
    openings: int = 0,
    material: str = "",
    parapet: bool = False,
    joint: JointChoices = _AS_THE_BOOK_SAYS,
    local_experience: str = "",
) -> SpacingRule:
    """Return the spacing that a rule book allows, tightened by the settings.

    Args:
        book: the rule book.
        method: ``empirical``, ``engineered``, ``veneer`` or ``no-joints``.
        units: ``full-height`` or ``half-high``.
        ccc: crack control coefficient, in/in; engineered only. Without one the book's most severe counts.
        ratio: a tighter ratio, or None.
        cap_in: a tighter cap, inches, or None.
        large_openings: True when the wall has openings that a book counts as large.
        openings: how many openings the wall has.
        material: of the units, as the book names it; empty takes the book's usual one.
        parapet: True for a parapet.
        joint: width, sealant and temperature, where the spacing follows from them.
        local_experience: why the project loosens the ratio, in its own words; empty where it does not.

    Raises:
        InputError: the book has no such method or material, the coefficient is outside its rows, or a setting
            is looser than the book.
    """
    if method not in book.methods:
        raise InputError(
            f"The rule book {book.key} has no method {method!r}; {nearest(method, book.methods)}."
        )
    material = material_of(book, material)
    rows = _rows(book, method, units, material)
    rows = [row for row in rows if row.applies.large_openings in (None, large_openings)]
    most = max((r.applies.openings_from for r in rows if r.applies.openings_from <= openings), default=0)
    terms = _terms(book, [r for r in rows if r.applies.openings_from == most], method, ccc, joint, material)
    if terms.ratio is None and terms.cap_in is None:
        return SpacingRule(method, units, None, None, sources=terms.sources, material=material)
    corner = book.first("corner", method=method, material=material)
    shared = book.first("shared-corner", method=method, material=material)
    low = book.first("parapet", method=method, material=material) if parapet else None
    if low is not None:
        terms = _of_parapet(book, terms, low)
    new_ratio, new_cap, words, loosened = _tighten(
        terms, ratio, cap_in, _may_loosen(book, method, local_experience)
    )
    return SpacingRule(
        method=method,
        units=units,
        ratio=new_ratio,
        cap_in=new_cap,
        corner_fraction=maybe(corner, "fraction") if corner else None,
        corner_max_in=_least(
            maybe(corner, "at_most") if corner else None, maybe(low, "corner_at_most") if low else None
        ),
        corner_min_in=(maybe(corner, "at_least") or 0.0) if corner else 0.0,
        tightened=words,
        sources=(*terms.sources, *(book.sources(corner) if corner else ())),
        ccc=terms.ccc,
        material=material,
        corner_around=_around(corner, shared),
        corner_legs=next((row.says["legs"] for row in (shared, corner) if row and "legs" in row.says), ""),
        corner_round_sources=book.sources(shared) if shared else (),
        loosened=loosened,
    )


def _around(corner: Row | None, shared: Row | None) -> float | None:
    """Return the greatest length of masonry round a corner, as a part of the spacing, where a row has it."""
    rows = (row for row in (corner, shared) if row is not None and "around" in row.numbers)
    return next((value(row, "around") for row in rows), None)


def material_of(book: RuleBook, asked: str) -> str:
    """Return the material of the units as the book names it; empty where it is about one alone.

    Raises:
        InputError: the book does not have it.
    """
    known = book.materials
    if not asked:
        usual = book.first("material-assumed")
        return usual.says["material"] if usual else ""
    if asked not in known:
        hint = nearest(asked, known) if known else "it is about one material alone: leave the setting out"
        raise InputError(f"The rule book {book.key} has no material {asked!r}; {hint}.")
    return asked


def _least(*terms: float | None) -> float | None:
    return min((term for term in terms if term is not None), default=None)


def _of_parapet(book: RuleBook, terms: _Terms, row: Row) -> _Terms:
    """Return the terms of a parapet: a part of the wall's own cap, or one of its own."""
    cap = terms.cap_in if terms.cap_in is None else terms.cap_in * (maybe(row, "factor") or 1.0)
    sources = (*terms.sources, *book.sources(row))
    return replace(
        terms, cap_in=_least(cap, maybe(row, "at_most")), cap_source=book.source(row), sources=sources
    )


def _may_loosen(book: RuleBook, method: str, local_experience: str) -> str:
    """Return the words under which the ratio may be loosened, or nothing where the book does not let it."""
    said = local_experience.strip()
    lets = [row for row in book.find("tightening", method=method) if row.applies.methods]
    return said if lets else ""


def limits(
    book: RuleBook,
    height_in: float,
    *,
    basis: HeightBasis = HeightBasis.WALL,
    **asked: Any,  # noqa: ANN401 - the arguments of `spacing_rule`
) -> Limits:
    """Return the limits of a plain wall of a given height, with their sources.

    Args:
        book: the rule book.
        height_in: the height.
        basis: which height that is.
        asked: as for `spacing_rule`.

    Raises:
        InputError: the height is not above zero, or as `spacing_rule`.
    """
    if height_in <= 0:
        raise InputError(f"A wall height of {format_length(height_in)} is not possible: give one above zero.")
    return spacing_rule(book, **asked).at(height_in, basis)


def _rows(book: RuleBook, method: str, units: str, material: str) -> list[Row]:
    rows = list(book.find("spacing", method=method, units=units, material=material))
    if not rows:
        raise InputError(
            f"The rule book {book.key} has no spacing for {method} with {material or units} units: choose "
            "other units."
        )
    return rows


def _terms(
    book: RuleBook,
    rows: list[Row],
    method: str,
    ccc: float | None,
    joint: JointChoices,
    material: str,
) -> _Terms:
    if any(row.applies.ccc is not None for row in rows):
        return _by_coefficient(book, rows, ccc)
    if ccc is not None and method == "engineered":
        raise InputError(f"The rule book {book.key} does not use a crack control coefficient: leave out ccc.")
    terms = _of_row(book, rows[0])
    if not is_calculated(rows[0]):
        return terms
    by_width = calculated_spacing(book, rows[0], joint, material=material)
    used = [row for row in (book.first("joint-width", material=material), book.first("sealant")) if row]
    sources = (*terms.sources, *(source for row in used for source in book.sources(row)))
    printed = terms.cap_in is None or by_width < terms.cap_in
    cap_source = book.source(rows[0]) if printed else terms.cap_source
    return replace(terms, cap_in=_least(by_width, terms.cap_in), cap_source=cap_source, sources=sources)


def _of_row(book: RuleBook, row: Row) -> _Terms:
    return _Terms(
        maybe(row, "ratio"),
        maybe(row, "cap"),
        book.source(row, "ratio") if "ratio" in row.numbers else None,
        book.source(row, "cap") if "cap" in row.numbers else None,
        book.sources(row),
        row.applies.ccc,
    )


def _by_coefficient(book: RuleBook, rows: list[Row], ccc: float | None) -> _Terms:
    """Take the row of this coefficient, or the straight line between its two neighbours."""
    known = sorted((row.applies.ccc, row) for row in rows if row.applies.ccc is not None)
    asked = known[-1][0] if ccc is None else ccc
    if not known[0][0] <= asked <= known[-1][0]:
        raise InputError(
            f"A crack control coefficient of {asked:g} is outside the range {known[0][0]:.4f} to "
            f"{known[-1][0]:.4f} of the rule book {book.key}, and nothing is extrapolated: "
            "use a coefficient within it, or the empirical method."
        )
    exact = next((row for coefficient, row in known if coefficient == asked), None)
    if exact is not None:
        return _of_row(book, exact)
    pair = next(p for p in itertools.pairwise(known) if p[0][0] < asked < p[1][0])
    (low_ccc, low), (high_ccc, high) = pair
    share = (asked - low_ccc) / (high_ccc - low_ccc)
    line = tuple(s for row in book.find("interpolation", method="engineered")[:1] for s in book.sources(row))
    return _Terms(
        _between(low, high, "ratio", share),
        _between(low, high, "cap", share),
        book.source(high, "ratio"),
        book.source(high, "cap"),
        (*book.sources(low), *book.sources(high), *line),
        asked,
    )


def _between(low: Row, high: Row, number: str, share: float) -> float:
    a, b = low.numbers[number].value, high.numbers[number].value
    return a + (b - a) * share


def _tighten(
    terms: _Terms, ratio: float | None, cap_in: float | None, local_experience: str
) -> tuple[float | None, float | None, str, str]:
    """Apply the settings' ratio and cap; refuse what is looser than the book or not above zero.

    Returns:
        The ratio and the cap, what was tightened, and what local experience loosened, in words.
    """
    words, loosened = [], ""
    new_ratio, new_cap = terms.ratio, terms.cap_in
    if ratio is not None:
        looser = terms.ratio is not None and ratio > terms.ratio + _RATIO_GRAIN
        if looser and local_experience:
            loosened = f"ratio {ratio:g} instead of {_ratio_text(terms.ratio)}: {local_experience}"
        else:
            _refuse_looser(
                "spacing_ratio", f"{ratio:g}", ratio, terms.ratio, _RATIO_GRAIN, terms.ratio_source
            )
        new_ratio = ratio
        if terms.ratio is None or ratio < terms.ratio - _RATIO_GRAIN:
            words.append(f"ratio {ratio:g} instead of {_ratio_text(terms.ratio)}")
    if cap_in is not None:
        shown = format_length(cap_in)
        _refuse_looser("spacing_cap", shown, cap_in, terms.cap_in, None, terms.cap_source)
        new_cap = cap_in
        if terms.cap_in is None or exceeds(terms.cap_in, cap_in):
            words.append(f"cap {shown} instead of {_cap_text(terms.cap_in)}")
    return new_ratio, new_cap, "; ".join(words), loosened


def _refuse_looser(
    key: str, shown: str, asked: float, limit: float | None, grain: float | None, source: Source | None
) -> None:
    if asked <= 0:
        raise InputError(f"The setting {key} = {shown} is not above zero: give a value that leaves a panel.")
    if limit is None or source is None:
        return
    looser = exceeds(asked, limit) if grain is None else asked > limit + grain
    if looser:
        most = format_length(limit) if grain is None else f"{limit:g}"
        raise InputError(
            f"The setting {key} = {shown} is looser than the limit of {most} by {source.cite()}: "
            f"settings may only tighten a limit, so use {most} or less."
        )


def _ratio_text(ratio: float | None) -> str:
    return "none" if ratio is None else f"{ratio:g}"


def _cap_text(cap_in: float | None) -> str:
    return "none" if cap_in is None else format_length(cap_in)
