"""The masonry below and above long, low openings: panels with heights of their own.

Glossary:
    strip: an opening so long and low that the masonry below and above it counts as walls of their own.
    piece: the masonry below or above a strip, from jamb to jamb.
    partial joint: one in such a piece: from foot to sill, or from above the lintel to the top.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from perpend.model import Box, OpeningRule, Path, Wall
from perpend.rulebook.judgment import Judgment
from perpend.units import GAP_IN, SAME_IN


@dataclass(frozen=True, slots=True)
class StripPiece:
    """The masonry below or above a strip.

    Attributes:
        opening: tag of the strip.
        where: below its sill or above its head.
        box: the masonry, from jamb to jamb and at its least height.
        y0_in: where a partial joint in it begins.
        y1_in: where it ends.
        beams_in: heights of the bond beams that it has in place of joints, from its top down; none: it has
            joints where it is too long.
        bar: the bar in each of them.
    """

    opening: str
    where: Literal["below", "above"]
    box: Box
    y0_in: float
    y1_in: float
    beams_in: tuple[float, ...] = ()
    bar: str = ""

    @property
    def steel(self) -> str:
        """Its bond beams in words."""
        count = len(self.beams_in)
        return f"one {self.bar} in {'a bond beam' if count == 1 else f'each of {count} bond beams'}"

    def holds(self, path: Path) -> bool:
        """Say whether a joint is a partial joint of this piece: in it, and over its whole height."""
        xs, ys = [x for x, _ in path], [y for _, y in path]
        inside = self.box.x0 + SAME_IN < min(xs) and max(xs) < self.box.x1 - SAME_IN
        begins = min(ys) <= self.y0_in + GAP_IN and min(ys) >= self.box.y0 - GAP_IN
        ends = max(ys) >= self.y1_in - GAP_IN and max(ys) <= self.box.y1 + GAP_IN
        return inside and begins and ends


def strip_pieces(wall: Wall, rules: Sequence[OpeningRule], judged: Judgment) -> tuple[StripPiece, ...]:
    """Return the pieces of a wall that are panels of their own, left to right.

    What is as low as a change of height that asks for no joint is no panel, nor is what another opening
    reaches into.
    """
    return tuple(
        piece
        for rule in rules
        if judged.is_strip(wall, rule.opening)
        for piece in _pieces(wall, rule, rules)
        if piece.y1_in - piece.y0_in > judged.height_change_in + SAME_IN
        and not any(piece.box.overlaps(r.opening.box, SAME_IN) for r in rules)
    )


def _pieces(wall: Wall, rule: OpeningRule, rules: Sequence[OpeningRule]) -> Iterator[StripPiece]:
    """Yield the masonry below and above a strip, up to the next opening that is as long as it is.

    What is between two strips of one length is given once, as the masonry above the lower one.
    """
    box, tag = rule.opening.box, rule.opening.tag
    as_long = [r for r in rules if r is not rule and _covers(r.opening.box, box)]
    lower = [r for r in as_long if r.opening.box.y1 <= box.y0 + SAME_IN]
    floor = max(y for _, y in wall.bottom.between(box.x0, box.x1))
    crown = min(y for _, y in wall.top.between(box.x0, box.x1))
    crown = min([crown, *(r.opening.box.y0 for r in as_long if r.opening.box.y0 >= box.y1 - SAME_IN)])
    if not lower:
        yield StripPiece(tag, "below", Box(box.x0, floor, box.x1, box.y0), floor, box.y0)
    elif not any(_covers(box, r.opening.box) for r in lower):
        next_below = max(lower, key=lambda r: r.opening.box.y1)
        begins = next_below.lintel.box.y1 if next_below.lintel else next_below.opening.box.y1
        low = next_below.opening.box.y1
        yield StripPiece(tag, "below", Box(box.x0, low, box.x1, box.y0), begins, box.y0)
    above = rule.lintel.box.y1 if rule.lintel else box.y1
    yield StripPiece(tag, "above", Box(box.x0, box.y1, box.x1, crown), above, crown)


def _covers(longer: Box, box: Box) -> bool:
    """Say whether one opening reaches at least from jamb to jamb of another."""
    return longer.x0 <= box.x0 + SAME_IN and longer.x1 >= box.x1 - SAME_IN


def partial_piece(pieces: Sequence[StripPiece], path: Path) -> StripPiece | None:
    """Return the piece of which a joint is a partial joint, or None where it is none."""
    return next((piece for piece in pieces if piece.holds(path)), None)


def strip_spans(wall: Wall, judged: Judgment) -> tuple[tuple[float, float], ...]:
    """Return the stretches that strips take up, left to right; strips above one another share theirs."""
    return tuple(_apart(sorted((o.box.x0, o.box.x1) for o in wall.openings if judged.is_strip(wall, o))))


def strip_width_between(spans: Sequence[tuple[float, float]], x0_in: float, x1_in: float) -> float:
    """Return how much of the stretch between two stations strips take up."""
    first = bisect_left(spans, x0_in, key=lambda span: span[1])
    last = bisect_left(spans, x1_in, key=lambda span: span[0])
    return sum(max(0.0, min(b, x1_in) - max(a, x0_in)) for a, b in spans[first:last])


def _apart(spans: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join spans that overlap: strips above one another take up their stretch once."""
    found: list[tuple[float, float]] = []
    for a, b in spans:
        if found and a <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], b))
        else:
            found.append((a, b))
    return found
