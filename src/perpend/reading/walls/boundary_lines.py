"""Walls whose foot or top is drawn on other layers: grade, the edge of a roof, a coping close them."""

from __future__ import annotations

import contextlib
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import Origin, Stroke, strokes_of
from perpend.errors import InputError
from perpend.model import Point
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.entities import OUTLINES, Gathered
from perpend.reading.gather.layer_names import says_boundary
from perpend.reading.outlines.close_outlines import Closed, close_strokes
from perpend.reading.outlines.polygonize import Chain
from perpend.reading.reading_options import ReadingOptions, as_setting
from perpend.wording import listed

if TYPE_CHECKING:
    from ezdxf.layouts.base import BaseLayout

_MOST_ENDS: Final = 40
"""With more ends of wall lines than these, nothing is sought for them on layers whose names say nothing."""

_MOST: Final = 4000
"""More lines than these on such layers are a pattern."""


def closed_with_boundaries(
    closed: Closed,
    layout: BaseLayout,
    found: Gathered,
    options: ReadingOptions,
    tolerances: tuple[float, float],
    notices: Notices,
) -> Closed:
    """Close what is open of the walls with lines of grade, roofs and copings.

    Args:
        closed: what became of the wall lines alone.
        layout: what is read.
        found: what the pass over the layout found.
        options: how much of the drawing may be looked at.
        tolerances: gap that is bridged and ends that are one point, drawing units.
        notices: takes which layers closed a wall.
    """
    loose = [stroke for chain in closed.chains for stroke in chain.strokes]
    if not loose:
        return closed
    named = list(_boundary_strokes(layout, found, options))
    for sure in (True, False):
        lines = named if sure else [*named, *_lines_at_ends(closed.chains, found, tolerances[0])]
        through = _closed_by(lines, closed, loose, tolerances, notices, sure=sure) if lines else closed
        if through is not closed:
            return through
    return closed


def _closed_by(
    lines: Sequence[Stroke],
    closed: Closed,
    loose: Sequence[Stroke],
    tolerances: tuple[float, float],
    notices: Notices,
    *,
    sure: bool,
) -> Closed:
    """Close what is open with some lines; the same where they close nothing."""
    of_walls = {stroke.handle for stroke in loose}
    layers = {stroke.handle: stroke.layer for stroke in lines}
    for strokes in (loose, [_longer(stroke, tolerances[0]) for stroke in loose]):
        through = close_strokes([*strokes, *lines], *tolerances)
        fresh = [r for r in through.rings if of_walls & set(r.handles) and layers.keys() & set(r.handles)]
        if fresh:
            break
    else:
        return closed
    for ring in fresh:
        names = dict.fromkeys(layers[handle] for handle in ring.handles if handle in layers)
        words = (
            f"Wall outline {ring.handle} is open on layer {loose[0].layer}: it was closed with lines of "
            f"{listed(names)}"
        )
        place = NoticePlace(ring.handle, ring.kind, ring.layer)
        if sure:
            notices.note("outline-closed-by-other-layers", f"{words}.", place)
        else:
            both = as_setting(dict.fromkeys((loose[0].layer, *names)))
            cure = f"[layers] walls = {both} says that this is right"
            notices.doubt("outline-closed-by-other-layers", f"{words}, which meet its ends; {cure}.", place)
    chains = [c for c in through.chains if of_walls & {stroke.handle for stroke in c.strokes}]
    return Closed([*closed.rings, *fresh], chains)


def _lines_at_ends(chains: Sequence[Chain], found: Gathered, gap: float) -> Iterator[Stroke]:
    """Yield lines on layers whose names say nothing, with two ends of wall lines on each: grade, a roof."""
    ends = [end for chain in chains for end in (chain.points[0], chain.points[-1])]
    if len(ends) > _MOST_ENDS:
        return
    for entity in itertools.islice((e for e in found.unassigned if e.dxftype() == "LINE"), _MOST):
        layer = layer_of(entity)
        if not is_invisible(entity):
            for stroke in found.expansion.strokes(entity, Origin(str(entity.dxf.handle), layer)):
                if sum(_is_on(end, stroke, gap) for end in ends) > 1:
                    yield stroke


def _is_on(point: Point, line: Stroke, gap: float) -> bool:
    (x, y), (u, v) = line.points[0], line.points[-1]
    length = math.dist((x, y), (u, v))
    if length <= gap:
        return False
    along = ((point[0] - x) * (u - x) + (point[1] - y) * (v - y)) / length
    off = abs((point[0] - x) * (v - y) - (point[1] - y) * (u - x)) / length
    return off <= gap and -gap <= along <= length + gap


def _longer(stroke: Stroke, by: float) -> Stroke:
    """Return a line that runs past both its ends: one that only just ends on another meets it surely."""
    if stroke.closed:
        return stroke
    points = list(stroke.points)
    for end, before in ((0, 1), (-1, -2)):
        (x, y), (u, v) = points[end], points[before]
        part = by / max(math.dist(points[end], points[before]), by)
        points[end] = (x + part * (x - u), y + part * (y - v))
    return replace(stroke, points=tuple(points))


def _boundary_strokes(layout: BaseLayout, found: Gathered, options: ReadingOptions) -> Iterator[Stroke]:
    count = 0
    for entity in layout:
        name = layer_of(entity)
        if entity.dxftype() not in OUTLINES or not says_boundary(name) or is_invisible(entity):
            continue
        layer = found.layers.get(name)
        count += 1
        if layer.roles or layer.ignored or not layer.visible or count > _MOST:
            continue
        with contextlib.suppress(InputError):  # what nobody asked for is no reason to refuse a drawing
            for stroke in strokes_of(entity, Origin(str(entity.dxf.handle), name), "", options.budget.points):
                yield from _sides(stroke)


def _sides(stroke: Stroke) -> Iterator[Stroke]:
    """Yield a line as it is, and of a closed outline (a coping) each side: walls end on one of them."""
    if not stroke.closed:
        yield stroke
        return
    for side in itertools.pairwise((*stroke.points, stroke.points[0])):
        yield replace(stroke, points=side, closed=False)
