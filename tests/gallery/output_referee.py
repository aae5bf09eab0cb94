"""A referee that looks at an output drawing with ezdxf alone; it shares no code with the program.

On every course (8 in., half way up) the masonry is the outline less the openings, cut at the joints. All is
plain interval arithmetic. Layers are known by name: outlines, openings, and the layer of joint lines.

Glossary:
    free edge: an edge of the masonry at an opening that goes from foot to top.
    piece: masonry on one course between two neighbouring cuts, of which one at least is a joint.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf import bbox, disassemble

COURSE = 8.0
LEAST_PANEL = 24.0
SLACK = 1 / 32
PRACTICALLY = 0.5
"""A stretch of an edge this short does not count: arcs are read as chords."""

Point = tuple[float, float]


@dataclass(frozen=True)
class Seen:
    """What stands in an output drawing.

    Attributes:
        outlines: of walls.
        holes: outlines of openings.
        joints: path of each joint line.
        texts: what is lettered on layers of ours, on one line, with its middle.
    """

    outlines: tuple[tuple[Point, ...], ...]
    holes: tuple[tuple[Point, ...], ...]
    joints: tuple[tuple[Point, ...], ...]
    texts: tuple[tuple[str, Point], ...] = ()

    @property
    def uprights(self) -> list[tuple[float, float, float]]:
        """Station, foot and head of every upright piece of a joint."""
        found = []
        for path in self.joints:
            for (xa, ya), (xb, yb) in itertools.pairwise(path):
                if abs(xa - xb) <= SLACK and abs(ya - yb) > SLACK:
                    found.append((xa, min(ya, yb), max(ya, yb)))
        return found


def is_joint_layer(layer: str) -> bool:
    """Say whether joint lines stand on a layer: the plain one, or a numbered one where that was taken."""
    return re.fullmatch(r"A-ELEV-JNTC(-\d+)?", layer) is not None


def look(path: Path) -> Seen:
    """Read an output drawing."""
    space = ezdxf.readfile(path).modelspace()
    outlines, holes, joints = [], [], []
    texts = tuple(_lettered(space))
    for entity in space:
        layer = entity.dxf.layer
        if entity.dxftype() == "LINE" and is_joint_layer(layer):
            joints.append(((entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y)))
        if entity.dxftype() != "LWPOLYLINE":
            continue
        points = tuple((p.x, p.y) for p in entity.vertices_in_wcs())
        if layer.startswith("A-ELEV-WALL"):
            outlines.append(points)
        elif layer.startswith("A-ELEV-OPNG"):
            holes.append(_flat(entity))
        elif is_joint_layer(layer):
            joints.append(points)
    return Seen(tuple(outlines), tuple(holes), tuple(joints), texts)


def _lettered(space: ezdxf.layouts.Modelspace) -> Iterator[tuple[str, Point]]:
    """Yield the texts on layers of ours, those of tables and lists too, with the middle of each."""
    for entity in disassemble.recursive_decompose(space):
        if entity.dxftype() in ("TEXT", "MTEXT", "ATTRIB") and entity.dxf.layer.startswith("A-ELEV-JNTC"):
            words = entity.plain_text() if entity.dxftype() == "MTEXT" else entity.dxf.text
            box = bbox.extents([entity], fast=True)
            if box.has_data:
                yield " ".join(words.split()), (box.center.x, box.center.y)


def _flat(entity: ezdxf.entities.LWPolyline) -> tuple[Point, ...]:
    from ezdxf import path

    return tuple((p.x, p.y) for p in path.make_path(entity).flattening(0.01))


def crossings(ring: Sequence[Point], y: float) -> list[float]:
    """Return the stations at which a level line crosses a ring, left to right."""
    found = []
    for (xa, ya), (xb, yb) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if (ya > y) != (yb > y):
            found.append(xa + (xb - xa) * (y - ya) / (yb - ya))
    return sorted(found)


def spans(ring: Sequence[Point], y: float) -> list[tuple[float, float]]:
    """Return the stretches of a level line inside a ring."""
    cuts = crossings(ring, y)
    return list(zip(cuts[::2], cuts[1::2], strict=True))


def courses(ring: Sequence[Point]) -> Iterator[float]:
    """Yield the levels half way up each course of a wall."""
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    y = low + COURSE / 2
    while y < high:
        yield y
        y += COURSE


def through_openings(seen: Seen) -> list[str]:
    """Name every joint that runs inside an opening."""
    found = []
    for x, y0, y1 in seen.uprights:
        for ring in seen.holes:
            xs, ys = zip(*ring, strict=True)
            if not min(xs) + PRACTICALLY < x < max(xs) - PRACTICALLY:
                continue
            low, high = max(y0, min(ys)), min(y1, max(ys))
            inside = [
                y
                for k in range(1, 8)
                if (y := low + (high - low) * k / 8) < high - SLACK
                and any(a + PRACTICALLY < x < b - PRACTICALLY for a, b in spans(ring, y))
            ]
            if high - low > PRACTICALLY and inside:
                found.append(f"the joint at {x:g} runs through an opening at {min(xs):g}..{max(xs):g}")
    return found


def voids(seen: Seen, outline: Sequence[Point]) -> list[tuple[float, float]]:
    """Return the stations between which openings leave no masonry from foot to top."""
    found = []
    for ring in seen.holes:
        xs, ys = zip(*ring, strict=True)
        middle = (min(xs) + max(xs)) / 2
        heights = sorted(
            y
            for (xa, ya), (xb, yb) in zip(outline, (*outline[1:], outline[0]), strict=True)
            if (xa > middle) != (xb > middle)
            for y in [ya + (yb - ya) * (middle - xa) / (xb - xa)]
        )
        if heights and min(ys) <= heights[0] + SLACK and max(ys) >= heights[-1] - SLACK:
            found.append((min(xs), max(xs)))
    return found


def on_free_edges(seen: Seen) -> list[str]:
    """Name every joint drawn along the free edge beside an opening that goes from foot to top."""
    return [
        f"the joint at {x:g} stands on a free edge"
        for outline in seen.outlines
        for edges in voids(seen, outline)
        for x, _, _ in seen.uprights
        if any(abs(x - edge) <= PRACTICALLY for edge in edges)
    ]


def steps(outline: Sequence[Point]) -> set[float]:
    """Return the stations within an outline where an edge of it goes straight up by more than two courses."""
    xs = [x for x, _ in outline]
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    upright = {xa for (xa, ya), (xb, yb) in pairs if xa == xb and abs(ya - yb) > 2 * COURSE + SLACK}
    return upright - {min(xs), max(xs)}


def narrow_pieces(
    seen: Seen, least: float = LEAST_PANEL, alone: Sequence[tuple[float, float]] = ()
) -> list[str]:
    """Name every piece of masonry that is narrower than allowed on some course, but what stands by itself."""
    found = []
    for outline in seen.outlines:
        free = {x for pair in voids(seen, outline) for x in pair}
        for y in courses(outline):
            for a, b in spans(outline, y):
                faces = free | (steps(outline) & {a, b})
                for left, right in _masonry(seen, a, b, y):
                    cuts = sorted(
                        x for x, y0, y1 in seen.uprights if left - SLACK <= x <= right + SLACK and y0 < y < y1
                    )
                    ends = [x for x in (left, right) if any(abs(x - f) <= SLACK for f in faces)]
                    for one, two in itertools.pairwise(sorted([*cuts, *ends])):
                        joined = one in cuts or two in cuts
                        if joined and (one, two) not in alone and SLACK < two - one < least - SLACK:
                            found.append(f"{two - one:g} in. of masonry at {one:g}..{two:g}, y {y:g}")
    return found


def cut_off(seen: Seen) -> dict[tuple[float, float], float]:
    """Return the least width of the pieces of masonry between two joints, by the stations of their feet.

    A piece counts where no opening is in it on any course; joints of partial height bound none.
    """
    feet = sorted((path[0][0], path) for path in seen.joints if _whole(seen, path))
    found = {}
    for (one, left), (two, right) in itertools.pairwise(feet):
        holes = [(min(x for x, _ in ring), max(x for x, _ in ring)) for ring in seen.holes]
        if not any(one - SLACK <= x0 and x1 <= two + SLACK for x0, x1 in holes):
            levels = sorted({y for path in (left, right) for _, y in path})
            middles = [(a + b) / 2 for a, b in itertools.pairwise(levels)]
            found[one, two] = min(_station(right, y) - _station(left, y) for y in middles)
    return found


def _whole(seen: Seen, path: Sequence[Point]) -> bool:
    """Say whether there is no wall below the foot and above the head of a joint."""
    beyond = ((path[0][0], path[0][1] - 1.0), (path[-1][0], path[-1][1] + 1.0))
    return not any(
        a + SLACK < x < b - SLACK for ring in seen.outlines for x, y in beyond for a, b in spans(ring, y)
    )


def _station(path: Sequence[Point], y: float) -> float:
    """Return where an upright or stepped line is at a level; straight on above and below it."""
    parts = [(a, b) for a, b in itertools.pairwise(path) if a[0] == b[0]]
    inside = [a[0] for a, b in parts if a[1] < y < b[1]]
    return inside[0] if inside else path[0][0] if y < path[0][1] else path[-1][0]


def _masonry(seen: Seen, a: float, b: float, y: float) -> list[tuple[float, float]]:
    """Return the stretches of one course that openings leave."""
    holes = sorted(span for ring in seen.holes for span in spans(ring, y))
    found, at = [], a
    for x0, x1 in holes:
        if x1 <= at or x0 >= b:
            continue
        if x0 > at:
            found.append((at, min(x0, b)))
        at = max(at, x1)
    if at < b:
        found.append((at, b))
    return found


def longest_piece(seen: Seen, y: float, x0: float, x1: float) -> float:
    """Return the longest stretch of masonry without a joint on one course between two stations."""
    longest = 0.0
    for left, right in _masonry(seen, x0, x1, y):
        cuts = sorted(x for x, y0, y1 in seen.uprights if left < x < right and y0 < y < y1)
        longest = max(longest, *(b - a for a, b in itertools.pairwise([left, *cuts, right])))
    return longest
