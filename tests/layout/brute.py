"""Every layout of a small wall, tried one by one; written from docs/placement.md alone.

Everything is a whole number of ticks (1/8128 in.), so nothing is rounded twice.

Glossary:
    score: (violations, excess, narrow pieces, shortfall, joints, slip planes, longest, sum of squares, joints
        off steps, foot and head of every joint), ticks.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from layout.stations import SAME, TICKS, Candidate, Line, every_candidate, jambs, least_height, piers, ticks
from perpend.model import EndCondition, Profile
from perpend.rulebook.judgment import Judgment
from perpend.rulebook.wall_basis import WallBasis

Score = tuple[int, int, int, int, int, int, int, int, int, tuple[tuple[int, int], ...]]


@dataclass
class Field:
    """The candidates of a wall, sorted by foot, and the forced joints that can't be built."""

    basis: WallBasis
    candidates: list[Candidate]
    unbuilt: int
    edges: dict[tuple[int, int], Edge | None] = field(default_factory=dict)

    def line(self, node: int) -> Line:
        """Node -1 is the left end, node n the right end."""
        if node < 0:
            return Line((0,))
        if node == len(self.candidates):
            return Line((ticks(self.basis.wall.length_in),))
        return self.candidates[node].line

    def edge(self, a: int, b: int) -> Edge | None:
        """The panel between two nodes, or None where the joints meet."""
        if (a, b) not in self.edges:
            self.edges[a, b] = panel_between(self, a, b)
        return self.edges[a, b]

    @cached_property
    def steps(self) -> list[int]:
        """Stations of the outline's steps."""
        return steps(self.basis)

    def off_steps(self, foot: int) -> bool:
        """Say whether the outline has no step at a foot."""
        return not any(abs(step - foot) <= SAME for step in self.steps)


@dataclass(frozen=True)
class Edge:
    """A panel: joints missing in it, inches over the limit, length."""

    violations: int
    excess: int
    length: int
    shortfall: int = 0


def field_of(basis: WallBasis) -> Field:
    """List every joint that can stand in a wall."""
    candidates, unbuilt = every_candidate(basis)
    return Field(basis, candidates, unbuilt)


# --- panels -----------------------------------------------------------------------------------------


def limits_at(basis: WallBasis, height: Fraction) -> tuple[int | None, int | None]:
    """Greatest length of a panel and greatest distance from a corner, ticks."""
    rule = basis.spacing
    terms = [] if rule.ratio is None else [Fraction(rule.ratio) * height]
    terms += [] if rule.cap_in is None else [Fraction(rule.cap_in)]
    spacing = min(terms) if terms else None
    corner = []
    if spacing is not None and rule.corner_fraction is not None:
        corner.append(spacing * Fraction(rule.corner_fraction))
    if rule.corner_max_in is not None:
        corner.append(Fraction(rule.corner_max_in))
    return (
        None if spacing is None else ticks(spacing),
        ticks(min(corner)) if corner else None,
    )


def round_corners(
    basis: WallBasis, spacing: int | None, corner: int | None, *, left: bool, right: bool
) -> int | None:
    """Greatest distance from a panel's corners where it is known how far round them the next joint stands."""
    rule, found = basis.spacing, []
    ends = ((left, basis.left_end, basis.returns_in[0]), (right, basis.right_end, basis.returns_in[1]))
    for touches, condition, beyond in ends:
        if not touches or condition is not EndCondition.CORNER or corner is None:
            continue
        if beyond is None or rule.corner_around is None or spacing is None:
            found.append(corner)
            continue
        rest = max(0, ticks(Fraction(rule.corner_around) * Fraction(spacing, TICKS) - Fraction(beyond)))
        enough = rule.corner_one_leg and ticks(beyond) <= corner
        found.append(rest if enough else min(rest, corner))
    return min(found, default=corner)


def joint_beyond_is_enough(basis: WallBasis, *, left: bool) -> bool:
    """Say whether the joint near a corner, in the wall beyond it, is enough for both."""
    beyond, near = basis.returns_in[0 if left else 1], basis.spacing.corner_max_in
    if basis.spacing.corner_legs != "one" or beyond is None or near is None:
        return False
    return ticks(Fraction(beyond)) <= ticks(Fraction(near)) + SAME


def spread(a: Line, b: Line) -> tuple[int, int]:
    """Least and greatest level distance from a to b, level pieces counted in the least one."""
    levels = sorted({*a.ys, *b.ys})
    courses = [b.foot - a.foot, *(b.above(y) - a.above(y) for y in levels)]
    crossings = [min(b.below(y), b.above(y)) - max(a.below(y), a.above(y)) for y in levels]
    return min(*courses, *crossings) if levels else courses[0], max(courses)


def panel_between(field: Field, a: int, b: int) -> Edge | None:
    basis, last = field.basis, len(field.candidates)
    left, right = field.line(a), field.line(b)
    least, length = spread(left, right)
    forced = [n in (-1, last) or field.candidates[n].forced for n in (a, b)]
    meet = least <= SAME or at_one_pier(field, a, b)
    if meet and not all(forced):
        return None
    limit, corner = limits_at(basis, least_height(basis, left.foot, right.foot))
    violations, excess = int(meet), 0
    if limit is not None and length > limit + SAME:
        violations += max(1, -(-length // limit) - 1)
        excess += length - limit
    no_joint = a < 0 and b == last
    corner = round_corners(basis, limit, corner, left=a < 0, right=b == last)
    ends = ((a < 0, basis.left_end, True), (b == last, basis.right_end, False))
    for is_end, condition, is_end_left in ends:
        if not is_end or condition is not EndCondition.CORNER or corner is None:
            continue
        if length > corner + SAME:
            violations += 1
            excess += length - corner
        elif no_joint and EndCondition.JOINT not in (basis.left_end, basis.right_end):
            violations += not joint_beyond_is_enough(basis, left=is_end_left)
    far = list(too_far_from_bonded_walls(field, a, b))
    violations, excess = violations + len(far), excess + sum(far)
    short = max(shortfall(basis, a < 0, b == last, least), strip_shortfall(field, a, b))
    return Edge(violations, excess, length, short)


def strip_shortfall(field: Field, a: int, b: int) -> int:
    """By how much the masonry between a step and the joint on its deeper side is too narrow."""
    judged, found = field.basis.judgment, [0]
    left, right = field.line(a), field.line(b)
    bottom, top = steps_over(field.basis.wall.bottom, judged), steps_over(field.basis.wall.top, judged)
    for known, from_x, to_x, sign in ((bottom, left.foot, right.foot, -1), (top, left.head, right.head, 1)):
        inside = [(x, sign * rise) for x, rise in known if from_x + SAME < x < to_x - SAME]
        if inside and inside[0][1] < 0 and a >= 0:
            found.append(ticks(judged.least_panel_in) - (inside[0][0] - from_x))
        if inside and inside[-1][1] > 0 and b < len(field.candidates):
            found.append(ticks(judged.least_panel_in) - (to_x - inside[-1][0]))
    return max(found) if max(found) > SAME else 0


def steps_over(edge: Profile, judged: Judgment) -> list[tuple[int, Fraction]]:
    """Steps of an edge by more than a change of height that needs no joint, and how far each goes up."""
    pairs = [
        (ticks(x), Fraction(b) - Fraction(a)) for (x, a), (u, b) in itertools.pairwise(edge.points) if x == u
    ]
    least = Fraction(judged.height_change_in) + Fraction(1, 64)
    return [(x, rise) for x, rise in pairs if abs(rise) > least]


def too_far_from_bonded_walls(field: Field, a: int, b: int) -> Iterator[int]:
    """By how much joints are farther than half the spacing from bonded walls between them."""
    basis, left, right = field.basis, field.line(a), field.line(b)
    height, rule = least_height(basis, left.foot, right.foot), basis.spacing
    terms = [Fraction(rule.ratio) * height] if rule.ratio is not None else []
    terms += [Fraction(rule.cap_in)] if rule.cap_in is not None else []
    if not terms or rule.corner_fraction is None:
        return
    at_corner = (
        a < 0 and basis.left_end is EndCondition.CORNER,
        b == len(field.candidates) and basis.right_end is EndCondition.CORNER,
    )
    near = ticks(Fraction(rule.corner_fraction) * min(terms))
    for wall in basis.restraints:
        middle = ticks((Fraction(wall.x0_in) + Fraction(wall.x1_in)) / 2)
        after = middle > left.foot + SAME or (a < 0 and not at_corner[0])
        before = middle < right.foot - SAME or (b == len(field.candidates) and not at_corner[1])
        if not (after and before):
            continue
        for distance, corner in zip(
            (ticks(wall.x0_in) - min(left.xs), max(right.xs) - ticks(wall.x1_in)), at_corner, strict=True
        ):
            if not corner and distance > near + SAME:
                yield distance - near


def at_one_pier(field: Field, a: int, b: int) -> bool:
    """Say whether two joints stand at both jambs of a narrow pier."""
    if a < 0 or b == len(field.candidates):
        return False
    one, two = field.candidates[a].serves, field.candidates[b].serves
    return any((i, "right") in one and (k, "left") in two for i, k, _, _ in piers(field.basis))


def shortfall(basis: WallBasis, at_left: bool, at_right: bool, least: int) -> int:
    """By how much a piece is narrower than the least panel; towards a corner or what goes on: not at all."""
    counted = (EndCondition.FREE, EndCondition.JOINT)
    if (
        (at_left and at_right)
        or (at_left and basis.left_end not in counted)
        or (at_right and basis.right_end not in counted)
    ):
        return 0
    wanted = ticks(basis.judgment.least_panel_in)
    return wanted - least if least < wanted - SAME else 0


def shared(field: Field) -> dict[tuple[int, str], tuple[int, str]]:
    """The jamb at the other side of a narrow pier, unless a joint must stand between the two."""
    found = {}
    for i, k, _, _ in piers(field.basis):
        keys = {(i, "right"), (k, "left")}
        able = [n for n, c in enumerate(field.candidates) if c.serves & keys]
        between = range(able[0] + 1, able[-1]) if able else ()
        if not any(field.candidates[n].forced and n not in able for n in between):
            found[i, "right"] = (k, "left")
            found[k, "left"] = (i, "right")
    return found


def places_missing(field: Field, chosen: list[Candidate]) -> int:
    """Places that can do with one of several stations and have none."""
    missing, feet = 0, {c.line.foot for c in chosen if len(c.line.xs) == 1}
    for rule in field.basis.asked_places:
        if len(rule.stations_in) < 2:
            continue
        stations = [ticks(x) for x in rule.stations_in]
        first, last = min(stations), max(stations)
        excused = any(
            c.forced and (first, first) < (c.line.foot, c.line.head) < (last, last) for c in field.candidates
        )
        served = any(abs(foot - x) <= SAME for foot in feet for x in stations)
        missing += not served and not excused
    return missing


# --- the whole --------------------------------------------------------------------------------------


def missing(field: Field, chosen: list[Candidate]) -> int:
    """Joints that openings lack."""
    basis, other = field.basis, shared(field)
    own = {pair for c in chosen for pair in c.serves}
    served = own | {
        pair
        for pair, across in other.items()
        if across in own and basis.openings[pair[0]].jambs_required == 2
    }
    feet = [c.line.foot for c in chosen]
    lacking = 0
    for i, rule in enumerate(basis.openings):
        lacking += max(0, rule.jambs_required - sum((i, side) in served for side in ("left", "right")))
        if rule.near_within_in is not None:
            reach = ticks(rule.near_within_in) + SAME
            lacking += not any(abs(x - j) <= reach for x in feet for j in jambs(rule))
    return lacking


def score(field: Field, nodes: tuple[int, ...]) -> Score:
    """Score one layout, given the nodes of its joints from left to right."""
    chosen = [field.candidates[n] for n in nodes]
    edges = [field.edge(a, b) for a, b in itertools.pairwise((-1, *nodes, len(field.candidates)))]
    panels = [e for e in edges if e is not None]
    assert len(panels) == len(edges), "joints meet"
    return (
        field.unbuilt
        + sum(c.charge for c in chosen)
        + sum(e.violations for e in panels)
        + missing(field, chosen)
        + places_missing(field, chosen),
        sum(e.excess for e in panels),
        sum(e.shortfall > 0 for e in panels),
        sum(e.shortfall for e in panels),
        len(chosen),
        sum(c.slips for c in chosen),
        max(e.length for e in panels),
        sum(e.length**2 for e in panels),
        sum(field.off_steps(c.line.foot) for c in chosen),
        tuple((c.line.foot, c.line.head) for c in chosen),
    )


def steps(basis: WallBasis) -> list[int]:
    """Stations where the outline has a step: two corners of an edge above each other."""
    return [
        ticks(x)
        for edge in (basis.wall.top, basis.wall.bottom)
        for (x, y), (also, other) in itertools.pairwise(edge.points)
        if x == also and abs(y - other) > Fraction(1, 64)
    ]


def layouts(field: Field, last: int = -1) -> list[tuple[int, ...]]:
    """Every layout in which all forced joints stand and none meet."""
    found = []
    end = len(field.candidates)
    for node in range(last + 1, end + 1):
        if field.edge(last, node) is not None:
            if node == end:
                found.append(())
            else:
                found += [(node, *rest) for rest in layouts(field, node)]
        if node < end and field.candidates[node].forced:
            break
    return found


def best(basis: WallBasis) -> Score:
    """Return the score of the best layout of a small wall."""
    field = field_of(basis)
    return min(score(field, nodes) for nodes in layouts(field))
