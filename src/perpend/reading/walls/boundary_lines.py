"""Walls whose foot or top is drawn on other layers: grade, the edge of a roof, a coping close them."""

from __future__ import annotations

import contextlib
import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from perpend.dxf.entity_attributes import is_invisible, layer_of
from perpend.dxf.entity_points import Origin, Stroke, strokes_of
from perpend.errors import InputError
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.entities import OUTLINES, Gathered
from perpend.reading.gather.layer_names import says_boundary
from perpend.reading.outlines.close_outlines import Closed, close_strokes
from perpend.reading.reading_options import ReadingOptions
from perpend.wording import listed

if TYPE_CHECKING:
    from ezdxf.layouts.base import BaseLayout

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
    lines = list(_boundary_strokes(layout, found, options))
    if not lines:
        return closed
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
        notices.note(
            "outline-closed-by-other-layers",
            f"Wall outline {ring.handle} is open on layer {loose[0].layer}: it was closed with lines of "
            f"{listed(names)}.",
            NoticePlace(ring.handle, ring.kind, ring.layer),
        )
    chains = [c for c in through.chains if of_walls & {stroke.handle for stroke in c.strokes}]
    return Closed([*closed.rings, *fresh], chains)


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
