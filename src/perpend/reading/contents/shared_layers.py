"""Layers that the settings name for both openings and joints: what closes is an opening, the rest joints.

Glossary:
    shared: on such a layer.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from typing import Final

from perpend.model import Box
from perpend.reading.contents.joint_pieces import JOINT_WIDTH_IN
from perpend.reading.gather.entities import Gathered
from perpend.reading.outlines.close_outlines import Closed, Ring
from perpend.reading.outlines.polygonize import Chain
from perpend.reading.reading_options import Role
from perpend.units import GAP_IN

_DOOR_CORNERS: Final = 6
_DOOR_LENGTH: Final = 2.0
"""A door without its threshold has few corners, and its ends lie within half the length of its line; those
of a joint's line lie farther apart, or it steps often."""


def openings_apart(outlines: Closed, found: Gathered, inches: float) -> Closed:
    """Take from the outlines on opening layers what is a joint, and from the strokes of joints what is none.

    Args:
        outlines: what is drawn on opening layers, closed where it closes.
        found: its ``strokes`` of joints are those of joints alone afterwards.
        inches: inches in one drawing unit.

    Returns:
        The outlines of openings.
    """
    joints = found.strokes[Role.JOINTS]
    shared = {s.layer for s in joints if Role.OPENINGS in found.layers.get(s.layer).roles}
    if not shared:
        return outlines
    rings = [r for r in outlines.rings if r.layer not in shared or not _is_strip(r, inches)]
    boxes = [Box(*ring.box).grown(GAP_IN / inches) for ring in rings]
    chains = [
        chain
        for chain in outlines.chains
        if chain.strokes[0].layer not in shared or _is_open_door(chain) or _is_detail(chain, boxes)
    ]
    drawn = {handle for ring in rings for handle in ring.handles}
    drawn |= {stroke.handle for chain in chains for stroke in chain.strokes}
    found.strokes[Role.JOINTS] = [s for s in joints if s.layer not in shared or s.handle not in drawn]
    return Closed(rings, chains)


def _is_strip(ring: Ring, inches: float) -> bool:
    """True for a joint that is drawn with its width."""
    sides = itertools.pairwise((*ring.points, ring.points[0]))
    half = sum(math.dist(a, b) for a, b in sides) / 2
    return ring.area * inches <= JOINT_WIDTH_IN * half


def _is_detail(chain: Chain, openings: Iterable[Box]) -> bool:
    """True for a line inside an opening: a glazing bar, the swing of a door."""
    return any(all(map(box.holds, chain.points)) for box in openings)


def _is_open_door(chain: Chain) -> bool:
    length = sum(math.dist(a, b) for a, b in itertools.pairwise(chain.points))
    return 3 < len(chain.points) <= _DOOR_CORNERS and length >= _DOOR_LENGTH * chain.gap
