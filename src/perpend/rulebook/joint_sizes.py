"""What a rule book says of the joint itself: width, ties beside it, horizontal joints below supports.

Glossary:
    support: a shelf angle or the like; it carries the masonry above it, and a joint is left below it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from perpend.model import HorizontalJoints, JointSizes, Wall
from perpend.rulebook.movement import JointChoices, joint_width
from perpend.rulebook.rule_book import RuleBook, maybe, value
from perpend.units import SAME_IN, exceeds, same


def joint_sizes(
    book: RuleBook,
    wall: Wall,
    spacing_in: float | None,
    joint: JointChoices,
    *,
    supports_in: Sequence[float] = (),
    material: str = "",
) -> JointSizes:
    """Return the sizes of one wall's joints.

    Args:
        book: the rule book.
        wall: the wall; where the drawing parts it at its supports, one storey of it.
        spacing_in: distance of its vertical joints, which their width has to suit.
        joint: what the settings say of the joint.
        supports_in: heights of supports above the foot of the whole wall, as the settings give them.
        material: of the units, where the book tells several apart.
    """
    width = joint_width(book, spacing_in, joint, material=material)
    row, ties = (book.first(kind, material=material) for kind in ("joint-width", "joint-ties"))
    return JointSizes(
        width_in=width.width_in if width else None,
        width_noted=bool(width and row and (width.needed_in or row.note)),
        ties_in=value(ties, "spacing") if ties else None,
        horizontal=_horizontal(book, wall, supports_in, material),
    )


def _horizontal(
    book: RuleBook, wall: Wall, supports_in: Iterable[float], material: str
) -> HorizontalJoints | None:
    row = book.first("horizontal-joint", material=material)
    if row is None:
        return None
    return HorizontalJoints(
        under=row.says["under"],
        levels_in=_levels(wall, supports_in),
        width_in=maybe(row, "width"),
        at_most_in=maybe(row, "at_most"),
        at_gable_in=maybe(row, "at_gable"),
        free_to_in=maybe(row, "free_to") or 0.0,
        source=book.source(row, "at_most" if "at_most" in row.numbers else ""),
    )


def _levels(wall: Wall, supports_in: Iterable[float]) -> tuple[float, ...]:
    """Return the heights above a wall's foot at which a support ends its masonry, each once.

    The top of a storey is one unless it is the top of the whole wall. A support at a wall's foot carries
    that wall; the joint below it belongs to the storey below.
    """
    top = max(y for _, y in wall.top.points)
    found = [height - wall.base_in for height in supports_in]
    if wall.whole_height_in and exceeds(wall.whole_height_in, wall.base_in + top):
        found.append(top)
    levels: list[float] = []
    for level in sorted(found):
        inside = level > SAME_IN and not exceeds(level, top)
        if inside and not (levels and same(levels[-1], level)):
            levels.append(level)
    return tuple(levels)
