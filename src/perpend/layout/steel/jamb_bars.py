"""Bars beside the jambs of reinforced openings: full height where the wall allows it, never through a hole.

Glossary:
    cell: where a bar is; jambs so near each other that their bars would be in one cell share a bar.
    stretch: the masonry between two holes that lie above each other at one station, or between a hole and
        the wall's edge.
    hole: an opening, with its lintel where it has one.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from perpend.layout.steel.horizontal_bars import Span, without
from perpend.model import Bar, Box, OpeningRule, Treatment, Wall
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import SAME_IN
from perpend.wording import listed


def jamb_bars(basis: WallBasis) -> Iterator[Bar]:
    """Yield a bar in the first cell beside each jamb of the reinforced openings, left to right.

    A bar is in the stretch beside its opening and ends where another opening is in its way. Openings
    that share a cell and a stretch share the bar.
    """
    if basis.bar_offset_in <= 0:
        return
    holes = _Holes.of(basis.openings)
    for x, rules in _cells(basis):
        stretches = list(holes.stretches(basis.wall, x))
        beside = [_beside(rule.opening.box, stretches) for rule in rules]
        for foot, head in sorted(set(filter(None, beside))):
            tags = tuple(r.opening.tag for r, own in zip(rules, beside, strict=True) if own == (foot, head))
            stops = holes.ending_at(x, foot, head)
            note = f"jamb bar, stops at {' and '.join(stops)}" if stops else "jamb bar, full height"
            yield Bar(((x, foot), (x, head)), "jamb", tags, note, stops)


def jamb_bar_notes(basis: WallBasis, bars: Sequence[Bar]) -> Iterator[str]:
    """Say which jamb bars can't run full height, and which jambs have no masonry for one."""
    jambs = [bar for bar in bars if bar.kind == "jamb"]
    cut = [bar for bar in jambs if bar.stops_at]
    if cut:
        tags = _listed(basis, {tag for bar in cut for tag in bar.openings})
        others = _listed(basis, {tag for bar in cut for tag in bar.stops_at})
        yield (
            f"Jamb bars of {tags} stop at openings in their way ({others}) and can't run full height: "
            "the steel there needs structural design."
        )
    bare = {rule.opening.tag for rule in _without_bar(basis, jambs)}
    if bare:
        yield (
            f"No jamb bar is drawn where no masonry stands beside a jamb of {_listed(basis, bare)}: "
            "the steel there needs structural design."
        )


def _listed(basis: WallBasis, tags: Collection[str]) -> str:
    """List tags in the order of the wall's openings."""
    ordered = dict.fromkeys(rule.opening.tag for rule in basis.openings)
    return listed(tag for tag in ordered if tag in tags)


def _without_bar(basis: WallBasis, jambs: Sequence[Bar]) -> Iterator[OpeningRule]:
    """Yield the openings that lack a bar in a cell of theirs."""
    if basis.bar_offset_in <= 0:
        return
    served = {(bar.path[0][0], tag) for bar in jambs for tag in bar.openings}
    for x, rules in _cells(basis):
        yield from (rule for rule in rules if (x, rule.opening.tag) not in served)


def _cells(basis: WallBasis) -> Iterator[tuple[float, list[OpeningRule]]]:
    """Yield the stations of the cells that take bars, left to right, each with the openings it serves."""
    offset = basis.bar_offset_in
    wanted = sorted(
        (
            (x, rule)
            for rule in basis.openings
            if rule.treatment is not Treatment.UNREINFORCED
            for x in (rule.opening.box.x0 - offset, rule.opening.box.x1 + offset)
            if 0 < x < basis.wall.length_in
        ),
        key=lambda wish: wish[0],
    )
    start = 0
    for end in range(1, len(wanted) + 1):
        if end == len(wanted) or wanted[end][0] - wanted[start][0] >= offset:
            yield (wanted[start][0] + wanted[end - 1][0]) / 2, [rule for _, rule in wanted[start:end]]
            start = end


def _beside(box: Box, stretches: Sequence[Span]) -> Span | None:
    """Return the stretch that is beside most of an opening's height; None when none does."""

    def shared(stretch: Span) -> float:
        return min(box.y1, stretch[1]) - max(box.y0, stretch[0])

    best = max(stretches, key=shared, default=None)
    return best if best is not None and shared(best) > SAME_IN else None


@dataclass(frozen=True, slots=True)
class _Holes:
    """The openings of a wall by their left jambs, and the greatest width among them."""

    rules: Sequence[OpeningRule]
    widest_in: float

    @classmethod
    def of(cls, rules: Sequence[OpeningRule]) -> _Holes:
        ordered = sorted(rules, key=_left)
        return cls(ordered, max((rule.opening.box.width for rule in ordered), default=0.0))

    def _at(self, x: float) -> Iterator[tuple[str, Span]]:
        """Yield the openings that a station runs through: tag, sill and top of the lintel or head."""
        first = bisect_left(self.rules, x - self.widest_in, key=_left)
        for rule in self.rules[first : bisect_right(self.rules, x - SAME_IN, key=_left)]:
            box = rule.opening.box
            if x < box.x1 - SAME_IN:
                yield rule.opening.tag, (box.y0, rule.lintel.box.y1 if rule.lintel else box.y1)

    def stretches(self, wall: Wall, x: float) -> Iterator[Span]:
        """Yield the masonry at a station, lowest first."""
        whole = (max(wall.bottom.at(x)), min(wall.top.at(x)))
        return without([whole], sorted(span for _, span in self._at(x)))

    def ending_at(self, x: float, foot: float, head: float) -> tuple[str, ...]:
        """Return the tags of the openings that end a stretch."""
        return tuple(tag for tag, (sill, top) in self._at(x) if top == foot or sill == head)


def _left(rule: OpeningRule) -> float:
    return rule.opening.box.x0
