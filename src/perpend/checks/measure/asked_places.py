"""The places where a wall asks for a joint: changes of height, and what the drawing marks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from perpend.checks.measure.track_geometry import over
from perpend.model import Place, PlaceKind
from perpend.rulebook.judgment import PlaceRule
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN


def marked_places(basis: WallBasis) -> tuple[PlaceRule, ...]:
    """Return what the marked places within the wall ask for: each of its stations is within it."""
    length = basis.wall.length_in
    found = (
        replace(rule, stations_in=inside)
        for rule in basis.asked_places
        if rule.place.kind not in (PlaceKind.ADJOINING_WALL, PlaceKind.EXISTING)
        and (inside := tuple(x for x in rule.stations_in if ON_MODULE_IN < x < length - ON_MODULE_IN))
    )
    return tuple(found)


def asked_places(basis: WallBasis) -> tuple[Place, ...]:
    """Return the places within the wall that ask for a joint, left to right; each station that will do."""
    wall = basis.wall
    marked = [replace(rule.place, x_in=x) for rule in marked_places(basis) for x in rule.stations_in]
    inside = [
        p for p in (*height_changes(basis), *marked) if ON_MODULE_IN < p.x_in < wall.length_in - ON_MODULE_IN
    ]
    return tuple(sorted(inside, key=lambda p: p.x_in))


def height_changes(basis: WallBasis) -> Iterator[Place]:
    """Yield the stations where the wall's height changes by more than the rule book lets pass."""
    wall = basis.wall
    for x in sorted({x for edge in (wall.top, wall.bottom) for x, _, _ in edge.steps()}):
        (top_left, top_right), (low_left, low_right) = wall.top.at(x), wall.bottom.at(x)
        heights = (top_left - low_left, top_right - low_right)
        rise = min(abs(heights[0] - heights[1]), abs(top_left - top_right))
        if basis.judgment.height_change_in and not over(rise, basis.judgment.height_change_in):
            continue
        if min(heights) > 0 and (max(heights) - min(heights)) / min(heights) > basis.height_change_over:
            yield Place(x, PlaceKind.HEIGHT_CHANGE, wall.handle)
