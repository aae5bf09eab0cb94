"""Labels that stand off their place with a leader, found room for one after the other.

The search looks at many places at once on a coarse raster and lets the field have the last word: no
label lies over a text, an opening, a joint or another label, and no leader crosses a text. Outside the
sheet's border a label stands only where there is no room within; where its lines would be struck through or
stand far off, it may be set in narrower ones.

Glossary:
    anchor: a point on a thing where a leader may start.
    hinge: the near end of a label.
    mark: the square of a finding's number, or the bubble of a detail's, at the hinge.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from perpend.drawing.page.occupancy import Level, Thing
from perpend.drawing.page.occupancy_raster import FACE, LINE, PATTERN, SOLID, Numbers, Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.dxf.text_metrics import text_drop, text_rise, text_width, widest
from perpend.model import Box, Path, Point
from perpend.units import on_tick

_PITCH = 1.6
_REACH = 60
_RINGS = ((10.0, 1.0), (24.0, 2.0), (60.0, 4.0))
_LEAST, _TRIED = 2.2, 150
_COST_LINE, _COST_FACE, _COST_CROSSED, _COST_CROSSED_LINE = 16.0, 1.5, 15.0, 0.6
_COST_OUTSIDE = 60.0
_NEAR, _COST_NARROW = 9.0, 1.0
"""Where a label costs more than this its narrower shape is tried, and what that costs by itself."""


@dataclass(frozen=True, slots=True)
class Flag:
    """A label and its leader, not placed yet.

    Attributes:
        number: what stands in the mark, or empty for a label without one.
        lines: its text.
        anchors: where its leader may start.
        identity: what it is.
        narrow: its text in narrower lines, or empty.
        is_round: True for a bubble, which keeps off the walls' faces where it can; False for a square.
    """

    number: str
    lines: tuple[str, ...]
    anchors: tuple[Point, ...]
    identity: Identity
    narrow: tuple[str, ...] = ()
    is_round: bool = False


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a label stands.

    Attributes:
        anchor: where the leader starts.
        hinge: near end of the label.
        to_right: True when the label lies to the right of its hinge.
        center: middle of the mark; the hinge itself without one.
    """

    anchor: Point
    hinge: Point
    to_right: bool
    center: Point


def mark_radius(number: str, h: float) -> float:
    """Return the radius of the mark that holds a number; 0 without one."""
    return max(1.7 * h, text_width(number, h) / 2 + 0.5 * h) if number else 0.0


def stand_for(scene: Scene, raster: Raster, flag: Flag) -> tuple[Flag, Stand] | None:
    """Find the best free place for a label; None when there is none within reach.

    Returns:
        The label, in the shape that is to be written, and its place.
    """
    raster.catch_up(scene.field)
    sheet = scene.sheet
    wide = _best_stand(scene, raster, flag, sheet)
    if not flag.narrow or (wide is not None and wide[0] <= _NEAR):
        return (flag, wide[1]) if wide else None
    slim = replace(flag, lines=flag.narrow)
    narrow = _best_stand(scene, raster, slim, sheet)
    if narrow is not None and (wide is None or narrow[0] + _COST_NARROW < wide[0]):
        return slim, narrow[1]
    return (flag, wide[1]) if wide else None


def _best_stand(scene: Scene, raster: Raster, flag: Flag, sheet: Box) -> tuple[float, Stand] | None:
    """Return the cheapest place of all anchors, and what it costs."""
    best: tuple[float, Stand] | None = None
    for anchor in flag.anchors:
        struck: Thing | None = None
        for price, hinge, to_right in _promising(scene, raster, flag, anchor, sheet):
            if best is not None and price >= best[0]:
                break
            stand = _stand(flag, anchor, hinge, scene.h, to_right=to_right)
            leader = _leader(flag, stand, scene.h)
            struck = scene.field.text_in_the_way(*leader, likely=struck)
            cost = None if struck else _cost(scene, flag, stand, leader, sheet)
            if cost is not None and (best is None or cost < best[0]):
                best = (cost, stand)
    return best


def stand_at(scene: Scene, flag: Flag, center: Point) -> Stand | None:
    """Return the place of a label whose mark is where a person put it; None where it does not fit there."""
    center = (on_tick(center[0]), on_tick(center[1]))
    radius, anchor = mark_radius(flag.number, scene.h), min(flag.anchors, key=lambda a: math.dist(a, center))
    ahead = center[0] >= anchor[0]
    for to_right in (ahead, not ahead):
        hinge = (center[0] + (-radius if to_right else radius), center[1])
        stand = Stand(anchor, hinge, to_right, center)
        leader = _leader(flag, stand, scene.h)
        struck = math.dist(anchor, hinge) > _REACH * scene.h or scene.field.text_in_the_way(*leader)
        if not struck and _cost(scene, flag, stand, leader, scene.sheet) is not None:
            return stand
    return None


def is_outside(scene: Scene, flag: Flag, stand: Stand) -> bool:
    """Say whether a label stands outside the sheet's border, or on it."""
    return not scene.sheet.contains(_room(flag, stand, scene.h))


@lru_cache(maxsize=1)
def _offsets() -> tuple[Numbers, Numbers]:
    """Return where a hinge may be seen from its anchor, in letter heights; finer near by."""
    dx, dy = np.meshgrid(np.arange(-_REACH, _REACH + 1.0), np.arange(-_REACH, _REACH + 1.0))
    distance = np.hypot(dx, dy)
    keep = (distance >= _LEAST) & (distance <= _REACH)
    for (within, _), (_, step) in itertools.pairwise(_RINGS):
        keep &= (distance <= within) | ((dx % step == 0) & (dy % step == 0))
    return dx[keep], dy[keep]


def _promising(
    scene: Scene, raster: Raster, flag: Flag, anchor: Point, sheet: Box
) -> list[tuple[float, Point, bool]]:
    """Return the best hinges of an anchor by a near price, cheapest first."""
    h = scene.h
    dx, dy = _offsets()
    size = _room(flag, _stand(flag, (0.0, 0.0), (0.0, 0.0), h, to_right=True), h)
    x, y = anchor[0] + dx * h, anchor[1] + dy * h
    left = np.where(dx >= 0, x + size.x0, x - size.x1)
    under = raster.cells_under(left, y + size.y0, left + size.width, y + size.y1)
    outside = (left < sheet.x0) | (left + size.width > sheet.x1)
    outside |= (y + size.y0 < sheet.y0) | (y + size.y1 > sheet.y1)
    free = np.flatnonzero(raster.count(SOLID, under) == 0)
    dx, dy, x, y, under = dx[free], dy[free], x[free], y[free], under.of(free)
    price = np.hypot(dx, dy) + _COST_LINE * (raster.count(LINE, under) > 0)
    price += _COST_OUTSIDE * outside[free]
    price += _face_cost(flag) * (1.0 * (raster.count(FACE, under) > 0) + (raster.count(PATTERN, under) > 0))
    near = np.argsort(price, kind="stable")[:_TRIED]
    x, y = x[near], y[near]
    reach = float(np.max(np.hypot(x - anchor[0], y - anchor[1]), initial=0.5 * h))
    price = price[near] + _COST_CROSSED * raster.crossings(anchor, x, y, 0.8 * h, reach)
    order = np.argsort(price, kind="stable")
    return [(float(price[i]), (float(x[i]), float(y[i])), bool(dx[near[i]] >= 0)) for i in order]


def _stand(flag: Flag, anchor: Point, hinge: Point, h: float, *, to_right: bool) -> Stand:
    reach = mark_radius(flag.number, h)
    return Stand(anchor, hinge, to_right, (hinge[0] + (reach if to_right else -reach), hinge[1]))


def rim(flag: Flag, center: Point, toward: Point, h: float) -> Point:
    """Return where the mark's edge lies on the way to a point."""
    radius = mark_radius(flag.number, h)
    if not flag.number:
        return center
    if not flag.is_round:
        away = (abs(toward[0] - center[0]), abs(toward[1] - center[1]))
        radius *= math.hypot(*away) / (max(away) or 1.0)
    return along(center, toward, radius)


def ring(center: Point, radius: float, corners: int = 24) -> Path:
    """Return the corners of a circle drawn from straight pieces."""
    angles = [2 * math.pi * i / corners for i in range(corners)]
    return tuple((center[0] + radius * math.cos(a), center[1] + radius * math.sin(a)) for a in angles)


def _baselines(flag: Flag, center: Point, h: float) -> list[float]:
    """Return the baselines of the lines, centred about the mark."""
    first = center[1] - 0.5 * h + (len(flag.lines) - 1) * _PITCH * h / 2
    return [first - i * _PITCH * h for i in range(len(flag.lines))]


def _text_start(flag: Flag, stand: Stand, h: float) -> float:
    past = mark_radius(flag.number, h) + 0.6 * h
    return stand.center[0] + (past if stand.to_right else -past)


def _room(flag: Flag, stand: Stand, h: float) -> Box:
    """Return the room of mark and text, with what is kept clear around them."""
    radius, width, start = mark_radius(flag.number, h), widest(flag.lines, h), _text_start(flag, stand, h)
    baselines = _baselines(flag, stand.center, h)
    x0, x1 = (start, start + width) if stand.to_right else (start - width, start)
    text = Box(
        x0,
        baselines[-1] - text_drop(flag.lines[-1], h),
        x1,
        baselines[0] + text_rise(flag.lines[0], h),
    )
    (x, y) = stand.center
    mark = Box(x - radius, y - radius, x + radius, y + radius)
    whole = Box(min(text.x0, mark.x0), min(text.y0, mark.y0), max(text.x1, mark.x1), max(text.y1, mark.y1))
    return Box(whole.x0 - 0.4 * h, whole.y0 - 0.5 * h, whole.x1 + 0.4 * h, whole.y1 + 0.4 * h)


def _leader(flag: Flag, stand: Stand, h: float) -> tuple[Point, Point]:
    """Return the part of a leader that may run through no text: all but its first bit."""
    hinge = rim(flag, stand.center, stand.anchor, h)
    return along(stand.anchor, hinge, 0.3 * h), hinge


def _cost(scene: Scene, flag: Flag, stand: Stand, leader: tuple[Point, Point], sheet: Box) -> float | None:
    """Price a place whose leader runs through no text; None when the place is not free."""
    h, field = scene.h, scene.field
    room = _room(flag, stand, h)
    if not field.is_free(room):
        return None
    crossed = field.crossed(*leader)
    cover = field.cover(room)
    cost = math.dist(stand.anchor, stand.hinge) / h
    cost += _COST_OUTSIDE * (not sheet.contains(room))
    cost += _COST_LINE * (cover.lines > 0) + _face_cost(flag) * ((cover.faces > 0) + (cover.patterns > 0))
    return cost + _COST_CROSSED * crossed.solid + _COST_CROSSED_LINE * crossed.lines


def _face_cost(flag: Flag) -> float:
    return _COST_FACE * (8.0 if flag.is_round else 1.0)


def along(a: Point, b: Point, by: float) -> Point:
    """Return the point on the way from a to b that lies a distance from a."""
    length = math.dist(a, b) or 1.0
    return (a[0] + (b[0] - a[0]) * by / length, a[1] + (b[1] - a[1]) * by / length)


def write_flag(scene: Scene, layer: str, flag: Flag, stand: Stand) -> None:
    """Write the number and the text of a label, and draw its leader."""
    h = scene.h
    hinge = rim(flag, stand.center, stand.anchor, h)
    leader, lead = (stand.anchor, hinge), replace(flag.identity, kind="leader")
    scene.board.add(Stroke(layer, leader, lead, solid=True))
    scene.field.add_path(leader, Level.SOLID)
    scene.report.leaders_in.append(math.dist(*leader))
    if flag.number:
        baseline = (stand.center[0], stand.center[1] - 0.5 * h)
        scene.letters(layer, flag.number, baseline, flag.identity, align="center")
    start, align = _text_start(flag, stand, h), "left" if stand.to_right else "right"
    lines: Sequence[str] = flag.lines[::-1] if scene.page.upside_down else flag.lines
    for line, y in zip(lines, _baselines(flag, stand.center, h), strict=True):
        scene.letters(layer, line, (start, y), flag.identity, align=align)
