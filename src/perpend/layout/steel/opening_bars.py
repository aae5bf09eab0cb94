"""The steel that goes with a layout: jamb bars, sill bars, bed reinforcement, horizontal reinforcement.

A drawing aid: sizes and laps are the engineer's. Places follow the rule book's detailing rows.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.layout.joint_lines import station_at
from perpend.layout.steel.horizontal_bars import bed_bars, chosen_bars, stopped
from perpend.layout.steel.jamb_bars import jamb_bars
from perpend.model import Bar, Box, Joint, OpeningRule, Treatment, Wall
from perpend.rulebook.strip_pieces import StripPiece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN, same


def bars_of(basis: WallBasis, joints: Sequence[Joint]) -> tuple[Bar, ...]:
    """Return the steel to draw in a wall.

    Reinforced openings get a bar in the first cell beside each jamb, full height unless another opening
    is in its way, and a bar below the sill from joint to joint, in a wall without joints past the jambs.
    Unreinforced ones get bed reinforcement just above and below, which stops at a joint. Where two
    openings require the same steel it is there once. A wall without joints gets its bond beams, and the
    joint reinforcement that was counted with them; any other wall the horizontal reinforcement that the
    settings chose.
    """
    bars: list[Bar] = []
    steel = basis.no_joint_steel
    if steel is None:
        bars += chosen_bars(basis, joints)
    else:
        note = f"bond beam with one {steel.bar}"
        pieces = (piece for path in steel.beams for piece in stopped(path, joints))
        bars += [Bar(piece, "bond-beam", note=note) for piece in pieces]
        if steel.wire_spacing_in is not None:
            bars += bed_bars(basis, joints, steel.wire_spacing_in, f"joint reinforcement {steel.wire}")
    bars += jamb_bars(basis)
    row = _Row.of(basis.wall, joints)
    level: list[Bar] = [bar for piece in basis.strip_pieces for bar in _strip_bars(piece, row)]
    for rule in basis.openings:
        if rule.treatment is Treatment.UNREINFORCED:
            level += _corner_beds(basis, rule, row)
        elif basis.bar_offset_in > 0:
            level += (b for b in _sill_bar(basis, rule, row) if not _is_there(b, level))
    return (*bars, *_joined(level))


def _joined(bars: Iterable[Bar]) -> Iterator[Bar]:
    """Yield level bars with those of one kind that lie on each other as one, lowest first."""
    last: Bar | None = None
    for bar in sorted(bars, key=lambda b: (b.kind, b.path[0][1], b.path[0][0])):
        (x0, y), (x1, _) = bar.path
        if last and last.kind == bar.kind and same(last.path[0][1], y) and x0 < last.path[1][0] - SAME_IN:
            path = (last.path[0], (max(last.path[1][0], x1), last.path[0][1]))
            last = replace(last, path=path, openings=(*last.openings, *bar.openings))
            continue
        if last:
            yield last
        last = bar
    if last:
        yield last


def _is_there(bar: Bar, level: Iterable[Bar]) -> bool:
    """Say whether a bond beam of the same opening is where a bar would be."""
    return any(
        b.kind == "bond-beam" and set(bar.openings) <= set(b.openings) and same(b.path[0][1], bar.path[0][1])
        for b in level
    )


def _strip_bars(piece: StripPiece, row: _Row) -> Iterator[Bar]:
    for y in piece.beams_in:
        left, right = row.room(piece.box, y)
        if right - left > SAME_IN:
            note = f"bond beam with one {piece.bar}, from joint to joint"
            yield Bar(((left, y), (right, y)), "bond-beam", (piece.opening,), note)


def _sill_bar(basis: WallBasis, rule: OpeningRule, row: _Row) -> Iterator[Bar]:
    box, past = rule.opening.box, basis.sill_bar_past_in
    y = box.y0 - basis.course_in / 2
    if y <= max(basis.wall.bottom.at(box.center[0])):
        return
    left, right = row.room(box, y)
    if right - left <= SAME_IN:
        return
    reach = "from joint to joint"
    if past is not None:
        left, right, reach = max(left, box.x0 - past), min(right, box.x1 + past), "past each jamb"
    yield Bar(((left, y), (right, y)), "sill", (rule.opening.tag,), f"below the opening, {reach}")


def _corner_beds(basis: WallBasis, rule: OpeningRule, row: _Row) -> Iterator[Bar]:
    box, past, course = rule.opening.box, basis.corner_reinforcement_past_in, basis.course_in
    if past <= 0:
        return
    top = rule.lintel.box.y1 if rule.lintel else box.y1
    crown, base = min(basis.wall.top.at(box.center[0])), max(basis.wall.bottom.at(box.center[0]))
    for k in range(basis.corner_reinforcement_beds):
        for y in (top + k * course, box.y0 - (k + 1) * course):
            if base + SAME_IN < y < crown - SAME_IN:
                left, right = row.room(box, y)
                if right - left <= SAME_IN:
                    continue
                path = ((max(left, box.x0 - past), y), (min(right, box.x1 + past), y))
                yield Bar(path, "bed", (rule.opening.tag,), "joint reinforcement at the opening's corners")


@dataclass(frozen=True, slots=True)
class _Row:
    """What is along a wall, left to right, to be searched near one place.

    Attributes:
        joints: joints never meet, so their order holds at every height.
        boxes: openings by their left jambs.
        widest_in: greatest width of an opening.
        length_in: of the wall.
    """

    joints: Sequence[Joint]
    boxes: Sequence[Box]
    widest_in: float
    length_in: float

    @classmethod
    def of(cls, wall: Wall, joints: Sequence[Joint]) -> _Row:
        boxes = sorted((opening.box for opening in wall.openings), key=lambda box: box.x0)
        return cls(joints, boxes, max((box.width for box in boxes), default=0.0), wall.length_in)

    def room(self, box: Box, y: float) -> tuple[float, float]:
        """Return between which stations a level through a column meets no joint and no opening.

        Both are the same where the column itself is in an opening there.
        """
        middle = (box.x0 + box.x1) / 2
        left, right = self._between_joints(middle, y)
        for i in range(bisect_left(self.boxes, left - self.widest_in, key=_left), len(self.boxes)):
            other = self.boxes[i]
            if other.x0 > right:
                break
            if other.y0 - SAME_IN <= y <= other.y1 + SAME_IN:
                if left < other.x1 <= middle:
                    left = other.x1
                elif middle <= other.x0 < right:
                    right = other.x0
                elif other.x0 < middle < other.x1:
                    return middle, middle
        return left, right

    def _between_joints(self, x: float, y: float) -> tuple[float, float]:
        joints = self.joints
        after = bisect_right(joints, x, key=lambda joint: joint.x_in)
        while after < len(joints) and station_at(joints[after].path, y) <= x:
            after += 1
        while after > 0 and station_at(joints[after - 1].path, y) > x:
            after -= 1
        left = station_at(joints[after - 1].path, y) if after > 0 else 0.0
        right = station_at(joints[after].path, y) if after < len(joints) else self.length_in
        return max(left, 0.0), min(right, self.length_in)


def _left(box: Box) -> float:
    return box.x0
