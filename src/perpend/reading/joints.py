"""Joints that stand in the drawing already, put together from what the drafter drew.

Glossary:
    run: the line of a joint from its foot to its head, wall axes; it may step aside on the way.
    symbol: a block that marks a joint without drawing its line.
    break: the masonry between two pieces on one line that nobody drew a joint in.
    dashed: drawn piece by piece, with two breaks or more; one break alone is a part that is missing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from perpend.frozen import dataclass
from perpend.model import Box, DrawnJoint, Ignored, Opening, Path, Point, Profile
from perpend.reading.gather import BlockReference
from perpend.reading.outline import Outline, grain
from perpend.reading.rings import join_ends
from perpend.reading.strokes import Stroke
from perpend.units import ON_MODULE_IN, SAME_IN

_LEAST_RISE_IN: Final = 8.0
"""Half a course more than nothing: shorter upright pieces are ticks or dashes of a symbol."""

_DASH_BREAK_IN: Final = 16.0
"""Two courses: a longer break is none of a dashed line."""

_JOINT_WIDTH_IN: Final = 2.0
"""A closed shape up to this wide is a joint drawn with its width."""

_BEARING_IN: Final = 24.0
"""A joint that goes on above an opening stands at most this far from where it stood below."""

_CROWD: Final = 200
"""More pieces than this in one column are no joint."""

_SYMBOL_REACH_IN: Final = 16.0
"""A symbol this near to a joint line marks that joint."""


_DASHED: Final = 2
"""Breaks that make a dashed line."""

_NO_JOINT: Final = "it does not run up the wall like a joint"


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


@dataclass(frozen=True, slots=True)
class _Run:
    path: Path
    handles: tuple[str, ...]
    layer: str
    ours: bool = False
    kind: str = "LINE"
    breaks: tuple[float, ...] = ()
    past: tuple[float, float] = (0.0, 0.0)

    @property
    def rise_in(self) -> float:
        return self.path[-1][1] - self.path[0][1]


def joints_of(
    ink: JointInk, outline: Outline, openings: Sequence[Opening], gap_in: float, placed: set[str]
) -> tuple[tuple[DrawnJoint, ...], list[Ignored]]:
    """Find the drawn joints of one wall.

    Args:
        ink: what is on the joint layers.
        outline: the wall.
        openings: its openings; a joint drawn below and above one is one joint.
        gap_in: ends up to this far apart are joined.
        placed: handles that found their wall; those used here are added.

    Returns:
        The joints from left to right, and what was ignored.
    """
    ignored: list[Ignored] = []
    strokes = [s for s in ink.strokes if _meets(s, outline)]
    for symbol in ink.symbols:
        strokes += [
            replace(s, kind="INSERT") for s in symbol.strokes if _meets(s, outline) and _rises(s, outline)
        ]
    runs = _runs(strokes, outline, gap_in, ignored, placed)
    own_strokes = [s for s in ink.own if _meets(s, outline)]
    own: list[_Run] = []
    for stroke in own_strokes:
        own += _runs([stroke], outline, gap_in, ignored, placed, ours=True)
    columns = _columns(runs)
    runs = [run for column in columns for run in _one_column(column, openings, outline, gap_in, ignored)]
    runs = [_to_the_ends(run, outline) for run in _long_enough(runs, outline, ignored)]
    runs += own
    for symbol in ink.symbols:
        run = _run_of_symbol(symbol, outline, runs, ignored, placed)
        if run is not None:
            runs.append(run)
    runs.sort(key=lambda r: (r.path[0], r.path[-1], r.handles))
    found = (DrawnJoint(r.path, r.handles[0], r.handles, r.ours, None, r.layer, r.past) for r in runs)
    return tuple(found), ignored


def _meets(stroke: Stroke, outline: Outline) -> bool:
    """True when a stroke stands between the wall's ends and reaches into its height."""
    box = Box.around(outline.frame.to_wall(p) for p in stroke.points)
    high = max(y for _, y in outline.top.points)
    inside = -ON_MODULE_IN <= (box.x0 + box.x1) / 2 <= outline.length_in + ON_MODULE_IN
    return inside and min(box.y1, high) - max(box.y0, 0.0) > -ON_MODULE_IN and box.x0 > -_BEARING_IN * 2


def _rises(stroke: Stroke, outline: Outline) -> bool:
    box = Box.around(outline.frame.to_wall(p) for p in stroke.points)
    return box.height >= _LEAST_RISE_IN and box.height > box.width


def _runs(
    strokes: Sequence[Stroke],
    outline: Outline,
    gap_in: float,
    ignored: list[Ignored],
    placed: set[str],
    *,
    ours: bool = False,
) -> list[_Run]:
    inches = outline.frame.inches_per_unit
    found = []
    closed = [s for s in strokes if s.closed]
    loose = _drawn_once([s for s in strokes if not s.closed], outline, ignored, placed)
    chains = [(c.points, c.strokes) for c, _ in join_ends(loose, SAME_IN / inches, gap_in / inches)]
    for points, parts in [*chains, *(((*s.points, s.points[0]), (s,)) for s in closed)]:
        path = [grain(outline.frame.to_wall(p)) for p in points]
        handles = tuple(dict.fromkeys(s.handle for s in parts))
        placed |= set(handles)
        run = _upright(path, outline)
        if run is None:
            there = _there(path, outline)
            ignored.append(Ignored(handles[0], parts[0].kind, parts[0].layer, _NO_JOINT, *there))
        else:
            past = _past(path, run)
            found.append(_Run(run, handles, parts[0].layer, ours, parts[0].kind, past=past))
    return found


def _long_enough(runs: Sequence[_Run], outline: Outline, ignored: list[Ignored]) -> list[_Run]:
    """Leave out what is no longer than a tick, now that dashes have been put together."""
    least = min(_LEAST_RISE_IN, outline.height_in / 2)
    ignored += [
        Ignored(r.handles[0], r.kind, r.layer, _NO_JOINT, *_there(r.path, outline))
        for r in runs
        if r.rise_in < least
    ]
    return [run for run in runs if run.rise_in >= least]


def _to_the_ends(run: _Run, outline: Outline) -> _Run:
    """Carry a dashed line on to the wall's bottom and top where it ends in a break."""
    if len(run.breaks) < _DASHED:
        return run
    (x, y), (u, v) = run.path[0], run.path[-1]
    low, high, reach = max(outline.bottom.at(x)), min(outline.top.at(u)), max(run.breaks) + SAME_IN
    foot = (x, low if 0 < y - low <= reach else y)
    head = (u, high if 0 < high - v <= reach else v)
    return replace(run, path=(foot, *run.path[1:-1], head))


def _there(path: Sequence[tuple[float, float]], outline: Outline) -> tuple[Point, str, float]:
    """Return the middle of a line in drawing axes, no tag of a wall yet, and its station in the wall."""
    middle = Box.around(path).center
    return (outline.frame.to_drawing(middle), "", middle[0])


def _drawn_once(
    strokes: Sequence[Stroke], outline: Outline, ignored: list[Ignored], placed: set[str]
) -> list[Stroke]:
    """Drop strokes that were drawn twice, so that they are not joined into a loop."""
    same = SAME_IN / outline.frame.inches_per_unit
    kept: dict[tuple[tuple[int, int], ...], Stroke] = {}
    for stroke in strokes:
        ends = sorted((round(x / same), round(y / same)) for x, y in (stroke.points[0], stroke.points[-1]))
        first = kept.setdefault((*ends, (len(stroke.points), 0)), stroke)
        if first is not stroke:
            placed.add(stroke.handle)
            why = f"it doubles the joint with handle {first.handle}"
            there = _there([outline.frame.to_wall(p) for p in stroke.points], outline)
            ignored.append(Ignored(stroke.handle, stroke.kind, stroke.layer, why, *there))
    return list(kept.values())


def _upright(path: Sequence[tuple[float, float]], outline: Outline) -> Path | None:
    """Return a path from foot to head within the wall, or None when it is no joint."""
    box = Box.around(path)
    doubled = len(path) > 3 and abs(path[0][1] - path[-1][1]) <= _JOINT_WIDTH_IN < box.height
    if doubled:
        if box.width > _JOINT_WIDTH_IN:
            return None
        path = [(box.center[0], box.y0), (box.center[0], box.y1)]
    if path[0][1] > path[-1][1]:
        path = list(reversed(path))
    rise = path[-1][1] - path[0][1]
    falls = any(b[1] < a[1] - ON_MODULE_IN for a, b in itertools.pairwise(path))
    dash = box.width <= ON_MODULE_IN and rise > SAME_IN
    lowest_course = min(_LEAST_RISE_IN, outline.height_in / 2)
    if (rise < lowest_course and not dash) or falls or box.width > rise:
        return None
    plumb = _plumbed(path)
    return _clipped(plumb, outline.bottom, outline.top)


def _plumbed(path: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stand pieces that lean by no more than tolerance upright, and drop needless corners."""
    found = [path[0]]
    for x, y in path[1:]:
        before = found[-1]
        if abs(x - before[0]) <= ON_MODULE_IN and abs(y - before[1]) > 16 * abs(x - before[0]):
            x = before[0]
        if len(found) > 1 and found[-2][0] == before[0] == x:
            found[-1] = (x, y)
        else:
            found.append((x, y))
    return found


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


def _columns(runs: Sequence[_Run]) -> list[list[_Run]]:
    """Group runs whose pieces may belong together: those near each other along the wall."""
    columns: list[list[_Run]] = []
    reach = -math.inf
    for run in sorted(runs, key=lambda r: min(x for x, _ in r.path)):
        if min(x for x, _ in run.path) > reach + _BEARING_IN:
            columns.append([])
        columns[-1].append(run)
        reach = max(reach, max(x for x, _ in run.path))
    return columns


def _one_column(
    runs: list[_Run], openings: Sequence[Opening], outline: Outline, gap_in: float, ignored: list[Ignored]
) -> list[_Run]:
    """Join the pieces of joints in one column; a crowd of lines is a pattern and stays as it is."""
    if len(runs) > _CROWD:
        return runs
    return _without_doubles(_connected(runs, openings, gap_in), outline, ignored)


def _connected(runs: list[_Run], openings: Sequence[Opening], gap_in: float) -> list[_Run]:
    """Join pieces of one joint that an opening, or a break in the line, parts."""
    waiting = sorted(runs, key=lambda r: (r.path[0][1], r.path[0][0]))
    done: list[_Run] = []
    while waiting:
        run = waiting.pop(0)
        reach = max(gap_in, _DASH_BREAK_IN) if _dashed(run, [run, *waiting], openings) else gap_in
        upper = next((r for r in waiting if _goes_on(run, r, openings, gap_in, reach) is not None), None)
        if upper is None:
            done.append(run)
            continue
        waiting.remove(upper)
        between = _goes_on(run, upper, openings, gap_in, reach) or ()
        path = tuple(_plumbed([*run.path, *between, *upper.path]))
        bare = () if between else (_break(run, upper, openings),)
        breaks = (*run.breaks, *upper.breaks, *(b for b in bare if b > gap_in))
        handles = run.handles + upper.handles
        past = (run.past[0], upper.past[1])
        waiting.insert(0, replace(run, path=path, handles=handles, breaks=breaks, past=past))
    return done


def _break(lower: _Run, upper: _Run, openings: Sequence[Opening]) -> float:
    """Return how much masonry lies between two pieces on one line; openings do not count."""
    (x, y), v = lower.path[-1], upper.path[0][1]
    hollow = sum(
        max(0.0, min(v, o.box.y1) - max(y, o.box.y0))
        for o in openings
        if o.box.x0 - ON_MODULE_IN <= x <= o.box.x1 + ON_MODULE_IN
    )
    return v - y - hollow


def _on_one_line(lower: _Run, upper: _Run) -> bool:
    return abs(upper.path[0][0] - lower.path[-1][0]) <= ON_MODULE_IN


def _dashed(run: _Run, runs: Sequence[_Run], openings: Sequence[Opening]) -> bool:
    """Say whether a piece belongs to a dashed line."""
    line = [r for r in runs if _on_one_line(run, r) and _on_one_line(r, run)]
    pairs = itertools.pairwise(sorted(line, key=lambda r: r.path[0][1]))
    breaks = [_break(a, b, openings) for a, b in pairs]
    return sum(SAME_IN < b <= _DASH_BREAK_IN for b in breaks) + len(run.breaks) >= _DASHED


def _goes_on(
    lower: _Run, upper: _Run, openings: Sequence[Opening], gap_in: float, reach_in: float
) -> Path | None:
    """Return the points between two pieces of one joint, or None when they are two joints.

    Args:
        lower: the lower piece.
        upper: the upper one.
        openings: the wall's openings.
        gap_in: ends up to this far apart are joined.
        reach_in: the same for pieces on one line: more where the line is dashed.
    """
    (x, y), (u, v) = lower.path[-1], upper.path[0]
    if v < y - ON_MODULE_IN or abs(u - x) > _BEARING_IN:
        return None
    if abs(u - x) <= ON_MODULE_IN:
        return () if _break(lower, upper, openings) <= reach_in else None
    for opening in openings:
        box = opening.box
        jamb = next((j for j in (box.x0, box.x1) if abs(j - x) <= ON_MODULE_IN), None)
        if jamb is not None and abs(y - box.y0) <= gap_in and abs(v - box.y1) <= gap_in:
            return ((jamb, box.y1), (u, box.y1))
    return None


def _without_doubles(runs: list[_Run], outline: Outline, ignored: list[Ignored]) -> list[_Run]:
    kept: list[_Run] = []
    for run in sorted(runs, key=lambda r: -(r.path[-1][1] - r.path[0][1])):
        double = next((k for k in kept if _same_line(k.path, run.path)), None)
        if double is None:
            kept.append(run)
        else:
            why = f"it doubles the joint with handle {double.handles[0]}"
            ignored.append(Ignored(run.handles[0], run.kind, run.layer, why, *_there(run.path, outline)))
    return kept


def _same_line(longer: Path, shorter: Path) -> bool:
    near = all(
        abs(a[0] - b[0]) <= _JOINT_WIDTH_IN for a, b in ((longer[0], shorter[0]), (longer[-1], shorter[-1]))
    )
    return near and longer[0][1] - 1 <= shorter[0][1] and shorter[-1][1] <= longer[-1][1] + 1


def _run_of_symbol(
    symbol: BlockReference, outline: Outline, runs: Sequence[_Run], ignored: list[Ignored], placed: set[str]
) -> _Run | None:
    if symbol.handle in placed:
        return None
    x, y = grain(outline.frame.to_wall(symbol.at))
    high = max(y for _, y in outline.top.points)
    if not (-ON_MODULE_IN <= x <= outline.length_in + ON_MODULE_IN and -48.0 <= y <= high + 48.0):
        return None
    placed.add(symbol.handle)
    marked = next((r for r in runs if any(abs(p[0] - x) <= _SYMBOL_REACH_IN for p in r.path)), None)
    if marked is not None:
        why = f"it marks the joint with handle {marked.handles[0]}"
        ignored.append(Ignored(symbol.handle, "INSERT", symbol.layer, why, symbol.at, "", x))
        return None
    path = ((x, min(outline.bottom.at(x))), (x, max(outline.top.at(x))))
    return _Run(path, (symbol.handle,), symbol.layer)
