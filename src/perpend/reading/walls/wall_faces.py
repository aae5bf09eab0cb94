"""From closed outlines to wall faces: doubles and specks dropped, texts found.

Glossary:
    face: a wall's outline in its own axes together with the texts that stand in it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy

from perpend.dxf.entity_points import point_in_ring, ring_area
from perpend.errors import InputError
from perpend.model import EndCondition, Place
from perpend.notices import Notices
from perpend.reading.gather.texts import DrawnText
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.outlines.polygonize import Chain
from perpend.reading.outlines.wall_profile import Outline, outline_of, wall_angle
from perpend.units import format_length
from perpend.wording import begun

FILLS: Final = frozenset({"HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE"})
"""Types of entities that fill what they enclose."""

_LEAST_SIDE_IN: Final = 16.0
"""A closed shape smaller than a block both ways is a symbol on the wrong layer."""

_ROUND: Final = 0.01
"""Sides and area of a circle are those of its box to this part."""

_CORNERS_OF_POLYGON: Final = 8

MOST_WALLS: Final = 1000
"""More outlines than this are units of a bond pattern, not walls."""

_OUTLINE_AREA_IN2: Final = 576.0
"""An open chain that would enclose more than 4 ft² was meant as an outline."""


@dataclass(slots=True)
class Face:
    """A wall's face on its way to becoming a `Wall`.

    Attributes:
        outline: in its own axes.
        texts: every text inside it, whether in an opening or not.
        tag: the drafter's mark, or None.
        mark: the text it is taken from, or None.
        left_end: what the drawing says of the left end, or None.
        right_end: likewise.
        places: joints forced by neighbours.
        part_of: tag of the wall that it is a run of, or empty.
        base_in: height of its foot above that of the wall of which it is a storey.
        whole_height_in: height of that wall, where it is one; else 0.
        by_settings: True when the settings give it its tag.
    """

    outline: Outline
    texts: list[DrawnText] = field(default_factory=list)
    tag: str | None = None
    mark: DrawnText | None = None
    left_end: EndCondition | None = None
    right_end: EndCondition | None = None
    places: list[Place] = field(default_factory=list)
    part_of: str = ""
    base_in: float = 0.0
    whole_height_in: float = 0.0
    by_settings: bool = False

    def named(self) -> str:
        """Return its name for sentences."""
        tag = f"wall {self.tag}" if self.tag else "the wall"
        return f"{tag} (outline {self.outline.ring.handle})"


def distinct(
    rings: Sequence[Ring], same: float, inches: float, notices: Notices, openings: Container[str] = ()
) -> list[Ring]:
    """Drop outlines drawn twice, fills of outlines that are drawn as lines too, and specks.

    Args:
        rings: every closed outline on the wall layers.
        same: points up to this far apart are one, drawing units.
        inches: inches in one drawing unit.
        notices: takes what is dropped, and why.
        openings: handles of what may be openings; of these a fill inside an outline is kept.
    """
    ordered = sorted(rings, key=lambda r: (r.kind in FILLS, bool(r.gaps)))
    kept: list[_Sized] = []
    for ring in ordered:
        sized = _Sized(ring, ring.box, ring.area)
        why = _why_not_a_wall(sized, kept, same, inches, may_be_opening=ring.handle in openings)
        if why:
            notices.ignore(ring.handle, ring.kind, ring.layer, why)
        else:
            kept.append(sized)
    return [k.ring for k in kept]


def without_circles(rings: Sequence[Ring], notices: Notices) -> list[Ring]:
    """Leave circles out that lie in no wall, unless there is nothing else: grid bubbles and the like."""
    round_ones = [ring for ring in rings if _is_round(ring)]
    if len(round_ones) == len(rings):
        return list(rings)
    for ring in round_ones:
        notices.ignore(ring.handle, ring.kind, ring.layer, "it is a circle, and no wall is one")
    return [ring for ring in rings if ring not in round_ones]


def _is_round(ring: Ring) -> bool:
    x0, y0, x1, y1 = ring.box
    width, height = x1 - x0, y1 - y0
    round_area = math.pi / 4 * width * height
    alike = abs(width - height) <= _ROUND * width and abs(ring.area - round_area) <= _ROUND * round_area
    return alike and len(ring.points) > _CORNERS_OF_POLYGON


def refuse_heaps(rings: Sequence[Ring], most: int, file: str) -> None:
    """Refuse outlines that lie over each other in heaps, such as those of a block arrayed in small steps.

    Args:
        rings: the outlines; of more than `MOST_WALLS` nothing is said here.
        most: pairs that may lie over each other.
        file: the drawing's path, for the sentence.

    Raises:
        InputError: there are more.
    """
    if len(rings) > MOST_WALLS:
        return
    boxes = numpy.array([ring.box for ring in rings]).reshape(-1, 4)
    lows, highs = boxes[:, None, :2], boxes[:, None, 2:]
    over = ((lows < boxes[None, :, 2:]) & (boxes[None, :, :2] < highs)).all(axis=2).sum() - len(rings)
    if over // 2 > most:
        raise InputError(
            f"{file}: {len(rings):,} closed outlines on wall layers such as {rings[0].layer} "
            f"({rings[0].kind} {rings[0].handle} is the first) lie over each other in {over // 2:,} places, "
            f"more than the {most:,} that are looked at: put what is no wall on a layer of its own, or "
            "raise overlaps under [bounds] in the settings."
        )


@dataclass(frozen=True, slots=True)
class _Sized:
    """A ring with its box and area, which are needed over and over."""

    ring: Ring
    box: tuple[float, float, float, float]
    area: float


def _why_not_a_wall(
    ring: _Sized, kept: Sequence[_Sized], same: float, inches: float, *, may_be_opening: bool
) -> str:
    """Return why an outline is no wall of its own, or nothing."""
    x0, y0, x1, y1 = ring.box
    if max(x1 - x0, y1 - y0) * inches < _LEAST_SIDE_IN:
        return "it is too small to be a wall"
    double = next((k for k in kept if _same_ring(k, ring, 2 * same)), None)
    if double is not None:
        return f"it is the same outline as {double.ring.handle}"
    if ring.ring.kind in FILLS and not may_be_opening:
        host = next((k for k in kept if k.ring.kind not in FILLS and _inside(ring, k)), None)
        if host is not None:
            return f"it fills a part of outline {host.ring.handle}"
    return ""


def _same_ring(a: _Sized, b: _Sized, same: float) -> bool:
    if any(abs(x - y) > same for x, y in zip(a.box, b.box, strict=True)):
        return False
    perimeter = 2 * (a.box[2] - a.box[0] + a.box[3] - a.box[1])
    return abs(a.area - b.area) <= same * perimeter


def _inside(inner: _Sized, outer: _Sized) -> bool:
    x0, y0, x1, y1 = outer.box
    a0, b0, a1, b1 = inner.box
    slack = 1e-6 * (1 + x1 - x0)
    if a0 < x0 - slack or b0 < y0 - slack or a1 > x1 + slack or b1 > y1 + slack:
        return False
    middle = ((a0 + a1) / 2, (b0 + b1) / 2)
    around = outer.ring.points
    return inner.area <= outer.area and (
        point_in_ring(middle, around) or point_in_ring(inner.ring.points[0], around)
    )


def refuse_open_outlines(
    chains: Sequence[Chain],
    rings: Sequence[Ring],
    inches: float,
    gap_in: float,
    file: str,
    other_cure: Callable[[Chain], str],
    notices: Notices,
) -> None:
    """Refuse a chain on a wall layer that was meant as an outline; the others are ignored.

    Args:
        chains: wall lines that do not close.
        rings: the outlines that do.
        inches: inches in one drawing unit.
        gap_in: what is bridged.
        file: the drawing's path, for sentences.
        other_cure: what may be done beside closing a chain, or nothing.
        notices: takes what is ignored.

    Raises:
        InputError: an outline is open by more than the tolerance.
    """
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
                f"than the {format_length(gap_in)} that is bridged: close it{other_cure(chain)}."
            )
        why = "it is a line inside a wall" if inside else "it is no closed outline"
        for stroke in chain.strokes:
            notices.ignore(stroke.handle, stroke.kind, stroke.layer, why)


def _holds(ring: Ring, chain: Chain) -> bool:
    x0, y0, x1, y1 = ring.box
    slack = 1e-3 * (1 + x1 - x0)
    return all(x0 - slack <= x <= x1 + slack and y0 - slack <= y <= y1 + slack for x, y in chain.points)


def faces_of(
    rings: Sequence[Ring],
    texts: Sequence[DrawnText],
    inches_of: Callable[[Ring], float],
    gap_in: float,
    file: str,
    notices: Notices,
) -> list[Face]:
    """Give every outline its texts and its own axes.

    Args:
        rings: wall outlines, drawing axes.
        texts: texts near them.
        inches_of: returns the inches in one drawing unit of an outline.
        gap_in: overhangs up to this are pushed back.
        file: the drawing's path, for sentences.
        notices: takes what was repaired.

    Raises:
        InputError: there are too many outlines, or one is no wall's.
    """
    if len(rings) > MOST_WALLS:
        raise InputError(
            f"{file}: there are {len(rings):,} closed outlines on wall layers such as {rings[0].layer}, "
            "more than "
            f"the {MOST_WALLS:,} walls that one drawing may have: put bond patterns on a layer of their own."
        )
    homes = _texts_by_ring(rings, texts)
    faces = []
    for ring, inside in zip(rings, homes, strict=True):
        inches = inches_of(ring)
        angle, remark = wall_angle(ring, [t.angle_rad for t in inside])
        outline = outline_of(ring, angle, inches, gap_in, file)
        if remark:
            notices.note("wall-turned", remark)
        for repair in outline.repaired:
            notices.note("outline-repaired", repair)
        if ring.gaps:
            widest = format_length(max(ring.gaps) * inches, denominator=64)
            notices.note(
                "gap-closed",
                f"Wall outline {ring.handle} on layer {ring.layer} had {len(ring.gaps)} gap(s), the widest "
                f"{widest}: bridged.",
            )
        faces.append(Face(outline, inside))
    return faces


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


def overlapping(faces: Sequence[Face]) -> Iterator[tuple[Face, Face]]:
    """Yield every two walls that overlap on the sheet: the smaller, which is in front, and the other."""
    waiting = sorted(((f.outline.ring.box, f) for f in faces), key=lambda pair: pair[0])
    for place, (box, face) in enumerate(waiting):
        for other_box, other in itertools.islice(waiting, place + 1, None):
            if other_box[0] >= box[2]:
                break
            if _overlap(face, box, other, other_box):
                small, large = sorted((face, other), key=lambda f: f.outline.ring.area)
                yield small, large


def note_overlaps(faces: Sequence[Face], notices: Notices) -> None:
    """Say which walls lie in front of others."""
    for small, large in overlapping(faces):
        notices.note(
            "walls-overlap",
            f"{begun(small.named())} overlaps {large.named()}: it was read as a wall in front of it, and "
            "openings in both belong to the smaller.",
        )


def _overlap(
    a: Face, box: tuple[float, float, float, float], b: Face, other: tuple[float, float, float, float]
) -> bool:
    """True when two faces share more than a sliver of the sheet."""
    inches = a.outline.frame.inches_per_unit
    x0, x1 = max(box[0], other[0]), min(box[2], other[2])
    y0, y1 = max(box[1], other[1]), min(box[3], other[3])
    if (x1 - x0) * inches <= 1.0 or (y1 - y0) * inches <= 1.0:
        return False
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    return all(point_in_ring(middle, face.outline.ring.points) for face in (a, b))
