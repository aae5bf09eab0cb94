"""Which openings, and which joints, stand near a station: look-ups that keep long walls quick."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from perpend.checks.measure.track_geometry import Track
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN


@dataclass(frozen=True, slots=True)
class NearbyOpenings:
    """The openings of a wall with their reach, sorted by where that begins.

    Attributes:
        spans: (start, end, index of the opening): jamb to jamb and, on either side, the lintel, the
            keep-out and a module.
        starts: where each begins.
        longest_in: length of the longest span.
    """

    spans: tuple[tuple[float, float, int], ...]
    starts: tuple[float, ...]
    longest_in: float

    @classmethod
    def of(cls, basis: WallBasis) -> NearbyOpenings:
        """Sort the openings of a wall."""
        spans = []
        for index, rule in enumerate(basis.openings):
            box = rule.opening.box
            left = right = max(rule.clear_in, rule.step_in)
            if rule.lintel is not None:
                left, right = max(left, rule.lintel.bearing_left_in), max(right, rule.lintel.bearing_right_in)
            module = basis.module_in
            spans.append((box.x0 - left - module, box.x1 + right + module, index))
        spans.sort()
        longest = max((end - start for start, end, _ in spans), default=0.0)
        return cls(tuple(spans), tuple(start for start, _, _ in spans), longest)

    def beside(self, low_in: float, high_in: float) -> Iterator[int]:
        """Yield the openings, by index, whose reach the stations low..high touch, in the wall's order."""
        first = bisect_left(self.starts, low_in - self.longest_in)
        last = bisect_right(self.starts, high_in)
        yield from sorted(index for _, end, index in self.spans[first:last] if end >= low_in)


@dataclass(frozen=True, slots=True)
class NearbyTracks:
    """The joints of a wall by their foot.

    Attributes:
        tracks: sorted by foot.
        feet: station of each foot.
        lean_in: how far a joint reaches from its foot at most.
    """

    tracks: tuple[Track, ...]
    feet: tuple[float, ...]
    lean_in: float

    @classmethod
    def of(cls, tracks: Sequence[Track]) -> NearbyTracks:
        """Sort the joints of a wall."""
        ordered = tuple(sorted(tracks, key=lambda t: t.foot_x))
        lean = max((max(t.hi - t.foot_x, t.foot_x - t.lo) for t in ordered), default=0.0)
        return cls(ordered, tuple(t.foot_x for t in ordered), lean)

    def beside(self, x_in: float) -> Sequence[Track]:
        """Return the joints that may stand at a station, left to right."""
        reach = self.lean_in + ON_MODULE_IN
        return self.tracks[bisect_left(self.feet, x_in - reach) : bisect_right(self.feet, x_in + reach)]
