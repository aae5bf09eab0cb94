"""Wall outlines that break off at a doorway: their foot is drawn through it.

Glossary:
    doorway: a shape of the opening layers, or a door block; here only its corners count.
    break: two free ends of wall lines, each beside another corner of the same doorway.
    bridge: the stroke that is added across a break, so that the outline closes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.dxf.entity_points import Stroke
from perpend.model import Box, Path, Point
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.entities import BlockReference
from perpend.reading.outlines.close_outlines import Closed
from perpend.reading.outlines.polygonize import Chain
from perpend.units import format_length

_WIDTHS_IN: Final = (18.0, 288.0)
"""Nothing narrower or wider than this is a doorway."""

_MOST_PAIRS: Final = 2_000_000
"""Ends × corners beyond which nothing is bridged: such a tangle is no outline with doorways."""

_FRAME_IN: Final = 4.0
"""A door frame may stand this far inside the masonry opening."""


@dataclass(frozen=True, slots=True)
class Bridge:
    """What was added across a break.

    Attributes:
        stroke: from one end to the other, as a part of the wall line it carries on.
        doorway: handle of the shape that stands in the break.
        width: of the break, drawing units.
    """

    stroke: Stroke
    doorway: str
    width: float


def note_bridges(bridges: Iterable[Bridge], inches: float, notices: Notices) -> None:
    """Say which outlines of walls were carried through a doorway."""
    for b in bridges:
        notices.note(
            "outline-carried-through-doorway",
            f"The wall outline of {b.stroke.kind} {b.stroke.handle} on layer {b.stroke.layer} is broken "
            f"{format_length(b.width * inches)} wide at doorway {b.doorway}: it was carried through.",
            NoticePlace(b.stroke.handle, b.stroke.kind, b.stroke.layer),
        )


def doorways_among(outlines: Closed, references: Iterable[BlockReference]) -> Iterator[tuple[str, Path]]:
    """Yield handle and corners of everything that may be a doorway, drawing units.

    Args:
        outlines: what is drawn on the opening layers.
        references: door and window blocks on other layers.
    """
    for ring in outlines.rings:
        yield ring.handle, ring.points
    for chain in outlines.chains:
        yield chain.strokes[0].handle, chain.points
    for reference in references:
        box = Box.around([point for stroke in reference.strokes for point in stroke.points])
        yield reference.handle, box.corners


def bridges_across(
    chains: Sequence[Chain], doorways: Iterable[tuple[str, Path]], inches: float
) -> list[Bridge]:
    """Find where wall lines break off at the two jambs of a doorway.

    Args:
        chains: wall lines that do not close, drawing units.
        doorways: handle and corners of every shape that may be a doorway.
        inches: inches in one drawing unit.

    Returns:
        The bridges; no end is bridged twice, the closest fit first.
    """
    ends = [(point, chain) for chain in chains for point in (chain.points[0], chain.points[-1])]
    shapes = list(doorways)
    if len(ends) * sum(len(corners) for _, corners in shapes) > _MOST_PAIRS:
        return []
    least, most = (width / inches for width in _WIDTHS_IN)
    fits = []
    for handle, corners in shapes:
        beside = list(_beside(ends, corners, _FRAME_IN / inches))
        for place, (a, corner_a, off_a) in enumerate(beside):
            for b, corner_b, off_b in beside[place + 1 :]:
                width = math.dist(ends[a][0], ends[b][0])
                if corner_a != corner_b and least <= width <= most:
                    fits.append((off_a + off_b, a, b, handle))
    taken: set[int] = set()
    bridges = []
    for _, a, b, handle in sorted(fits):
        if taken.isdisjoint((a, b)):
            taken |= {a, b}
            bridges.append(_bridge(ends[a], ends[b], handle))
    return bridges


def _beside(
    ends: Sequence[tuple[Point, Chain]], corners: Path, reach: float
) -> Iterator[tuple[int, Point, float]]:
    """Yield every end that lies beside a corner, with that corner and how far off it is."""
    for number, (point, _) in enumerate(ends):
        corner = min(corners, key=lambda c: math.dist(c, point))
        off = math.dist(corner, point)
        if off <= reach:
            yield number, corner, off


def _bridge(start: tuple[Point, Chain], end: tuple[Point, Chain], doorway: str) -> Bridge:
    (a, chain), (b, _) = start, end
    stroke = replace(chain.strokes[0], points=(a, b), closed=False, curved=False, holes=())
    return Bridge(stroke, doorway, math.dist(a, b))
