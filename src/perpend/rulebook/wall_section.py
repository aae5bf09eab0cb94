"""The vertical section of a wall and its steel: thickness, face shells, bars, wires, greatest bar spacing.

Glossary:
    An: net vertical section that the horizontal bars cross: two face shells over the whole height, and
        the grout between the shells in each bond beam; the whole thickness where every core is grouted.
    core: ``hollow`` (only bond beams are grouted) or ``solid`` (every core is grouted).
    edition: of ASTM C90, which sets the least thickness of a face shell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from perpend.errors import InputError
from perpend.rulebook.book_schema import Row
from perpend.rulebook.rule_book import RuleBook, value
from perpend.rulebook.validation_words import nearest

Core = Literal["hollow", "solid"]
_WHOLE = 1e-9
"""Added before rounding down, so that an exact multiple of the course stays one."""


@dataclass(frozen=True, slots=True)
class SteelChoices:
    """What the settings say of a wall; None means what the rule book assumes.

    Attributes:
        thickness: nominal thickness of the units: 6, 8, 10 or 12.
        core: ``hollow`` or ``solid``.
        bar: the bar in each bond beam, such as ``No. 4``.
        edition: edition of ASTM C90, ``before-C90-06`` or ``C90-06``.
        wire: joint reinforcement that is counted too, such as ``W1.7`` (two wires), or None.
        wire_spacing_in: distance between beds with joint reinforcement.
    """

    thickness: int | None = None
    core: Core | None = None
    bar: str | None = None
    edition: str | None = None
    wire: str | None = None
    wire_spacing_in: float | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """The wall's vertical section, as the rule book knows it.

    Attributes:
        nominal: nominal thickness, inches.
        thickness_in: specified thickness.
        shell_in: one face shell; None when every core is grouted.
        grout_height_in: height of the grout in a bond beam.
        edition: of ASTM C90; empty when every core is grouted.
    """

    nominal: int
    thickness_in: float
    shell_in: float | None
    grout_height_in: float
    edition: str

    @property
    def core(self) -> Core:
        """``hollow`` or ``solid``."""
        return "solid" if self.shell_in is None else "hollow"

    def net_area_in2(self, height_in: float, bond_beams: int) -> float:
        """Return An over a height with a number of bond beams."""
        if self.shell_in is None:
            return self.thickness_in * height_in
        core = self.thickness_in - 2 * self.shell_in
        return 2 * self.shell_in * height_in + bond_beams * core * self.grout_height_in


def section_of(book: RuleBook, choices: SteelChoices) -> Section:
    """Return the wall's section.

    Raises:
        InputError: the book has no unit of this thickness or no such edition.
    """
    assumed, rule = book.need("wall-assumed"), book.need("no-joint-steel")
    nominal = round(value(assumed, "thickness")) if choices.thickness is None else choices.thickness
    core = choices.core or assumed.says["core"]
    thickness = thickness_in(book, nominal)
    if core == "solid":
        return Section(nominal, thickness, None, value(rule, "grout_height"), "")
    edition = choices.edition or assumed.says["edition"]
    shells = {row.says["edition"]: row for row in book.find("shells")}
    if edition not in shells:
        hint = nearest(edition, shells)
        raise InputError(f"There is no edition {edition!r} of shells in the rule book {book.key}; {hint}.")
    shell = _by_thickness(book, shells[edition], nominal)
    return Section(nominal, thickness, shell, value(rule, "grout_height"), edition)


def thickness_in(book: RuleBook, nominal: int | None = None) -> float:
    """Return the specified thickness of units of a nominal one; None takes the assumed wall's.

    Raises:
        InputError: the book has no such unit.
    """
    if nominal is None:
        nominal = round(value(book.need("wall-assumed"), "thickness"))
    return _by_thickness(book, book.need("thickness"), nominal)


def bar_area_in2(book: RuleBook, bar: str) -> float:
    """Return the area of a bar such as ``No. 4``.

    Raises:
        InputError: the book has no such bar.
    """
    bars = {f"No. {name.removeprefix('no')}": n.value for name, n in book.need("bars").numbers.items()}
    if bar not in bars:
        raise InputError(f"There is no bar {bar!r} in the rule book {book.key}; {nearest(bar, bars)}.")
    return bars[bar]


def wire_area_in2(book: RuleBook, wire: str) -> float:
    """Return the area of two wires of a size such as ``W1.7``.

    Raises:
        InputError: the text is not a wire size.
    """
    try:
        size = float(wire.upper().removeprefix("W"))
    except ValueError:
        size = math.nan
    if not size > 0 or not wire.upper().startswith("W"):
        raise InputError(f"{wire!r} is not a wire size: write W and a number, such as W1.7.")
    return 2 * size * value(book.need("wire"), "per_w")


def max_bar_spacing_in(book: RuleBook, section: Section, bar: str) -> float | None:
    """Return the greatest spacing of one bar per bond beam, down to a whole course.

    hollow: s = [As/0.002 − (t − 2·ts)·grout height] / (2·ts); solid: s = As / (0.002·t).

    Returns:
        The spacing in inches, or None when not even a bond beam in every course is enough.
    """
    rule = book.need("no-joint-steel")
    step = value(rule, "step")
    carried = bar_area_in2(book, bar) / value(rule, "steel_ratio")
    if section.shell_in is None:
        exact = carried / section.thickness_in
    else:
        core = (section.thickness_in - 2 * section.shell_in) * section.grout_height_in
        exact = (carried - core) / (2 * section.shell_in)
    spacing = min(math.floor(exact / step + _WHOLE) * step, value(rule, "at_most"))
    return spacing if spacing >= step else None


def bar_weight_lb(book: RuleBook, bar: str, length_in: float) -> float:
    """Return the weight of a length of bar, for comparisons."""
    return steel_weight_lb(book, bar_area_in2(book, bar), length_in)


def steel_weight_lb(book: RuleBook, area_in2: float, length_in: float) -> float:
    """Return the weight of a length of steel of an area, for comparisons; 0 where the book weighs none."""
    row = book.first("weight")
    return value(row, "steel") * area_in2 * length_in / 1728.0 if row else 0.0


def _by_thickness(book: RuleBook, row: Row, nominal: int) -> float:
    known = {name.removeprefix("t"): number.value for name, number in row.numbers.items()}
    if str(nominal) not in known:
        raise InputError(
            f"The rule book {book.key} has no {row.title.lower()} for {nominal} in. units; "
            f"known are {', '.join(known)} in."
        )
    return known[str(nominal)]
