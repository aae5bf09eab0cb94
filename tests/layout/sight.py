"""What the referee sees: the pieces of a joint's path, distances between paths, heights and limits of a wall.

Stations are whole ticks of 1/8128 in.; heights are fractions of inches.

Glossary:
    upright: a vertical piece of a joint's path (x, y from, y to).
    level: a horizontal piece of a joint's path (x from, x to, y), in the direction of the path.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction

from perpend.model import EndCondition, HeightBasis, Joint, Path, Profile
from perpend.rulebook.wall_basis import WallBasis

GRAIN = 8128
TOLERANCE = 127
FAR = Fraction(10**9)


@dataclass(frozen=True)
class Upright:
    x: int
    low: Fraction
    high: Fraction


@dataclass(frozen=True)
class Level:
    start: int
    stop: int
    y: Fraction


def t(inches: float | Fraction) -> int:
    return round(Fraction(inches) * GRAIN)


def uprights_of(path: Path) -> list[Upright]:
    return [
        Upright(t(xa), Fraction(ya), Fraction(yb))
        for (xa, ya), (xb, yb) in itertools.pairwise(path)
        if t(xa) == t(xb) and yb > ya
    ]


def pieces(joint: Joint) -> tuple[list[Upright], list[Level], bool]:
    uprights, levels, fine = uprights_of(joint.path), [], len(joint.path) >= 2
    for (xa, ya), (xb, yb) in itertools.pairwise(joint.path):
        if t(xa) == t(xb) and yb > ya:
            continue
        if ya == yb and t(xa) != t(xb):
            levels.append(Level(t(xa), t(xb), Fraction(ya)))
        else:
            fine = False
    return uprights, levels, fine


def endless(uprights: list[Upright]) -> list[Upright]:
    """Carry the first and the last piece on beyond the wall."""
    lows = [-FAR, *(u.low for u in uprights[1:])]
    highs = [*(u.high for u in uprights[:-1]), FAR]
    return [Upright(u.x, low, high) for u, low, high in zip(uprights, lows, highs, strict=True)]


def across(joint: Joint) -> list[Upright]:
    return pieces(joint)[0]


def breaks(uprights: list[Upright]) -> list[Fraction]:
    return [u.low for u in uprights] + [uprights[-1].high]


def reach_at(uprights: list[Upright], y: Fraction) -> tuple[int, int]:
    """Least and greatest station of a path at a level; its first and last piece go on without end."""
    first, last = uprights[0], uprights[-1]
    if y < first.low:
        return first.x, first.x
    if y > last.high:
        return last.x, last.x
    xs = [u.x for u in uprights if u.low <= y <= u.high]
    return min(xs), max(xs)


def on_course(uprights: list[Upright], y: Fraction) -> int:
    for u in uprights[:-1]:
        if y < u.high:
            return u.x
    return uprights[-1].x


def panel_length(a: list[Upright], b: list[Upright]) -> int:
    """Greatest distance on any course (between the levels at which either path steps)."""
    steps = sorted({u.high for u in a[:-1]} | {u.high for u in b[:-1]})
    if not steps:
        return b[0].x - a[0].x
    courses = [steps[0] - 1, *((p + q) / 2 for p, q in itertools.pairwise(steps)), steps[-1] + 1]
    return max(on_course(b, y) - on_course(a, y) for y in courses)


def meeting(a: list[Upright], b: list[Upright]) -> float | None:
    """Return a level at which b is not clear to the right of a, or None."""
    levels = sorted({*breaks(a), *breaks(b)})
    between = [(p + q) / 2 for p, q in itertools.pairwise(levels)]
    for y in (levels[0] - 1, *levels, *between, levels[-1] + 1):
        if reach_at(b, y)[0] - reach_at(a, y)[1] <= TOLERANCE:
            return float(y)
    return None


def panel_limits(basis: WallBasis, x0: int, x1: int) -> tuple[Fraction, int | None, int | None]:
    height, rule = panel_height(basis, x0, x1), basis.spacing
    spacing = None if rule.cap_in is None else Fraction(rule.cap_in)
    if rule.ratio is not None:
        by_ratio = Fraction(rule.ratio) * height
        spacing = by_ratio if spacing is None or by_ratio < spacing else spacing
    corner = None if rule.corner_max_in is None else Fraction(rule.corner_max_in)
    if rule.corner_fraction is not None and spacing is not None:
        half = Fraction(rule.corner_fraction) * spacing
        corner = half if corner is None or half < corner else corner
    return height, None if spacing is None else t(spacing), None if corner is None else t(corner)


def panel_height(basis: WallBasis, x0: int, x1: int) -> Fraction:
    """Least height over an open interval: looked at just inside each break of the edges.

    An end of the interval within tolerance of a break stands at it: no sliver beyond a step counts.
    """
    wall = basis.wall
    breaks = sorted({t(x) for edge in (wall.top, wall.bottom) for x, _ in edge.points})
    x0 = next((b for b in breaks if abs(b - x0) <= TOLERANCE), x0)
    x1 = next((b for b in breaks if abs(b - x1) <= TOLERANCE), x1)
    stops = sorted({x0, x1, *(b for b in breaks if x0 < b < x1)})
    ys = []
    for a, b in itertools.pairwise(stops):
        ys.append((edge_at(wall.top, a)[1], edge_at(wall.bottom, a)[1]))
        ys.append((edge_at(wall.top, b)[0], edge_at(wall.bottom, b)[0]))
    whole = min(high - low for high, low in ys)
    if basis.height_basis is HeightBasis.WALL:
        return whole
    base, crown = max(low for _, low in ys), min(high for high, _ in ys)
    floors = sorted(
        Fraction(s.y_in)
        for s in wall.supports
        if t(s.x0_in) < x1 and t(s.x1_in) > x0 and base < s.y_in < crown
    )
    return min(b - a for a, b in itertools.pairwise([base, *floors])) if floors else whole


def edge_at(edge: Profile, x: int) -> tuple[Fraction, Fraction]:
    """Heights just left and just right of a station; at the ends of the wall both are the one there is."""
    heights: dict[str, Fraction] = {}
    for (xa, ya), (xb, yb) in itertools.pairwise([(t(px), Fraction(py)) for px, py in edge.points]):
        if xb == xa:
            continue
        y = ya + Fraction(x - xa, xb - xa) * (yb - ya)
        if xa < x <= xb:
            heights["left"] = y
        if xa <= x < xb:
            heights["right"] = y
    only = next(iter(heights.values()), Fraction(edge.points[-1][1]))
    return heights.get("left", only), heights.get("right", only)


def edge_near(edge: Profile, x: int) -> tuple[Fraction, ...]:
    """Heights of an edge at a station, and within tolerance of it where it steps there."""
    first, last = t(edge.points[0][0]), t(edge.points[-1][0])
    near = (max(first, x - TOLERANCE), x, min(last, x + TOLERANCE))
    return tuple(y for at in near for y in edge_at(edge, at))


def beyond_corners(basis: WallBasis, limit: int | None, corner: int | None, x0: int, x1: int) -> int | None:
    """Corner distance of a panel whose masonry is measured round its corners to the joint beyond."""
    spacing = basis.spacing
    around = spacing.corner_around
    if corner is None or limit is None or around is None:
        return corner
    allowed = []
    if basis.left_end is EndCondition.CORNER and x0 == 0:
        allowed.append(basis.returns_in[0])
    if basis.right_end is EndCondition.CORNER and x1 == t(basis.wall.length_in):
        allowed.append(basis.returns_in[1])
    distances = []
    for beyond in allowed:
        if beyond is None:
            distances.append(corner)
        elif spacing.corner_one_leg and t(beyond) <= corner:
            distances.append(max(0, t(around * limit / GRAIN - beyond)))
        else:
            distances.append(min(corner, max(0, t(around * limit / GRAIN - beyond))))
    return min(distances, default=corner)


def too_far_from_restraints(
    basis: WallBasis,
    joints: tuple[list[Upright], list[Upright]],
    height: Fraction,
    corners: tuple[bool, bool],
    ends: tuple[bool, bool],
) -> list[int]:
    """Return by how much the two joints of a panel are too far from what is bonded between them."""
    rule, found = basis.spacing, []
    spacings = [] if rule.ratio is None else [Fraction(rule.ratio) * height]
    spacings += [] if rule.cap_in is None else [Fraction(rule.cap_in)]
    half = t(min(spacings) * Fraction(rule.corner_fraction)) if spacings and rule.corner_fraction else None
    for held in basis.restraints:
        faces = (t(held.x0_in), t(held.x1_in))
        middle = t((Fraction(held.x0_in) + Fraction(held.x1_in)) / 2)
        beyond = (middle - joints[0][0].x, joints[1][0].x - middle)
        inside = [d > TOLERANCE or (end and not c) for d, end, c in zip(beyond, ends, corners, strict=True)]
        allowed = half if held.within_in is None else t(held.within_in)
        if allowed is None or not all(inside):
            continue
        gaps = (faces[0] - min(u.x for u in joints[0]), max(u.x for u in joints[1]) - faces[1])
        found += [
            gap - allowed
            for gap, corner in zip(gaps, corners, strict=True)
            if not corner and gap > allowed + TOLERANCE
        ]
    return found


def widths_at_steps(basis: WallBasis, a: list[Upright] | None, b: list[Upright] | None) -> list[int]:
    """Return how wide the masonry is between a joint (None: an end) and the next step in its panel.

    Looked at on the courses that a step of more than a change of height leaves to one of its sides alone.
    """
    found, over = [], Fraction(basis.judgment.height_change_in) + Fraction(1, 64)
    for edge, which in ((basis.wall.bottom, 0), (basis.wall.top, -1)):
        x0, x1 = (-1 if a is None else a[which].x), (t(10**6) if b is None else b[which].x)
        steps = []
        for x in sorted({t(x) for x, _ in edge.points[1:-1]}):
            left, right = edge_at(edge, x)
            if abs(left - right) > over and x0 + TOLERANCE < x < x1 - TOLERANCE:
                steps.append((x, (right > left) == (which == -1)))
        if steps and a is not None and not steps[0][1]:
            found.append(steps[0][0] - x0)
        if steps and b is not None and steps[-1][1]:
            found.append(x1 - steps[-1][0])
    return found
