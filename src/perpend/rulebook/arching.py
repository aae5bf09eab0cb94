"""Does the masonry above a lintel arch, and what would that change? A comparison, never a design.

Glossary:
    effective span: from the middle of one bearing to the middle of the other.
    triangle: the masonry under two 45-degree lines from the ends of the effective span; with arching
        only its weight is on the lintel, without it all the masonry above.
    apex: the triangle's top, half the effective span above the lintel's underside.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from perpend.model import Box, Joint, Lintel, OpeningRule, Path, Source, Wall
from perpend.rulebook.rule_book import RuleBook, value
from perpend.units import SAME_IN, falls_short, format_both, system_of

_CUBIC_INCHES_PER_FOOT = 1728.0

_Show = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class ArchingCondition:
    """One thing that arching needs.

    Attributes:
        name: in a few words.
        met: None when perpend cannot tell and the designer has to verify it.
        says: one sentence.
        measured_in: what there is, inches, or None.
        needed_in: what is needed, inches, or None.
    """

    name: str
    met: bool | None
    says: str
    measured_in: float | None = None
    needed_in: float | None = None


@dataclass(frozen=True, slots=True)
class Arching:
    """The masonry load on one lintel with and without arching.

    Attributes:
        opening: tag of the opening.
        span_in: effective span.
        conditions: what arching needs, each tested.
        full_lb: weight of all the masonry above the lintel over its effective span.
        arched_lb: weight of the triangle; no more than `full_lb`.
        sources: the rows used.
    """

    opening: str
    span_in: float
    conditions: tuple[ArchingCondition, ...]
    full_lb: float
    arched_lb: float
    sources: tuple[Source, ...]

    @property
    def possible(self) -> bool:
        """True when no tested condition fails; those that cannot be tested remain the designer's."""
        return all(condition.met is not False for condition in self.conditions)


def arching(
    book: RuleBook,
    wall: Wall,
    rule: OpeningRule,
    joints: Sequence[Joint],
    *,
    thickness_in: float,
    weight_lb_ft3: float | None = None,
    running_bond: bool = True,
    metric: bool = False,
) -> Arching | None:
    """Test arching over one opening and weigh the masonry on its lintel either way.

    Args:
        book: the rule book.
        wall: the wall.
        rule: what is asked of the opening, with its lintel.
        joints: the wall's joints.
        thickness_in: specified thickness of the wall.
        weight_lb_ft3: weight of the masonry; None takes the rule book's.
        running_bond: False for stack bond.
        metric: True to print lengths in millimetres, with feet and inches beside unless the book is metric.

    Returns:
        The comparison; None when there is no lintel that bears.
    """
    lintel = rule.lintel
    if lintel is None or rule.bearing_in <= 0.0:
        return None
    row = book.need("arching")
    box = rule.opening.box
    x0, x1 = box.x0 - lintel.bearing_left_in / 2, box.x1 + lintel.bearing_right_in / 2
    span = x1 - x0
    apex = span / 2 * math.tan(math.radians(value(row, "angle")))
    weight = value(book.need("weight"), "masonry") if weight_lb_ft3 is None else weight_lb_ft3
    per_in2 = weight * thickness_in / _CUBIC_INCHES_PER_FOOT
    show = partial(format_both, system=system_of(metric=metric), feet=not book.metric)
    above = _area(wall.top.between(x0, x1), box.y1) - _holes(wall, x0, x1, box.y1)
    conditions = (
        _bond(running_bond),
        _height(wall, lintel, (x0, x1), apex, value(row, "apex_cover"), show),
        _clear_triangle(wall, rule, x0, x1, apex),
        _bearing(lintel, value(row, "bearing"), show),
        _no_joint(lintel, joints, value(book.need("module"), "module"), box.y1, apex),
        _sides(wall, rule, lintel, joints, show),
    )
    definition = book.row("lintel.effective-span") if book.has("lintel.effective-span") else row
    sources = (*book.sources(row), book.source(definition), book.source(book.need("weight"), "masonry"))
    return Arching(
        opening=rule.opening.tag,
        span_in=span,
        conditions=conditions,
        full_lb=above * per_in2,
        arched_lb=min(span * apex / 2, above) * per_in2,
        sources=tuple(dict.fromkeys(sources)),
    )


def _area(edge: Path, base: float) -> float:
    """Area between an edge and a level line below it, in²."""
    return sum((xb - xa) * ((ya - base) + (yb - base)) / 2 for (xa, ya), (xb, yb) in itertools.pairwise(edge))


def _holes(wall: Wall, x0: float, x1: float, head: float) -> float:
    """Area of the openings above a head within the span, in²."""
    boxes = [other.box for other in wall.openings if other.box.y0 > head - SAME_IN]
    return sum(b.height * max(0.0, min(b.x1, x1) - max(b.x0, x0)) for b in boxes)


def _bond(running: bool) -> ArchingCondition:
    says = "The units are laid in running bond." if running else "Stack bond does not arch."
    return ArchingCondition("running bond", running, says)


def _height(
    wall: Wall, lintel: Lintel, span: tuple[float, float], apex: float, cover: float, show: _Show
) -> ArchingCondition:
    there = min(y for _, y in wall.top.between(*span)) - lintel.box.y0
    needed = apex + cover
    met = not falls_short(there, needed)
    says = (
        f"{show(there)} of masonry above the head, {show(needed)} needed: the triangle "
        f"and {show(cover)} above its apex."
    )
    return ArchingCondition("height above the apex", met, says, there, needed)


def _clear_triangle(wall: Wall, rule: OpeningRule, x0: float, x1: float, apex: float) -> ArchingCondition:
    head = rule.opening.box.y1
    cut = [
        other.tag
        for other in wall.openings
        if other is not rule.opening and other.box.y1 > head and _in_triangle(other.box, x0, x1, head, apex)
    ]
    says = f"The triangle is cut by {', '.join(cut)}." if cut else "No opening cuts the triangle."
    return ArchingCondition("an uncut triangle", not cut, says)


def _in_triangle(box: Box, x0: float, x1: float, head: float, apex: float) -> bool:
    """Say whether a box reaches into the triangle: its foot nearest the middle lies under a slope."""
    middle = (x0 + x1) / 2
    nearest = min(max(middle, box.x0), box.x1)
    roof = head + apex * (1 - abs(nearest - middle) / ((x1 - x0) / 2))
    return max(box.y0, head) < roof - SAME_IN


def _bearing(lintel: Lintel, needed: float, show: _Show) -> ArchingCondition:
    there = min(lintel.bearing_left_in, lintel.bearing_right_in)
    says = f"The lintel bears {show(there)}, {show(needed)} needed."
    return ArchingCondition("bearing", not falls_short(there, needed), says, there, needed)


def _no_joint(
    lintel: Lintel, joints: Sequence[Joint], near: float, head: float, apex: float
) -> ArchingCondition:
    low, high = lintel.box.x0 - near, lintel.box.x1 + near
    found = [j for j in joints if any(low <= x <= high for x in _stations_between(j.path, head, head + apex))]
    numbers = " and ".join(str(joint.number) for joint in found)
    named = f"joint {numbers} is" if len(found) == 1 else f"joints {numbers} are"
    says = f"{named} next to the lintel, which carries everything."
    fine = "No joint is next to the lintel."
    return ArchingCondition("no joint next to the lintel", not found, says if found else fine)


def _stations_between(path: Path, low: float, high: float) -> list[float]:
    """List the stations of a joint's points and crossings between two heights."""
    found = []
    for (xa, ya), (xb, yb) in itertools.pairwise(path):
        if max(ya, yb) >= low and min(ya, yb) <= high:
            found += [xa, xb]
    return found


def _sides(
    wall: Wall, rule: OpeningRule, lintel: Lintel, joints: Sequence[Joint], show: _Show
) -> ArchingCondition:
    """Measure the masonry beside the lintel that would take the thrust; whether it is enough is not ours."""
    head = rule.opening.box.y1
    left, right = 0.0, wall.length_in
    stops = [x for joint in joints for x in _stations_between(joint.path, head, head)]
    for other in wall.openings:
        if other is not rule.opening and other.box.y0 < head < other.box.y1 + SAME_IN:
            stops += [other.box.x0, other.box.x1]
    for x in stops:
        if x <= rule.opening.box.x0:
            left = max(left, x)
        elif x >= rule.opening.box.x1:
            right = min(right, x)
    least = min(rule.opening.box.x0 - left, right - rule.opening.box.x1)
    met = None if least > max(lintel.bearing_left_in, lintel.bearing_right_in) + SAME_IN else False
    says = f"{show(least)} of masonry takes the thrust on the weaker side: verify."
    return ArchingCondition("masonry enough at each side", met, says, least)
