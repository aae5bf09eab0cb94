"""Short returns between two corners: no joint in them, and how far the next ones may stand."""

from __future__ import annotations

from perpend.model import EndCondition, Wall
from perpend.rulebook import RuleBook, SpacingRule
from perpend.settings.settings_schema import Defaults
from perpend.units import format_both, system_of


def is_short_return(
    book: RuleBook,
    wall: Wall,
    spacing: SpacingRule,
    options: Defaults,
    left: EndCondition,
    right: EndCondition,
) -> bool:
    """Say whether a wall is a return between two corners that needs no joint."""
    if book.first("short-return") is None or {left, right} != {EndCondition.CORNER}:
        return False
    limits = spacing.at(wall.panel_height_in(0.0, wall.length_in, options.height_basis))
    distance = limits.corner_distance_in
    return spacing.corner_fraction is not None and distance is not None and wall.length_in < distance


def return_note(
    book: RuleBook, wall: Wall, spacing: SpacingRule, options: Defaults, *, metric: bool
) -> tuple[str, ...]:
    """Say how far from the corners of a short return the first joints of the walls beside it may stand."""
    most = spacing.at(wall.panel_height_in(0.0, wall.length_in, options.height_basis)).max_spacing_in
    if most is None:
        return ()
    beside = format_both(min(most - wall.length_in, most / 2), system_of(metric=metric))
    source = book.source(book.need("short-return")).cite()
    return (
        f"{wall.tag} is a short return between two corners and has no joint: the first joint of each wall "
        f"beside it is within {beside} of their corner [{source}].",
    )
