"""What is on a sheet of a plate that an earlier ``annotate`` drew, as far as a check needs it.

The check leaves the plate as it is. Its own findings are numbered on from those of the plate, and where the
joints are no longer those that the plate was drawn for, it says so.

Glossary:
    marks: the small triangles at the joints: their tips, and a corner away from the tip. One that lies above
        its tip marks the head of its joint, one below it the foot.
    feet: from where to where the panel dimensions reach.
"""

from __future__ import annotations

import itertools
import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from perpend.dxf.paperspace import on_any_layout
from perpend.dxf.xdata import said_by
from perpend.model import Point, WallPlan
from perpend.units import ON_MODULE_IN, same

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_NUMBER = re.compile(r"([VA])(\d+)")
_FINDINGS = frozenset({"violation", "advice"})


@dataclass(frozen=True, slots=True)
class StandingPlate:
    """What a plate says that a check has to know; drawing axes and units.

    Attributes:
        numbers: the greatest of its V numbers (what a rule requires) and of its A numbers (advice).
        marks: by the tag of a wall.
        feet: likewise.
    """

    numbers: tuple[int, int]
    marks: dict[str, list[tuple[Point, Point]]]
    feet: dict[str, list[Point]]


def standing_plate(doc: Drawing) -> StandingPlate:
    """Read what is left of an earlier plate; nothing of it is changed."""
    most = {"V": 0, "A": 0}
    marks: dict[str, list[tuple[Point, Point]]] = defaultdict(list)
    feet: dict[str, list[Point]] = defaultdict(list)
    for entity in on_any_layout(doc):
        said = dict(said_by(entity))
        kind, number = said.get("kind", ""), said.get("number", "")
        if kind in _FINDINGS and (found := _NUMBER.fullmatch(number)):
            most[found[1]] = max(most[found[1]], int(found[2]))
        elif kind == "mark" and entity.dxftype() == "LWPOLYLINE":
            tip, away = itertools.islice(entity.vertices(), 2)  # type: ignore[attr-defined]
            marks[number.rpartition("-")[0]].append((tip, away))
        elif kind == "dimension" and entity.dxftype() == "DIMENSION":
            ends = (entity.dxf.defpoint2, entity.dxf.defpoint3)
            feet[number.rpartition(" panel ")[0]] += [(end.x, end.y) for end in ends]
    return StandingPlate((most["V"], most["A"]), dict(marks), dict(feet))


def outdated(plate: StandingPlate, plans: Iterable[WallPlan]) -> list[str]:
    """Return the tags of the walls whose joints are no longer those that their plate was drawn for."""
    return [plan.wall.tag for plan in plans if not _fits(plate, plan)]


def _fits(plate: StandingPlate, plan: WallPlan) -> bool:
    """Say whether a wall's joints are where its plate has them, as far as it shows them.

    Its ends count for nothing: a joint between two walls may be read as either's.
    """
    wall = plan.wall

    def inner(stations: Iterable[float]) -> list[float]:
        return sorted(x for x in stations if ON_MODULE_IN < x < wall.length_in - ON_MODULE_IN)

    def stations_of(points: dict[str, list[Point]]) -> list[float]:
        return inner(wall.frame.to_wall(point)[0] for point in points[wall.tag])

    marks = [[*map(wall.frame.to_wall, mark)] for mark in plate.marks.get(wall.tag, ())]
    drawn = {up: inner(tip[0] for tip, away in marks if (away[1] > tip[1]) == up) for up in (True, False)}
    there = {True: inner(j.head_x_in for j in plan.joints), False: inner(j.x_in for j in plan.joints)}
    if any(stations and not _alike(stations, there[up]) for up, stations in drawn.items()):
        return False
    if marks and there[False] and not any(drawn.values()):
        return False
    return wall.tag not in plate.feet or _alike(stations_of(plate.feet), there[False])


def _alike(some: Sequence[float], others: Sequence[float]) -> bool:
    """Say whether two lots of stations are the same but for drafting slack, however often each is named."""
    return all(
        any(same(a, b, ON_MODULE_IN) for b in there)
        for here, there in ((some, others), (others, some))
        for a in here
    )
