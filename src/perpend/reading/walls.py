"""From closed outlines to wall faces: doubles dropped, neighbours found, halves of one wall joined.

Glossary:
    face: a wall's outline in its own axes together with the texts that stand in it.
    neighbours: two faces that share an upright edge; the joint between them is forced.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from perpend.errors import InputError
from perpend.model import EndCondition, Ignored, Path, Place, PlaceKind, Profile
from perpend.reading.nets import Chain
from perpend.reading.outline import Outline, grain, outline_of, wall_angle
from perpend.reading.rings import Ring
from perpend.reading.strokes import point_in_ring, ring_area
from perpend.reading.texts import DrawnText, mark_among
from perpend.units import SAME_IN, format_length

_FILLS: Final = frozenset({"HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE"})
_OUTLINE_AREA_IN2: Final = 576.0
"""An open chain that would enclose more than 4 ft² was meant as an outline."""


@dataclass(slots=True)
class Face:
    """A wall's face on its way to becoming a `Wall`.

    Attributes:
        outline: in its own axes.
        texts: every text inside it, whether in an opening or not.
        tag: the drafter's mark, or None.
        left_end: what the drawing says of the left end, or None.
        right_end: likewise.
        places: joints forced by neighbours.
    """

    outline: Outline
    texts: list[DrawnText] = field(default_factory=list)
    tag: str | None = None
    left_end: EndCondition | None = None
    right_end: EndCondition | None = None
    places: list[Place] = field(default_factory=list)

    def named(self) -> str:
        """Return its name for sentences."""
        tag = f"wall {self.tag}" if self.tag else "the wall"
        return f"{tag} (outline {self.outline.ring.handle})"


def distinct(rings: Sequence[Ring], same: float) -> tuple[list[Ring], list[Ignored]]:
    """Drop outlines drawn twice, and fills of outlines that are drawn as lines too.

    Args:
        rings: every closed outline on the wall layers.
        same: points up to this far apart are one, drawing units.
    """
    ordered = sorted(rings, key=lambda r: (r.kind in _FILLS, bool(r.gaps)))
    kept: list[Ring] = []
    ignored: list[Ignored] = []
    for ring in ordered:
        double = next((k for k in kept if _same_ring(k, ring, 2 * same)), None)
        host = None
        if double is None and ring.kind in _FILLS:
            host = next((k for k in kept if k.kind not in _FILLS and _inside(ring, k)), None)
        if double is not None:
            why = f"it is the same outline as {double.handle}"
            ignored.append(Ignored(ring.handle, ring.kind, ring.layer, why))
        elif host is not None:
            why = f"it fills a part of outline {host.handle}"
            ignored.append(Ignored(ring.handle, ring.kind, ring.layer, why))
        else:
            kept.append(ring)
    return kept, ignored


def _same_ring(a: Ring, b: Ring, same: float) -> bool:
    if any(abs(x - y) > same for x, y in zip(a.box, b.box, strict=True)):
        return False
    perimeter = 2 * (a.box[2] - a.box[0] + a.box[3] - a.box[1])
    return abs(a.area - b.area) <= same * perimeter


def _inside(inner: Ring, outer: Ring) -> bool:
    x0, y0, x1, y1 = outer.box
    a0, b0, a1, b1 = inner.box
    slack = 1e-6 * (1 + x1 - x0)
    if a0 < x0 - slack or b0 < y0 - slack or a1 > x1 + slack or b1 > y1 + slack:
        return False
    middle = ((a0 + a1) / 2, (b0 + b1) / 2)
    return inner.area <= outer.area and (
        point_in_ring(middle, outer.points) or point_in_ring(inner.points[0], outer.points)
    )


def refuse_open_outlines(
    chains: Sequence[Chain], rings: Sequence[Ring], inches: float, gap_in: float, file: str
) -> list[Ignored]:
    """Refuse a chain on a wall layer that was meant as an outline; the others are ignored.

    Raises:
        InputError: an outline is open by more than the tolerance.
    """
    ignored: list[Ignored] = []
    for chain in chains:
        first = chain.strokes[0]
        area_in2 = abs(ring_area(chain.points)) * inches * inches
        inside = any(_holds(ring, chain) for ring in rings)
        if len(chain.points) > 3 and area_in2 > _OUTLINE_AREA_IN2 and not inside:
            (xa, ya), (xb, yb) = chain.points[0], chain.points[-1]
            raise InputError(
                f"{file}: the {first.kind} {first.handle} on wall layer {first.layer} is an open outline: "
                "its ends "
                f"({xa:g}, {ya:g}) and ({xb:g}, {yb:g}) are {format_length(chain.gap * inches)} apart, more "
                f"than the {format_length(gap_in)} that is bridged: close it."
            )
        why = "it is a line inside a wall" if inside else "it is no closed outline"
        ignored += [Ignored(s.handle, s.kind, s.layer, why) for s in chain.strokes]
    return ignored


def _holds(ring: Ring, chain: Chain) -> bool:
    x0, y0, x1, y1 = ring.box
    slack = 1e-3 * (1 + x1 - x0)
    return all(x0 - slack <= x <= x1 + slack and y0 - slack <= y <= y1 + slack for x, y in chain.points)


def faces_of(
    rings: Sequence[Ring], texts: Sequence[DrawnText], inches: float, gap_in: float, file: str
) -> tuple[list[Face], list[str]]:
    """Give every outline its texts and its own axes.

    Args:
        rings: wall outlines, drawing axes.
        texts: texts near them.
        inches: inches in one drawing unit.
        gap_in: overhangs up to this are pushed back.
        file: the drawing's path, for sentences.

    Returns:
        The faces, and what was mended.
    """
    homes = _texts_by_ring(rings, texts)
    faces, repaired = [], []
    for ring, inside in zip(rings, homes, strict=True):
        angle, remark = wall_angle(ring, [t.angle_rad for t in inside])
        outline = outline_of(ring, angle, inches, gap_in, file)
        repaired += [remark] if remark else []
        repaired += outline.repaired
        if ring.gaps:
            widest = format_length(max(ring.gaps) * inches, denominator=64)
            repaired.append(
                f"Wall outline {ring.handle} on layer {ring.layer} had {len(ring.gaps)} gap(s), the widest "
                f"{widest}: bridged."
            )
        faces.append(Face(outline, inside))
    return faces, repaired


def _texts_by_ring(rings: Sequence[Ring], texts: Sequence[DrawnText]) -> list[list[DrawnText]]:
    """Put each text into the smallest outline that holds its middle."""
    homes: list[list[DrawnText]] = [[] for _ in rings]
    by_size = sorted(range(len(rings)), key=lambda i: rings[i].area)
    boxes = [ring.box for ring in rings]
    for text in texts:
        x, y = text.at
        for index in by_size:
            x0, y0, x1, y1 = boxes[index]
            if x0 <= x <= x1 and y0 <= y <= y1 and point_in_ring(text.at, rings[index].points):
                homes[index].append(text)
                break
    return homes


def tag_faces(faces: Iterable[Face], in_openings: set[int]) -> None:
    """Choose each face's mark among the texts that do not stand in an opening.

    Args:
        faces: the faces; their ``tag`` is set.
        in_openings: ``id`` of every text that stands in an opening.
    """
    for face in faces:
        mark = mark_among([t for t in face.texts if id(t) not in in_openings])
        face.tag = mark.text if mark else None


def join_neighbours(faces: Sequence[Face], gap_in: float) -> tuple[list[Face], list[str]]:
    """Join faces of one wall, and force a joint between different ones.

    Two faces that share an upright edge are one wall if they have the same tag (or none) and their
    edges meet at the same levels; otherwise the joint stands at the shared edge.

    Returns:
        The faces, and what was joined.
    """
    repaired: list[str] = []
    faces = list(faces)
    while True:
        pair = next(((a, b) for a, b in _touching(faces, gap_in) if _is_one_wall(a, b, gap_in)), None)
        if pair is None:
            break
        left, right = pair
        repaired.append(
            f"Outlines {left.outline.ring.handle} and {right.outline.ring.handle} share an edge and are "
            "of one "
            f"height{' and tag ' + left.tag if left.tag else ', without tags'}: read as one wall."
        )
        faces = [f for f in faces if f is not left and f is not right] + [_joined(left, right)]
    for left, right in _touching(faces, gap_in):
        left.right_end = right.left_end = EndCondition.JOINT
        left.places.append(
            Place(left.outline.length_in, PlaceKind.ADJOINING_WALL, right.outline.ring.handle, right.named())
        )
        right.places.append(Place(0.0, PlaceKind.ADJOINING_WALL, left.outline.ring.handle, left.named()))
    return faces, repaired


def _touching(faces: Sequence[Face], gap_in: float) -> list[tuple[Face, Face]]:
    """Return (left, right) of every two faces that share an upright edge."""
    pairs = []
    placed = sorted(((_across(f.outline), f) for f in faces), key=lambda p: p[0][0])
    for (x0, _), right in placed:
        for (_, x1), left in placed:
            if left is right or abs(x1 - x0) > gap_in + SAME_IN:
                continue
            if not _same_direction(left.outline, right.outline):
                continue
            offset = _offset(left.outline, right.outline)
            if abs(offset[0] - left.outline.length_in) > gap_in + SAME_IN:
                continue
            low_a, high_a = left.outline.bottom.points[-1][1], left.outline.top.points[-1][1]
            low_b = right.outline.bottom.points[0][1] + offset[1]
            high_b = right.outline.top.points[0][1] + offset[1]
            if min(high_a, high_b) - max(low_a, low_b) > gap_in:
                pairs.append((left, right))
    return pairs


def _across(outline: Outline) -> tuple[float, float]:
    """Left and right end along the wall's own direction, inches from the drawing's origin."""
    frame = outline.frame
    (x, y), angle = frame.origin, frame.angle_rad
    along = (x * math.cos(angle) + y * math.sin(angle)) * frame.inches_per_unit
    return along, along + outline.length_in


def _same_direction(a: Outline, b: Outline) -> bool:
    turn = abs(a.frame.angle_rad - b.frame.angle_rad)
    return min(turn, math.tau - turn) < 1e-3


def _offset(left: Outline, right: Outline) -> tuple[float, float]:
    """Origin of the right wall in the left wall's axes."""
    return left.frame.to_wall(right.frame.origin)


def _is_one_wall(left: Face, right: Face, gap_in: float) -> bool:
    if left.tag != right.tag:
        return False
    offset = _offset(left.outline, right.outline)
    low = abs(left.outline.bottom.points[-1][1] - right.outline.bottom.points[0][1] - offset[1])
    high = abs(left.outline.top.points[-1][1] - right.outline.top.points[0][1] - offset[1])
    return low <= SAME_IN and high <= SAME_IN


def _joined(left: Face, right: Face) -> Face:
    """Make one face of two that meet at the same levels."""
    a, b = left.outline, right.outline
    dx, dy = a.length_in, _offset(a, b)[1]
    drop = max(0.0, -min(y + dy for _, y in b.points))
    length = grain((a.length_in + b.length_in, 0.0))[0]

    def run(first: Profile, second: Profile) -> Profile:
        points = [(x, y + drop) for x, y in first.points]
        points += [(x + dx, y + dy + drop) for x, y in second.points]
        return Profile(_plain_run([grain(p) for p in points]))

    top, bottom = run(a.top, b.top), run(a.bottom, b.bottom)
    origin = a.frame.to_drawing((0.0, -drop))
    frame = replace(a.frame, origin=origin)
    around = (*bottom.points, *reversed(top.points))
    ring = replace(
        a.ring,
        points=tuple(frame.to_drawing(p) for p in around),
        handles=a.ring.handles + b.ring.handles,
        holes=a.ring.holes + b.ring.holes,
    )
    outline = replace(
        a,
        ring=ring,
        frame=frame,
        points=around,
        top=top,
        bottom=bottom,
        length_in=length,
        notches=(
            *(replace(n, y0=n.y0 + drop, y1=n.y1 + drop) for n in a.notches),
            *(
                replace(n, x0=n.x0 + dx, x1=n.x1 + dx, y0=n.y0 + dy + drop, y1=n.y1 + dy + drop)
                for n in b.notches
            ),
        ),
    )
    return Face(outline, left.texts + right.texts, left.tag)


def _plain_run(points: Sequence[tuple[float, float]]) -> Path:
    """Drop points that repeat or lie on a straight line of a profile."""
    apart = [points[0]]
    apart += [b for a, b in itertools.pairwise(points) if math.dist(a, b) > SAME_IN]
    kept = [apart[0]]
    for here, after in itertools.pairwise(apart[1:]):
        before = kept[-1]
        cross = (here[0] - before[0]) * (after[1] - here[1]) - (here[1] - before[1]) * (after[0] - here[0])
        if abs(cross) > 1e-6:
            kept.append(here)
    return (*kept, apart[-1])


def remarks_on_overlaps(faces: Sequence[Face]) -> list[str]:
    """Say which walls lie in front of others."""
    remarks = []
    for a, b in itertools.combinations(faces, 2):
        if not _same_direction(a.outline, b.outline):
            continue
        small, large = sorted((a, b), key=lambda f: f.outline.ring.area)
        (x0, y0, x1, y1), (u0, v0, u1, v1) = small.outline.ring.box, large.outline.ring.box
        inches = small.outline.frame.inches_per_unit
        wide, tall = (min(x1, u1) - max(x0, u0)) * inches, (min(y1, v1) - max(y0, v0)) * inches
        if wide <= 1.0 or tall <= 1.0:
            continue
        middle = ((max(x0, u0) + min(x1, u1)) / 2, (max(y0, v0) + min(y1, v1)) / 2)
        if point_in_ring(middle, small.outline.ring.points) and point_in_ring(
            middle, large.outline.ring.points
        ):
            remarks.append(
                f"{small.named().capitalize()} overlaps {large.named()}: it was read as standing in front "
                "of it, and "
                "openings in both belong to the smaller."
            )
    return remarks
