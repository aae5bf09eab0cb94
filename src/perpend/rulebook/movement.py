"""How much masonry moves, and how wide a joint and how far apart joints may be for that.

Glossary:
    strain: movement of masonry over its length: moisture and temperature together, no unit.
    extensibility: how much a sealant stretches or closes, as a part of the joint's width.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from perpend.errors import InputError
from perpend.model import Source
from perpend.rulebook.book_schema import MOVEMENT, Row
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.units import parse_length

_SIXTEENTH_IN = 1 / 16
_GRAIN = 1e-9


@dataclass(frozen=True, slots=True)
class JointChoices:
    """What the settings say of the joint itself; None means the rule book's own.

    Attributes:
        width_in: width of a joint.
        sealant_percent: movement that the sealant takes, percent of the joint's width.
        temperature_change: range of temperature of the masonry, in the degrees of the rule book.
    """

    width_in: float | None = None
    sealant_percent: float | None = None
    temperature_change: float | None = None


@dataclass(frozen=True, slots=True)
class JointWidth:
    """How wide a joint has to be for the movement of the masonry between two joints.

    Attributes:
        needed_in: by the movement; 0 where the book does not say what the masonry moves.
        width_in: as the settings or the book have it, or what is needed, up to 1/16 in. or 1 mm,
            where that is more.
        sources: the rows used.
    """

    needed_in: float
    width_in: float
    sources: tuple[Source, ...]

    @property
    def enough(self) -> bool:
        """True when the joint is as wide as the movement needs."""
        return self.width_in >= self.needed_in - _GRAIN


_USUAL = JointChoices()


def is_calculated(row: Row) -> bool:
    """Say whether a spacing follows from movement and width instead of being printed."""
    return set(MOVEMENT) <= row.numbers.keys()


def strain(row: Row, choices: JointChoices = _USUAL) -> float:
    """Return the strain of a calculated spacing: moisture + thermal × change of temperature."""
    change = choices.temperature_change
    change = value(row, "temperature_change") if change is None else change
    return value(row, "moisture") + value(row, "thermal") * change


def extensibility(book: RuleBook, choices: JointChoices = _USUAL) -> float:
    """Return how much of its width a joint may close or open.

    Raises:
        InputError: the book says nothing of sealants.
    """
    percent = choices.sealant_percent
    return value(book.need("sealant"), "movement") / 100 if percent is None else percent / 100


def calculated_spacing(
    book: RuleBook, row: Row, choices: JointChoices = _USUAL, *, material: str = ""
) -> float:
    """Return s = w · e / (ke + kt · ΔT), the spacing that a joint's width and its sealant allow, inches.

    Raises:
        InputError: the movement is not above zero.
    """
    moved = strain(row, choices)
    if not moved > 0:
        raise InputError(
            f"A movement of {moved:g} of the length is not possible: give a change of temperature above zero."
        )
    width = choices.width_in
    width = value(book.need("joint-width", material=material), "width") if width is None else width
    return width * extensibility(book, choices) / moved


def joint_width(
    book: RuleBook, spacing_in: float | None, choices: JointChoices = _USUAL, *, material: str = ""
) -> JointWidth | None:
    """Return the width of the joints beside panels of a length.

    Args:
        book: the rule book.
        spacing_in: length of masonry that moves into one joint; None where nothing limits it.
        choices: what the settings say.
        material: of the units.

    Returns:
        The width; None where the book says nothing of it.
    """
    row = book.first("joint-width", material=material)
    if row is None:
        return None
    usual = value(row, "width") if choices.width_in is None else choices.width_in
    needed, used = 0.0, book.sources(row)
    moving = next((r for r in book.find("spacing", material=material) if is_calculated(r)), None)
    by_length = maybe(row, "per_length")
    if spacing_in is not None and moving is not None:
        needed = spacing_in * strain(moving, choices) / extensibility(book, choices)
        used = (*used, *book.sources(moving, *MOVEMENT), *book.sources(book.need("sealant"), "movement"))
    elif spacing_in is not None and by_length is not None:
        needed = spacing_in * by_length
    width = max(usual, _up(needed, metric=book.metric)) if choices.width_in is None else usual
    return JointWidth(needed, width, tuple(dict.fromkeys(used)))


def _up(length_in: float, *, metric: bool) -> float:
    """Round up to 1/16 in., or to a millimeter."""
    grain = parse_length("1 mm") if metric else _SIXTEENTH_IN
    return math.ceil(length_in / grain - _GRAIN) * grain
