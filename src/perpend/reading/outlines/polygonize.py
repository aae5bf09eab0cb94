"""Faces of a net of lines: outlines whose sides are shared, crossed or met half-way.

Only strokes that did not close end to end come here, so the noding (shapely) is small.

Glossary:
    net: strokes that meet in other ways than end to end: a line drawn once for two walls, a frame
        with its glazing bars, lines that overshoot their corners.
    face: an area that the net encloses and no line of it divides.
    bridge: a short line added where an end stops short of another line.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from perpend.dxf.entity_points import Stroke
from perpend.errors import InputError
from perpend.model import Path, Point

if TYPE_CHECKING:
    import numpy.typing as npt

    Numbers = npt.NDArray[Any]

_LIMIT: Final = 20_000
"""Strokes beyond this are not noded: no elevation has so many loose lines on its wall layers."""

_MOST_NEAR: Final = 4_000_000
_MOST_MEETINGS: Final = 250_000
"""Pairs of sides (each counted from both) whose boxes touch, and that meet: beyond either the lines are a
pattern, and dividing them all by each other would take minutes and gigabytes."""

_MOST_PAIRS: Final = 2_000_000
"""Ends × near lines beyond which nothing is bridged: the tolerance spans the drawing's details."""

_PATTERN: Final = 24
"""More faces than this in one group are courses or units of a bond pattern, not walls."""


@dataclass(frozen=True, slots=True)
class Chain:
    """Strokes joined end to end that do not close."""

    points: Path
    strokes: tuple[Stroke, ...]

    @property
    def gap(self) -> float:
        """Distance between its two ends."""
        return math.dist(self.points[0], self.points[-1])


@dataclass(frozen=True, slots=True)
class NetFace:
    """A face of a net.

    Attributes:
        points: its corners, the first not repeated.
        strokes: those that run along its edge, in drawing order.
        gaps: widths of the bridges at its edge.
    """

    points: Path
    strokes: tuple[Stroke, ...]
    gaps: tuple[float, ...]


def loops_met_by(others: Sequence[Chain], loops: Sequence[Chain], gap: float) -> set[int]:
    """Find the loops that other lines end on, so that they may be divided by them.

    Args:
        others: chains that do not close.
        loops: chains that do.
        gap: an end up to this far from a loop ends on it.

    Returns:
        Positions in ``loops``; loops that touch such a loop are among them.
    """
    if not others or not loops:
        return set()
    import shapely

    lines = [shapely.LineString([*loop.points, loop.points[0]]) for loop in loops]
    tree = shapely.STRtree(lines)
    ends = [point for chain in others for point in (chain.points[0], chain.points[-1])]
    met: set[int] = set()
    waiting = ends
    while waiting:
        points = shapely.points(waiting)
        fresh = {int(i) for i in tree.query(points, predicate="dwithin", distance=gap)[1]} - met
        met |= fresh
        waiting = [point for number in fresh for point in loops[number].points]
    return met


def faces_among(
    chains: Sequence[Chain], gap: float, same: float, *, outer_only: bool, file: str = ""
) -> tuple[list[NetFace], list[Chain]]:
    """Find the faces that chains enclose together.

    Args:
        chains: strokes joined end to end that did not close.
        gap: an end that stops up to this short of another line is carried to it, drawing units.
        same: points up to this far apart are one, drawing units.
        outer_only: return the outline round faces that touch, not each of them.
        file: the drawing's path, if a pattern of lines is to be refused and not passed over.

    Returns:
        The faces, and the chains that have no part in one.

    Raises:
        InputError: the lines meet each other in too many places, and a file is named.
    """
    chains = list(chains)
    if not chains or len(chains) > _LIMIT or sum(len(c.points) for c in chains) < 4:
        return [], chains
    import numpy as np
    import shapely

    net = _Net.of(_distinct(chains))
    if net.is_pattern():
        if file:
            raise _pattern_error(chains[0].strokes[0], file)
        return [], chains
    bridges = net.bridges(gap, same)
    lines = [shapely.LineString(c.points) for c in chains]
    noded = shapely.unary_union([*net.lines(), *(shapely.LineString(b) for b, _ in bridges)])
    areas = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    areas = _outlines(list(areas[shapely.area(areas) > gap * gap]), outer_only=outer_only)
    strokes = [s for c in chains for s in c.strokes]
    tree = shapely.STRtree([shapely.LineString(s.points) for s in strokes])
    starts = shapely.STRtree(shapely.points(np.reshape([bridge[0] for bridge, _ in bridges], (-1, 2))))
    faces = []
    for area in areas:
        edge = area.exterior
        band = edge.buffer(2 * same, cap_style="flat")
        near = np.sort(tree.query(band, predicate="intersects"))
        along = near[shapely.length(shapely.intersection(tree.geometries[near], band)) > 8 * same]
        if len(along):
            corners = tuple((float(x), float(y)) for x, y in edge.coords[:-1])
            at_edge = np.sort(starts.query(edge, predicate="dwithin", distance=same))
            widths = tuple(bridges[i][1] for i in at_edge)
            faces.append(NetFace(corners, tuple(strokes[i] for i in along), widths))
    used = {id(s) for face in faces for s in face.strokes}
    whole = shapely.STRtree([shapely.Polygon(f.points).buffer(2 * same) for f in faces])
    rest = [
        chain
        for chain, line in zip(chains, lines, strict=True)
        if not any(id(s) in used for s in chain.strokes)
        and not (outer_only and faces and len(whole.query(line, predicate="covered_by")))
    ]
    return faces, rest


def _outlines(areas: list[Any], *, outer_only: bool) -> list[Any]:
    """Return the outlines that the faces stand for: each its own, or the one round those that touch.

    A group of more than `_PATTERN` faces is a wall with its coursing, not that many walls.
    """
    import shapely

    if not areas:
        return []
    groups = list(shapely.get_parts(shapely.coverage_union_all(areas)))
    if outer_only:
        return groups
    if len(areas) <= _PATTERN:
        return areas
    tree = shapely.STRtree([area.representative_point() for area in areas])
    found = []
    for group in groups:
        members = sorted(int(i) for i in tree.query(group, predicate="intersects"))
        found += [group] if len(members) > _PATTERN else [areas[i] for i in members]
    return found


def _distinct(chains: Sequence[Chain]) -> list[Chain]:
    """Return the chains without those that are drawn once more, in either direction."""
    drawn: dict[Path, Chain] = {}
    for chain in chains:
        drawn.setdefault(min(chain.points, chain.points[::-1]), chain)
    return list(drawn.values())


def _pattern_error(first: Stroke, file: str) -> InputError:
    return InputError(
        f"{file}: the loose lines on layer {first.layer} ({first.kind} {first.handle} is the first) meet "
        f"each other in more than {_MOST_MEETINGS // 2:,} places: put such a pattern on another layer."
    )


@dataclass(frozen=True, slots=True)
class _Net:
    """Chains cut into their sides.

    Attributes:
        chains: no two drawn over each other.
        chain_of: of each side the number of its chain.
        sides: each a line of its own (shapely).
        tree: the sides by where they lie.
    """

    chains: list[Chain]
    chain_of: Numbers
    sides: Any
    tree: Any

    @classmethod
    def of(cls, chains: list[Chain]) -> _Net:
        """Cut chains into their sides."""
        import numpy as np
        import shapely

        counts = [len(chain.points) - 1 for chain in chains]
        pairs = [pair for chain in chains for pair in itertools.pairwise(chain.points)]
        chain_of = np.repeat(np.arange(len(chains)), counts)
        sides = shapely.linestrings(pairs)
        return cls(chains, chain_of, sides, shapely.STRtree(sides))

    def lines(self) -> list[Any]:
        """Return each chain as one line."""
        import shapely

        return [shapely.LineString(chain.points) for chain in self.chains]

    def is_pattern(self) -> bool:
        """Say whether the sides meet each other in too many places; sides that follow each other don't count.

        Pairs are looked at a block at a time, so that no drawing makes a long list of them.
        """
        import numpy as np
        import shapely

        near, meeting, at_once = 0, 0, max(1, _MOST_NEAR // len(self.sides))
        for start in range(0, len(self.sides), at_once):
            a, b = self.tree.query(self.sides[start : start + at_once])
            a += start
            apart = (self.chain_of[a] != self.chain_of[b]) | (abs(a - b) > 1)
            a, b = a[apart], b[apart]
            near += len(a)
            if near > _MOST_NEAR:
                return True
            if near > _MOST_MEETINGS:
                meeting += int(np.count_nonzero(shapely.intersects(self.sides[a], self.sides[b])))
            else:
                meeting += len(a)  # an upper bound does while there are few
            if meeting > _MOST_MEETINGS:
                return True
        return False

    def bridges(self, gap: float, same: float) -> list[tuple[tuple[Point, Point], float]]:
        """Return the short lines that carry free ends to the sides of other lines, and how long each is."""
        import numpy as np
        import shapely

        ends = [point for chain in self.chains for point in (chain.points[0], chain.points[-1])]
        first = np.cumsum([0, *(len(chain.points) - 1 for chain in self.chains)])
        own = np.stack((first[:-1], first[1:] - 1), axis=1).ravel()
        free = self._free(ends, own, same)
        if not len(free):
            return []
        points = shapely.points([ends[end] for end in free])
        at, near = self.tree.query(points, predicate="dwithin", distance=gap)
        if len(at) > _MOST_PAIRS:
            return []
        widths = shapely.distance(points[at], self.sides[near])
        best: dict[int, tuple[float, int]] = {}
        for end, side, width in zip(at.tolist(), near.tolist(), widths.tolist(), strict=True):
            if side != own[free[end]] and width > 0:
                best[end] = min(best.get(end, (math.inf, 0)), (width, side))
        return [
            (_carried_past(ends[free[end]], self.sides[side], points[end], width, gap), width)
            for end, (width, side) in sorted(best.items())
        ]

    def _free(self, ends: Sequence[Point], own: Numbers, same: float) -> Numbers:
        """Return the numbers of the ends that touch no side but their own."""
        import numpy as np
        import shapely

        end, side = self.tree.query(shapely.points(ends), predicate="dwithin", distance=same * 1e-3)
        free = np.ones(len(ends), dtype=bool)
        free[end[side != own[end]]] = False
        return np.flatnonzero(free)


def _carried_past(end: Point, line: Any, at: Any, width: float, gap: float) -> tuple[Point, Point]:  # noqa: ANN401
    """Carry an end to a line and a hair past it, so that rounding cannot leave it short."""
    foot = line.interpolate(line.project(at))
    reach = 1 + 1e-6 * max(1.0, gap / width)
    return end, (end[0] + (foot.x - end[0]) * reach, end[1] + (foot.y - end[1]) * reach)
