"""Short returns between two corners: no joint in them, and how far the next ones may stand."""

from __future__ import annotations

from perpend.model import EndCondition, PlaceKind, Wall
from perpend.rulebook import RuleBook, SpacingRule
from perpend.rulebook.rule_book import value
from perpend.settings.settings_schema import Defaults
from perpend.units import format_both, format_length, system_of


def is_short_return(
    book: RuleBook,
    wall: Wall,
    spacing: SpacingRule,
    options: Defaults,
    left: EndCondition,
    right: EndCondition,
) -> bool:
    """Say whether a wall is a return that needs no joint: between two corners, or a corner and a doorway."""
    if book.first("short-return") is None or spacing.corner_fraction is None:
        return False
    ends = {left, right}
    beside_opening = bool(wall.part_of) and ends == {EndCondition.CORNER, EndCondition.FREE}
    if ends != {EndCondition.CORNER} and not beside_opening:
        return False
    limits = spacing.at(wall.panel_height_in(0.0, wall.length_in, options.height_basis))
    distance = limits.corner_distance_in
    if distance is None:
        return False
    row = book.first("least-panel")
    least = options.least_panel if options.least_panel is not None else value(row, "least") if row else 0.0
    return wall.length_in < (max(distance, 2 * least) if beside_opening else distance)


def return_note(
    book: RuleBook, wall: Wall, spacing: SpacingRule, options: Defaults, *, metric: bool
) -> tuple[str, ...]:
    """Say how far from the corners of a short return the first joints of the walls beside it may stand."""
    most = spacing.at(wall.panel_height_in(0.0, wall.length_in, options.height_basis)).max_spacing_in
    if most is None:
        return ()
    beside = format_both(reach_beside(wall, most), system_of(metric=metric), feet=not book.metric)
    source = book.source(book.need("short-return")).cite()
    return (
        f"{wall.tag} is a short return and has no joint: the first joint of each wall beside it is within "
        f"{beside} of their corner [{source}].",
    )


def reach_beside(wall: Wall, most_in: float) -> float:
    """Return how far from the corners of a short return the first joints of the walls beside it may stand.

    Args:
        wall: the return.
        most_in: greatest length of a panel.
    """
    return min(most_in - wall.length_in, most_in / 2)


def sheet_notes(
    book: RuleBook, wall: Wall, most_in: float | None, unbonded: bool, *, returns: bool, metric: bool
) -> tuple[str, ...]:
    """Return what the sheet says of places that show no joint on the face of a wall.

    Args:
        book: the rule book.
        wall: the wall.
        most_in: greatest length of a panel; None where no joints are needed.
        unbonded: intersecting walls are not bonded to it.
        returns: it is a short return between two corners.
        metric: the drawing is in metric units.
    """
    said = []
    if unbonded and any(place.kind is PlaceKind.INTERSECTION for place in wall.places):
        said.append(f"At abutting walls: {book.label} in abutting wall where they meet; see plan.")
    if returns and most_in is not None:
        length = format_length(reach_beside(wall, most_in), system_of(metric=metric))
        said.append(f"First {book.label} of walls beside short return not more than {length} from corner.")
    return tuple(said)
