"""Lengths: parsed and printed exactly at the border, plain inches inside.

Inside perpend every length is a float in inches and its name ends in ``_in``. This module is the
only place that turns text into inches and inches into text, and the only place that says when two
lengths count as the same.

Glossary:
    tick: the exact grain of the layout. 1/64 in. is 127 ticks and 1 mm is 320 ticks, so every
        length a drafter can type, in either system, is a whole number of ticks.
    display system: ``imperial`` (feet, inches, sixteenths), ``metric`` (whole
        millimeters), or ``metres`` (three decimals).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final, Literal

from perpend.errors import InputError

DisplaySystem = Literal["imperial", "metric", "metres"]

TICKS_PER_INCH: Final = 8128
"""64 × 127: the least grain that holds both 1/64 in. and 1 mm (= 5/127 in.) exactly."""

SAME_IN: Final = 1 / 64
"""Two stations nearer than this are one station; a limit is exceeded only by more than this."""

ON_MODULE_IN: Final = 1 / 8
"""A drawn joint or jamb within this of a module line is on it."""

GAP_IN: Final = 1.0
"""Open outlines with gaps up to this are closed, and the closing is reported."""

MOVED_WITHIN_IN: Final = 96.0
"""In a later issue of a drawing, a joint up to this far from where one was is that one, moved."""

_MM_PER_INCH: Final = Fraction(254, 10)
_UNIT_INCHES: Final[dict[str, Fraction]] = {
    '"': Fraction(1),
    "in": Fraction(1),
    "inch": Fraction(1),
    "inches": Fraction(1),
    "'": Fraction(12),
    "ft": Fraction(12),
    "foot": Fraction(12),
    "feet": Fraction(12),
    "mm": 1 / _MM_PER_INCH,
    "cm": 10 / _MM_PER_INCH,
    "m": 1000 / _MM_PER_INCH,
}
_NUMBER = r"\d+(?:\.\d+)?|\.\d+"
_FRACTION = r"\d+\s*/\s*\d+"
_FEET_INCHES = re.compile(
    rf"""^(?P<sign>-)?\s*
    (?:(?P<feet>{_NUMBER})\s*(?:'|ft\.?|feet|foot)\s*-?\s*)?
    (?:(?P<whole>{_NUMBER})(?![\d./])\s*-?\s*)??
    (?:(?P<fraction>{_FRACTION}))?
    \s*(?P<mark>"|in\.?|inch|inches)?$""",
    re.VERBOSE | re.IGNORECASE,
)
_PLAIN = re.compile(rf"^(?P<number>-?(?:{_NUMBER}))\s*(?P<unit>[a-z]+\.?)?$", re.IGNORECASE)
_TYPOGRAPHY = str.maketrans({"’": "'", "′": "'", "‘": "'", "”": '"', "″": '"', "“": '"', "–": "-", "−": "-"})


def parse_length(text: str | float) -> float:
    """Read a length as a drafter writes it.

    Accepts a number or plain digits (inches), feet and inches (``16'-8"``, ``16' 8 1/2"``,
    ``16ft 8in``), decimal feet (``16.5'``, ``16.5 ft``), inches (``200"``, ``200 in``) and metric
    lengths (``5080 mm``, ``508 cm``, ``5.08 m``).

    Args:
        text: the length; a bare number is taken as inches.

    Returns:
        The length in inches: exact for every multiple of 1/64 in., nearest float otherwise.

    Raises:
        InputError: the text is not a length.
    """
    return float(parse_exact(text))


def parse_exact(text: str | float) -> Fraction:
    """Read a length like `parse_length`, as an exact fraction of inches.

    Raises:
        InputError: the text is not a length.
    """
    if isinstance(text, int | float):
        if not math.isfinite(text):
            raise InputError(f"{text!r} is not a length: write a finite number of inches.")
        return Fraction(text)
    clean = text.translate(_TYPOGRAPHY).replace("''", '"').strip()
    plain = _PLAIN.match(clean)
    if plain and (plain["unit"] or "in").lower().rstrip(".") in _UNIT_INCHES:
        unit = (plain["unit"] or "in").lower().rstrip(".")
        return Fraction(plain["number"]) * _UNIT_INCHES[unit]
    match = _FEET_INCHES.match(clean) if clean else None
    if match is None or not _has_digits(match):
        raise InputError(
            f"{text!r} is not a length: write feet and inches (16'-8\"), inches (200), or metric (5080 mm)."
        )
    return _feet_inches(match, text)


def _has_digits(match: re.Match[str]) -> bool:
    return any(match[name] for name in ("feet", "whole", "fraction"))


def _feet_inches(match: re.Match[str], text: str) -> Fraction:
    inches = Fraction(match["whole"] or 0)
    if match["fraction"]:
        over, under = (int(part) for part in match["fraction"].split("/"))
        if under == 0 or inches.denominator != 1:
            raise InputError(f"{text!r} is not a length: write whole inches and a fraction, such as 8 1/2.")
        inches += Fraction(over, under)
    total = Fraction(match["feet"] or 0) * 12 + inches
    return -total if match["sign"] else total


def system_of(*, metric: bool) -> DisplaySystem:
    """Return the system in which the lengths of a drawing are printed."""
    return "metric" if metric else "imperial"


def format_length(inches: float, system: DisplaySystem = "imperial", *, denominator: int = 16) -> str:
    """Print a length as a drawing shows it: ``16'-8"``, ``0'-3 3/8"`` or ``5080``.

    Args:
        inches: the length in inches.
        system: feet and inches, whole millimeters or meters, both without a unit.
        denominator: finest fraction of an inch that is printed.

    Returns:
        The text; imperial lengths are rounded to the nearest 1/denominator in.
    """
    if system == "metric":
        return f"{_whole_mm(inches)}"
    if system == "metres":
        return f"{_whole_mm(inches) / 1000:.3f}"
    parts = round(Fraction(inches) * denominator)
    sign = "-" if parts < 0 else ""
    whole, rest = divmod(abs(parts), denominator)
    feet, whole = divmod(whole, 12)
    tail = f" {Fraction(rest, denominator)}" if rest else ""
    return f"{sign}{feet}'-{whole}{tail}\""


def _whole_mm(inches: float) -> int:
    """Round to whole millimeters, a half away from zero, also a half that lost its last digits.

    A module of 112.5 mm makes halves. Results keep a millionth of an inch, and sheet and results must agree.
    """
    size = math.floor(abs(Fraction(inches)) * _MM_PER_INCH + Fraction(501, 1000))
    return -size if inches < 0 else size


def format_both(inches: float, system: DisplaySystem = "imperial", *, feet: bool = True) -> str:
    """Print a length for prose: the drawing's own system first, metric drawings with feet beside.

    Args:
        inches: the length in inches.
        system: of the drawing.
        feet: print feet and inches beside millimeters. False where the rule book is metric too: nobody
            on such a job reads feet.

    Returns:
        ``25'-0"``, ``7620 mm (25'-0")`` or ``7620 mm``.
    """
    if system != "imperial" and not feet:
        return f"{format_length(inches, 'metric')} mm"
    if system != "imperial":
        return f"{format_length(inches, 'metric')} mm ({format_length(inches)})"
    return format_length(inches)


def to_ticks(inches: float) -> int:
    """Round a length to the layout's grain (1/8128 in.)."""
    return round(inches * TICKS_PER_INCH)


def from_ticks(ticks: int) -> float:
    """Turn ticks back into inches."""
    return ticks / TICKS_PER_INCH


def on_tick(inches: float) -> float:
    """Return a length as a multiple of the grain: reading it back gives the same one."""
    return from_ticks(to_ticks(inches))


def same(a_in: float, b_in: float, tolerance_in: float = SAME_IN) -> bool:
    """Say whether two stations are one station."""
    return abs(a_in - b_in) <= tolerance_in


def exceeds(measured_in: float, limit_in: float) -> bool:
    """Say whether a measured length breaks an upper limit."""
    return measured_in > limit_in + SAME_IN


def falls_short(measured_in: float, limit_in: float) -> bool:
    """Say whether a measured length breaks a lower limit."""
    return measured_in < limit_in - SAME_IN


def off_module(station_in: float, module_in: float, origin_in: float = 0.0) -> float:
    """Measure how far a station is from the nearest module line.

    Args:
        station_in: the station along the wall.
        module_in: distance between module lines (half a unit).
        origin_in: where the bond starts.

    Returns:
        The distance in inches, 0 when the station is on a module line within `ON_MODULE_IN`.
    """
    rest = (station_in - origin_in) % module_in
    distance = min(rest, module_in - rest)
    return 0.0 if distance <= ON_MODULE_IN else distance
