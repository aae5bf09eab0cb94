"""Callouts: what a thing is, said once, with a leader to it.

A callout may point at any of the things it speaks of; the one is taken that gives the shortest
leader to free room. Where it speaks of several, it ends in "TYP.".

Glossary:
    anchor: the point on a thing where a leader may end.
    elbow: where a leader turns level, beside the first line of the text.
    near price: what a place costs by the raster, which errs to the safe side.
    floor: what a place costs at least; the rest is only looked at where that could still win.
    outside: not within the sheet's border; a callout is placed there only where there is no room within.
    beside: from where to where the walls reach that are beside the one that an anchor lies in; a callout
        above or below them would seem to speak of them.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from perpend.drawing.page.drafting_style import NOTE
from perpend.drawing.page.label_row import Interval
from perpend.drawing.page.occupancy_raster import FACE, LINE, PATTERN, SOLID, Indices, Numbers, Raster
from perpend.drawing.page.scene import Scene
from perpend.drawing.page.sheet_page import Identity
from perpend.drawing.plate.callout_words import Callout, gathered
from perpend.dxf.text_metrics import text_drop, text_rise, widest
from perpend.model import Box, Point

_PITCH = 1.6
_MAX_ANCHORS = 6
_REACH = 40
_COARSER = ((14.0, 2.0, 1.0), (26.0, 3.0, 2.0))
_PRICED, _TRIED = 16, 600
_BLOCK, _FEW = 32, 5
_ROUNDING = 1e-9
_COST_SLOPE = 2.5
_CELL = 0.5
_COST_LINE, _COST_FACE, _COST_PATTERN = 12.0, 5.0, 16.0
_COST_CROSSED_LINE, _COST_CROSSED_SOLID = 0.5, 18.0
_COST_ALONG, _ALONG = 60.0, 0.35
"""A leader that runs nearly along what it points at reads as a part of it."""
_COST_CROWDED, _CROWDED = 8.0, 4.0
_COST_ASTRAY = 15.0
_COST_OUTSIDE = 60.0


@dataclass(frozen=True, slots=True)
class _Anchor:
    at: Point
    beside: tuple[Interval, ...]
    sheet: Box


@dataclass(frozen=True, slots=True)
class Choice:
    """A place of a callout: what it costs, the room of its text, its leader from the thing on."""

    cost: float
    box: Box
    leader: tuple[Point, ...]


def draw_callouts(scene: Scene) -> None:
    """Put every callout of the page where there is room for it."""
    raster = Raster(scene.reach, _CELL * scene.h)
    waiting = (c for c in gathered(scene) if ("callout", c.lines[0]) not in scene.settled)
    for callout in sorted(waiting, key=lambda c: len(c.anchors)):
        choice = _best_choice(scene, raster, callout)
        if choice is None:
            scene.report.remarks.append(f"No room was found for the callout {callout.lines[0]!r}.")
            continue
        draw_choice(scene, callout, choice)


def _best_choice(scene: Scene, raster: Raster, callout: Callout) -> Choice | None:
    """Return the cheapest place of all anchors."""
    raster.catch_up(scene.field)
    walls, sheet = [placed.box for placed in scene.plans], scene.sheet
    best: Choice | None = None
    for point in _spread(callout.anchors):
        anchor = _Anchor(point, _beside(walls, point), sheet)
        most = math.inf if best is None else best.cost
        for rank, (near, shelf, to_right) in enumerate(_promising(scene, raster, callout, anchor, most)):
            most = math.inf if best is None else best.cost
            if best is not None and (rank >= _PRICED or near >= most):
                break
            best = _priced(scene, callout, anchor, shelf, to_right=to_right, below=most) or best
    return best


def _beside(walls: Sequence[Box], point: Point) -> tuple[Interval, ...]:
    """Return the stretches of the walls that are left or right of the one that holds a point."""
    own = next((wall for wall in walls if wall.holds(point)), None)
    if own is None:
        return ()
    return tuple((wall.x0, wall.x1) for wall in walls if wall.x0 >= own.x1 or wall.x1 <= own.x0)


def _spread(anchors: Sequence[Point]) -> Sequence[Point]:
    """Return at most `_MAX_ANCHORS` anchors, evenly taken."""
    if len(anchors) <= _MAX_ANCHORS:
        return anchors
    step = len(anchors) / _MAX_ANCHORS
    return [anchors[int(i * step)] for i in range(_MAX_ANCHORS)]


@dataclass(frozen=True, slots=True)
class _Lattice:
    """Where an elbow may be seen from its anchor, in letter heights, and what that costs at least."""

    dx: Numbers
    dy: Numbers
    least: Numbers

    def of(self, some: Indices) -> _Lattice:
        """Return some of the places."""
        return _Lattice(self.dx[some], self.dy[some], self.least[some])


@lru_cache(maxsize=2)
def _lattice(upright: bool) -> _Lattice:
    """Return the elbows about an anchor on a thing that runs level or upright; finer near by."""
    dx, dy = np.meshgrid(np.arange(-_REACH, _REACH + 1.0), np.arange(-_REACH, _REACH + 0.5, 0.5))
    distance = np.hypot(dx, dy)
    keep = (dx != 0) & (distance >= 2.0) & (distance <= _REACH)
    for beyond, wide, high in _COARSER:
        keep &= (distance <= beyond) | ((dx % wide == 0) & (dy % high == 0))
    across, up = np.abs(dx), np.abs(dy)
    slope = _COST_SLOPE * ((up < 0.4 * across) | (up > 2.5 * across))
    run, rise = (up, across) if upright else (across, up)
    along = _COST_ALONG * (rise < _ALONG * run)
    return _Lattice(dx[keep], dy[keep], (distance + slope + along)[keep])


def _promising(
    scene: Scene, raster: Raster, callout: Callout, anchor: _Anchor, below: float
) -> Iterator[tuple[float, Point, bool]]:
    """Return the best elbows of an anchor, cheapest first: near price, place, and side of the text.

    Places that cost as much as the best one known, by themselves or for what the text lies over, are not
    looked at.

    What a leader runs into is the most expensive to find out: a few places along it show what it costs at
    least, and only where that could still win are all of them looked at.
    """
    h = scene.h
    places = _lattice(callout.upright)
    if below < math.inf:
        places = places.of(np.flatnonzero(places.least < below + _ROUNDING))
    size = _text_room(callout.lines, (0.0, 0.0), widest(callout.lines, h), h, to_right=True)
    x, y = anchor.at[0] + places.dx * h, anchor.at[1] + places.dy * h
    left = np.where(places.dx > 0, x + size.x0, x - size.x1)
    under = raster.cells_under(left, y + size.y0, left + size.width, y + size.y1)
    free = np.flatnonzero(raster.count(SOLID, under) == 0)
    places, x, y, left, under = places.of(free), x[free], y[free], left[free], under.of(free)
    base = places.least + _COST_LINE * (raster.count(LINE, under) > 0)
    base += _COST_FACE * (raster.count(FACE, under) > 0) + _COST_PATTERN * (raster.count(PATTERN, under) > 0)
    for x0, x1 in anchor.beside:
        base += _COST_ASTRAY * ((left < x1) & (x0 < left + size.width))
    base += _COST_OUTSIDE * _are_outside(anchor.sheet, left, y + size.y0, left + size.width, y + size.y1)
    cheap = np.flatnonzero(base < below)
    x, y, base, to_right = x[cheap], y[cheap], base[cheap], places.dx[cheap] > 0

    def price_of(some: Indices | slice, every: int = 1) -> Numbers:
        crossings = raster.crossings(anchor.at, x[some], y[some], 0.8 * h, _REACH * h, every)
        price: Numbers = base[some] + _COST_CROSSED_SOLID * crossings
        return price

    floors = price_of(slice(None), _FEW)
    for price, index in itertools.islice(cheapest_first(floors, price_of), _TRIED):
        yield price, (float(x[index]), float(y[index])), bool(to_right[index])


def _are_outside(sheet: Box, x0: Numbers, y0: Numbers, x1: Numbers, y1: Numbers) -> npt.NDArray[np.bool_]:
    """Say of many boxes whether they reach over the edge of the sheet."""
    outside: npt.NDArray[np.bool_] = (x0 < sheet.x0) | (y0 < sheet.y0) | (x1 > sheet.x1) | (y1 > sheet.y1)
    return outside


def cheapest_first(floors: Numbers, price_of: Callable[[Indices], Numbers]) -> Iterator[tuple[float, int]]:
    """Return prices and indices, the cheapest first and of equal ones the first; few prices are needed.

    Args:
        floors: what each costs at least.
        price_of: returns what some of them cost.
    """
    order = np.argsort(floors, kind="stable")
    waiting: list[tuple[float, int]] = []
    for start in range(0, len(order), _BLOCK):
        block = order[start : start + _BLOCK]
        while waiting and waiting[0][0] < floors[block[0]]:
            yield heapq.heappop(waiting)
        for priced in zip(price_of(block).tolist(), block.tolist(), strict=True):
            heapq.heappush(waiting, priced)
    while waiting:
        yield heapq.heappop(waiting)


def _with_clearance(box: Box, h: float) -> Box:
    return Box(box.x0 - 0.6 * h, box.y0 - 0.7 * h, box.x1 + 0.6 * h, box.y1 + 0.5 * h)


def _text_room(lines: Sequence[str], shelf: Point, width: float, h: float, *, to_right: bool) -> Box:
    """Return the room of the lines whose first one is level with the shelf."""
    start = 1.3 * h
    x0 = shelf[0] + start if to_right else shelf[0] - start - width
    first = shelf[1] - 0.5 * h
    last = first - (len(lines) - 1) * _PITCH * h
    return Box(x0, last - text_drop(lines[-1], h), x0 + width, first + text_rise(lines[0], h))


def _priced(
    scene: Scene, callout: Callout, anchor: _Anchor, shelf: Point, *, to_right: bool, below: float
) -> Choice | None:
    """Price a place; None when it is not free, its leader would run through a text, or it costs too much.

    Args:
        scene: the page.
        callout: what is said.
        anchor: what the leader points at.
        shelf: its elbow.
        to_right: the text is to the right of it.
        below: what the place must cost less than.
    """
    h = scene.h
    box = _text_room(callout.lines, shelf, widest(callout.lines, h), h, to_right=to_right)
    astray = _COST_ASTRAY * sum(box.x0 < x1 and x0 < box.x1 for x0, x1 in anchor.beside)
    astray += _COST_OUTSIDE * (not anchor.sheet.contains(box))
    distance, extras = math.dist(anchor.at, shelf) / h, _extras(scene, callout, anchor.at, shelf)
    least = distance + sum(extras) + astray
    end = (shelf[0] + (h if to_right else -h), shelf[1])
    leader = (_along(anchor.at, shelf, 0.15 * h), shelf, end)
    crossings = []
    for a, b in itertools.pairwise(leader):
        if least > below + _ROUNDING:
            return None
        crossed = scene.field.crossed(a, b)
        if crossed.writing:
            return None
        crossings.append(_COST_CROSSED_SOLID * crossed.solid + _COST_CROSSED_LINE * crossed.lines)
        least += crossings[-1]
    if least > below + _ROUNDING:
        return None
    cover = scene.field.cover(_with_clearance(box, h))
    if cover.writing or cover.solid:
        return None
    over = _COST_LINE * cover.lines + _COST_FACE * cover.faces + _COST_PATTERN * cover.patterns
    cost = sum((over, *crossings, *extras), distance) + astray
    return Choice(cost, box, leader) if cost < below else None


def _extras(scene: Scene, callout: Callout, anchor: Point, shelf: Point) -> tuple[float, float, float]:
    """Price what depends on the leader alone: other leaders' tips near it, its direction."""
    crowd = _COST_CROWDED * sum(math.dist(anchor, tip) < _CROWDED * scene.h for tip in scene.tips)
    slope = abs(shelf[1] - anchor[1]) / (abs(shelf[0] - anchor[0]) + 1e-9)
    away = 1.0 / max(slope, 1e-9) if callout.upright else slope
    return crowd, _COST_ALONG if away < _ALONG else 0.0, 0.0 if 0.4 <= slope <= 2.5 else _COST_SLOPE


def _along(a: Point, b: Point, by: float) -> Point:
    length = math.dist(a, b) or 1.0
    return (a[0] + (b[0] - a[0]) * by / length, a[1] + (b[1] - a[1]) * by / length)


def choice_at(scene: Scene, callout: Callout, start: Point, *, at_left: bool) -> Choice | None:
    """Return a callout at a place that a person chose; None where it does not fit.

    Args:
        scene: the page.
        callout: what is said.
        start: where the baseline of its first line begins or ends.
        at_left: True when it begins there.
    """
    h, lines = scene.h, callout.lines
    width = widest(lines, h)
    left = start[0] if at_left else start[0] - width
    above = (len(lines) - 1) * _PITCH * h if scene.page.upside_down else 0.0
    anchor = min(callout.anchors, key=lambda point: math.dist(point, (left + width / 2, start[1])))
    to_right = left + width / 2 >= anchor[0]
    shelf = (left - 1.3 * h if to_right else left + width + 1.3 * h, start[1] + above + 0.5 * h)
    box = _text_room(lines, shelf, width, h, to_right=to_right)
    leader = (_along(anchor, shelf, 0.15 * h), shelf, (shelf[0] + (h if to_right else -h), shelf[1]))
    cover = scene.field.cover(_with_clearance(box, h))
    struck = any(scene.field.crossed(a, b).writing for a, b in itertools.pairwise(leader))
    far = math.dist(anchor, shelf) > _REACH * h
    return None if cover.writing or cover.solid or struck or far else Choice(0.0, box, leader)


def draw_choice(scene: Scene, callout: Callout, choice: Choice, said: tuple[str, ...] = ()) -> None:
    """Draw a callout and its leader.

    Args:
        scene: the page.
        callout: what is said.
        choice: where.
        said: further words of the XDATA of its text.
    """
    h = scene.h
    identity = replace(callout.identity, said=said)
    lead = Identity("leader", identity.number, identity.rule)
    scene.tips.append(choice.leader[0])
    begin = len(scene.board.marks)
    scene.stroke(NOTE, arrow(choice.leader[0], choice.leader[1], h), lead, closed=True)
    scene.leader(NOTE, choice.leader, lead)
    first = choice.box.y1 - text_rise(callout.lines[0], h)
    to_right = choice.leader[-1][0] < choice.box.x0
    edge, align = (choice.box.x0, "left") if to_right else (choice.box.x1, "right")
    for index, line in enumerate(callout.lines[:: -1 if scene.page.upside_down else 1]):
        scene.letters(NOTE, line, (edge, first - index * _PITCH * h), identity, align=align)
    scene.board.join(begin, choice.leader[0], callout.identity)


def arrow(tip: Point, toward: Point, h: float) -> tuple[Point, Point, Point]:
    """Return a slim arrowhead whose point is at ``tip``."""
    length = math.dist(tip, toward) or 1.0
    ux, uy = (toward[0] - tip[0]) / length, (toward[1] - tip[1]) / length
    back, half = 0.8 * h, 0.2 * h
    bx, by = tip[0] + ux * back, tip[1] + uy * back
    return (tip, (bx - uy * half, by + ux * half), (bx + uy * half, by - ux * half))
