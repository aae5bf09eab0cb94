"""The stations where a wall asks for a joint, and how high it has to stand there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from perpend.checks.measure.asked_places import asked_places
from perpend.checks.measure.tracks import SIDES, jamb
from perpend.model import EndCondition, OpeningRule, Place, PlaceKind, Side, Treatment
from perpend.rulebook.wall_basis import WallBasis


@dataclass(frozen=True, slots=True)
class AskedStation:
    """A station where the wall asks for a joint.

    Attributes:
        x_in: the station.
        y0_in: height from which the joint has to stand there.
        y1_in: height up to which.
        rule: the unreinforced opening whose jamb it is, or None.
        side: which jamb.
        place: the place, or the end at an adjoining wall, or None at a jamb.
    """

    x_in: float
    y0_in: float
    y1_in: float
    rule: OpeningRule | None = None
    side: Side | None = None
    place: Place | None = None


def asked_stations(basis: WallBasis) -> Iterator[AskedStation]:
    """Yield the ends at adjoining walls, the places, and the jambs of unreinforced openings."""
    wall = basis.wall
    ends = ((0.0, basis.left_end), (wall.length_in, basis.right_end))
    adjoining = [Place(x, PlaceKind.ADJOINING_WALL) for x, end in ends if end is EndCondition.JOINT]
    for place in (*adjoining, *asked_places(basis)):
        yield AskedStation(place.x_in, *wall.joint_levels(place.x_in), place=place)
    for rule in basis.openings:
        if rule.treatment is Treatment.UNREINFORCED and rule.jambs_required > 0:
            box = rule.opening.box
            for side in SIDES:
                yield AskedStation(jamb(rule, side), box.y0, box.y1, rule=rule, side=side)
