"""Why an outline in a wall is no opening, on a layer that holds walls and openings.

There an inner outline is an opening unless its size or its place says otherwise.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from perpend.model import Box
from perpend.reading.gather.layer_names import says_before_walls
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.walls.opening_shape_test import (
    LEAST_DOORWAY_IN,
    LONGEST,
    hangs,
    is_round_text,
    is_shutter,
)
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN

STRIP_IN: Final = 16.0
"""Two courses: what lies along a wall and is no higher is a coping, a footing or a band."""

_NARROW_IN: Final = 12.0
_SLIM: Final = 6.0
"""What is narrower, and so much higher than it is wide, is no opening; nor is a strip so much wider."""

_SMALL_IN: Final = 16.0
"""What is smaller than a block is long is a lamp, a vent or a box for a meter."""

_HEAD_IN: Final = 24.0
"""What is narrower and hangs from the top of a wall is a scupper or the head of a downspout."""

_FITTING: Final = re.compile(
    r"\bSIGN(?:AGE)?\b|FIXTURE|\bWALL.?PACK|\bCANOPY\b|\bAWNING\b|DOWNSPOUT|SCUPPER|\bMETER\b", re.IGNORECASE
)
"""What a text says in an outline that is no opening."""


def is_band(box: Box, host: Face) -> bool:
    """True for what runs along the whole wall and is too low for a wall or a doorway there."""
    low = box.height <= STRIP_IN if hangs(box, host) else box.height < LEAST_DOORWAY_IN - SAME_IN
    return low and box.width > LONGEST * host.outline.length_in


def why_no_opening(ring: Ring, box: Box, host: Face, windows: Iterable[Box]) -> str:
    """Return why an outline is no opening, or nothing.

    Args:
        ring: the outline.
        box: that round it, in the axes of its wall.
        host: the wall.
        windows: the openings that were read, in the same axes.
    """
    if is_band(box, host):
        return "it is a band along the whole wall, and too low for an opening"
    if box.width < _NARROW_IN and box.height > _SLIM * box.width:
        return "it is upright and too narrow for an opening: a pipe or the like"
    if box.height < STRIP_IN - SAME_IN and box.width > _SLIM * box.height:
        return "it is level and too low for an opening: a band or the like"
    if min(box.width, box.height) < _SMALL_IN - SAME_IN and max(box.width, box.height) <= _SMALL_IN + SAME_IN:
        return "it is too small for a door or a window: a lamp, a vent or the like"
    if is_round_text(box, host):
        return "it is drawn round a text"
    if ring.block and says_before_walls(ring.block):
        return f"it is in block {ring.block}, whose name is that of a fitting"
    if any(_FITTING.search(t.text) and box.holds(host.outline.frame.to_wall(t.at)) for t in host.texts):
        return "the text in it is that of a fitting"
    if hangs(box, host) and box.width < _HEAD_IN and box.y1 >= max(host.outline.top.at(box.center[0])) - 1.0:
        return "it hangs from the top of the wall: a scupper or the head of a downspout"
    apart = [w for w in windows if max(box.x0 - w.x1, w.x0 - box.x1) > SAME_IN]
    if hangs(box, host) and is_shutter(box, apart):
        return "it is narrow and beside a window: its shutter"
    return ""
