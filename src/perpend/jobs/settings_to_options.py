"""From a project's settings to what each room needs of them."""

from __future__ import annotations

from perpend.dxf.expansion_budget import Budget
from perpend.reading import ReadingOptions
from perpend.reading.reading_options import NamedWall
from perpend.settings import Settings


def reading_options(
    settings: Settings, units_of_drawing: str | None = None, layout: str | None = None
) -> ReadingOptions:
    """Turn the settings into what the reader looks for; what the command line says overrules them."""
    return ReadingOptions(
        **settings.layers.model_dump(),
        opening_blocks=settings.blocks.openings,
        not_opening_blocks=settings.blocks.not_openings,
        units_of_drawing=units_of_drawing or settings.units_of_drawing,
        gap_in=settings.tolerances.gap,
        layout=layout or settings.layout,
        named_walls=tuple(
            NamedWall(entry.tag, entry.at, entry.handle, entry.exclude, entry.scale)
            for entry in settings.walls
            if entry.at is not None or entry.handle is not None
        ),
        budget=Budget(**settings.bounds.model_dump()),
    )
