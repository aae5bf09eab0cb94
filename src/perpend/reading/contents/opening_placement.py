"""Which opening is in which wall, and what is no opening at all."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.errors import InputError
from perpend.model import Box, Path, Point, Profile
from perpend.notices import NoticePlace, Notices
from perpend.reading.contents.opening_outlines import SILL_IN, Hole, hole_of
from perpend.reading.gather.entities import BlockReference
from perpend.reading.outlines.close_outlines import Ring, close_strokes
from perpend.reading.outlines.polygonize import Chain
from perpend.reading.walls.opening_shape_test import Shape
from perpend.reading.walls.wall_faces import Face
from perpend.units import SAME_IN, format_length
from perpend.wording import begun

LEAST_OPENING_IN: Final = 12.0
"""A door or window block is at least this wide and high; smaller ones are vents, handles and symbols."""

_COURSE_IN: Final = 8.0
"""An opening that sticks out of its wall by a course or more may be in masonry that was not read."""

_MOST_OF_BLOCK: Final = 0.6
"""Outlines that take this part of the box round a block's lines are the opening; the rest is not."""


class HoleFinder:
    """Puts outlines, chains and block references into walls.

    Attributes:
        holes: per wall, in the order of the faces, what was found in it.
    """

    def __init__(self, faces: Sequence[Face], gap_in: float, file: str, notices: Notices) -> None:
        self.faces = faces
        self.gap_in = gap_in
        self.file = file
        self.holes: list[list[Hole]] = [[] for _ in faces]
        self.notices = notices
        self._by_size = sorted(range(len(faces)), key=lambda i: faces[i].outline.ring.area)
        self._boxes = [Box(*face.outline.ring.box) for face in faces]
        self._ringed_instances: set[int] = set()

    def add_rings(self, rings: Iterable[Ring]) -> None:
        """Add closed outlines of the opening layers; what runs out of the masonry is cut back to it."""
        for ring in rings:
            self._ringed_instances.add(ring.instance)
            index = self._home(ring.points)
            if index is None:
                self._keep_what_is_in_masonry(ring)
            else:
                self._keep(index, hole_of(ring, self.faces[index].outline.frame), ring)

    def add_hatch_holes(self) -> None:
        """Add the holes of hatches that are walls, and the doorways that outlines go around."""
        for index, face in enumerate(self.faces):
            ring = face.outline.ring
            for points in ring.holes:
                hole = replace(ring, points=points, holes=())
                self.holes[index].append(hole_of(hole, face.outline.frame))
                self.notices.note(
                    "hole-read-as-opening",
                    f"A hole of {ring.kind} {ring.handle} on layer {ring.layer} was read as an opening.",
                )
            for box in face.outline.notches:
                corners = box.corners
                inside = any(h.box.overlaps(box, SAME_IN) for h in self.holes[index])
                if not inside:
                    self.holes[index].append(Hole(box, corners, ring))

    def add_chains(self, chains: Sequence[Chain]) -> None:
        """Add what is on the opening layers without closing.

        A chain whose ends both stand on the wall's edge is closed along it (a door drawn without
        its threshold); pieces of a block become the block's own box; what lies inside an opening is
        a detail of it.

        Raises:
            InputError: an outline is open by more than the tolerance.
        """
        of_blocks: dict[int, list[Chain]] = defaultdict(list)
        for chain in chains:
            instance = chain.strokes[0].instance
            if instance and instance not in self._ringed_instances:
                of_blocks[instance].append(chain)
            else:
                self._add_chain(chain)
        for pieces in of_blocks.values():
            self._add_block_pieces(pieces)

    def add_blocks(self, references: Iterable[BlockReference]) -> None:
        """Add door and window blocks that stand on other layers, by the box of outlines or of lines."""
        for reference in references:
            points = [p for s in reference.strokes for p in s.points]
            outline = self._outline_of(reference, Box.around(points))
            ring = Ring(
                outline or tuple(points), reference.handle, "INSERT", reference.layer, block=reference.block
            )
            self._add_box(ring, by_name=True, outline=bool(outline))

    def _outline_of(self, reference: BlockReference, box: Box) -> Path:
        """Return the corners of a block's outlines but its strips, if they are most of it: no sills."""
        inches = self.faces[0].outline.frame.inches_per_unit
        gap, same = self.gap_in / inches, SAME_IN / inches
        closed = close_strokes(reference.strokes, gap, same, outer_only=True)
        boxes = [Box(*ring.box) for ring in closed.rings]
        wide = [b for b in boxes if min(b.width, b.height) * inches > SILL_IN + SAME_IN]
        if not wide:
            return ()
        whole = Box.around(corner for b in wide for corner in b.corners)
        fills = whole.width * whole.height >= _MOST_OF_BLOCK * box.width * box.height
        return (
            tuple(p for ring in closed.rings if Box(*ring.box) in wide for p in ring.points) if fills else ()
        )

    def add_shape(self, shape: Shape, index: int) -> bool:
        """Add a shape that looks like an opening of a wall; False where it sticks out of the wall."""
        frame = self.faces[index].outline.frame
        points = shape.points
        if shape.sides:
            box = Box.around(frame.to_wall(point) for side in shape.sides for point in side)
            points = tuple(frame.to_drawing(corner) for corner in box.corners)
        if not self._fits(self.faces[index], points):
            return False
        ring = Ring(points, shape.handle, "INSERT" if shape.sides else "", shape.layer)
        self._keep(index, hole_of(ring, frame), ring)
        return True

    def _add_chain(self, chain: Chain) -> None:
        first = chain.strokes[0]
        for index in self._meeting(Box.around(chain.points)):
            face = self.faces[index]
            ends = [face.outline.frame.to_wall(p) for p in (chain.points[0], chain.points[-1])]
            if len(chain.points) > 3 and all(_on_edge(p, face.outline.bottom, self.gap_in) for p in ends):
                ring = _ring_of(chain)
                if self._home(ring.points) == index:
                    self.notices.note(
                        "opening-closed",
                        f"Opening {first.handle} on layer {first.layer} is open at the foot of the wall: "
                        "closed along it.",
                    )
                    self._keep(index, hole_of(ring, face.outline.frame), ring)
                    return
        home = self._near_home(chain.points)
        inches = self.faces[0].outline.frame.inches_per_unit
        inside = home is not None and any(self._in_hole(home, p) for p in chain.points[:1])
        big = len(chain.points) > 3 and _side(chain.points) * inches >= LEAST_OPENING_IN
        if home is not None and big and not inside:
            (xa, ya), (xb, yb) = chain.points[0], chain.points[-1]
            raise InputError(
                f"{self.file}: the {first.kind} {first.handle} on opening layer {first.layer} is an open "
                "outline: its "
                f"ends ({xa:g}, {ya:g}) and ({xb:g}, {yb:g}) are {format_length(chain.gap * inches)} "
                "apart, more "
                f"than the {format_length(self.gap_in)} that is bridged: close it."
            )
        why = "it is a line inside an opening" if inside else "it is no closed outline"
        for stroke in chain.strokes:
            self.notices.ignore(stroke.handle, stroke.kind, stroke.layer, why)

    def _add_block_pieces(self, pieces: Sequence[Chain]) -> None:
        first = pieces[0].strokes[0]
        points = tuple(p for c in pieces for p in c.points)
        self._add_box(Ring(points, first.handle, "INSERT", first.layer, block=first.block), by_name=False)

    def _add_box(self, ring: Ring, *, by_name: bool, outline: bool = False) -> None:
        """Add the upright box round a block's lines or its outline, if it stands in a wall."""
        index = self._home(ring.points)
        if index is None:
            if by_name or self._near_home(ring.points) is None:
                why = f"block {ring.block} is in no wall"
                self.notices.ignore(ring.handle, ring.kind, ring.layer, why)
            else:
                self._keep_what_is_in_masonry(ring)
            return
        frame = self.faces[index].outline.frame
        box = Box.around(frame.to_wall(p) for p in ring.points)
        corners = box.corners
        if min(box.width, box.height) < LEAST_OPENING_IN:
            why = f"block {ring.block} is too small for a door or a window"
            self.notices.ignore(ring.handle, ring.kind, ring.layer, why)
            return
        squared = replace(ring, points=tuple(frame.to_drawing(c) for c in corners))
        self._keep(index, hole_of(squared, frame, by_block=True), squared)
        self.notices.note(
            "block-read-as-opening",
            f"Block {ring.block} (reference {ring.handle}) was read as an opening "
            f"{format_length(box.width)} wide, the box of its {'outer outline' if outline else 'lines'}.",
        )

    def _keep_what_is_in_masonry(self, ring: Ring) -> None:
        """Add an opening that no wall holds to the walls that it reaches into; ignore it where none is.

        Doors run up past a wainscot, windows stand in the siding above it: what is in the masonry counts.
        """
        inches = self.faces[0].outline.frame.inches_per_unit
        box = Box.around(ring.points).grown(-(self.gap_in + SAME_IN) / inches)
        reached: list[int] = []
        for index in self._meeting(box) if box.width > 0 and box.height > 0 else ():
            outline = self.faces[index].outline
            held = Box.around(outline.frame.to_wall(p) for p in ring.points)
            x0, x1 = max(held.x0, 0.0), min(held.x1, outline.length_in)
            if x1 - x0 <= self.gap_in + SAME_IN or any(
                self._boxes[index].overlaps(self._boxes[k]) for k in reached
            ):
                continue
            low = min(y for _, y in outline.bottom.between(x0, x1))
            high = max(y for _, y in outline.top.between(x0, x1))
            if min(held.y1, high) - max(held.y0, low) > self.gap_in + SAME_IN:
                reached.append(index)
                self._keep(index, hole_of(ring, outline.frame), ring)
        if not reached:
            why = "it is not in the masonry of any wall"
            self.notices.ignore(ring.handle, ring.kind, ring.layer, why)

    def _keep(self, index: int, hole: Hole, ring: Ring) -> None:
        """Add a hole, cut back to the wall where it sticks out within tolerance."""
        face = self.faces[index]
        box = hole.box
        x0, x1 = max(box.x0, 0.0), min(box.x1, face.outline.length_in)
        low = min(y for _, y in face.outline.bottom.between(x0, x1))
        high = max(y for _, y in face.outline.top.between(x0, x1))
        cut = Box(x0, max(box.y0, low), x1, min(box.y1, high))
        past = max(cut.x0 - box.x0, cut.y0 - box.y0, box.x1 - cut.x1, box.y1 - cut.y1)
        if past > SAME_IN:
            self._note_cut(hole, face, past)
        if past > 0:
            outline = tuple(
                (min(max(x, cut.x0), cut.x1), min(max(y, cut.y0), cut.y1)) for x, y in hole.outline
            )
            hole = replace(hole, box=cut, outline=outline)
        if ring.gaps:
            inches = face.outline.frame.inches_per_unit
            widest = format_length(max(ring.gaps) * inches, denominator=64)
            self.notices.note(
                "gap-closed",
                f"{begun(hole.named())} had {len(ring.gaps)} gap(s), the widest {widest}: bridged.",
            )
        self.holes[index].append(hole)

    def _note_cut(self, hole: Hole, face: Face, past_in: float) -> None:
        """Say that a hole was cut back to its wall; by a course or more, the wall may go on there, unread."""
        said = (
            f"{begun(hole.named())} extends {format_length(past_in, denominator=64)} past {face.named()}: "
            "cut back to the wall."
        )
        if past_in < _COURSE_IN:
            self.notices.note("opening-cut-back", said)
            return
        words = f"{said} If masonry goes on there, name the layer of its outline too, under [layers] walls."
        place = NoticePlace(hole.ring.handle, layer=hole.ring.layer, wall=face.tag or "")
        self.notices.doubt("opening-cut-back", words, place)

    def _home(self, points: Sequence[Point]) -> int | None:
        """Return the smallest wall that holds every point, within tolerance."""
        box = Box.around(points)
        return next((i for i in self._meeting(box) if self._fits(self.faces[i], points)), None)

    def _meeting(self, box: Box) -> Iterator[int]:
        """Yield the walls whose box meets a box, the smallest first."""
        for index in self._by_size:
            wall = self._boxes[index]
            slack = 0.01 * (wall.x1 - wall.x0 + wall.y1 - wall.y0)
            if (
                box.x0 <= wall.x1 + slack
                and box.x1 >= wall.x0 - slack
                and box.y0 <= wall.y1 + slack
                and box.y1 >= wall.y0 - slack
            ):
                yield index

    def _near_home(self, points: Sequence[Point]) -> int | None:
        """Return the smallest wall that holds a part of it."""
        box = Box.around(points)
        for index in self._meeting(box):
            ring = self.faces[index].outline.ring.points
            if any(point_in_ring(p, ring) for p in (box.center, *points)):
                return index
        return None

    def _fits(self, face: Face, points: Sequence[Point]) -> bool:
        outline = face.outline
        inside = [outline.frame.to_wall(p) for p in points]
        gap = self.gap_in + SAME_IN
        if not all(-gap <= x <= outline.length_in + gap for x, _ in inside):
            return False
        if not all(min(outline.bottom.at(x)) - gap <= y <= max(outline.top.at(x)) + gap for x, y in inside):
            return False
        box = Box.around(inside)
        if box.height <= SAME_IN or box.width <= SAME_IN:
            return True
        return not any(
            box.x0 + gap < x < box.x1 - gap
            and box.y0 + gap < y < box.y1 - gap
            and point_in_ring((x, y), inside)
            for edge in (outline.top, outline.bottom)
            for x, y in edge.points
        )

    def _in_hole(self, index: int, point: Point) -> bool:
        at = self.faces[index].outline.frame.to_wall(point)
        return any(h.box.holds(at, self.gap_in) for h in self.holes[index])


def _on_edge(point: Point, edge: Profile, gap_in: float) -> bool:
    x, y = point
    return edge.points[0][0] <= x <= edge.points[-1][0] and any(
        abs(y - level) <= gap_in for level in edge.at(x)
    )


def _ring_of(chain: Chain) -> Ring:
    first = chain.strokes[0]
    return Ring(
        chain.points,
        first.handle,
        first.kind,
        first.layer,
        tuple(s.handle for s in chain.strokes),
        any(s.curved for s in chain.strokes),
        first.block,
        first.instance,
    )


def _side(points: Sequence[Point]) -> float:
    box = Box.around(points)
    return min(box.width, box.height)
