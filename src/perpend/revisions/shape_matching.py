"""Which wall of an old drawing is which wall of the new one, and likewise for the openings of a wall.

A drafter's mark decides where it names one thing in both issues; then shape and place decide. What is left on
either side was removed or added.

Glossary:
    mark: a tag that the drafter drew; tags that reading made up (``wall 2``, ``opening 3``) are none.
    shift: what has to be added to a place in the axes of the old wall to have it in those of the new one.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final, TypeVar

from perpend.model import Box, Opening, Point, Wall
from perpend.units import MOVED_WITHIN_IN, SAME_IN, same

T = TypeVar("T", Wall, Opening)
Pair = tuple[int | None, int | None]
_MADE_UP: Final = re.compile(r"(?:wall|opening) \d+(?: \(\d+\))?", re.IGNORECASE)
_LEAST_SHARED: Final = 0.5
"""Two outlines that share less of their area than this are two things, unless a mark says otherwise."""


def is_mark(tag: str) -> bool:
    """Say whether a drafter drew a tag; reading makes up ``wall 2`` and ``opening 3``."""
    return _MADE_UP.fullmatch(tag) is None


def match_walls(old: Sequence[Wall], new: Sequence[Wall]) -> list[Pair]:
    """Pair the walls of two issues.

    Returns:
        Pairs of indices, in the order of the new walls; those that are gone come last.
    """
    names, by = _common_marks(old, new), _sheet_moved(old, new)

    def rank(a: Wall, b: Wall) -> tuple[float, ...] | None:
        named = a.tag == b.tag and a.tag in names
        if not named and (a.tag in names or b.tag in names):
            return None
        there, here = moved_box(_on_sheet(a), by), _on_sheet(b)
        apart = abs(there.center[0] - here.center[0]) + abs(there.center[1] - here.center[1])
        if named:
            return (0, apart)
        if _same_outline(a, b):
            return (1, apart)
        shared = _shared(there, here)
        return (2, -shared, apart) if shared >= _LEAST_SHARED else None

    return _paired(old, new, rank)


def match_openings(old: Sequence[Opening], new: Sequence[Opening], shift: Point) -> list[Pair]:
    """Pair the openings of two issues of a wall; see `match_walls`.

    A mark in several openings, as that of a type, decides only within the distance in which
    a joint too is taken for the same one.
    """
    names = _common_marks(old, new)

    def rank(a: Opening, b: Opening) -> tuple[float, ...] | None:
        there, here = moved_box(a.box, shift), b.box
        apart = abs(there.x0 - here.x0) + abs(there.y0 - here.y0)
        marked = is_mark(a.tag) and a.tag == b.tag
        if _same_box(there, here):
            return (0, not marked, apart)
        if a.tag in names or b.tag in names:
            return (1, apart) if marked else None
        near = apart <= MOVED_WITHIN_IN + SAME_IN
        if marked:
            return (2, apart) if near else None
        if near and same(there.width, here.width) and same(there.height, here.height):
            return (3, apart)
        shared = _shared(there, here)
        return (4, -shared, apart) if shared >= _LEAST_SHARED else None

    return _paired(old, new, rank)


def moved_box(box: Box, by: Point) -> Box:
    """Return a box moved by a shift."""
    return Box(box.x0 + by[0], box.y0 + by[1], box.x1 + by[0], box.y1 + by[1])


def best_shift(old: Wall, new: Wall) -> Point:
    """Return the shift under which most of a wall stays where it was.

    A wall that grew at its left end has other stations all along, and yet nothing in it moved. Tried are the
    place on the sheet, the left and the right end; for heights the sheet, the bottom and the top. The one
    that leaves most ends, jambs and joints (sills, heads and edges) where they were counts, the first of
    equals.
    """
    x, y = new.frame.to_wall(old.frame.to_drawing((0.0, 0.0)))
    if not same(old.frame.inches_per_unit, new.frame.inches_per_unit, 1e-9):
        x = y = 0.0  # in another unit nothing is at the same place on the sheet
    across = _most_in_place(_stations(old), _stations(new), (x, 0.0, new.length_in - old.length_in))
    up = _most_in_place(_heights(old), _heights(new), (y, 0.0, _crown(new) - _crown(old)))
    return (across, up)


def _crown(wall: Wall) -> float:
    return max(y for _, y in wall.top.points)


def _stations(wall: Wall) -> list[float]:
    jambs = [x for o in wall.openings for x in (o.box.x0, o.box.x1)]
    return [0.0, wall.length_in, *jambs, *(j.path[0][0] for j in wall.drawn_joints)]


def _heights(wall: Wall) -> list[float]:
    edges = {y for edge in (wall.top, wall.bottom) for _, y in edge.points}
    return [*edges, *(y for o in wall.openings for y in (o.box.y0, o.box.y1))]


def _most_in_place(old: Iterable[float], new: Iterable[float], shifts: Sequence[float]) -> float:
    """Return the shift under which most old places are new ones too, the first of equals."""
    grains = {g for place in new for g in _grains(place)}
    places = list(old)
    return max(shifts, key=lambda shift: sum(round((p + shift) / SAME_IN) in grains for p in places))


def _grains(place: float) -> tuple[int, int, int]:
    grain = round(place / SAME_IN)
    return (grain - 1, grain, grain + 1)


def _common_marks(old: Sequence[T], new: Sequence[T]) -> set[str]:
    """Return the marks that name exactly one thing in both issues."""
    before, after = Counter(t.tag for t in old), Counter(t.tag for t in new)
    return {tag for tag, count in before.items() if count == after[tag] == 1 and is_mark(tag)}


def _paired(
    old: Sequence[T], new: Sequence[T], rank: Callable[[T, T], tuple[float, ...] | None]
) -> list[Pair]:
    """Pair what fits best first."""
    fits = [
        (fit, i, j) for i, a in enumerate(old) for j, b in enumerate(new) if (fit := rank(a, b)) is not None
    ]
    partner: dict[int, int] = {}
    taken: set[int] = set()
    for _, i, j in sorted(fits):
        if i not in taken and j not in partner:
            partner[j] = i
            taken.add(i)
    return [*((partner.get(j), j) for j in range(len(new))), *_left(len(old), taken)]


def _left(count: int, taken: set[int]) -> Iterator[Pair]:
    return ((i, None) for i in range(count) if i not in taken)


def _sheet_moved(old: Sequence[Wall], new: Sequence[Wall]) -> Point:
    """Return how far the elevations as a whole are from where they were on the sheet, inches.

    They are where they were if most walls are; else their common lower left corner tells.
    """
    before, after = [_on_sheet(w) for w in old], [_on_sheet(w) for w in new]
    if not before or not after:
        return (0.0, 0.0)
    corner = (
        min(b.x0 for b in after) - min(b.x0 for b in before),
        min(b.y0 for b in after) - min(b.y0 for b in before),
    )

    def in_place(by: Point) -> int:
        return sum(any(_same_box(moved_box(a, by), b) for b in after) for a in before)

    return max(((0.0, 0.0), corner), key=in_place)


def _same_outline(a: Wall, b: Wall) -> bool:
    return same(a.length_in, b.length_in) and same(a.height_in, b.height_in) and same(_crown(a), _crown(b))


def _same_box(a: Box, b: Box) -> bool:
    return all(same(p, q) for p, q in zip((a.x0, a.y0, a.x1, a.y1), (b.x0, b.y0, b.x1, b.y1), strict=True))


def _on_sheet(wall: Wall) -> Box:
    """Return the box around a wall on its sheet, inches."""
    corners = [wall.frame.to_drawing(p) for p in (*wall.top.points, *wall.bottom.points)]
    scale = wall.frame.inches_per_unit
    return Box.around([(x * scale, y * scale) for x, y in corners])


def _shared(a: Box, b: Box) -> float:
    """Return the part of the area of two boxes together that both cover."""
    width, height = min(a.x1, b.x1) - max(a.x0, b.x0), min(a.y1, b.y1) - max(a.y0, b.y0)
    both = max(width, 0.0) * max(height, 0.0)
    whole = a.width * a.height + b.width * b.height - both
    return both / whole if whole else 0.0
