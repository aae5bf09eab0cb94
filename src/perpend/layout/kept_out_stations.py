"""The stations of a wall where a joint may not stand, sorted for look-up. Positions are in ticks."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from perpend.model import (
    OpeningRule,
)
from perpend.units import SAME_IN, to_ticks

SAME = to_ticks(SAME_IN)


@dataclass(frozen=True, slots=True)
class KeepOuts:
    """The keep-outs of a wall's openings, sorted for look-up."""

    spans: tuple[tuple[int, int, int], ...]
    """(start, end, index of the opening or keep-out), by start; a joint may stand at start or end."""
    reach: int
    """Length of the longest span."""
    starts: tuple[int, ...]

    def hit_by(self, lo: int, hi: int) -> Iterator[int]:
        """Yield the openings whose keep-out the stations lo..hi enter by more than the tolerance."""
        first = bisect_left(self.starts, lo - self.reach)
        last = bisect_right(self.starts, hi)
        for start, end, index in self.spans[first:last]:
            if lo < end - SAME and hi > start + SAME:
                yield index

    def clear_of(self, lo: int, hi: int) -> bool:
        """Say whether the stations lo..hi enter no keep-out."""
        return next(self.hit_by(lo, hi), None) is None


def keep_outs(rules: Sequence[OpeningRule]) -> KeepOuts:
    """Collect the keep-outs of all openings: jamb to jamb, and ``clear_in`` on either side."""
    return kept_out(
        (to_ticks(r.opening.box.x0 - r.clear_in), to_ticks(r.opening.box.x1 + r.clear_in), i)
        for i, r in enumerate(rules)
    )


def kept_out(found: Iterable[tuple[int, int, int]]) -> KeepOuts:
    """Sort spans (start, end, index) for look-up."""
    spans = sorted(found)
    reach = max((end - start for start, end, _ in spans), default=0)
    return KeepOuts(tuple(spans), reach, tuple(start for start, _, _ in spans))
