"""Faces that touch: pieces of one wall are joined, different walls get a joint between them.

Glossary:
    neighbours: two faces that share an upright edge.
    stacked: two faces of which one stands on the whole top of the other.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from perpend.model import EndCondition, Path, Place, PlaceKind, Profile
from perpend.notices import Notices
from perpend.reading.outlines.wall_profile import Outline, grain, runs_along
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN

_Pair = tuple[Face, Face]

_FAR: Final = 1.0
"""Two levels this much farther apart than they may be are so however the sums round, inches."""


def join_neighbours(faces: Sequence[Face], gap_in: float, notices: Notices) -> list[Face]:
    """Join the pieces of one wall, and force a joint between different walls.

    Two faces that share an upright edge are one wall if they have the same tag (or none) and their
    edges meet at the same levels; two faces on top of each other are one wall unless both have a
    tag. Otherwise neighbours meet at a joint.

    Args:
        faces: with their tags.
        gap_in: edges up to this far apart are one edge.
        notices: takes what was joined.
    """
    joined = _joined_all(list(faces), lambda f: _stacked(f, gap_in), _is_one_wall_stacked, _on_top, notices)
    joined = _joined_all(joined, lambda f: _touching(f, gap_in), _is_one_wall_beside, _beside, notices)
    for left, right in _touching(joined, gap_in):
        left.right_end = right.left_end = EndCondition.JOINT
        low, high = _shared_levels(left.outline, right.outline)
        shift = _offset(left.outline, right.outline)[1]
        kind, there = PlaceKind.ADJOINING_WALL, right.outline.ring.handle
        left.places.append(Place(left.outline.length_in, kind, there, right.named(), levels_in=(low, high)))
        levels = (low - shift, high - shift)
        right.places.append(Place(0.0, kind, left.outline.ring.handle, left.named(), levels_in=levels))
    return joined


def _joined_all(
    faces: list[Face],
    pairs: Callable[[Sequence[Face]], list[_Pair]],
    is_one: Callable[[Face, Face], bool],
    join: Callable[[Face, Face], Face],
    notices: Notices,
) -> list[Face]:
    """Join pairs that belong together, each face once a round, until there are none."""
    while True:
        taken: set[int] = set()
        fresh: list[Face] = []
        for first, second in pairs(faces):
            if id(first) in taken or id(second) in taken or not is_one(first, second):
                continue
            taken |= {id(first), id(second)}
            fresh.append(join(first, second))
            tag = f" and have the tag {first.tag}" if first.tag and first.tag == second.tag else ""
            notices.note(
                "outlines-joined",
                f"Outlines {first.outline.ring.handle} and {second.outline.ring.handle} share an "
                f"edge{tag}: read as one wall.",
            )
        if not fresh:
            return faces
        faces = [f for f in faces if id(f) not in taken] + fresh


def _touching(faces: Sequence[Face], gap_in: float) -> list[_Pair]:
    """Return (left, right) of every two faces that share an upright edge, left to right."""
    reach = gap_in + SAME_IN
    starts = sorted(((_along(f.outline), n) for n, f in enumerate(faces)))
    keys = [x for x, _ in starts]
    pairs = []
    for x0, number in starts:
        left = faces[number]
        end = x0 + left.outline.length_in
        for index in range(bisect.bisect_left(keys, end - reach), bisect.bisect_right(keys, end + reach)):
            right = faces[starts[index][1]]
            if right is not left and _share_upright_edge(left.outline, right.outline, reach):
                pairs.append((left, right))
    return pairs


def _share_upright_edge(left: Outline, right: Outline, reach: float) -> bool:
    if not runs_along(left, right):
        return False
    if abs(_offset(left, right)[0] - left.length_in) > reach:
        return False
    low, high = _shared_levels(left, right)
    return high - low > reach


def _shared_levels(left: Outline, right: Outline) -> tuple[float, float]:
    """Return the heights between which two neighbours meet, in the axes of the left one."""
    y = _offset(left, right)[1]
    low = max(left.bottom.points[-1][1], right.bottom.points[0][1] + y)
    return low, min(left.top.points[-1][1], right.top.points[0][1] + y)


def _stacked(faces: Sequence[Face], gap_in: float) -> list[_Pair]:
    """Return (lower, upper) of every two faces of one extent that stand on each other."""
    reach = gap_in + SAME_IN
    starts = sorted(((_along(f.outline), n) for n, f in enumerate(faces)))
    keys = [x for x, _ in starts]
    level_feet = [faces[n].outline.bottom.is_level for _, n in starts]
    feet = [_foot(faces[n].outline) for _, n in starts]
    pairs = []
    for place, (x0, number) in enumerate(starts):
        lower = faces[number]
        if not lower.outline.top.is_level:
            continue
        turn, foot = feet[place]
        top = turn, foot + lower.outline.top.points[0][1] - lower.outline.bottom.points[0][1]
        for index in range(bisect.bisect_left(keys, x0 - reach), bisect.bisect_right(keys, x0 + reach)):
            upper = faces[starts[index][1]]
            if not level_feet[index] or (
                feet[index][0] == top[0] and abs(feet[index][1] - top[1]) > reach + _FAR
            ):
                continue  # most are told apart by this, without a look at their axes
            if upper is not lower and _stands_on(lower.outline, upper.outline, reach):
                pairs.append((lower, upper))
    return pairs


def _stands_on(lower: Outline, upper: Outline, reach: float) -> bool:
    """Say whether the level foot of one wall is the level top of another."""
    if not runs_along(lower, upper) or abs(lower.length_in - upper.length_in) > reach:
        return False
    x, y = _offset(lower, upper)
    return abs(x) <= reach and abs(lower.top.points[0][1] - upper.bottom.points[0][1] - y) <= reach


def _along(outline: Outline) -> float:
    """Left end along the wall's own direction, inches from the drawing's origin."""
    (x, y), angle = outline.frame.origin, outline.frame.angle_rad
    return (x * math.cos(angle) + y * math.sin(angle)) * outline.frame.inches_per_unit


def _foot(outline: Outline) -> tuple[float, float]:
    """Direction, and level of the foot across it above the drawing's origin, inches."""
    (x, y), angle = outline.frame.origin, outline.frame.angle_rad
    up = (y * math.cos(angle) - x * math.sin(angle)) * outline.frame.inches_per_unit
    return angle, up + outline.bottom.points[0][1]


def _offset(first: Outline, second: Outline) -> tuple[float, float]:
    """Origin of the second wall in the first one's axes."""
    return first.frame.to_wall(second.frame.origin)


def _is_one_wall_stacked(lower: Face, upper: Face) -> bool:
    return lower.tag is None or upper.tag is None or lower.tag == upper.tag


def _is_one_wall_beside(left: Face, right: Face) -> bool:
    if left.tag != right.tag:
        return False
    y = _offset(left.outline, right.outline)[1]
    low = abs(left.outline.bottom.points[-1][1] - right.outline.bottom.points[0][1] - y)
    high = abs(left.outline.top.points[-1][1] - right.outline.top.points[0][1] - y)
    return low <= SAME_IN and high <= SAME_IN


def _on_top(lower: Face, upper: Face) -> Face:
    """Make one face of two that stand on each other."""
    a, b = lower.outline, upper.outline
    x, y = (0.0, _offset(a, b)[1])
    top = Profile(_straight([grain((u + x, v + y)) for u, v in b.top.points]))
    return _whole(lower, upper, top, a.bottom, a.length_in, (x, y), 0.0)


def _beside(left: Face, right: Face) -> Face:
    """Make one face of two that meet at the same levels."""
    a, b = left.outline, right.outline
    x, y = a.length_in, _offset(a, b)[1]
    drop = max(0.0, -min(v + y for _, v in b.points))

    def run(first: Profile, second: Profile) -> Profile:
        points = [(u, v + drop) for u, v in first.points]
        points += [(u + x, v + y + drop) for u, v in second.points]
        return Profile(_straight([grain(p) for p in points]))

    length = grain((a.length_in + b.length_in, 0.0))[0]
    return _whole(left, right, run(a.top, b.top), run(a.bottom, b.bottom), length, (x, y), drop)


def _whole(
    first: Face,
    second: Face,
    top: Profile,
    bottom: Profile,
    length_in: float,
    offset: tuple[float, float],
    drop: float,
) -> Face:
    """Put two faces together; the first one's origin goes down by ``drop``."""
    a, b = first.outline, second.outline
    x, y = offset
    frame = replace(a.frame, origin=a.frame.to_drawing((0.0, -drop)))
    around = (*bottom.points, *reversed(top.points))
    ring = replace(
        a.ring,
        points=tuple(frame.to_drawing(p) for p in around),
        handles=a.ring.handles + b.ring.handles,
        holes=a.ring.holes + b.ring.holes,
    )
    notches = [replace(n, y0=n.y0 + drop, y1=n.y1 + drop) for n in a.notches]
    notches += [
        replace(n, x0=n.x0 + x, x1=n.x1 + x, y0=n.y0 + y + drop, y1=n.y1 + y + drop) for n in b.notches
    ]
    outline = replace(
        a,
        ring=ring,
        frame=frame,
        points=around,
        top=top,
        bottom=bottom,
        length_in=length_in,
        notches=tuple(notches),
    )
    mark = first.mark or second.mark
    return Face(outline, first.texts + second.texts, first.tag or second.tag, mark)


def _straight(points: Sequence[tuple[float, float]]) -> Path:
    """Drop points that repeat or lie on a straight line of a profile."""
    apart = [points[0]]
    apart += [b for a, b in itertools.pairwise(points) if math.dist(a, b) > SAME_IN]
    kept = [apart[0]]
    for here, after in itertools.pairwise(apart[1:]):
        before = kept[-1]
        cross = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
        if abs(cross) > 1e-6:
            kept.append(here)
    return (*kept, apart[-1])
