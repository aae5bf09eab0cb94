"""How far the joints of a panel are from what holds the masonry in it, such as a bonded wall; in ticks."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence

from perpend.layout.joint_lines import Line
from perpend.layout.kept_out_stations import SAME
from perpend.model import EndCondition
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import to_ticks


class Restraints:
    """The restraints of a wall, measured against the lines of a search graph."""

    def __init__(
        self, basis: WallBasis, lines: Sequence[Line], packed: Sequence[Line], pack: Callable[[int], int]
    ) -> None:
        """Prepare the restraints.

        Args:
            basis: the wall's basis.
            lines: of the nodes, the wall's ends among them.
            packed: the same where long, low openings take up no length.
            pack: where a station is then.
        """
        self._lines, self._packed = lines, packed
        self._middles = [to_ticks(r.middle_in) for r in basis.restraints]
        self._faces = [(pack(to_ticks(r.x0_in)), pack(to_ticks(r.x1_in))) for r in basis.restraints]
        self._within = [None if r.within_in is None else to_ticks(r.within_in) for r in basis.restraints]
        self._corners = (
            basis.left_end is EndCondition.CORNER,
            basis.right_end is EndCondition.CORNER,
        )

    def __bool__(self) -> bool:
        """Say whether the wall has any."""
        return bool(self._middles)

    def between(self, a: int, b: int) -> range:
        """Return the numbers of those between two nodes; at an end that is no corner, beyond it too."""
        left, right = self._at_corners(a, b)
        foot_a, foot_b = self._lines[a].foot, self._lines[b].foot
        first = 0 if a == 0 and not left else bisect_right(self._middles, foot_a + SAME)
        ends = b == len(self._lines) - 1 and not right
        return range(first, len(self._middles) if ends else bisect_left(self._middles, foot_b - SAME))

    def faults(self, a: int, b: int, beside: int | None) -> tuple[int, int]:
        """Return how many joints are too far from a restraint of a panel, and by how much in all.

        Towards a corner nothing is measured: the corner requires its own joint.

        Args:
            a: left node.
            b: right node.
            beside: how far a joint may be from a restraint that does not say so itself; None: no limit.
        """
        count = excess = 0
        corners = self._at_corners(a, b)
        for n in self.between(a, b):
            (x0, x1), limit = self._faces[n], beside if self._within[n] is None else self._within[n]
            distances = (x0 - self._packed[a].lo, self._packed[b].hi - x1)
            for distance, at_corner in zip(distances, corners, strict=True):
                if limit is not None and not at_corner and distance > limit + SAME:
                    count, excess = count + 1, excess + distance - limit
        return count, excess

    def _at_corners(self, a: int, b: int) -> tuple[bool, bool]:
        return a == 0 and self._corners[0], b == len(self._lines) - 1 and self._corners[1]
