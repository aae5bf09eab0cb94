"""Horizontal reinforcement between joints, as lines: in bed joints, or in crack-control bond beams.

Every line stops at joints, openings and lintels, and at the wall's edges. What is drawn is the choice
that the settings name; where they name none, the notes list the choices and nothing is drawn.

Glossary:
    level: height at which a line runs, the middle of a bond beam's course or a bed joint.
    span: a stretch of a level that is masonry.
"""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence

from perpend.layout.joint_lines import station_at
from perpend.model import Bar, Box, Joint, Path, ReinforcementChoice, Wall
from perpend.rulebook.no_joint_steel import spread
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN

Span = tuple[float, float]


def chosen_bars(basis: WallBasis, joints: Sequence[Joint]) -> tuple[Bar, ...]:
    """Return the lines of the horizontal reinforcement that the settings chose; none without a choice.

    Bond beams that the drawing shows already are not drawn again.
    """
    choice = basis.reinforcement.choice
    if choice is None or not basis.draws_reinforcement:
        return ()
    if not choice.in_beds and any(not beam.structural for beam in basis.wall.bond_beams):
        return ()
    return horizontal_bars(basis, joints, choice)


def horizontal_bars(
    basis: WallBasis, joints: Sequence[Joint], choice: ReinforcementChoice
) -> tuple[Bar, ...]:
    """Return the lines of one choice of horizontal reinforcement, each from stop to stop.

    Args:
        basis: the wall's basis.
        joints: the wall's joints.
        choice: wires in bed joints, or bars in bond beams.
    """
    wall = basis.wall
    if choice.in_beds:
        levels = _beds(wall, choice.max_spacing_in)
        note = "joint reinforcement, stops at joints"
        return tuple(Bar(path, "horizontal", note=note) for path in _paths(basis, joints, levels))
    levels = _courses(wall, choice.max_spacing_in, basis.course_in)
    note = "crack-control bond beam, stops at joints"
    return tuple(Bar(path, "bond-beam", note=note) for path in _paths(basis, joints, levels))


def bed_bars(basis: WallBasis, joints: Sequence[Joint], spacing_in: float, note: str) -> tuple[Bar, ...]:
    """Return the lines of joint reinforcement in bed joints at a spacing."""
    levels = _beds(basis.wall, spacing_in)
    return tuple(Bar(path, "horizontal", note=note) for path in _paths(basis, joints, levels))


def stopped(path: Path, joints: Sequence[Joint]) -> Iterator[Path]:
    """Yield the pieces of a level line between the joints that it meets."""
    (x0, y), (x1, _) = path
    for left, right in _cut_at([(x0, x1)], [station_at(joint.path, y) for joint in joints]):
        yield ((left, y), (right, y))


def debonded(basis: WallBasis, joints: Sequence[Joint]) -> Path:
    """Return the places where a structural bond beam runs through a joint, left to right."""
    found = []
    for beam in (b for b in basis.wall.bond_beams if b.structural):
        y = beam.box.center[1]
        found += [(x, y) for x in (station_at(j.path, y) for j in joints) if _inner(beam.box, x)]
    return tuple(sorted(found))


def _inner(box: Box, x: float) -> bool:
    return box.x0 + SAME_IN < x < box.x1 - SAME_IN


def bond_beam_notes(basis: WallBasis, joints: Sequence[Joint]) -> Iterator[str]:
    """Say what bond beams do at joints, with the rows that require it."""
    if not joints:
        return
    if any(not beam.structural for beam in basis.wall.bond_beams):
        yield f"Crack-control bond beams stop at joints{_by(basis, 'reinforcement.at-joint')}."
    if debonded(basis, joints):
        yield (
            "Structural bond beams run through the joints, debonded on one side of each"
            f"{_by(basis, 'reinforcement.structural')}."
        )


def _by(basis: WallBasis, row: str) -> str:
    return "".join(f" [{source.cite()}]" for source in basis.source_of(row))


def _base(wall: Wall) -> float:
    return min(y for _, y in wall.bottom.points)


def _beds(wall: Wall, spacing_in: float) -> Iterator[float]:
    """Yield the bed joints at whole spacings above the wall's bottom."""
    for k in range(1, math.ceil((wall.greatest_height_in - SAME_IN) / spacing_in)):
        yield _base(wall) + k * spacing_in


def _courses(wall: Wall, spacing_in: float, course_in: float) -> Iterator[float]:
    """Yield the middles of the fewest courses that lie no farther apart than the spacing, spread evenly."""
    available = math.floor(wall.greatest_height_in / course_in + SAME_IN)
    count = min(math.ceil(wall.greatest_height_in / spacing_in - SAME_IN), available)
    for course in spread(count, available) if count else ():
        yield _base(wall) + (course + 0.5) * course_in


def _paths(basis: WallBasis, joints: Sequence[Joint], levels: Iterable[float]) -> Iterator[Path]:
    for y in levels:
        stops = [station_at(joint.path, y) for joint in joints]
        for x0, x1 in _cut_at(_masonry(basis, y), stops):
            yield ((x0, y), (x1, y))


def _masonry(basis: WallBasis, y: float) -> list[Span]:
    """List the stretches of a level that lie in the wall, outside openings, lintels and structural beams."""
    cuts = [
        (box.x0, box.x1)
        for box, on_top in _holes(basis)
        if box.y0 - SAME_IN <= y <= box.y1 + (-SAME_IN if on_top else SAME_IN)
    ]
    return list(without(_inside(basis.wall, y), sorted(cuts)))


def _holes(basis: WallBasis) -> Iterator[tuple[Box, bool]]:
    """Yield what interrupts a level, and whether reinforcement may lie in the bed joint on top of it."""
    for rule in basis.openings:
        yield rule.opening.box, False
        if rule.lintel is not None:
            yield rule.lintel.box, True
    for beam in basis.wall.bond_beams:
        if beam.structural:
            yield beam.box, True


def _inside(wall: Wall, y: float) -> list[Span]:
    """List the stretches of a level between the wall's bottom and its top."""
    stations = {x for edge in (wall.top, wall.bottom) for x, _ in edge.points}
    for edge in (wall.top, wall.bottom):
        for (xa, ya), (xb, yb) in itertools.pairwise(edge.points):
            if min(ya, yb) < y < max(ya, yb) and xa != xb:
                stations.add(xa + (xb - xa) * (y - ya) / (yb - ya))
    found: list[Span] = []
    for x0, x1 in itertools.pairwise(sorted(stations)):
        middle = (x0 + x1) / 2
        if not max(wall.bottom.at(middle)) + SAME_IN < y < min(wall.top.at(middle)) - SAME_IN:
            continue
        if found and found[-1][1] == x0:
            found[-1] = (found[-1][0], x1)
        else:
            found.append((x0, x1))
    return found


def without(spans: Iterable[Span], cuts: Sequence[Span]) -> Iterator[Span]:
    """Yield what is left of some spans without others; both sorted by their starts, swept once."""
    i = 0
    for x0, x1 in spans:
        at = x0
        while i < len(cuts) and cuts[i][0] < x1:
            if cuts[i][0] - at > SAME_IN:
                yield (at, cuts[i][0])
            at = max(at, cuts[i][1])
            if at > x1:
                break
            i += 1
        if x1 - at > SAME_IN:
            yield (at, x1)


def _cut_at(spans: Iterable[Span], stops: Iterable[float]) -> Iterator[Span]:
    ordered = sorted(stops)
    for x0, x1 in spans:
        first, last = bisect_right(ordered, x0 + SAME_IN), bisect_left(ordered, x1 - SAME_IN)
        yield from itertools.pairwise([x0, *ordered[first:last], x1])
