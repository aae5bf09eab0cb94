"""Proposed joints: the nearest layout that satisfies the rules, in a lighter line than joints have.

What stays is not drawn again. A joint that comes is a dashed line; one that moves has an arrow from where
it was; one that goes is crossed out.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.drawing.page.drafting_style import PROPOSED
from perpend.drawing.page.leader_labels import Flag, stand_for, write_flag
from perpend.drawing.page.occupancy import Level
from perpend.drawing.page.occupancy_raster import Raster
from perpend.drawing.page.scene import PlacedPlan, Scene, rule_of
from perpend.drawing.page.sheet_page import Identity, Stroke
from perpend.drawing.plate.callouts import arrow
from perpend.drawing.plate.office_words import short_length
from perpend.dxf.text_metrics import plain
from perpend.layout.nearest_layout import NearestLayout, Proposed
from perpend.model import Path, Point
from perpend.units import DisplaySystem, format_length

_CROSS = 0.8
_LEAST_ARROW = 2.0
_ALONG = (0.5, 0.75, 0.25, 0.62, 0.38, 0.88, 0.12)


@dataclass(frozen=True, slots=True)
class Change:
    """One joint that does not stay as it is, and its wall."""

    wall: str
    proposed: Proposed


def changes_of(cures: Sequence[tuple[str, NearestLayout]]) -> list[Change]:
    """Return what changes in every wall, from left to right."""
    return [Change(tag, p) for tag, cure in cures for p in cure.proposed if p.change != "kept"]


def draw_changes(scene: Scene, changes: Sequence[Change]) -> list[Flag]:
    """Draw the lines of the changes in a page's walls; return their labels, not placed yet."""
    walls = {placed.plan.wall.tag: placed for placed in scene.plans}
    return [_draw(scene, walls[c.wall], c) for c in changes if c.wall in walls]


def label_changes(scene: Scene, raster: Raster, flags: Sequence[Flag]) -> None:
    """Write the labels where there is room."""
    for flag in flags:
        found = stand_for(scene, raster, flag)
        if found is None:
            scene.report.remarks.append(
                f"No room was found for the label {flag.lines[0]!r}; the list has it."
            )
        else:
            write_flag(scene, PROPOSED, *found)


def _draw(scene: Scene, placed: PlacedPlan, change: Change) -> Flag:
    proposed, h = change.proposed, scene.h
    number, rule = f"{change.wall}-{proposed.joint.number}", rule_of(proposed.joint.sources)
    identity = Identity("proposed", number, rule)
    was = proposed.was.handle if proposed.was is not None else ""
    line = Identity("proposed", number, rule, (f"change={proposed.change}", f"was={was}"))
    path = placed.spot.path(proposed.joint.path)
    if proposed.change == "removed":
        for center in points_along(path, (0.2, 0.5, 0.8)):
            for n, stroke in enumerate(_cross(center, _CROSS * h)):
                _solid(scene, stroke, identity if n else line)
    else:
        scene.stroke(PROPOSED, path, line)
    if proposed.change in ("moved", "redrawn") and proposed.was is not None:
        _draw_move(scene, placed.spot.path(proposed.was.path), path, identity)
    lines = tuple(plain(line) for line in label_lines(proposed, scene.style.display))
    return Flag("", lines, tuple(points_along(path, _ALONG)), identity)


def _draw_move(scene: Scene, old: Path, new: Path, identity: Identity) -> None:
    """Draw an arrow from where a joint was to where it goes, half way up."""
    (start,), (end,) = points_along(old, (0.4,)), points_along(new, (0.4,))
    start = (start[0], end[1])
    if abs(start[0] - end[0]) < _LEAST_ARROW * scene.h:
        return
    _solid(scene, (start, end), identity)
    _solid(scene, arrow(end, start, scene.h), identity, closed=True)


def _solid(scene: Scene, path: Path, identity: Identity, *, closed: bool = False) -> None:
    scene.board.add(Stroke(PROPOSED, path, identity, closed, solid=True))
    scene.field.add_path((*path, path[0]) if closed else path, Level.SOLID)


def _cross(center: Point, size: float) -> Iterator[Path]:
    (x, y) = center
    yield ((x - size, y - size), (x + size, y + size))
    yield ((x - size, y + size), (x + size, y - size))


def points_along(path: Path, parts: Sequence[float]) -> list[Point]:
    """Return points on a joint's line by parts of its height."""
    low, high = path[0][1], path[-1][1]
    found = []
    for part in parts:
        y = low + (high - low) * part
        pieces = [(a, b) for a, b in itertools.pairwise(path) if a[1] <= y <= b[1] and b[1] > a[1]]
        (xa, ya), (xb, yb) = pieces[0] if pieces else (path[0], path[-1])
        t = (y - ya) / (yb - ya) if yb > ya else 0.0
        found.append((xa + (xb - xa) * t, y))
    return found


def label_lines(proposed: Proposed, system: DisplaySystem) -> tuple[str, str]:
    """Say in two short lines what becomes of a joint."""
    to = format_length(proposed.joint.x_in, system)
    if proposed.change == "added":
        return ("add joint", f"at {to}")
    if proposed.change == "removed":
        return ("remove joint", f"at {to}")
    was = proposed.was
    if was is None or proposed.change == "redrawn":
        return ("redraw joint", f"at {to}")
    way = "right" if proposed.joint.x_in > was.x_in else "left"
    return (
        f"move joint {short_length(proposed.move_in, system)} {way}",
        f"from {format_length(was.x_in, system)} to {to}",
    )
