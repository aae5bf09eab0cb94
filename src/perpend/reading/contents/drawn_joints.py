"""Joints that stand in the drawing already, put together from what the drafter drew.

Glossary:
    run: see `perpend.reading.contents.joint_pieces`, which puts runs together.
    symbol: a block that marks a joint without drawing its line: no chain of its lines is one.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import Box, DrawnJoint, Opening, Path, Point, Profile
from perpend.notices import Notices
from perpend.reading.contents.joint_pieces import (
    BEARING_IN,
    DASHED,
    JOINT_WIDTH_IN,
    Run,
    columns,
    one_column,
    plumbed,
    there,
)
from perpend.reading.gather.entities import BlockReference
from perpend.reading.outlines.close_outlines import join_ends
from perpend.reading.outlines.wall_profile import Outline, grain
from perpend.reading.walls.occlusion import goes_behind, is_of_another
from perpend.units import ON_MODULE_IN, SAME_IN

LEAST_RISE_IN: Final = 8.0
"""Half a course more than nothing: shorter upright pieces are ticks or dashes of a symbol."""

_SYMBOL_REACH_IN: Final = 16.0
"""A symbol this near to a joint line marks that joint."""

_NO_JOINT: Final = "it does not run up the wall like a joint"
_TICK: Final = f"{_NO_JOINT}: it is no longer than a tick"


@dataclass(frozen=True, slots=True)
class JointInk:
    """What is drawn on the joint layers of a sheet, drawing axes.

    Attributes:
        strokes: the drafter's lines.
        symbols: the drafter's block references.
        own: joint lines of an earlier run of perpend.
    """

    strokes: tuple[Stroke, ...]
    symbols: tuple[BlockReference, ...]
    own: tuple[Stroke, ...]


def joints_of(
    ink: JointInk,
    outline: Outline,
    openings: Sequence[Opening],
    gap_in: float,
    placed: set[str],
    notices: Notices,
) -> tuple[DrawnJoint, ...]:
    """Find the drawn joints of one wall.

    Args:
        ink: what is on the joint layers.
        outline: the wall.
        openings: its openings; a joint drawn below and above one is one joint.
        gap_in: ends up to this far apart are joined.
        placed: handles that found their wall; those used here are added.
        notices: takes what is ignored.

    Returns:
        The joints from left to right.
    """
    strokes = [s for s in ink.strokes if _meets(s, outline, gap_in)]
    for symbol in ink.symbols:
        strokes += _lines_of(symbol, outline, gap_in)
    runs = _runs(strokes, outline, gap_in, notices, placed)
    own_strokes = [s for s in ink.own if _meets(s, outline, gap_in)]
    own: list[Run] = []
    for stroke in own_strokes:
        own += _runs([stroke], outline, gap_in, notices, placed, ours=True)
    runs = [run for column in columns(runs) for run in one_column(column, openings, outline, gap_in, notices)]
    runs = [_to_the_ends(run, outline) for run in _long_enough(runs, outline, notices)]
    runs = [_carried_behind(run, outline, gap_in) for run in (*runs, *own)]
    for symbol in ink.symbols:
        run = _run_of_symbol(symbol, outline, runs, gap_in, notices, placed)
        if run is not None:
            runs.append(run)
    runs.sort(key=lambda r: (r.path[0], r.path[-1], r.handles))
    found = (
        DrawnJoint(r.path, r.handles[0], r.handles, r.ours, None, r.layer, r.past, r.width) for r in runs
    )
    return tuple(found)


def _meets(stroke: Stroke, outline: Outline, gap_in: float) -> bool:
    """True when a stroke stands between the wall's ends, reaches into its height and is no other wall's."""
    points = [outline.frame.to_wall(p) for p in stroke.points]
    box = Box.around(points)
    high = max(y for _, y in outline.top.points)
    inside = -ON_MODULE_IN <= (box.x0 + box.x1) / 2 <= outline.length_in + ON_MODULE_IN
    high_enough = min(box.y1, high) - max(box.y0, 0.0) > -ON_MODULE_IN
    here = inside and high_enough and box.x0 > -BEARING_IN * 2
    return here and not is_of_another(points, outline, gap_in)


def _lines_of(symbol: BlockReference, outline: Outline, gap_in: float) -> list[Stroke]:
    """Return what a block draws of a joint's line; nothing for a symbol."""
    here = [replace(s, kind="INSERT") for s in symbol.strokes if _meets(s, outline, gap_in)]
    least = _least_rise(outline)
    lines: list[Stroke] = []
    for path, parts in _chains(here, outline, gap_in):
        run = _upright(path, outline)
        if run is not None and run[-1][1] - run[0][1] >= least:
            lines += parts
    return lines


def _least_rise(outline: Outline) -> float:
    return min(LEAST_RISE_IN, outline.height_in / 2)


def _chains(
    strokes: Sequence[Stroke], outline: Outline, gap_in: float
) -> Iterator[tuple[list[Point], Sequence[Stroke]]]:
    """Yield what is drawn end to end, wall axes; a closed chain ends where it begins."""
    inches = outline.frame.inches_per_unit
    loose = [s for s in strokes if not s.closed]
    chains = [(c.points, c.strokes) for c, _ in join_ends(loose, SAME_IN / inches, gap_in / inches)]
    for points, parts in [*chains, *(((*s.points, s.points[0]), (s,)) for s in strokes if s.closed)]:
        yield [grain(outline.frame.to_wall(p)) for p in points], parts


def _runs(
    strokes: Sequence[Stroke],
    outline: Outline,
    gap_in: float,
    notices: Notices,
    placed: set[str],
    *,
    ours: bool = False,
) -> list[Run]:
    found = []
    for path, parts in _chains(_drawn_once(strokes, outline, notices, placed), outline, gap_in):
        handles = tuple(dict.fromkeys(s.handle for s in parts))
        placed |= set(handles)
        run = _upright(path, outline, ours=ours)
        if run is None:
            why = f"{_NO_JOINT}: {_what_it_does(path)}"
            notices.ignore(handles[0], parts[0].kind, parts[0].layer, why, *there(path, outline))
        else:
            strip = _strip(path) if _is_doubled(path) else None
            width, past = strip.width if strip else 0.0, _past(path, run)
            found.append(Run(run, handles, parts[0].layer, ours, parts[0].kind, past=past, width=width))
    return found


def _what_it_does(path: Sequence[Point]) -> str:
    """Say why a chain that is not `_upright` is no joint."""
    box = Box.around(path)
    if box.height <= JOINT_WIDTH_IN:
        return "it runs level"
    if _is_doubled(path):
        return (
            "it comes back to where it began and is wider than a joint; draw the joint's line, or make a "
            "block of the shape, which marks a joint"
        )
    if box.width > box.height - SAME_IN:
        return "it is no higher than wide"
    return "it goes up and down, is no longer than a tick, or is above or below the wall"


def _long_enough(runs: Sequence[Run], outline: Outline, notices: Notices) -> list[Run]:
    """Leave out what is no longer than a tick, now that dashes have been put together."""
    least = _least_rise(outline)
    why = f"{_NO_JOINT}: it is no longer than a tick"
    for run in runs:
        if run.rise_in < least:
            notices.ignore(run.handles[0], run.kind, run.layer, why, *there(run.path, outline))
    return [run for run in runs if run.rise_in >= least]


def _to_the_ends(run: Run, outline: Outline) -> Run:
    """Carry a dashed line on to the wall's bottom and top where it ends in a break."""
    if len(run.breaks) < DASHED:
        return run
    (x, y), (u, v) = run.path[0], run.path[-1]
    low, high, reach = max(outline.bottom.at(x)), min(outline.top.at(u)), max(run.breaks) + SAME_IN
    foot = (x, low if 0 < y - low <= reach else y)
    head = (u, high if 0 < high - v <= reach else v)
    return replace(run, path=(foot, *run.path[1:-1], head))


def _carried_behind(run: Run, outline: Outline, gap_in: float) -> Run:
    """Carry a line that stands on a wall in front down behind that, to the foot of its own wall."""
    x, y = run.path[0]
    dashed = len(run.breaks) >= DASHED
    reach = max(gap_in, *run.breaks) if dashed else gap_in
    if not outline.fronts or not goes_behind((x, y), outline, reach, dashed=dashed):
        return run
    path = plumbed([(x, min(outline.bottom.at(x))), *run.path])
    return replace(run, path=tuple(path), past=(0.0, run.past[1]))


def _drawn_once(
    strokes: Sequence[Stroke], outline: Outline, notices: Notices, placed: set[str]
) -> list[Stroke]:
    """Drop strokes that were drawn twice, so that they are not joined into a loop."""
    same = SAME_IN / outline.frame.inches_per_unit
    kept: dict[tuple[tuple[int, int], ...], Stroke] = {}
    for stroke in (s for s in strokes if not s.closed):
        ends = sorted((round(x / same), round(y / same)) for x, y in (stroke.points[0], stroke.points[-1]))
        first = kept.setdefault((*ends, (len(stroke.points), 0)), stroke)
        if first is not stroke:
            placed.add(stroke.handle)
            why = f"it doubles the joint with handle {first.handle}"
            at = there([outline.frame.to_wall(p) for p in stroke.points], outline)
            notices.ignore(stroke.handle, stroke.kind, stroke.layer, why, *at)
    return [*kept.values(), *(s for s in strokes if s.closed)]


def _upright(path: Sequence[tuple[float, float]], outline: Outline, *, ours: bool = False) -> Path | None:
    """Return a path from foot to head within the wall, or None when it is no joint; ours may be very wide."""
    box = Box.around(path)
    if _is_doubled(path):
        strip = _strip(path)
        if strip is None:
            return None
        path = strip.middle
    if path[0][1] > path[-1][1]:
        path = list(reversed(path))
    rise = path[-1][1] - path[0][1]
    falls = any(b[1] < a[1] - ON_MODULE_IN for a, b in itertools.pairwise(path))
    dash = box.width <= ON_MODULE_IN and rise > SAME_IN
    too_wide = box.width > rise - SAME_IN and not ours
    if (rise < _least_rise(outline) and not dash) or falls or too_wide:
        return None
    plumb = plumbed(path)
    return _clipped(plumb, outline.bottom, outline.top)


def _is_doubled(path: Sequence[Point]) -> bool:
    """True when a path runs up and down again: a strip, or two lines."""
    return len(path) > 3 and abs(path[0][1] - path[-1][1]) <= JOINT_WIDTH_IN < Box.around(path).height


@dataclass(frozen=True, slots=True)
class _Strip:
    """What is drawn of a joint with its width.

    Attributes:
        middle: its middle line.
        width: how wide it is, level.
    """

    middle: Path
    width: float


def _strip(path: Sequence[Point]) -> _Strip | None:
    """Return the middle line of a doubled path, which may lean; None where it is wider than a joint."""
    box = Box.around(path)
    foot = [x for x, y in path if y - box.y0 <= JOINT_WIDTH_IN]
    head = [x for x, y in path if box.y1 - y <= JOINT_WIDTH_IN]
    width = max(max(foot) - min(foot), max(head) - min(head))
    if len(foot) + len(head) >= len(path) and width <= JOINT_WIDTH_IN + SAME_IN:
        ends = ((min(foot) + max(foot)) / 2, box.y0), ((min(head) + max(head)) / 2, box.y1)
        return _Strip(ends, width)
    x = box.center[0]
    return _Strip(((x, box.y0), (x, box.y1)), box.width) if box.width <= JOINT_WIDTH_IN else None


def _clipped(path: list[tuple[float, float]], bottom: Profile, top: Profile) -> Path | None:
    """Cut off what stands out of the wall above and below."""
    foot, head = path[0], path[-1]
    low, high = min(bottom.at(foot[0])), max(top.at(head[0]))
    inner = [p for p in path[1:-1] if low < p[1] < high]
    foot = (foot[0], max(foot[1], low))
    head = (head[0], min(head[1], high))
    return (foot, *inner, head) if head[1] - foot[1] > SAME_IN else None


def _past(drawn: Sequence[tuple[float, float]], kept: Path) -> tuple[float, float]:
    """Return how far a line was drawn on below and above what is kept of it."""
    heights = [y for _, y in drawn]
    return (max(kept[0][1] - min(heights), 0.0), max(max(heights) - kept[-1][1], 0.0))


def _run_of_symbol(
    symbol: BlockReference,
    outline: Outline,
    runs: Sequence[Run],
    gap_in: float,
    notices: Notices,
    placed: set[str],
) -> Run | None:
    if symbol.handle in placed:
        return None
    x, y = grain(outline.frame.to_wall(symbol.at))
    high = max(y for _, y in outline.top.points)
    if not (-ON_MODULE_IN <= x <= outline.length_in + ON_MODULE_IN and -48.0 <= y <= high + 48.0):
        return None
    if any(top.covers((x, y), gap_in) for top in outline.fronts):
        return None
    placed.add(symbol.handle)
    marked = next((r for r in runs if any(abs(p[0] - x) <= _SYMBOL_REACH_IN for p in r.path)), None)
    if marked is not None:
        why = f"it marks the joint with handle {marked.handles[0]}"
        notices.ignore(symbol.handle, "INSERT", symbol.layer, why, symbol.at, x)
        return None
    path = ((x, min(outline.bottom.at(x))), (x, max(outline.top.at(x))))
    return Run(path, (symbol.handle,), symbol.layer)
