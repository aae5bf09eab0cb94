"""A wall's outline in the wall's own axes, with its top and bottom edges.

Glossary:
    axes: origin at the wall's left end and bottom, x along the wall, y up, inches.
    profile: upper or lower edge from the left end to the right end; x never decreases along it.
    overhang: a place where an edge turns back under or over itself; small ones are pushed back,
        larger ones are refused, because a joint there would have no single bottom and top.
    notch: a doorway that the outline itself goes around.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from perpend.dxf.entity_points import ring_area
from perpend.errors import InputError
from perpend.model import Box, Frame, Path, Point, Profile, lowest_height
from perpend.reading.outlines.close_outlines import Ring
from perpend.units import ON_MODULE_IN, SAME_IN, format_length, on_tick

_STEEP: Final = 16
"""An edge that rises this many times what it leans, and leans no more than `ON_MODULE_IN`, is plumb."""

_GREATEST_LENGTH_IN: Final = 600_000.0
_GREATEST_HEIGHT_IN: Final = 24_000.0
_GREATEST_FACE_IN2: Final = 2_000_000 * 144.0
"""No wall is longer than 50,000 ft or higher than 2,000 ft, nor has it 2,000,000 ft² of face."""

_LEVEL_RAD: Final = 1e-6
"""An edge this close to level is level: 0.01 in. in 800 ft."""

_ALIKE_RAD: Final = 1e-5
"""Edges whose directions differ by less than this (0.01 in. in 80 ft) run alike."""

_CANDIDATES: Final = 16
"""Of an outline's edges only the longest are asked for its direction."""

_SHARE_WITH_TEXT: Final = 0.1
_SHARE_ALONE: Final = 0.3
"""Part of an outline that must run along or square to a direction for it to be the wall's own."""

_NOTCH_HEIGHT_IN: Final = 48.0
_NOTCH_WIDTHS_IN: Final = (18.0, 288.0)
"""A recess of the bottom edge of this size, the same level on both sides, is a doorway."""


@dataclass(frozen=True, slots=True)
class Outline:
    """A wall's outline in its own axes.

    Attributes:
        ring: where it came from.
        frame: where its axes lie in the drawing.
        points: corners, counter-clockwise, inches.
        top: upper edge.
        bottom: lower edge.
        length_in: from end to end.
        notches: doorways that the outline went around; the bottom edge is drawn through them.
        repaired: what was mended, one sentence each.
        fronts: upper edges of the lower walls that stand in front of it; see `reading.walls.occlusion`.
        backs: upper edges of the walls that it stands in front of.
    """

    ring: Ring
    frame: Frame
    points: Path
    top: Profile
    bottom: Profile
    length_in: float
    notches: tuple[Box, ...] = ()
    repaired: tuple[str, ...] = ()
    fronts: tuple[Profile, ...] = ()
    backs: tuple[Profile, ...] = ()

    @property
    def height_in(self) -> float:
        """Least height."""
        return lowest_height(self.top, self.bottom, 0.0, self.length_in)


def runs_along(a: Outline, b: Outline) -> bool:
    """Say whether two walls have one direction on the sheet."""
    turn = abs(a.frame.angle_rad - b.frame.angle_rad)
    return min(turn, math.tau - turn) < 1e-3


def outline_of(ring: Ring, angle_rad: float, inches: float, gap_in: float, file: str) -> Outline:
    """Carry a ring into wall axes and split it into its edges.

    Args:
        ring: closed outline in drawing axes.
        angle_rad: direction of the wall's x axis in the drawing.
        inches: inches in one drawing unit.
        gap_in: overhangs up to this are pushed back.
        file: the drawing's path, for sentences.

    Raises:
        InputError: the outline has no length, no height, crosses itself or overhangs.
    """
    named = f"{file}: wall outline {ring.handle} on layer {ring.layer}"
    turned = _snapped([_turned(p, angle_rad, inches) for p in ring.points], ring.curved)
    cleaned = tidy(turned)
    if len(cleaned) < 3 or abs(ring_area(cleaned)) <= SAME_IN:
        raise InputError(
            f"{named} has no length or no height: draw it as a closed outline of the wall's face."
        )
    if not _is_simple(cleaned):
        raise InputError(f"{named} crosses itself: redraw it as a closed outline without crossings.")
    left, low = min(x for x, _ in cleaned), min(y for _, y in cleaned)
    points = tuple(grain((x - left, y - low)) for x, y in cleaned)
    origin = _turned((left / inches, low / inches), -angle_rad, 1.0)
    frame = Frame(origin, angle_rad, inches)
    length = max(x for x, _ in points)
    height = max(y for _, y in points)
    if length <= SAME_IN or height <= SAME_IN:
        raise InputError(
            f"{named} has no length or no height: draw it as a closed outline of the wall's face."
        )
    if length > _GREATEST_LENGTH_IN or height > _GREATEST_HEIGHT_IN or length * height > _GREATEST_FACE_IN2:
        raise InputError(
            f"{named} is {length / 12:,.0f} ft long and {height / 12:,.0f} ft high: check its corners, or "
            "name the unit it is drawn in with --units-of-drawing."
        )
    low_chain, high_chain = _edges(points, length)
    pushed: list[str] = []
    bottom = _monotone(low_chain, named, "bottom", gap_in, frame, pushed)
    top = _monotone(high_chain[::-1], named, "top", gap_in, frame, pushed)
    bottom, notches = _without_notches(bottom)
    pushed += [
        f"Wall outline {ring.handle} goes around a doorway {format_length(n.width)} wide at "
        f"{format_length(n.x0)} from its left end: it was read as an opening."
        for n in notches
    ]
    if lowest_height(Profile(top), Profile(bottom), 0.0, length) <= SAME_IN and not _tapers(
        top, bottom, length
    ):
        raise InputError(f"{named} has no height at a place inside it: split it into separate walls.")
    return Outline(ring, frame, points, Profile(top), Profile(bottom), length, tuple(notches), tuple(pushed))


def _turned(point: Point, angle_rad: float, inches: float) -> Point:
    if angle_rad == 0.0:
        return (point[0] * inches, point[1] * inches)
    cos, sin = math.cos(angle_rad), math.sin(angle_rad)
    return ((point[0] * cos + point[1] * sin) * inches, (point[1] * cos - point[0] * sin) * inches)


def grain(point: Point) -> Point:
    """Round a point in wall axes to the layout's grain (1/8128 in.), so that 12.000000001 is 12."""
    return (on_tick(point[0]), on_tick(point[1]))


def _snapped(points: Sequence[Point], curved: bool) -> list[Point]:
    """Give corners that are meant to share a station or a level the very same one."""
    if curved:
        return list(points)
    xs = _levels([x for x, _ in points])
    ys = _levels([y for _, y in points])
    found = [(xs[x], ys[y]) for x, y in points]
    for i, (a, b) in enumerate(zip(found, found[1:] + found[:1], strict=True)):
        lean, rise = abs(a[0] - b[0]), abs(a[1] - b[1])
        if 0 < lean <= ON_MODULE_IN and rise >= _STEEP * lean:
            found[(i + 1) % len(found)] = (a[0], b[1])
    return found


def _levels(values: Sequence[float]) -> dict[float, float]:
    """Map values that lie within `SAME_IN` of the first of their group to that one."""
    level: dict[float, float] = {}
    first = -math.inf
    for value in sorted(set(values)):
        if value - first > SAME_IN:
            first = value
        level[value] = first
    return level


def tidy(points: Sequence[Point]) -> Path:
    """Drop repeated corners, corners on a straight line and spikes from a ring."""
    kept = list(points)
    index = 0
    while len(kept) > 2 and index < len(kept):
        before, here, after = kept[index - 1], kept[index], kept[(index + 1) % len(kept)]
        cross = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
        reach = math.dist(before, here) * math.dist(here, after)
        if math.dist(before, here) <= 1e-6 or abs(cross) <= 1e-9 * max(reach, 1e-3):
            kept.pop(index)
            index = max(0, index - 2)
        else:
            index += 1
    return tuple(kept)


def _is_simple(points: Path) -> bool:
    if len(points) <= 3:
        return True
    import shapely

    return bool(shapely.Polygon(points).is_valid)


def _edges(points: Path, length: float) -> tuple[Path, Path]:
    """Split a counter-clockwise ring into its bottom (left to right) and its top (right to left)."""
    start = min(range(len(points)), key=lambda i: (points[i][0], points[i][1]))
    ring = points[start:] + points[:start]
    turn = next(i for i, p in enumerate(ring) if p[0] == length)
    last = turn
    while last + 1 < len(ring) and ring[last + 1][0] == length:
        last += 1
    top = ring[last:]
    if top[-1][0] != 0.0:
        top = (*top, ring[0])
    return ring[: turn + 1], top


def _monotone(chain: Path, named: str, edge: str, gap_in: float, frame: Frame, pushed: list[str]) -> Path:
    """Return the chain with x never decreasing, or say where it overhangs."""
    found = [chain[0]]
    deepest = 0.0
    for x, y in chain[1:]:
        behind = found[-1][0] - x
        if behind > gap_in:
            at = frame.to_drawing((x, y))
            raise InputError(
                f"{named} overhangs by {format_length(behind)} at its {edge}, near ({at[0]:g}, "
                f"{at[1]:g}): split "
                "it into walls whose every part has one bottom and one top."
            )
        deepest = max(deepest, behind)
        found.append((max(x, found[-1][0]), y))
    if deepest > SAME_IN:
        pushed.append(
            f"{named} overhung by {format_length(deepest)} at its {edge}: the overhang was left out."
        )
    return tuple(found)


def _without_notches(bottom: Path) -> tuple[Path, list[Box]]:
    """Draw the bottom edge through doorways, and return these."""
    notches: list[Box] = []
    path = list(bottom)
    index = 0
    while index + 3 < len(path):
        notch = _notch_at(path, index)
        if notch is not None:
            last, box = notch
            del path[index + 1 : last]
            notches.append(box)
            path = list(_straightened(path))
            index = 0
        else:
            index += 1
    return tuple(path), notches


def _notch_at(path: list[Point], index: int) -> tuple[int, Box] | None:
    (xa, ya), (xb, yb) = path[index], path[index + 1]
    if index == 0 or xa != xb or yb - ya < _NOTCH_HEIGHT_IN:
        return None
    for last in range(index + 3, len(path) - 1):
        (xc, yc), (xd, yd) = path[last - 1], path[last]
        if xc == xd and yd < yc:
            box = Box.around(path[index : last + 1])
            level = abs(yd - ya) <= SAME_IN
            walls = yc - yd >= _NOTCH_HEIGHT_IN
            sized = _NOTCH_WIDTHS_IN[0] <= box.width <= _NOTCH_WIDTHS_IN[1]
            return (last, box) if level and walls and sized else None
    return None


def _straightened(path: Sequence[Point]) -> Path:
    kept = [path[0]]
    for here, after in itertools.pairwise(path[1:]):
        if not (kept[-1][1] == here[1] == after[1]):
            kept.append(here)
    return (*kept, path[-1])


def _tapers(top: Path, bottom: Path, length: float) -> bool:
    """True when the wall has no height only at an end, where a gable or a shed runs out."""
    inner = {x for x, _ in (*top, *bottom) if SAME_IN < x < length - SAME_IN}
    upper, lower = Profile(top), Profile(bottom)
    return all(min(upper.at(x)) - max(lower.at(x)) > SAME_IN for x in (*inner, length / 2))


def wall_angle(ring: Ring, text_angles: Sequence[float]) -> tuple[float, str]:
    """Find the direction of a wall's x axis in the drawing.

    Texts inside the wall run along it, so their direction counts first, if enough of the outline is
    parallel or square to it; then the sheet's own; then that of most of the outline.

    Args:
        ring: the outline.
        text_angles: directions of the texts inside it, radians.

    Returns:
        The direction in radians, 0 exactly for an upright wall, and a remark when it had to be
        judged from the outline alone (else empty).
    """
    edges = _directions(ring.points)
    whole = sum(weight for weight, _ in edges)
    along_sheet = _share(edges, 0.0)
    level_text = any(abs(math.sin(a)) < 0.02 and math.cos(a) > 0 for a in text_angles)
    if along_sheet >= (_SHARE_WITH_TEXT if level_text else _SHARE_ALONE) * whole and (
        level_text or not text_angles
    ):
        return _refined(edges, 0.0), ""
    for angle in _most_common(text_angles):
        if _share(edges, angle) >= _SHARE_WITH_TEXT * whole:
            return _refined(edges, angle), ""
    if along_sheet >= _SHARE_ALONE * whole:
        return _refined(edges, 0.0), ""
    candidates = sorted(edges, reverse=True)[:_CANDIDATES]
    best = max((a for _, a in candidates), key=lambda a: _share(edges, a))
    nearest = (best + math.pi / 4) % (math.pi / 2) - math.pi / 4
    refined = _refined(edges, nearest)
    return refined, (
        f"Wall outline {ring.handle} is drawn turned by {math.degrees(refined):.2f}° and holds no text "
        "that shows "
        "which way is up: the direction nearest to the sheet's was taken."
    )


def _directions(points: Path) -> list[tuple[float, float]]:
    """Return (length, direction modulo 90°) of every edge."""
    found = []
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        length = math.dist(a, b)
        if length > 0:
            found.append((length, math.atan2(b[1] - a[1], b[0] - a[0]) % (math.pi / 2)))
    return found


def _off(a: float, b: float) -> float:
    """Signed difference of two directions modulo 90°, in (-45°, 45°]."""
    return (a - b + math.pi / 4) % (math.pi / 2) - math.pi / 4


def _share(edges: Sequence[tuple[float, float]], angle: float) -> float:
    return sum(weight for weight, a in edges if abs(_off(a, angle)) < 0.01)


def _refined(edges: Sequence[tuple[float, float]], angle: float) -> float:
    """Turn a rough direction into that of the edges near it; exactly 0 when that makes no difference."""
    near = [(weight, _off(a, angle)) for weight, a in edges if abs(_off(a, angle)) < 0.01]
    if angle == 0.0 and any(abs(off) < _LEVEL_RAD for _, off in near):
        return 0.0
    refined = (angle + _agreed(near)) % math.tau
    refined = refined - math.tau if refined > math.pi else refined
    return 0.0 if abs(refined) < _LEVEL_RAD else refined


def _agreed(near: Sequence[tuple[float, float]]) -> float:
    """Return the direction that most of the outline shares; a top that leans a little has none beside it."""
    candidates = sorted(near, reverse=True)[:_CANDIDATES]
    if not candidates:
        return 0.0
    return max(candidates, key=lambda edge: sum(w for w, off in near if abs(off - edge[1]) < _ALIKE_RAD))[1]


def _most_common(angles: Sequence[float]) -> list[float]:
    rounded: dict[float, int] = {}
    for angle in angles:
        key = round(math.degrees(angle) % 360, 0) % 360
        rounded[key] = rounded.get(key, 0) + 1
    return [math.radians(k) for k in sorted(rounded, key=lambda k: (-rounded[k], k))]
