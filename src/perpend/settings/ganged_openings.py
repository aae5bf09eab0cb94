"""Openings with narrow mullion piers between them act as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from perpend.model import Box, Opening, Wall
from perpend.rulebook import RuleBook
from perpend.rulebook.rule_book import value
from perpend.units import exceeds


def with_ganged_openings(book: RuleBook, wall: Wall, up_to_in: float | None = None) -> Wall:
    """Return the wall with each gang of openings as one opening, from outer jamb to outer jamb.

    Two openings are ganged when the pier between them is as narrow as the book says, and each stands beside
    the other over at least half the height of the lower one. Arched openings keep to themselves. A width that
    the settings give counts before that of the book; 0 gangs none.
    """
    row = book.first("ganged-openings")
    if row is None or len(wall.openings) < 2:
        return wall
    widest = value(row, "up_to") if up_to_in is None else up_to_in
    gangs: list[list[Opening]] = []
    for opening in wall.openings:
        near = reversed(gangs[-_LOOKED_BACK:])
        gang = next((g for g in near if _joins(g[-1], opening, widest)), None)
        if gang is None:
            gangs.append([opening])
        else:
            gang.append(opening)
    if len(gangs) == len(wall.openings):
        return wall
    return replace(wall, openings=tuple(_as_one(gang) for gang in gangs))


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
