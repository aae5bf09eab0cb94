"""Pieces of joints put together: dashes, parts below and above an opening, double lines.

Glossary:
    run: the line of a joint from its foot to its head, wall axes; it may step aside on the way.
    break: the masonry between two pieces on one line that nobody drew a joint in.
    dashed: drawn piece by piece, with two breaks or more; one break alone is a part that is missing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.model import Box, Opening, Path, Point
from perpend.notices import Notices
from perpend.reading.outlines.wall_profile import Outline
from perpend.units import ON_MODULE_IN, SAME_IN

DASHED: Final = 2
"""Breaks that make a dashed line."""

JOINT_WIDTH_IN: Final = 2.0
"""A closed shape up to this wide is a joint drawn with its width."""

BEARING_IN: Final = 24.0
"""A joint that goes on above an opening stands at most this far from where it stood below."""

DASH_BREAK_IN: Final = 16.0
"""Two courses: a longer break is none of a dashed line."""

_LEAN: Final = 1 / 100
"""A line that leans by no more than this part of its rise was meant to be upright."""

_CROWD: Final = 200
"""More pieces than this in one column are no joint."""


@dataclass(frozen=True, slots=True)
class Run:
    """A joint's line, or a piece of one.

    Attributes:
        path: from its foot to its head.
        handles: of what it is drawn with, the first of its foot.
        layer: of its first entity.
        ours: True for a joint of an earlier run of perpend.
        kind: DXF type of its first entity.
        breaks: heights of the breaks in it.
        past: how far it was drawn on below and above what is kept of it.
        width: how wide it was drawn; 0 for one line.
    """

    path: Path
    handles: tuple[str, ...]
    layer: str
    ours: bool = False
    kind: str = "LINE"
    breaks: tuple[float, ...] = ()
    past: tuple[float, float] = (0.0, 0.0)
    width: float = 0.0

    @property
    def rise_in(self) -> float:
        """From foot to head."""
        return self.path[-1][1] - self.path[0][1]


def columns(runs: Sequence[Run]) -> list[list[Run]]:
    """Group runs whose pieces may belong together: those near each other along the wall."""
    found: list[list[Run]] = []
    reach = -math.inf
    for run in sorted(runs, key=lambda r: min(x for x, _ in r.path)):
        if min(x for x, _ in run.path) > reach + BEARING_IN:
            found.append([])
        found[-1].append(run)
        reach = max(reach, max(x for x, _ in run.path))
    return found


def one_column(
    runs: list[Run], openings: Sequence[Opening], outline: Outline, gap_in: float, notices: Notices
) -> list[Run]:
    """Join the pieces of joints in one column; a crowd of lines is a pattern and stays as it is."""
    if len(runs) > _CROWD:
        return runs
    return _without_doubles(_connected(runs, openings, gap_in), outline, notices)


def _connected(runs: list[Run], openings: Sequence[Opening], gap_in: float) -> list[Run]:
    """Join pieces of one joint that an opening, or a break in the line, parts."""
    waiting = sorted(runs, key=lambda r: (r.path[0][1], r.path[0][0]))
    done: list[Run] = []
    while waiting:
        run = waiting.pop(0)
        reach = max(gap_in, DASH_BREAK_IN) if _dashed(run, [run, *waiting], openings) else gap_in
        upper = next((r for r in waiting if _goes_on(run, r, openings, gap_in, reach) is not None), None)
        if upper is None:
            done.append(replace(run, path=tuple(plumbed(_smoothed(run.path)))))
            continue
        waiting.remove(upper)
        between = _goes_on(run, upper, openings, gap_in, reach) or ()
        path = (*run.path, *between, *upper.path)
        bare = () if between else (_gap(run, upper, openings),)
        breaks = (*run.breaks, *upper.breaks, *(b for b in bare if b > gap_in))
        handles = run.handles + upper.handles
        past = (run.past[0], upper.past[1])
        waiting.insert(0, replace(run, path=path, handles=handles, breaks=breaks, past=past))
    return done


def _break(lower: Run, upper: Run, openings: Sequence[Opening]) -> float:
    """Return how much masonry lies between two pieces on one line; openings do not count."""
    (x, y), v = lower.path[-1], upper.path[0][1]
    return v - y - hollow_in(x, y, v, openings)


def _gap(lower: Run, upper: Run, openings: Sequence[Opening]) -> float:
    """Return the break of a dash as it was drawn, beside an opening too; of a longer one the masonry."""
    drawn = upper.path[0][1] - lower.path[-1][1]
    return drawn if drawn <= DASH_BREAK_IN else _break(lower, upper, openings)


def hollow_in(x: float, low: float, high: float, openings: Sequence[Opening]) -> float:
    """Return how much of an upright stretch lies in openings, or at their jambs."""
    boxes = (o.box for o in openings if o.box.x0 - ON_MODULE_IN <= x <= o.box.x1 + ON_MODULE_IN)
    return sum(max(0.0, min(high, box.y1) - max(low, box.y0)) for box in boxes)


def _on_one_line(lower: Run, upper: Run) -> bool:
    """Say whether a piece begins where a lower one ends, or where that would come if it went on.

    A dash that leans a little was read as upright: what it may have leaned is let pass.
    """
    (x0, y0), (x, y), (u, v) = *lower.path[-2:], upper.path[0]
    ahead = x + (x - x0) * (v - y) / (y - y0) if y > y0 else x
    leaned = min(v - y0, 2 * DASH_BREAK_IN) * _LEAN
    return min(abs(u - x), abs(u - ahead)) <= ON_MODULE_IN + leaned


def _dashed(run: Run, runs: Sequence[Run], openings: Sequence[Opening]) -> bool:
    """Say whether a piece, the lowest of some, belongs to a dashed line, which may lean."""
    breaks, last = len(run.breaks), run
    for upper in sorted(runs, key=lambda r: r.path[0][1]):
        above = upper is not run and upper.path[0][1] >= last.path[-1][1] - ON_MODULE_IN
        if above and _on_one_line(last, upper):
            breaks += SAME_IN < _gap(last, upper, openings) <= DASH_BREAK_IN
            last = upper
    return breaks >= DASHED


def _goes_on(
    lower: Run, upper: Run, openings: Sequence[Opening], gap_in: float, reach_in: float
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
    if v < y - ON_MODULE_IN or abs(u - x) > BEARING_IN:
        return None
    if _on_one_line(lower, upper):
        return () if _break(lower, upper, openings) <= reach_in else None
    for opening in openings:
        box = opening.box
        jamb = next((j for j in (box.x0, box.x1) if abs(j - x) <= ON_MODULE_IN), None)
        if jamb is not None and abs(y - box.y0) <= gap_in and abs(v - box.y1) <= gap_in:
            return ((jamb, box.y1), (u, box.y1))
        if reach_in > gap_in and _turns_at(lower, upper, box.y1, gap_in, reach_in):
            return ((x, box.y1), (u, box.y1))
    return None


def _turns_at(lower: Run, upper: Run, head_in: float, gap_in: float, reach_in: float) -> bool:
    """Say whether a break of a dashed line lies where it turns, drawn level at the head of an opening."""
    (x, y), (u, v) = lower.path[-1], upper.path[0]
    level = (a[1] == b[1] and abs(a[1] - head_in) <= gap_in for a, b in (lower.path[-2:], upper.path[:2]))
    return any(level) and abs(u - x) <= reach_in and abs(v - head_in) <= gap_in and head_in - y <= reach_in


def _without_doubles(runs: list[Run], outline: Outline, notices: Notices) -> list[Run]:
    kept: list[list[Run]] = []
    for run in sorted(runs, key=lambda r: -(r.path[-1][1] - r.path[0][1])):
        group = next((k for k in kept if _same_line(k[0].path, run.path)), None)
        if group is None:
            kept.append([run])
        else:
            group.append(run)
            why = f"it doubles the joint with handle {group[0].handles[0]}"
            notices.ignore(run.handles[0], run.kind, run.layer, why, *there(run.path, outline))
    return [_in_the_middle(group) for group in kept]


def _in_the_middle(group: Sequence[Run]) -> Run:
    """Return the first of some runs on one line; in their middle where they draw its width together."""
    first = group[0]
    plumb = [r for r in group if len(r.path) == 2 and r.path[0][0] == r.path[1][0]]
    alike = [r for r in plumb if abs(r.rise_in - first.rise_in) <= ON_MODULE_IN]
    low = min((r.path[0][0] - r.width / 2 for r in alike), default=0.0)
    high = max((r.path[0][0] + r.width / 2 for r in alike), default=0.0)
    if first not in alike or not first.width < high - low <= JOINT_WIDTH_IN + SAME_IN:
        return first
    x = (low + high) / 2
    return replace(first, path=tuple((x, y) for _, y in first.path), width=high - low)


def _same_line(longer: Path, shorter: Path) -> bool:
    near = all(
        abs(a[0] - b[0]) <= JOINT_WIDTH_IN for a, b in ((longer[0], shorter[0]), (longer[-1], shorter[-1]))
    )
    return near and longer[0][1] - 1 <= shorter[0][1] and shorter[-1][1] <= longer[-1][1] + 1


def _smoothed(path: Sequence[Point]) -> list[Point]:
    """Return a path without the corners that lie on its straight parts, such as the ends of dashes."""
    (x0, y0), (x1, y1) = path[0], path[-1]
    aside = [abs(x - (x0 + (x1 - x0) * (y - y0) / (y1 - y0))) if y1 > y0 else 0.0 for x, y in path[1:-1]]
    if not aside or max(aside) <= ON_MODULE_IN:
        return [path[0], path[-1]]
    corner = aside.index(max(aside)) + 1
    return [*_smoothed(path[: corner + 1])[:-1], *_smoothed(path[corner:])]


def plumbed(path: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
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


def there(path: Sequence[tuple[float, float]], outline: Outline) -> tuple[Point, float]:
    """Return the middle of a line in drawing axes, and its station in the wall."""
    middle = Box.around(path).center
    return outline.frame.to_drawing(middle), middle[0]
