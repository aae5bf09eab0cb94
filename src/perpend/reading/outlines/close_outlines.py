"""Closed outlines from strokes: those drawn closed, and those put together from pieces.

Glossary:
    ring: a closed outline; its first point is not repeated.
    gap: distance between two ends that are meant to meet; up to a tolerance it is bridged.
    net: strokes that meet in other ways than end to end; see `perpend.reading.outlines.polygonize`.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from perpend.dxf.entity_points import Stroke, ring_area
from perpend.model import Path, Point
from perpend.reading.outlines.polygonize import Chain, faces_among, loops_met_by

_MOST_PAIRS: Final = 500_000
"""Pairs of ends near each other beyond which no gap is bridged: the tolerance spans the drawing's details."""


@dataclass(frozen=True, slots=True)
class Ring:
    """A closed outline in drawing axes and drawing units.

    Attributes:
        points: corners, counter-clockwise, the first not repeated.
        handle: of its first entity.
        handles: every entity it was put together from.
        kind: DXF type of its first entity.
        layer: layer of its first entity.
        curved: True when a part of it was an arc, an ellipse or a spline.
        block: innermost block of its first entity, or empty.
        instance: block reference it stands in; 0 outside blocks.
        gaps: widths of the gaps that were bridged, drawing units.
        holes: rings cut out of it (hatches).
    """

    points: Path
    handle: str
    kind: str
    layer: str
    handles: tuple[str, ...] = ()
    curved: bool = False
    block: str = ""
    instance: int = 0
    gaps: tuple[float, ...] = ()
    holes: tuple[Path, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y; drawing units."""
        xs, ys = zip(*self.points, strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def area(self) -> float:
        """Enclosed area, square drawing units."""
        return abs(ring_area(self.points))


@dataclass(slots=True)
class Closed:
    """What became of a set of strokes."""

    rings: list[Ring] = field(default_factory=list)
    chains: list[Chain] = field(default_factory=list)


def close_strokes(
    strokes: Sequence[Stroke], gap: float, same: float, *, outer_only: bool = False, file: str = ""
) -> Closed:
    """Find every closed outline among strokes.

    Args:
        strokes: what is drawn.
        gap: ends up to this far apart are joined, drawing units.
        same: ends up to this far apart are one point, drawing units.
        outer_only: of strokes that divide a shape, return the outline round the whole and not its
            parts (openings with their glazing bars).
        file: the drawing's path, if a pattern of lines is to be refused and not passed over.

    Returns:
        The rings, and the chains that do not close.

    Raises:
        InputError: loose lines meet each other in too many places, and a file is named.
    """
    done = Closed()
    if not strokes:
        return done
    loose: list[Stroke] = []
    for stroke in strokes:
        ring = _closed_by_itself(stroke, gap, same)
        if ring is not None:
            done.rings.append(ring)
        else:
            loose.append(stroke)
    loops: list[tuple[Chain, list[float]]] = []
    tangled: list[Chain] = []
    for chain, gaps in join_ends(loose, same, gap):
        if len(chain.points) > 3 and chain.gap <= gap:
            loops.append((chain, gaps))
        else:
            tangled.append(chain)
    met = loops_met_by(tangled, [chain for chain, _ in loops], gap)
    for number, (chain, gaps) in enumerate(loops):
        if number in met:
            tangled.append(chain)
        else:
            done.rings.append(_ring_of_chain(chain, gaps, same))
    faces, rest = faces_among(tangled, gap, same, outer_only=outer_only, file=file)
    done.rings += [_ring_of(face.points, face.strokes, face.gaps, same) for face in faces]
    for chain in rest:
        if len(chain.points) > 3 and chain.gap <= gap:
            done.rings.append(_ring_of_chain(chain, (), same))
        else:
            done.chains.append(chain)
    return done


def _closed_by_itself(stroke: Stroke, gap: float, same: float) -> Ring | None:
    points = stroke.points
    gaps: tuple[float, ...] = ()
    if not stroke.closed:
        ends = math.dist(points[0], points[-1])
        length = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
        if len(points) < 4 or ends > min(gap, length / 8):
            return None
        points = _closed_up(points, same)
        gaps = (ends,) if ends > same else ()
    if len(points) < 3:
        return None
    return Ring(
        _leftward(points),
        stroke.handle,
        stroke.kind,
        stroke.layer,
        (stroke.handle,),
        stroke.curved,
        stroke.block,
        stroke.instance,
        gaps,
        stroke.holes,
    )


def _closed_up(points: Path, same: float) -> Path:
    """Return an open path as a ring, its two ends carried to the corner they meant."""
    if math.dist(points[0], points[-1]) <= same:
        return points[:-1]
    corner = _corner(points[-2], points[-1], points[0], points[1])
    return points if corner is None else (*points[1:-1], corner)


def _leftward(points: Path) -> Path:
    return points if ring_area(points) >= 0 else points[::-1]


def _ring_of(points: Path, strokes: Sequence[Stroke], gaps: Iterable[float], same: float) -> Ring:
    first = strokes[0]
    return Ring(
        _leftward(points),
        first.handle,
        first.kind,
        first.layer,
        tuple(dict.fromkeys(s.handle for s in strokes)),
        any(s.curved for s in strokes),
        first.block,
        first.instance,
        tuple(g for g in gaps if g > same),
    )


def _ring_of_chain(chain: Chain, gaps: Iterable[float], same: float) -> Ring:
    return _ring_of(_closed_up(chain.points, same), chain.strokes, (*gaps, chain.gap), same)


def join_ends(strokes: Sequence[Stroke], same: float, gap: float) -> list[tuple[Chain, list[float]]]:
    """Join strokes end to end; at a point where more than two ends meet, chains stop.

    Ends that coincide are joined first, then single ends up to ``gap`` apart, nearest first.

    Args:
        strokes: open strokes.
        same: ends up to this far apart are one point.
        gap: ends up to this far apart are joined.

    Returns:
        Each chain with the widths of the gaps that were bridged within it.
    """
    ends: list[Point] = [p for s in strokes for p in (s.points[0], s.points[-1])]
    partner: dict[int, tuple[int, float]] = {}
    crowded: set[int] = set()
    for group in _clusters(ends, same):
        if len(group) == 2 and group[0] ^ 1 != group[1]:
            partner[group[0]], partner[group[1]] = (group[1], 0.0), (group[0], 0.0)
        elif len(group) > 2:
            crowded |= set(group)
    single = [i for i in range(len(ends)) if i not in partner and i not in crowded]
    for width, a, b in sorted(_near_pairs(ends, single, gap)):
        if a not in partner and b not in partner and a ^ 1 != b:
            partner[a], partner[b] = (b, width), (a, width)
    return _walk(strokes, partner)


def _walk(
    strokes: Sequence[Stroke], partner: dict[int, tuple[int, float]]
) -> list[tuple[Chain, list[float]]]:
    used: set[int] = set()
    found = []
    starts = [i for i in range(2 * len(strokes)) if i not in partner] + [2 * i for i in range(len(strokes))]
    for start in starts:
        if start // 2 in used:
            continue
        points: list[Point] = []
        parts: list[Stroke] = []
        gaps: list[float] = []
        end = start
        while True:
            stroke = strokes[end // 2]
            used.add(end // 2)
            parts.append(stroke)
            run = stroke.points if end % 2 == 0 else stroke.points[::-1]
            _carry_on(points, run)
            following = partner.get(end ^ 1)
            if following is None or following[0] // 2 in used:
                break
            if following[1] > 0:
                gaps.append(following[1])
            end = following[0]
        found.append((Chain(tuple(points), tuple(parts)), gaps))
    return found


def _carry_on(points: list[Point], run: Sequence[Point]) -> None:
    """Append a run to a path; where they miss each other, both are carried to the corner they meant."""
    if not points:
        points.extend(run)
        return
    if points[-1] != run[0]:
        corner = _corner(points[-2], points[-1], run[0], run[1])
        if corner is None:
            points.append(run[0])
        else:
            points[-1] = corner
    points.extend(run[1:])


def _corner(before: Point, end: Point, start: Point, after: Point) -> Point | None:
    """Return where two sides meet when carried on, if that is near the ends they have."""
    ux, uy = end[0] - before[0], end[1] - before[1]
    vx, vy = after[0] - start[0], after[1] - start[1]
    cross = ux * vy - uy * vx
    width = math.dist(end, start)
    if abs(cross) <= 0.1 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    along = ((start[0] - end[0]) * vy - (start[1] - end[1]) * vx) / cross
    meeting = (end[0] + along * ux, end[1] + along * uy)
    near = math.dist(meeting, end) <= 2 * width and math.dist(meeting, start) <= 2 * width
    return meeting if near else None


def _clusters(points: Sequence[Point], reach: float) -> list[list[int]]:
    """Group points that lie within ``reach`` of the first of their group."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    groups: list[list[int]] = []
    size = max(reach, 1e-9)
    for index, (x, y) in enumerate(points):
        column, row = math.floor(x / size), math.floor(y / size)
        home = next(
            (
                g
                for i in (-1, 0, 1)
                for j in (-1, 0, 1)
                for g in cells.get((column + i, row + j), ())
                if math.dist(points[groups[g][0]], (x, y)) <= reach
            ),
            None,
        )
        if home is None:
            cells[column, row].append(len(groups))
            groups.append([index])
        else:
            groups[home].append(index)
    return groups


def _near_pairs(points: Sequence[Point], chosen: Sequence[int], reach: float) -> list[tuple[float, int, int]]:
    """Return (distance, i, j) of every pair of chosen points within ``reach``; none if they are too many."""
    if reach <= 0.0:
        return []
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    pairs = []
    for index in chosen:
        x, y = points[index]
        column, row = math.floor(x / reach), math.floor(y / reach)
        for i in (-1, 0, 1):
            for j in (-1, 0, 1):
                for other in cells.get((column + i, row + j), ()):
                    width = math.dist(points[other], points[index])
                    if width <= reach:
                        pairs.append((width, other, index))
        if len(pairs) > _MOST_PAIRS:
            return []
        cells[column, row].append(index)
    return pairs
