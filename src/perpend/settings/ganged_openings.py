"""Openings with narrow mullion piers between them act as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from perpend.errors import InputError
from perpend.model import Box, Opening, Wall
from perpend.rulebook import RuleBook
from perpend.rulebook.rule_book import value
from perpend.units import SAME_IN, exceeds
from perpend.wording import listed


def with_ganged_openings(
    book: RuleBook, wall: Wall, up_to_in: float | None = None, one_lintel: Sequence[Sequence[str]] = ()
) -> Wall:
    """Return the wall with each gang of openings as one opening, from outer jamb to outer jamb.

    Two openings are ganged when the pier between them is as narrow as the book says, and each stands beside
    the other over at least half the height of the lower one. Arched openings keep to themselves.

    Args:
        book: the rule book.
        wall: the wall as read.
        up_to_in: a width of piers that the settings give: it counts before that of the book; 0 gangs none.
        one_lintel: tags of openings over which the project has one lintel, however wide the piers are.

    Raises:
        InputError: openings that are to have one lintel are not next to each other.
    """
    row = book.first("ganged-openings")
    widest = (value(row, "up_to") if up_to_in is None else up_to_in) if row is not None else 0.0
    shared = _under_one_lintel(wall, one_lintel)
    gangs: list[list[Opening]] = []
    for opening in wall.openings:
        near = reversed(gangs[-_LOOKED_BACK:])
        tags = shared.get(opening.tag, ())
        gang = next((g for g in near if g[-1].tag in tags or _joins(g[-1], opening, widest)), None)
        if gang is None:
            gangs.append([opening])
        else:
            gang.append(opening)
    for gang in gangs:
        _refuse_unlike(wall, gang, shared)
    return replace(wall, openings=tuple(_as_one(gang) for gang in gangs))


def one_lintel_notes(wall: Wall, one_lintel: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Return what the sheet says of lintels that the settings lay over several openings of a wall."""
    gangs = [set(opening.parts) for opening in wall.openings]
    shared = (tags for tags in one_lintel if any(set(tags) <= gang for gang in gangs))
    return tuple(f"One lintel over {listed(tags)} and pier between; see struct. dwgs." for tags in shared)


def _under_one_lintel(wall: Wall, one_lintel: Sequence[Sequence[str]]) -> dict[str, Sequence[str]]:
    """Return by tag of an opening the tags that it is under one lintel with; of other walls none."""
    here = {opening.tag for opening in wall.openings}
    for tags in one_lintel:
        if here & set(tags) and not here >= set(tags):
            missing = listed(tag for tag in tags if tag not in here)
            raise InputError(
                f"one_lintel_over names {listed(tags)}, and {wall.tag} has no {missing}: correct it."
            )
    return {tag: tags for tags in one_lintel if here & set(tags) for tag in tags}


def _refuse_unlike(wall: Wall, gang: Sequence[Opening], shared: dict[str, Sequence[str]]) -> None:
    """Refuse one lintel over openings that none can span as they are drawn."""
    piers = [
        Box(a.box.x1, max(a.box.y0, b.box.y0), b.box.x0, min(a.box.y1, b.box.y1)) for a, b in pairwise(gang)
    ]
    for one in gang:
        tags = shared.get(one.tag, (one.tag,))
        level = not exceeds(abs(one.box.y1 - gang[0].box.y1), 0.0)
        beside = all(pier.width >= 0 and pier.height > 0 for pier in piers)
        between = any(o.box.overlaps(pier, SAME_IN) for pier in piers for o in wall.openings)
        alike = not one.arched and one.treatment is gang[0].treatment
        whole = {opening.tag for opening in gang} >= set(tags)
        if len(tags) > 1 and not (whole and level and beside and alike and not between):
            raise InputError(
                f"{listed(tags)} in {wall.tag} can't have one lintel (one_lintel_over): name openings side "
                "by side with level heads, with no other between them, none arched, all treated the same."
            )


_MOST_NAMED = 3
_LOOKED_BACK = 12
"""Openings are sorted by their left jamb: a neighbour is among the last few, one for each row of windows."""


def _joins(left: Opening, right: Opening, up_to_in: float) -> bool:
    a, b = left.box, right.box
    pier = b.x0 - a.x1
    beside = min(a.y1, b.y1) - max(a.y0, b.y0)
    return (
        not (left.arched or right.arched)
        and left.treatment is right.treatment
        and pier >= 0 < up_to_in
        and not exceeds(pier, up_to_in)
        and beside >= min(a.height, b.height) / 2
        and abs(a.y1 - b.y1) <= up_to_in
    )


def _as_one(gang: Sequence[Opening]) -> Opening:
    first = gang[0]
    if len(gang) == 1:
        return first
    box = Box.around([p for o in gang for p in o.box.corners])
    named = [o.tag for o in gang]
    tag = "+".join(named) if len(named) <= _MOST_NAMED else f"{named[0]}+...+{named[-1]}"
    return replace(first, tag=tag, box=box, outline=box.corners, parts=tuple(named))
