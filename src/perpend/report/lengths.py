"""How the summary, the sheet and the tables print lengths of one drawing."""

from __future__ import annotations

from dataclasses import dataclass

from perpend.report.results_document import Results
from perpend.units import DisplaySystem, format_both, format_length, system_of


@dataclass(frozen=True, slots=True)
class Lengths:
    """Prints lengths in the system of the drawing.

    Attributes:
        metric: True when the drawing's lengths are millimeters.
        feet: True to print feet and inches beside a limit in millimeters.
    """

    metric: bool = False
    feet: bool = True

    @classmethod
    def of(cls, results: Results) -> Lengths:
        """Return the lengths of the drawing that the results are about."""
        return cls(results.drawing.metric, results.drawing.feet_beside)

    @property
    def system(self) -> DisplaySystem:
        """The system that is printed first."""
        return system_of(metric=self.metric)

    def bare(self, inches: float) -> str:
        """Print a length as a dimension line shows it: ``25'-0"`` or ``7620``."""
        return format_length(inches, self.system)

    def plain(self, inches: float) -> str:
        """Print a length with its unit: ``25'-0"`` or ``7620 mm``."""
        return f"{self.bare(inches)}{' mm' if self.metric else ''}"

    def limit(self, inches: float) -> str:
        """Print a limit: in metric drawings with feet and inches beside it, unless the book is metric."""
        return format_both(inches, self.system, feet=self.feet)
