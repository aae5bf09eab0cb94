"""Where joints can stand, written from docs/placement.md alone; shared by brute force and the solver.

Everything is a whole number of ticks (1/8128 in.), so nothing is rounded twice.

Glossary:
    line: stations and the levels at which they change; below the first and above the last level it
        goes on without end, so that lines are compared on every course.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from perpend.model import EndCondition, HeightBasis, OpeningRule, Path, PlaceKind, Profile, Treatment
from perpend.rulebook.wall_basis import WallBasis

TICKS = 8128
SAME = TICKS // 64


@lru_cache(maxsize=1 << 16)
def ticks(inches: float | Fraction) -> int:
    return round(Fraction(inches) * TICKS)


@dataclass(frozen=True)
class Line:
    """``xs[0]`` below ``ys[0]``, ``xs[1]`` from there to ``ys[1]``, ..."""

    xs: tuple[int, ...]
    ys: tuple[int, ...] = ()

    @property
    def foot(self) -> int:
        return self.xs[0]

    @property
    def head(self) -> int:
        return self.xs[-1]

    def below(self, y: int) -> int:
        return self.xs[sum(level < y for level in self.ys)]

    def above(self, y: int) -> int:
        return self.xs[sum(level <= y for level in self.ys)]


@dataclass(frozen=True)
class Candidate:
    """A joint that can stand: its line, the jambs it serves, its slip planes, whether it must stand."""

    line: Line
    serves: frozenset[tuple[int, str]] = frozenset()
    slips: int = 0
    forced: bool = False
    charge: int = 0
    place: int | None = None


def every_candidate(basis: WallBasis) -> tuple[list[Candidate], int]:
    """List every joint that can stand in a wall, by foot, then head; count the forced ones left out."""
    forced, unbuilt = forced_candidates(basis)
    stations = [c.line.foot for c in forced if len(c.line.xs) == 1]
    jambs = [c for c in jamb_candidates(basis) if not in_the_way(basis, c)]
    faces = [
        Candidate(Line((x,)))
        for x in face_stations(basis)
        if straight_fits(basis, x) and all(abs(x - f) > SAME for f in stations)
    ]
    stations += [c.line.foot for c in (*jambs, *faces) if len(c.line.xs) == 1]
    straight = [
        Candidate(Line((x,)))
        for x in module_stations(basis)
        if straight_fits(basis, x) and all(abs(x - f) > SAME for f in stations)
    ]
    straight = [c for c in straight if not in_the_way(basis, c)]
    everyone = [*forced, *straight, *faces, *jambs]
    return sorted(everyone, key=lambda c: (c.line.foot, c.line.head, not c.forced, c.line.xs)), unbuilt


def module_stations(basis: WallBasis) -> list[int]:
    """Stations inside the wall, rounded to ticks one by one."""
    end = ticks(basis.wall.length_in)
    module, origin = Fraction(basis.module_in), Fraction(basis.bond_origin_in)
    first = -(origin // module)
    lines = range(int(first), int(first + Fraction(basis.wall.length_in) // module) + 2)
    found = {ticks(origin + k * module) for k in lines} | {ticks(x) for x in basis.corner_stations_in}
    return sorted(x for x in found if SAME < x < end - SAME)


def jambs(rule: OpeningRule) -> tuple[int, int]:
    return ticks(rule.opening.box.x0), ticks(rule.opening.box.x1)


def near(x: int, rule: OpeningRule) -> bool:
    """Nearer than the opening allows, or between its jambs."""
    left, right = jambs(rule)
    clear = ticks(rule.clear_in) - SAME
    return left - clear < x < right + clear


def corner_fits(basis: WallBasis, xs: tuple[int, ...]) -> bool:
    least, length = ticks(basis.spacing.corner_min_in), ticks(basis.wall.length_in)
    left = basis.left_end is not EndCondition.CORNER or min(xs) >= least - SAME
    right = basis.right_end is not EndCondition.CORNER or length - max(xs) >= least - SAME
    return left and right


def straight_fits(basis: WallBasis, x: int) -> bool:
    near_one = any(near(x, rule) for rule in basis.openings)
    return corner_fits(basis, (x,)) and not near_one and not kept_out(basis, (x,))


def kept_out(basis: WallBasis, xs: tuple[int, ...], coded: bool = False) -> bool:
    """Say whether stations enter a keep-out of the wall itself."""
    return any(
        min(xs) < ticks(k.x1_in) - SAME and max(xs) > ticks(k.x0_in) + SAME
        for k in basis.keep_outs
        if k.code or not coded
    )


def face_stations(basis: WallBasis) -> list[int]:
    """Stations of places that can do with one of several."""
    end = ticks(basis.wall.length_in)
    several = [r.stations_in for r in basis.asked_places if len(r.stations_in) > 1]
    return sorted({x for xs in several for x in map(ticks, xs) if SAME < x < end - SAME})


def piers(basis: WallBasis) -> list[tuple[int, int, int, int]]:
    """Narrow piers: opening on the left, opening on the right, left face, right face."""
    found = []
    for i, a in enumerate(basis.openings):
        for k, b in enumerate(basis.openings):
            low = max(a.opening.box.y0, b.opening.box.y0)
            high = min(a.opening.box.y1, b.opening.box.y1)
            x0, x1 = ticks(a.opening.box.x1), ticks(b.opening.box.x0)
            wide = ticks(basis.judgment.narrow_pier_in)
            both = a.jambs_required and b.jambs_required
            between = any(
                x0 - SAME <= jambs(c)[0]
                and jambs(c)[1] <= x1 + SAME
                and c.opening.box.y0 < high - Fraction(1, 64)
                and c.opening.box.y1 > low + Fraction(1, 64)
                for c in basis.openings
            )
            if both and high - low > Fraction(1, 64) and SAME <= x1 - x0 < wide - SAME and not between:
                found.append((i, k, x0, x1))
    return found


def in_the_way(basis: WallBasis, candidate: Candidate) -> bool:
    """Say whether a line stands in a narrow pier and serves none of its jambs."""
    return any(
        not candidate.serves & {(i, "right"), (k, "left")}
        and min(candidate.line.xs) < x1 + SAME
        and max(candidate.line.xs) > x0 - SAME
        for i, k, x0, x1 in piers(basis)
    )


def jamb_candidates(basis: WallBasis) -> list[Candidate]:
    """Every way up from every jamb, but from one in line with a jamb below."""
    ways = [
        way
        for i, side in itertools.product(range(len(basis.openings)), ("left", "right"))
        if takes_joints(basis.openings[i])
        and not any(above(basis, k, side) == [(i, side)] for k in range(len(basis.openings)))
        for way in ways_up(basis, [(i, side)])
    ]
    return [c for c in (jamb_candidate(basis, way) for way in ways) if jamb_fits(basis, c)]


def takes_joints(rule: OpeningRule) -> bool:
    return rule.treatment is Treatment.UNREINFORCED and bool(rule.jambs_required or rule.jambs_optional)


def ways_up(basis: WallBasis, way: list[tuple[int, str]]) -> list[list[tuple[int, str]]]:
    further = above(basis, *way[-1])
    return [w for jamb_ in further for w in ways_up(basis, [*way, jamb_])] if further else [way]


def above(basis: WallBasis, i: int, side: str) -> list[tuple[int, str]]:
    """Jambs at which a joint goes on above an opening: of the lowest one in line with it or over its end."""
    rule = basis.openings[i]
    if not takes_joints(rule):
        return []
    end = jamb(rule, side) + out(rule, side)
    higher = []
    for k, other in enumerate(basis.openings):
        if (
            k == i
            or not takes_joints(other)
            or ticks(other.opening.box.y0) < ticks(rule.opening.box.y1) - SAME
        ):
            continue
        in_line = abs(jamb(other, side) - jamb(rule, side)) <= SAME
        over = jambs(other)[0] - SAME <= end <= jambs(other)[1] + SAME
        strip = any(basis.judgment.is_strip(basis.wall, r.opening) for r in (rule, other))
        if in_line or (over and not strip):
            sides_ = [side] if in_line else ["left", "right"]
            higher.append((ticks(other.opening.box.y0), k, sides_))
    return [(k, s) for _, k, found in sorted(higher)[:1] for s in found]


def jamb(rule: OpeningRule, side: str) -> int:
    return jambs(rule)[0 if side == "left" else 1]


def out(rule: OpeningRule, side: str) -> int:
    """How far a joint goes out under the lintel."""
    if rule.lintel is None or rule.step_in <= 0:
        return 0
    return ticks(rule.step_in) if side == "right" else -ticks(rule.step_in)


def jamb_candidate(basis: WallBasis, way: list[tuple[int, str]]) -> Candidate:
    """Up the jamb, out under the lintel, up, along the next sill to a jamb, and so on."""
    xs, ys, slips = [jamb(basis.openings[way[0][0]], way[0][1])], [], 0
    for i, side in way:
        rule = basis.openings[i]
        if xs[-1] != jamb(rule, side):
            ys.append(ticks(rule.opening.box.y0))
            xs.append(jamb(rule, side))
        if out(rule, side):
            ys.append(ticks(rule.opening.box.y1))
            xs.append(xs[-1] + out(rule, side))
            slips += 1
    return Candidate(Line(tuple(xs), tuple(ys)), frozenset(way), slips)


def jamb_fits(basis: WallBasis, candidate: Candidate) -> bool:
    line, served = candidate.line, {i for i, _ in candidate.serves}
    if (
        min(line.xs) <= SAME
        or max(line.xs) >= ticks(basis.wall.length_in) - SAME
        or not corner_fits(basis, line.xs)
        or kept_out(basis, line.xs)
    ):
        return False
    if any(
        least_top(basis, x0, x1) <= Fraction(y + SAME, TICKS)
        for x0, x1, y in zip(line.xs, line.xs[1:], line.ys, strict=False)
    ):
        return False
    for i, rule in enumerate(basis.openings):
        left, right = jambs(rule)
        clear = ticks(rule.clear_in) - SAME
        if i in served:
            if not left - clear - 2 * SAME <= line.foot <= right + clear + 2 * SAME:
                return False
            continue
        if min(line.xs) < right + clear and max(line.xs) > left - clear:
            return False
        if left + SAME < line.foot < right - SAME:
            return False
    return True


def forced_candidates(basis: WallBasis) -> tuple[list[Candidate], int]:
    found, unbuilt = [], 0
    for line in one_a_station(forced_lines(basis)):
        if any(cannot_stand(line, rule) for rule in basis.openings):
            unbuilt += 1
            continue
        close = any(
            near(x, r)
            for r in basis.openings
            if keeps_clear(r) or (r.clear_asked and not any(runs_along(line, r, jx) for jx in jambs(r)))
            for x in line.xs
        )
        close |= kept_out(basis, line.xs, coded=True)
        serves = frozenset(
            (i, side)
            for i, r in enumerate(basis.openings)
            if r.treatment is Treatment.UNREINFORCED
            for side in ("left", "right")
            if runs_along(line, r, jamb(r, side))
        )
        found.append(Candidate(line, serves, forced=True, charge=int(close)))
    return found, unbuilt + ends_too_near(basis)


def ends_too_near(basis: WallBasis) -> int:
    """Ends where another wall adjoins whose joint is too near to an opening that keeps joints away."""
    length = ticks(basis.wall.length_in)
    clear = [(*jambs(rule), ticks(rule.clear_in) - SAME) for rule in basis.openings if keeps_clear(rule)]
    left = basis.left_end is EndCondition.JOINT and any(x0 < least for x0, _, least in clear)
    right = basis.right_end is EndCondition.JOINT and any(length - x1 < least for _, x1, least in clear)
    return left + right


def forced_lines(basis: WallBasis) -> list[Line]:
    """Drawn joints first, so that they win over the places at the same station."""
    wall = basis.wall
    lines = [drawn_line(d.path) for d in wall.drawn_joints if not d.ours]
    lines += [
        Line((ticks(r.stations_in[0]),))
        for r in basis.asked_places
        if r.place.kind is not PlaceKind.ADJOINING_WALL and len(r.stations_in) == 1
    ]
    for edge in (wall.top, wall.bottom):
        for x in {x for x, _ in edge.points}:
            if not 0 < x < wall.length_in:
                continue
            (tl, tr), (bl, br) = sides(wall.top, ticks(x)), sides(wall.bottom, ticks(x))
            stepped = tl != tr if edge is wall.top else bl != br
            a, b = tl - bl, tr - br
            rise = Fraction(basis.judgment.height_change_in)
            if rise and min(abs(a - b), abs(tl - tr)) <= rise + Fraction(1, 64):
                continue
            if stepped and abs(a - b) > Fraction(basis.height_change_over) * min(a, b):
                lines.append(Line((ticks(x),)))
    end = ticks(wall.length_in)
    return [line for line in lines if min(line.xs) > SAME and max(line.xs) < end - SAME]


def drawn_line(path: Path) -> Line:
    """Only upright and level pieces, as the tests draw them."""
    xs = [ticks(path[0][0])]
    ys = []
    for (xa, ya), (xb, _) in itertools.pairwise(path):
        if xa != xb:
            xs.append(ticks(xb))
            ys.append(ticks(ya))
    return Line(tuple(xs), tuple(ys))


def one_a_station(lines: list[Line]) -> list[Line]:
    kept: list[Line] = []
    for line in lines:
        if all(abs(line.foot - other.foot) > SAME for other in kept):
            kept.append(line)
    return sorted(kept, key=lambda line: line.foot)


def on_courses(line: Line, low: float, high: float) -> list[int]:
    """Return the stations a line has between two heights, inches."""
    first, last = ticks(low), ticks(high)
    return [line.above(y) for y in (first, *(y for y in line.ys if first < y < last))]


def cannot_stand(line: Line, rule: OpeningRule) -> bool:
    """Inside the opening, or through the bearing of an unreinforced opening's lintel."""
    boxes = [rule.opening.box]
    if rule.treatment is Treatment.UNREINFORCED and rule.lintel:
        boxes.append(rule.lintel.box)
    return any(
        ticks(b.x0) + SAME < x < ticks(b.x1) - SAME for b in boxes for x in on_courses(line, b.y0, b.y1)
    )


def keeps_clear(rule: OpeningRule) -> bool:
    arch = rule.opening.arched and not rule.jambs_required
    return arch or rule.treatment is Treatment.REINFORCED


def runs_along(line: Line, rule: OpeningRule, x: int) -> bool:
    box = rule.opening.box
    return all(abs(x - at) <= SAME for at in on_courses(line, box.y0, box.y1))


def sides(edge: Profile, x: int) -> tuple[Fraction, Fraction]:
    """Heights of an edge just left and just right of a station (ticks in, inches out)."""
    points = [(ticks(px), Fraction(py)) for px, py in edge.points]
    left = right = None
    for (xa, ya), (xb, yb) in itertools.pairwise(points):
        if xa < x <= xb:
            left = ya + (yb - ya) * Fraction(x - xa, xb - xa)
        if xa <= x < xb:
            right = ya + (yb - ya) * Fraction(x - xa, xb - xa)
    left = points[0][1] if left is None else left
    right = points[-1][1] if right is None else right
    if x <= points[0][0]:
        left = right
    if x >= points[-1][0]:
        right = left
    return left, right


def least_height(basis: WallBasis, x0: int, x1: int) -> Fraction:
    """Least height of the wall between two stations (ticks in, inches out).

    A station within tolerance of a break of an edge is that break.
    """
    wall = basis.wall
    breaks = {ticks(x) for edge in (wall.top, wall.bottom) for x, _ in edge.points}
    x0, x1 = (min((b for b in breaks if abs(b - x) <= SAME), default=x) for x in (x0, x1))
    inner = {ticks(x) for edge in (wall.top, wall.bottom) for x, _ in edge.points if x0 < ticks(x) < x1}
    tops = [sides(wall.top, x0)[1], sides(wall.top, x1)[0]]
    bottoms = [sides(wall.bottom, x0)[1], sides(wall.bottom, x1)[0]]
    for x in inner:
        tops += sides(wall.top, x)
        bottoms += sides(wall.bottom, x)
    heights = [t - u for t, u in zip(tops, bottoms, strict=True)]
    if basis.height_basis is HeightBasis.STOREY:
        low, high = max(bottoms), min(tops)
        between = sorted(
            y
            for s in wall.supports
            if ticks(s.x0_in) < x1 and ticks(s.x1_in) > x0 and low < (y := Fraction(s.y_in)) < high
        )
        if between:
            return min(t - u for u, t in itertools.pairwise([low, *between]))
    return min(heights)


def least_top(basis: WallBasis, x0: int, x1: int) -> Fraction:
    """Least height of the top edge over a stretch (ticks in, inches out)."""
    low, high, top = min(x0, x1), max(x0, x1), basis.wall.top
    inner = [y for x, _ in top.points if low < ticks(x) < high for y in sides(top, ticks(x))]
    return min(sides(top, low)[1], sides(top, high)[0], *inner)
