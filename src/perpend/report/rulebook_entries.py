"""What the results document holds of the rule book: its name, its sources, limits and reinforcement."""

from __future__ import annotations

from typing import TYPE_CHECKING

from perpend.model import (
    HorizontalReinforcement,
    Limits,
    Source,
)
from perpend.report.results_document import (
    HorizontalReinforcementEntry,
    LimitsEntry,
    ReinforcementChoiceEntry,
    RuleBookEntry,
    SourceEntry,
)
from perpend.rulebook.rule_book import RuleBook

if TYPE_CHECKING:
    pass


def rulebook_entry(book: RuleBook) -> RuleBookEntry:
    """Name the rule book."""
    return RuleBookEntry(
        **{
            name: getattr(book, name)
            for name in ("key", "title", "version", "sha256", "note", "label", "joint")
        }
    )


def source_entry(source: Source) -> SourceEntry:
    """Carry a source over."""
    return SourceEntry(
        row=source.row,
        document=source.document,
        clause=source.clause,
        standing=source.standing.value,
        unverified=source.unverified,
        text=source.text,
    )


def limits_entry(limits: Limits) -> LimitsEntry:
    """Carry the limits of one height over."""
    return LimitsEntry(
        height_in=limits.height_in,
        height_basis=limits.height_basis.value,
        max_spacing_in=limits.max_spacing_in,
        governing=limits.governing,
        ratio=limits.ratio,
        cap_in=limits.cap_in,
        corner_distance_in=limits.corner_distance_in,
        corner_min_in=limits.corner_min_in,
        tightened=limits.tightened,
        ccc=limits.ccc,
        sources=[source_entry(s) for s in limits.sources],
    )


def reinforcement_entry(reinforcement: HorizontalReinforcement) -> HorizontalReinforcementEntry:
    """Carry the horizontal reinforcement over."""
    return HorizontalReinforcementEntry(
        required_in2_per_ft=reinforcement.required_in2_per_ft,
        source=source_entry(reinforcement.source) if reinforcement.source else None,
        chosen=reinforcement.chosen,
        choices=[
            ReinforcementChoiceEntry(
                name=c.name,
                area_in2=c.area_in2,
                max_spacing_in=c.max_spacing_in,
                source=source_entry(c.source),
            )
            for c in reinforcement.choices
        ],
    )
