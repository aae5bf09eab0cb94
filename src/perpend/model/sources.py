"""Where a number comes from, and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Standing(StrEnum):
    """How far a number can be trusted."""

    PUBLISHED = "published"
    MEMORY = "memory"
    COMMON_PRACTICE = "common practice"
    DERIVED = "derived"
    DECISION = "decision"
    VERIFIED = "verified"
    """By an office, in its own copy of the document."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a number comes from.

    Attributes:
        row: key of the rule-book row, such as ``spacing.empirical-full``.
        document: such as ``TEK 10-2C (2010)``.
        clause: such as ``Table 1``.
        standing: how far it can be trusted; ``memory`` is shown as "not verified against the source".
        text: what the row says, in one line.
    """

    row: str
    document: str
    clause: str
    standing: Standing
    text: str = ""

    @property
    def unverified(self) -> bool:
        """True when the page itself was never seen."""
        return self.standing is Standing.MEMORY

    def cite(self) -> str:
        """Return the source in one line, with its standing."""
        place = f"{self.document}, {self.clause}" if self.clause else self.document
        if self.standing is Standing.DECISION or self.standing.value == self.document.lower():
            return place
        mark = "not verified against the source" if self.unverified else str(self.standing)
        if self.standing is Standing.VERIFIED:
            mark = "verified by the office"
        return f"{place} ({mark})"
