"""Which length unit a drawing is in: said by the user, by the header, or guessed with a reason."""

from __future__ import annotations

import itertools
import math
import re
import statistics
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from perpend.dxf.partial.skipped_records import left_out_of
from perpend.errors import InputError

if TYPE_CHECKING:
    from ezdxf.document import Drawing

INCHES: Final[dict[str, float]] = {"in": 1.0, "ft": 12.0, "mm": 1 / 25.4, "cm": 1 / 2.54, "m": 1000 / 25.4}
"""Inches in one unit."""

_METRIC: Final = frozenset({"mm", "cm", "m"})
_HEADER: Final = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 21: "ft"}
"""$INSUNITS; 21 is the US survey foot, which is two parts in a million longer."""

_HEADER_NAMES: Final = {
    3: "miles",
    7: "kilometres",
    8: "microinches",
    9: "mils",
    10: "yards",
    14: "decimetres",
}
_WALL_HEIGHT_IN: Final = 144.0
_OPENING_IN: Final = 60.0
"""What a wall's height and an opening's lesser side come to most often; only their order of size counts."""

_RARITY: Final = {"cm": 0.3}
"""Centimetres have to fit better than the others: of 1,803 public drawings 2 named them in the header
(and 657 millimetres, 139 inches, 65 metres)."""

_CONTRADICTION: Final = 0.5
_CONTRADICTION_BY_ONE: Final = 1.0
"""How much better (in powers of e) another unit has to fit than those of the system that ``$MEASUREMENT``
names. Programs write that variable without being asked, so that walls and openings together, or walls or
openings alone by a wider margin, outweigh it. Openings of 3 by 7 in walls 14 high are feet."""

_CONTRADICTED_HEADER: Final = 1.5
"""How much better another unit than the header's has to fit walls and openings together, in powers of e."""

_LARGE_WALL_IN: Final = 480.0
_LARGE_OPENING_IN: Final = 108.0
"""Beyond these a guessed unit is doubted aloud."""

_FEET: Final = re.compile(r"\d\s*'\s*-?\s*\d+(?:[ -]\d+/\d+)?\s*\"|\"\s*=\s*\d+\s*'")
"""A length in feet and inches, or a scale of inches to feet."""

_TEXTS: Final = "texts"
_MOST_TEXTS: Final = 2000
_GUESS: Final = "guess"
"""What the reason of a guessed unit starts with."""

LEAST_WALL_IN: Final = 24.0
_HIGHEST_WALL_IN: Final = 1200.0
"""A masonry wall outside these makes the reader doubt the unit, and say so."""

LEAST_EXTENT_IN: Final = 120.0
"""What is smaller as a whole is no elevation."""

_FAR: Final = 2.0
"""A header's unit is not followed where walls are outside these by more than this factor."""


@dataclass(frozen=True, slots=True)
class DrawingUnit:
    """A drawing's unit.

    Attributes:
        name: ``in``, ``ft``, ``mm``, ``cm`` or ``m``.
        why: how it is known, in words; a doubt about it is here too.
        contradicts: True where the header names another one.
    """

    name: str
    why: str
    contradicts: bool = False

    @property
    def inches(self) -> float:
        """Inches in one unit."""
        return INCHES[self.name]

    @property
    def metric(self) -> bool:
        """True for mm, cm and m."""
        return self.name in _METRIC


def find_unit(
    header: Mapping[str, int],
    required: str | None,
    heights: Sequence[float],
    opening_sides: Sequence[float],
    file: str,
    extent: float = 0.0,
) -> DrawingUnit:
    """Say which unit a drawing is in.

    Args:
        header: what `said_in_header` returned.
        required: the user's word, or None.
        heights: heights of the wall outlines, drawing units.
        opening_sides: lesser sides of the opening outlines, drawing units.
        file: the drawing's path, for sentences.
        extent: length or height of all that is drawn of walls, drawing units; 0 where that is not known.

    Raises:
        InputError: the user's word is not a unit, or the header names one that no wall is drawn in.
    """
    if required is not None:
        key = required.strip().lower().rstrip(".")
        key = {"inch": "in", "inches": "in", "feet": "ft", "foot": "ft", '"': "in", "'": "ft"}.get(key, key)
        if key not in INCHES:
            raise InputError(f"{required!r} is not a unit of drawing: use in, ft, mm, cm or m.")
        return _doubted(DrawingUnit(key, "setting"), heights)
    code = header.get("$INSUNITS")
    if code in _HEADER:
        unit = DrawingUnit(_HEADER[code], f"header ($INSUNITS {code})")
        return _contradicted(unit, heights, opening_sides, extent) or _doubted(unit, heights)
    if code:
        name = _HEADER_NAMES.get(code, "a unit that no wall is drawn in")
        raise InputError(
            f"{file} says that it is drawn in {name} ($INSUNITS {code}): name the unit it is "
            "really drawn in with --units-of-drawing in, ft, mm, cm or m."
        )
    return _guess(header, heights, opening_sides)


def is_guessed(why: str) -> bool:
    """Say whether a unit is a guess, from the reason that is given for it."""
    return why.startswith(_GUESS)


def ill_fit(unit: DrawingUnit, heights: Sequence[float], opening_sides: Sequence[float]) -> float:
    """Say how far sizes are from those that walls and openings mostly have, in powers of e.

    Args:
        unit: the drawing's unit.
        heights: heights of wall outlines, drawing units.
        opening_sides: lesser sides of opening outlines, drawing units.
    """
    return _misfit(unit.name, heights, opening_sides)


def said_in_header(doc: Drawing, mentions: Callable[[str], bool]) -> dict[str, int]:
    """Return the header variables that tell of units, as far as the file itself has them.

    Without a unit among them, texts in feet and inches are one more: they are a drafter's, unlike defaults.

    Args:
        doc: the document; ezdxf fills a missing header with defaults of its own.
        mentions: says whether the file has a variable.
    """
    found = {}
    for name in ("$INSUNITS", "$MEASUREMENT", "$LUNITS"):
        if mentions(name):
            try:
                found[name] = int(doc.header[name])
            except (KeyError, ValueError, TypeError):
                continue
    if found.get("$INSUNITS") not in _HEADER:
        said = itertools.islice(_said(doc), _MOST_TEXTS)
        found |= {_TEXTS: 1} if any(map(_FEET.search, said)) else {}
    return found


def _said(doc: Drawing) -> Iterator[str]:
    """Yield what texts of modelspace say, also those that were left out of the loading."""
    for entity in doc.modelspace():
        if entity.dxftype() in ("TEXT", "MTEXT"):
            yield str(entity.dxf.get("text", "") or getattr(entity, "text", ""))
    for shown in left_out_of(doc).shown.values():
        yield from (line.text for line in shown.texts)
        yield from (paragraph.text for paragraph in shown.paragraphs)


def _doubted(unit: DrawingUnit, heights: Sequence[float]) -> DrawingUnit:
    if not heights:
        return unit
    height_in = statistics.median(heights) * unit.inches
    if _is_plausible(height_in):
        return unit
    better = min(INCHES, key=lambda name: _misfit(name, heights, ()))
    return DrawingUnit(
        unit.name,
        f"{unit.why}; doubtful, as the walls come out {height_in / 12:,.2f} ft high: if they are drawn in "
        f"{better}, say so with --units-of-drawing {better}",
    )


def _contradicted(
    unit: DrawingUnit, heights: Sequence[float], opening_sides: Sequence[float], extent: float
) -> DrawingUnit | None:
    """Return the unit that fits where the header's makes walls that nobody builds."""
    if not heights or not extent:
        return None
    high = statistics.median(heights)
    if high * unit.inches < LEAST_WALL_IN and extent * unit.inches > LEAST_EXTENT_IN:
        return None  # a wall drawn course by course
    better = min(INCHES, key=lambda name: _misfit(name, heights, opening_sides))
    near = any(_is_plausible(high * unit.inches * factor) for factor in (1 / _FAR, 1.0, _FAR))
    better_by = _misfit(unit.name, heights, opening_sides) - _misfit(better, heights, opening_sides)
    if near and opening_sides and better_by > _CONTRADICTED_HEADER:
        near = False
    if near or not _is_plausible(high * INCHES[better]):
        return None
    why = (
        f"{_GUESS}: the {unit.why} makes walls {high * unit.inches / 12:,.2f} ft high, and {better} fits "
        f"{'them and their openings' if opening_sides else 'them'}"
    )
    return DrawingUnit(better, f"{why}; overrule it with --units-of-drawing", contradicts=True)


def _is_plausible(height_in: float) -> bool:
    return LEAST_WALL_IN <= height_in <= _HIGHEST_WALL_IN


def _guess(
    header: Mapping[str, int], heights: Sequence[float], opening_sides: Sequence[float]
) -> DrawingUnit:
    """Choose the unit in which walls and openings have the sizes that walls and openings have."""
    if header.get("$LUNITS") in (3, 4):
        return DrawingUnit(
            "in", f"{_GUESS}: the header has no unit, but its lengths print in feet and inches ($LUNITS)"
        )
    measurement = header.get("$MEASUREMENT")
    if _TEXTS in header:
        names, said = ["in", "ft"], "the header has no unit, but texts give feet and inches"
    elif measurement == 1:
        names, said = ["mm", "cm", "m"], "the header has no unit, but says metric ($MEASUREMENT 1)"
    elif measurement == 0:
        names, said = ["in", "ft"], "the header has no unit, but says imperial ($MEASUREMENT 0)"
    else:
        names, said = list(INCHES), "the header has no unit"
    best = min(names, key=lambda name: _misfit(name, heights, opening_sides))
    by_size = min(INCHES, key=lambda name: _misfit(name, heights, opening_sides))
    better_by = _misfit(best, heights, opening_sides) - _misfit(by_size, heights, opening_sides)
    if better_by > (_CONTRADICTION if heights and opening_sides else _CONTRADICTION_BY_ONE):
        best = by_size
        said += ", which the sizes contradict"
    sizes = [f"walls {statistics.median(heights):g} high"] if heights else []
    if opening_sides:
        sizes.append(f"openings {statistics.median(opening_sides):g} across")
    measured = " and ".join(sizes) or "nothing to measure"
    doubt = _doubt(best, heights, opening_sides)
    why = f"{_GUESS}: {said}; {measured} fit {best} best{doubt}; overrule it with --units-of-drawing"
    return DrawingUnit(best, why)


def _doubt(name: str, heights: Sequence[float], opening_sides: Sequence[float]) -> str:
    """Say that walls or openings come out larger than they mostly are."""
    large = []
    if heights and (high := statistics.median(heights) * INCHES[name]) > _LARGE_WALL_IN:
        large.append(f"walls come out {high / 12:.0f} ft high")
    if opening_sides and (side := statistics.median(opening_sides) * INCHES[name]) > _LARGE_OPENING_IN:
        large.append(f"openings come out {side / 12:.0f} ft across")
    return f", but doubtful: {' and '.join(large)}" if large else ""


def _misfit(name: str, heights: Sequence[float], opening_sides: Sequence[float]) -> float:
    """Distance of the typical sizes from what they would be, in powers of e."""
    terms = []
    if heights:
        terms.append(abs(math.log(max(statistics.median(heights), 1e-12) * INCHES[name] / _WALL_HEIGHT_IN)))
    if opening_sides:
        terms.append(abs(math.log(max(statistics.median(opening_sides), 1e-12) * INCHES[name] / _OPENING_IN)))
    return _RARITY.get(name, 0.0) + (sum(terms) / len(terms) if terms else abs(math.log(INCHES[name])))
