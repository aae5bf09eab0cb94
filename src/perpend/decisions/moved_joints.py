"""Where a joint line of ours is now: in which wall, along which path, and whether a person moved it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Literal

from perpend.decisions.joint_record import RecordedJoint
from perpend.dxf.own_labels import Points
from perpend.dxf.own_plate import OwnJoint
from perpend.model import Path, Wall
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN, on_tick, same

Change = Literal["", "moved", "stretched"]


@dataclass(frozen=True, slots=True)
class FoundJoint:
    """One joint line in its wall.

    Attributes:
        own: the line.
        wall: index of the wall.
        path: wall axes, from bottom to top, carried to the wall's bottom and top where it was drawn so.
        change: what a person did to it; empty for nothing.
    """

    own: OwnJoint
    wall: int
    path: Path
    change: Change = ""

    @property
    def x_in(self) -> float:
        """Station of its foot."""
        return self.path[0][0]


def found_joint(
    own: OwnJoint, walls: Sequence[Wall], home: int | None, known: RecordedJoint | None
) -> FoundJoint | None:
    """Find a joint line of ours in the walls; None where it is in none.

    Args:
        own: the line.
        walls: the walls as they are now.
        home: index of the wall for which it was drawn, or None where that is not known.
        known: what is on record of it.
    """
    order = [home] if home is not None else []
    order += [n for n in range(len(walls)) if n != home]
    for n in order:
        here = path_in(walls[n], own.points)
        if here is not None:
            change = _change(own, walls[n], here, known if n == home else None)
            if n != home and home is not None:
                change = "moved"
            path = _carried(own, walls[n], here, known)
            if path[-1][1] - path[0][1] > SAME_IN:
                return FoundJoint(own, n, path, change)
    return None


def path_in(wall: Wall, points: Points) -> Path | None:
    """Return a line of the drawing in a wall's axes, from bottom to top; None where it is no line up it."""
    path = [(on_tick(x), on_tick(y)) for x, y in (wall.frame.to_wall(p) for p in points)]
    path = [point for point, _ in groupby(path)]
    if len(path) < 2:
        return None
    if path[0][1] > path[-1][1]:
        path.reverse()
    rise = path[-1][1] - path[0][1]
    stations = [x for x, _ in path]
    falls = any(b[1] < a[1] - ON_MODULE_IN for a, b in pairwise(path))
    aside = min(stations) < -ON_MODULE_IN or max(stations) > wall.length_in + ON_MODULE_IN
    if falls or aside or rise <= SAME_IN or max(stations) - min(stations) > rise:
        return None
    path = [(min(max(x, 0.0), wall.length_in), y) for x, y in path]
    low, high = max(wall.bottom.at(path[0][0])), min(wall.top.at(path[-1][0]))
    if min(path[-1][1], high) - max(path[0][1], low) <= SAME_IN:
        return None
    return tuple(path)


def _change(own: OwnJoint, wall: Wall, path: Path, known: RecordedJoint | None) -> Change:
    """Say what a person did to a line: nothing where it is as drawn, in the drawing's axes or the wall's."""
    within = SAME_IN / wall.frame.inches_per_unit
    if own.drawn and _alike(own.points, own.drawn, within):
        return ""
    if known is not None and _alike(path, known.path, SAME_IN):
        return ""
    before = [wall.frame.to_wall(p) for p in own.drawn] or (list(known.path) if known is not None else [])
    if not before:
        return ""
    if before[0][1] > before[-1][1]:
        before.reverse()
    if len(before) != len(path):
        return "stretched"
    offsets = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(before, path, strict=True)]
    rigid = all(
        same(dx, offsets[0][0], 2 * SAME_IN) and same(dy, offsets[0][1], 2 * SAME_IN) for dx, dy in offsets
    )
    return "moved" if rigid else "stretched"


def _alike(some: Points, others: Points, within: float) -> bool:
    def close(a: Iterable[tuple[float, float]], b: Iterable[tuple[float, float]]) -> bool:
        return all(
            abs(xa - xb) <= within and abs(ya - yb) <= within for (xa, ya), (xb, yb) in zip(a, b, strict=True)
        )

    return len(some) == len(others) and (close(some, others) or close(some, reversed(others)))


def _carried(own: OwnJoint, wall: Wall, path: Path, known: RecordedJoint | None) -> Path:
    """Carry a line to the wall's bottom and top, where it ended there when it was drawn or ends there now."""
    foot, head = path[0], path[-1]
    floor, crown = max(wall.bottom.at(foot[0])), min(wall.top.at(head[0]))
    drawn = [wall.frame.to_wall(p) for p in own.drawn] or (list(known.path) if known is not None else [])
    low, high = (min(y for _, y in drawn), max(y for _, y in drawn)) if drawn else (foot[1], head[1])
    whole = known is None
    bottom = foot[1] <= floor + GAP_IN or (
        (whole or (known is not None and known.at_bottom)) and same(foot[1], low)
    )
    top = head[1] >= crown - GAP_IN or (
        (whole or (known is not None and known.at_top)) and same(head[1], high)
    )
    foot = (foot[0], on_tick(floor) if bottom else foot[1])
    head = (head[0], on_tick(crown) if top else head[1])
    inner = [p for p in path[1:-1] if foot[1] <= p[1] <= head[1]]
    return (foot, *inner, head)


def runs_through_opening(wall: Wall, path: Path) -> str:
    """Return the tag of an opening through which a line runs; empty for none."""
    for opening in wall.openings:
        box = opening.box
        for (xa, ya), (xb, yb) in pairwise(path):
            inside = box.x0 + SAME_IN < max(xa, xb) and min(xa, xb) < box.x1 - SAME_IN
            if inside and min(max(ya, yb), box.y1) - max(min(ya, yb), box.y0) > SAME_IN:
                return opening.tag
    return ""


def is_at(path: Path, x_in: float) -> bool:
    """Say whether a line's foot is at a station."""
    return same(path[0][0], x_in, ON_MODULE_IN)


def coincide(some: Path, others: Path) -> bool:
    """Say whether two lines begin and end at the same stations."""
    return is_at(some, others[0][0]) and same(some[-1][0], others[-1][0], ON_MODULE_IN)
