"""Openings of a wall: outlines and block references carried into its axes and sorted out.

What lies inside an opening is a detail of it (a door leaf, a pane); two outlines that are the same
are one; two that share a whole jamb are one opening; a low strip at the foot of one is its sill; two that
overlap otherwise are an error of the drawing.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Final

from perpend.errors import InputError
from perpend.model import Box, Frame, Opening, Path, Treatment
from perpend.notices import Notices
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.outlines.wall_profile import grain, tidy
from perpend.reading.reading_options import ReadingOptions, Role
from perpend.units import ON_MODULE_IN, SAME_IN, format_length
from perpend.wording import begun

SILL_IN: Final = 8.0
"""A strip no higher than a course that lies at the foot of an opening is its sill."""
LINTEL_IN: Final = 16.0
"""A strip no higher than two courses that bears at both sides of a higher opening is its lintel."""


@dataclass(frozen=True, slots=True)
class Hole:
    """An opening in wall axes before it has a tag.

    Attributes:
        box: jambs, sill and head.
        outline: corners.
        ring: where it came from.
        arched: True when the head is not straight and level.
        by_block: True when a block's name, not its layer, said that it is an opening.
    """

    box: Box
    outline: Path
    ring: Ring
    arched: bool = False
    by_block: bool = False

    def named(self) -> str:
        """Return its name for sentences."""
        block = f" (block {self.ring.block})" if self.ring.block else ""
        return f"opening {self.ring.handle}{block} on layer {self.ring.layer}"


def hole_of(ring: Ring, frame: Frame, *, by_block: bool = False) -> Hole:
    """Carry an opening's outline into a wall's axes."""
    points = [grain(frame.to_wall(p)) for p in ring.points]
    box = Box.around(points)
    outline = tidy(_squared(points, box)) or tuple(points)
    if len(outline) == 4 and all(x in (box.x0, box.x1) and y in (box.y0, box.y1) for x, y in outline):
        outline = box.corners
        return Hole(box, outline, ring, by_block=by_block)
    return Hole(box, outline, ring, _is_arched(outline, box), by_block)


def _squared(points: Sequence[tuple[float, float]], box: Box) -> list[tuple[float, float]]:
    """Put corners that are within tolerance of a side of the box on it."""
    found = []
    for x, y in points:
        x = next((side for side in (box.x0, box.x1) if abs(x - side) <= SAME_IN), x)
        y = next((side for side in (box.y0, box.y1) if abs(y - side) <= SAME_IN), y)
        found.append((x, y))
    return found


def _is_arched(outline: Path, box: Box) -> bool:
    """True when the upper edge is anything but level from jamb to jamb."""
    level = [x for x, y in outline if box.y1 - y <= SAME_IN]
    if not level:  # the highest corner was a spike
        return True
    return not (min(level) - box.x0 <= ON_MODULE_IN and box.x1 - max(level) <= ON_MODULE_IN)


def tell_apart(holes: Sequence[Hole], file: str, wall: str, notices: Notices) -> list[Hole]:
    """Sort out a wall's holes: details, doubles, halves of one opening, and overlaps.

    Args:
        holes: all that lie in one wall.
        file: the drawing's path, for sentences.
        wall: the wall's name, for sentences.
        notices: takes what was left out or joined.

    Returns:
        The openings from left to right.

    Raises:
        InputError: two openings overlap, or one has no width or no height.
    """
    for hole in holes:
        if hole.box.width <= SAME_IN or hole.box.height <= SAME_IN:
            raise InputError(f"{file}: {hole.named()} has no width or no height: redraw or delete it.")
    kept: list[Hole] = []
    by_size = sorted(holes, key=lambda h: (h.by_block, -h.box.width * h.box.height, h.box.x0, h.box.y0))
    index = _Index()
    for hole in by_size:
        host = next((k for k in index.near(hole.box) if _is_detail(hole, k)), None)
        if host is not None:
            same = host.box.grown(SAME_IN).holds((hole.box.x0, hole.box.y0)) and (
                abs(host.box.width - hole.box.width) + abs(host.box.height - hole.box.height) <= 2 * SAME_IN
            )
            why = f"it is the same as {host.named()}" if same else f"it lies inside {host.named()}"
            notices.ignore(hole.ring.handle, hole.ring.kind, hole.ring.layer, why)
            continue
        index.add(hole)
        kept.append(hole)
    kept.sort(key=lambda h: (h.box.x0, h.box.y0))
    kept = _joined(kept, _share_jamb, notices)
    kept = _joined(_without_strips(kept, notices), _share_bed, notices)
    _refuse_overlaps(kept, file, wall)
    return kept


def _without_strips(holes: Sequence[Hole], notices: Notices) -> list[Hole]:
    """Take out the strips that are drawn as sills and lintels of openings."""
    if not any(_is_low(h, LINTEL_IN) for h in holes):
        return list(holes)
    index = _Index()
    for hole in holes:
        if hole.box.height > SILL_IN + SAME_IN:
            index.add(hole)
    kept = []
    for hole in holes:
        near = index.near(hole.box) if _is_low(hole, LINTEL_IN) else []
        over = next((h for h in near if _is_lintel(hole, h)), None)
        beds = near if _is_low(hole, SILL_IN) else []
        host = next((h for h in beds if _is_sill(hole, h)), over)
        if host is None:
            kept.append(hole)
            continue
        place, name = ("head", "lintel") if host is over else ("foot", "sill")
        high = format_length(hole.box.height)
        why = f"it is a strip {high} high at the {place} of {host.named()}: its {name}"
        notices.ignore(hole.ring.handle, hole.ring.kind, hole.ring.layer, why)
    return kept


def _is_low(hole: Hole, most_in: float) -> bool:
    return hole.box.height <= most_in + SAME_IN and hole.box.width > SILL_IN + SAME_IN


def _is_sill(strip: Hole, opening: Hole) -> bool:
    """True when a strip starts below an opening, ends at its foot, and runs under half of it.

    A strip just as wide as the opening is a part of its frame, or lies between its jambs as they do.
    """
    a, b = strip.box, opening.box
    at_foot = a.y0 <= b.y0 + SAME_IN and b.y0 - SAME_IN <= a.y1 <= b.y0 + SILL_IN
    under = min(a.x1, b.x1) - max(a.x0, b.x0) >= b.width / 2
    return at_foot and a.y0 < b.y0 - SAME_IN and under and not _share_bed(strip, opening)


def _is_lintel(strip: Hole, opening: Hole) -> bool:
    """True when a strip lies on an opening's head and bears on the masonry at both its ends."""
    a, b = strip.box, opening.box
    bears = a.x0 < b.x0 - SAME_IN and a.x1 > b.x1 + SAME_IN
    return bears and abs(a.y0 - b.y1) <= SAME_IN and a.height < b.height


class _Index:
    """Holes by their left jamb, so that neighbours are found without looking at all."""

    def __init__(self) -> None:
        self.lefts: list[float] = []
        self.holes: list[Hole] = []
        self.widest = 0.0

    def add(self, hole: Hole) -> None:
        at = bisect.bisect(self.lefts, hole.box.x0)
        self.lefts.insert(at, hole.box.x0)
        self.holes.insert(at, hole)
        self.widest = max(self.widest, hole.box.width)

    def near(self, box: Box) -> list[Hole]:
        low = bisect.bisect_left(self.lefts, box.x0 - self.widest - SAME_IN)
        high = bisect.bisect_right(self.lefts, box.x1 + SAME_IN)
        return self.holes[low:high]


def _is_detail(inner: Hole, outer: Hole) -> bool:
    if inner.by_block and outer.box.overlaps(inner.box, SAME_IN):
        return True
    return outer.box.grown(SAME_IN).holds((inner.box.x0, inner.box.y0)) and outer.box.grown(SAME_IN).holds(
        (inner.box.x1, inner.box.y1)
    )


def _joined(holes: list[Hole], meet: Callable[[Hole, Hole], bool], notices: Notices) -> list[Hole]:
    """Make one opening of two that share a whole side: there is no masonry between them."""
    found: list[Hole] = []
    reach = -math.inf
    for hole in holes:
        beside = hole.box.x0 <= reach + SAME_IN
        reach = max(reach, hole.box.x1)
        before = next((k for k in reversed(found[-8:]) if meet(k, hole)), None) if beside else None
        if before is None:
            found.append(hole)
            continue
        box = Box.around((*before.box.corners, *hole.box.corners))
        side = "jamb" if box.width > before.box.width + SAME_IN else "level"
        notices.note(
            "openings-joined",
            f"{begun(before.named())} and {hole.named()} share a {side}: they were read as one opening "
            f"{format_length(box.width)} wide and {format_length(box.height)} high.",
        )
        found[found.index(before)] = _as_one(before, hole, box)
    return found


def _as_one(before: Hole, hole: Hole, box: Box) -> Hole:
    """Return the opening that two make; a head that is not level stays as it is drawn."""
    upper = max(before, hole, key=lambda h: h.box.y0)
    outline = tuple((x, box.y0 if y - upper.box.y0 <= SAME_IN else y) for x, y in upper.outline)
    return replace(before, box=box, outline=outline if upper.arched else box.corners, arched=upper.arched)


def _share_jamb(left: Hole, right: Hole) -> bool:
    a, b = left.box, right.box
    level = abs(a.y0 - b.y0) <= SAME_IN and abs(a.y1 - b.y1) <= SAME_IN
    return level and abs(a.x1 - b.x0) <= SAME_IN and not (left.arched or right.arched)


def _share_bed(one: Hole, other: Hole) -> bool:
    """True when one stands on the other and is just as wide: a transom, or the head of a frame."""
    a, b = one.box, other.box
    upright = abs(a.x0 - b.x0) <= SAME_IN and abs(a.x1 - b.x1) <= SAME_IN
    lower = one if a.y0 <= b.y0 else other
    meet = min(abs(a.y1 - b.y0), abs(b.y1 - a.y0)) <= SAME_IN
    return upright and meet and not lower.arched


def _refuse_overlaps(holes: Sequence[Hole], file: str, wall: str) -> None:
    """Sweep from left to right over holes sorted by left jamb."""
    open_now: list[Hole] = []
    for hole in holes:
        open_now = [h for h in open_now if h.box.x1 > hole.box.x0 + SAME_IN]
        for other in open_now:
            if other.box.overlaps(hole.box, SAME_IN):
                wide = min(other.box.x1, hole.box.x1) - hole.box.x0
                raise InputError(
                    f"{file}: {other.named()} and {hole.named()} overlap in wall {wall} by "
                    f"{format_length(wide)}: "
                    "move one, or draw them as one opening."
                )
        open_now.append(hole)


def finished(hole: Hole, tag: str, treatment: Treatment | None, options: ReadingOptions) -> Opening:
    """Return the opening with its tag and with what its layer says of its treatment."""
    roles = options.roles_of(hole.ring.layer)
    by_layer = None
    if Role.UNREINFORCED_OPENINGS in roles:
        by_layer = Treatment.UNREINFORCED
    elif Role.REINFORCED_OPENINGS in roles:
        by_layer = Treatment.REINFORCED
    return Opening(
        tag,
        hole.ring.handle,
        hole.box,
        hole.outline,
        hole.ring.layer,
        treatment or by_layer,
        hole.arched,
    )
