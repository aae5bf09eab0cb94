"""The crack control coefficient of the engineered method, added up from its parts.

Glossary:
    CCC: the sum of the strains of shrinkage, carbonation and temperature, in/in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from perpend.errors import InputError
from perpend.model import Source
from perpend.rulebook.rule_book import RuleBook, value

ThermalChoice = Literal["printed", "code"]


@dataclass(frozen=True, slots=True)
class CrackControlCoefficient:
    """A coefficient, its parts and which thermal coefficient was chosen.

    Attributes:
        total: in/in.
        shrinkage: as given, in/in.
        carbonation: in/in.
        thermal: coefficient times temperature change, in/in.
        says: one sentence that names the choice.
        sources: the rows used.
    """

    total: float
    shrinkage: float
    carbonation: float
    thermal: float
    says: str
    sources: tuple[Source, ...]


def crack_control_coefficient(
    book: RuleBook,
    *,
    shrinkage: float,
    temperature_change_f: float,
    thermal: ThermalChoice = "printed",
) -> CrackControlCoefficient:
    """Add up a crack control coefficient.

    Args:
        book: the rule book.
        shrinkage: drying shrinkage of the unit, in/in.
        temperature_change_f: drop of temperature, °F.
        thermal: the coefficient printed with the method, or the building code's.

    Raises:
        InputError: a part is negative.
    """
    row = book.need("coefficient")
    share = value(row, "carbonation")
    number = f"thermal_{thermal}"
    per_degree = value(row, number)
    parts = (("shrinkage", shrinkage), ("temperature change", temperature_change_f))
    for name, part in parts:
        if not 0 <= part < math.inf:
            raise InputError(f"A {name} of {part:g} is not possible in a coefficient: give zero or more.")
    heat = per_degree * temperature_change_f
    total = shrinkage + share + heat
    cited = book.source(row, number).cite()
    says = (
        f"CCC {total:.5f} = shrinkage {shrinkage:g} + carbonation {share:g} + "
        f"{per_degree:g} per °F ({cited}) × {temperature_change_f:g} °F."
    )
    return CrackControlCoefficient(
        total, shrinkage, share, heat, says, book.sources(row, "carbonation", number)
    )
