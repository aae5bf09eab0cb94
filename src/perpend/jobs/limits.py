"""The limits of a wall of a given height, before there is a drawing."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from perpend.errors import InputError
from perpend.jobs.request import AnyPath, as_path
from perpend.model import Limits, Profile, Wall
from perpend.report.limit_table import LimitsResults, Other, build_limits
from perpend.report.unverified_list import UnverifiedList, build_unverified
from perpend.rulebook import (
    NoJointSteel,
    RuleBook,
    bond,
    no_joint_steel,
    reinforcement,
    spacing_rule,
)
from perpend.rulebook import limits as limits_of
from perpend.settings import book_of, load_settings, steel_choices
from perpend.settings.resolve import joint_choices
from perpend.settings.settings_schema import Defaults
from perpend.units import SAME_IN, DisplaySystem, format_both, off_module, parse_length, system_of

if TYPE_CHECKING:
    from perpend.rulebook.coefficient import CrackControlCoefficient, ThermalChoice

_METRIC = re.compile(r"(?:mm|cm|m)\.?\s*$", re.IGNORECASE)
_BARE = re.compile(r"[0-9]+(?:\.[0-9]*)?")
_LOW_IN = 40.0
"""A bare number below this was probably meant as feet."""
_HIGH_IN = 1000.0
"""A bare number above this was probably meant as millimetres."""
_ENGINEERED, _NO_JOINTS = "engineered", "no-joints"


def limits(
    height: str,
    *,
    method: str | None = None,
    units: str | None = None,
    material: str | None = None,
    ccc: float | None = None,
    shrinkage: float | None = None,
    temperature_drop_f: float | None = None,
    thermal: ThermalChoice = "printed",
    rulebook: str | None = None,
    settings: AnyPath | None = None,
) -> LimitsResults:
    """Return the limits of a plain wall.

    Args:
        height: as typed: ``16'-8"``, ``16.67 ft``, ``200 in``, ``5.08 m``, ``5080 mm``.
        method: as the rule book names it; None takes the settings' default.
        units: ``full-height`` or ``half-high``; None takes the settings' default.
        material: of the units, in rule books that tell several apart; None takes the settings' default.
        ccc: crack control coefficient, in/in, engineered method only.
        shrinkage: drying shrinkage of the units, in/in; with `temperature_drop_f` instead of `ccc`.
        temperature_drop_f: greatest drop of temperature, °F.
        thermal: the thermal coefficient printed with the method, or the building code's (recalled, not seen).
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: the height is no length above zero, the rule book has no such method or units, or
            the coefficient does not belong to the method or is outside the rule book's rows.
    """
    height_in, metric = _height(height)
    project = load_settings(as_path(settings))
    book = book_of(project, rulebook)
    defaults = project.defaults
    method = method or defaults.method
    units = units or defaults.units
    added_up = _added_up(book, ccc, shrinkage, temperature_drop_f, thermal)
    ccc = added_up.total if added_up else ccc
    if ccc is not None and method != _ENGINEERED:
        raise InputError(
            f"A crack control coefficient belongs to the engineered method, not to {method}: "
            "add --method engineered, or leave --ccc out."
        )
    coefficient = _coefficient(book, ccc if ccc is not None else defaults.ccc, method)
    own = limits_of(
        book,
        height_in,
        method=method,
        units=units,
        ccc=coefficient,
        ratio=defaults.spacing_ratio,
        cap_in=defaults.spacing_cap,
        material=material or defaults.material or "",
        parapet=bool(defaults.parapet),
        joint=joint_choices(defaults),
        local_experience=defaults.local_experience or "",
    )
    grid = bond(book, units, metric=metric, material=own.material)
    module_in = grid.module_in if defaults.module is None else defaults.module
    return build_limits(
        book,
        own,
        metric=metric,
        ccc=coefficient,
        module_in=module_in,
        max_spacing_on_module_in=_on_module(own.max_spacing_in, module_in),
        reinforcement=reinforcement(
            book, units, method, chosen=defaults.horizontal_reinforcement, metric=metric
        ),
        others=_others(book, own, coefficient),
        steel=_steel(book, height_in, defaults) if method == _NO_JOINTS else None,
        notes=[
            *_unit_note(height, height_in),
            *_course_note(height_in, grid.course_in, system_of(metric=metric), feet=not book.metric),
            *_coefficient_note(book, coefficient, given=ccc if ccc is not None else defaults.ccc),
            *([added_up.says] if added_up else []),
            *_large_note(book),
        ],
    )


def _added_up(
    book: RuleBook,
    ccc: float | None,
    shrinkage: float | None,
    temperature_drop_f: float | None,
    thermal: ThermalChoice,
) -> CrackControlCoefficient | None:
    """Add up a crack control coefficient from its parts, if they are given instead of it."""
    if shrinkage is None and temperature_drop_f is None:
        return None
    if shrinkage is None or temperature_drop_f is None or ccc is not None:
        raise InputError(
            "A crack control coefficient is given with --ccc, or by both of its parts: --shrinkage and "
            "--temperature-drop."
        )
    from perpend.rulebook.coefficient import crack_control_coefficient

    return crack_control_coefficient(
        book, shrinkage=shrinkage, temperature_change_f=temperature_drop_f, thermal=thermal
    )


def unverified(rulebook: str | None = None, settings: AnyPath | None = None) -> UnverifiedList:
    """Return what an office has to look up: what was typed from memory, and not verified by the settings.

    Args:
        rulebook: key of the rule book; None takes the settings'.
        settings: a settings file; None takes the defaults.

    Raises:
        InputError: there is no such rule book, or the settings do not fit.
    """
    return build_unverified(book_of(load_settings(as_path(settings)), rulebook))


def _height(text: str) -> tuple[float, bool]:
    height_in = parse_length(text)
    if not math.isfinite(height_in) or height_in <= 0:
        raise InputError(f"A wall height of {text} is not possible: give one above zero.")
    return height_in, bool(_METRIC.search(text))


def _unit_note(typed: str, height_in: float) -> list[str]:
    """Doubt a bare number that is a wall's height in feet or millimetres rather than in inches."""
    bare = typed.strip()
    if not _BARE.fullmatch(bare) or _LOW_IN <= height_in <= _HIGH_IN:
        return []
    if height_in < _LOW_IN:
        return [f"{bare} was taken as inches, which is a very low wall: write {bare}' if feet are meant."]
    return [
        f"{bare} was taken as inches, which is a very high wall: write {bare}mm if millimetres are meant."
    ]


def _steel(book: RuleBook, height_in: float, defaults: Defaults) -> NoJointSteel:
    """Return the steel that lets a plain wall of this height go without joints."""
    top, bottom = Profile.level(height_in, 0.0, height_in), Profile.level(0.0, 0.0, height_in)
    return no_joint_steel(book, Wall("of this height", "", height_in, top, bottom), steel_choices(defaults))


def _coefficient(book: RuleBook, given: float | None, method: str) -> float | None:
    """Return the coefficient used; without one the rule book's most severe counts."""
    if method != _ENGINEERED:
        return None
    known = book.coefficients
    return given if given is not None else (known[-1] if known else None)


def _on_module(spacing_in: float | None, module_in: float) -> float | None:
    if spacing_in is None:
        return None
    return math.floor((spacing_in + SAME_IN) / module_in) * module_in


def _others(book: RuleBook, own: Limits, own_ccc: float | None) -> list[Other]:
    """Return the limits of every other combination that the book tells apart at this height."""
    rows = book.find("spacing")
    sizes = [False, True] if any(row.applies.large_openings for row in rows) else [False]
    counts = sorted({row.applies.openings_from for row in rows} | {0})
    found = []
    for (method, units, material, ccc), large, count in itertools.product(_kinds(book), sizes, counts):
        kind = (method, units, material, ccc, large, count)
        if kind != (own.method, own.units, own.material, own_ccc, False, 0):
            rule = spacing_rule(
                book,
                method=method,
                units=units,
                ccc=ccc,
                large_openings=large,
                openings=count,
                material=material,
            )
            found.append(Other(rule.at(own.height_in), ccc, large, count))
    return found


def _kinds(book: RuleBook) -> Iterator[tuple[str, str, str, float | None]]:
    """Yield every method, units, material and printed coefficient of the book."""
    for method in book.methods:
        coefficients: list[float | None] = [*book.coefficients] if method == _ENGINEERED else []
        kinds = (_units_of(book, method), book.materials or ("",), coefficients or [None])
        for units, material, ccc in itertools.product(*kinds):
            if book.find("spacing", method=method, units=units, material=material):
                yield method, units, material, ccc


def _units_of(book: RuleBook, method: str) -> list[str]:
    """Return the units a method has rows for; full-height alone when it makes no difference."""
    named = [units for row in book.find("spacing", method=method) for units in row.applies.units]
    return list(dict.fromkeys(named)) or ["full-height"]


def _course_note(height_in: float, course_in: float, system: DisplaySystem, *, feet: bool) -> list[str]:
    if not off_module(height_in, course_in):
        return []
    below = math.floor(height_in / course_in) * course_in
    height, course, low, high = (
        format_both(x, system, feet=feet) for x in (height_in, course_in, below, below + course_in)
    )
    return [f"{height} is no whole number of courses of {course}: the nearest are {low} and {high}."]


def _coefficient_note(book: RuleBook, ccc: float | None, *, given: float | None) -> list[str]:
    """Say which coefficient (CCC) was used when none was given, and what counts between printed ones."""
    if ccc is None:
        return []
    if given is None:
        return [f"No crack control coefficient (CCC) was given: the most severe, {ccc:.4f}, was used."]
    return [] if ccc in book.coefficients else _said_by(book, "interpolation")


def _large_note(book: RuleBook) -> list[str]:
    """Say which openings are large, where the book has a spacing for walls that have such."""
    tells = any(row.applies.large_openings for row in book.find("spacing"))
    return _said_by(book, "opening-near") if tells else []


def _said_by(book: RuleBook, kind: str) -> list[str]:
    row = book.first(kind)
    return [f"{row.text.rstrip('.')} [{book.source(row).cite()}]."] if row else []
