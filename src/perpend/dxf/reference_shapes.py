"""What block references show: each block's shapes once, each reference a matrix.

A drawing holds thousands of references of a few blocks, so a block is read once, in its own axes from
its base point, and all its references are carried at once. Blocks within blocks are opened up to a
depth. However many references there are, what they show is bounded: of the blocks that take the most,
only the frame is shown.

Glossary:
    carrier: six numbers a, b, c, d, x, y that put the point (u, v) of a block at
        (a u + c v + x, b u + d v + y).
    frame: the four sides of the box around what a block shows.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from perpend.dxf.expansion_budget import Budget

Numbers = npt.NDArray[np.float64]
Carrier = tuple[float, float, float, float, float, float]
Key = tuple[str, bool]
"""A block's name in small letters, and whether the reference is part of a dimension."""

_BUDGET: Final = Budget()


def _none(corners: int) -> Numbers:
    return np.empty((0, corners, 2), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Shapes:
    """Texts, straight pieces and areas, as the fields of what is read (`perpend.dxf.shown_pieces`)."""

    quads: Numbers = field(default_factory=lambda: _none(4))
    lines: Numbers = field(default_factory=lambda: _none(2))
    dimension_lines: Numbers = field(default_factory=lambda: _none(2))
    areas: Numbers = field(default_factory=lambda: _none(4))

    def parts(self) -> tuple[Numbers, Numbers, Numbers, Numbers]:
        """Return all of it, in the order of the fields."""
        return self.quads, self.lines, self.dimension_lines, self.areas

    def count(self) -> int:
        """Return the number of points."""
        return sum(part.shape[0] * part.shape[1] for part in self.parts())

    def frame(self) -> Shapes:
        """Return no more than the frame, as lines."""
        every = np.concatenate([part.reshape(-1, 2) for part in self.parts()])
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        corners = np.array(((x0, y0), (x1, y0), (x1, y1), (x0, y1)))
        return Shapes(lines=np.stack((corners, np.roll(corners, -1, axis=0)), axis=1))

    def carried(self, carriers: Numbers) -> Shapes:
        """Return what many references show; ``carriers`` has shape (m, 6)."""
        return Shapes(*(_carried(part, carriers) for part in self.parts()))

    def as_dimension(self) -> Shapes:
        """Return the same with every line one of a dimension."""
        return Shapes(
            self.quads, _none(2), np.concatenate((self.dimension_lines, self.lines)), areas=self.areas
        )

    @staticmethod
    def together(several: list[Shapes]) -> Shapes:
        """Return what several show."""
        return Shapes(*map(_joined, zip(*(s.parts() for s in several), strict=True)))


def _joined(parts: Sequence[Numbers]) -> Numbers:
    """Return parts as one; the only one that has anything is not copied."""
    some = [part for part in parts if len(part)] or parts[:1]
    return some[0] if len(some) == 1 else np.concatenate(some)


def _carried(part: Numbers, carriers: Numbers) -> Numbers:
    """Carry points by products and sums of their own, so that each comes out the same in any company."""
    u, v = part.reshape(-1, 2).T
    a, b, c, d, x, y = (carriers[:, i, None] for i in range(6))
    points = np.stack((a * u + c * v + x, b * u + d * v + y), axis=-1).reshape(-1, *part.shape[1:])
    return points[np.isfinite(points).all(axis=(1, 2))]


@dataclass(slots=True)
class References:
    """The block references of a drawing or of a block, by block."""

    carriers: dict[Key, list[Carrier]] = field(default_factory=lambda: defaultdict(list))

    def add(self, block: str, carrier: Carrier, in_dimension: bool) -> None:
        """Add one reference."""
        self.carriers[block.lower(), in_dimension].append(carrier)

    def shown(self, shapes_of: Callable[[str], Shapes], most: int = _BUDGET.shown_points) -> Shapes:
        """Return what all of them show.

        Args:
            shapes_of: returns what a block shows, in its own axes from its base point.
            most: points to show; the blocks that take the most beyond it show their frames.
        """
        found: list[Shapes] = [Shapes()]
        costs = []
        for key, carriers in self.carriers.items():
            shapes = shapes_of(key[0])
            if shapes.count():
                costs.append((shapes.count() * len(carriers), key, shapes))
        left = most
        for cost, key, shapes in sorted(costs, key=lambda c: c[:2]):
            kept = shapes if cost <= left else shapes.frame()
            left -= cost
            carried = kept.carried(np.array(self.carriers[key], dtype=np.float64))
            found.append(carried.as_dimension() if key[1] else carried)
        return Shapes.together(found)


Content = tuple[Shapes, References]
"""What a block shows by itself, and the blocks it refers to."""


@dataclass(slots=True)
class BlockShapes:
    """What blocks show, each read once.

    Attributes:
        read: reads a block by its name, in its own axes from its base point.
    """

    read: Callable[[str], Content]
    _known: dict[tuple[str, int], Shapes] = field(default_factory=dict)
    _content: dict[str, Content] = field(default_factory=dict)

    def of(self, name: str, levels: int = _BUDGET.shown_depth) -> Shapes:
        """Return what a block shows, with the blocks in it down to a number of levels."""
        if levels == 0:
            return Shapes()
        found = self._known.get((name, levels))
        if found is None:
            if name not in self._content:
                self._content[name] = self.read(name)
            own, inner = self._content[name]
            below = inner.shown(lambda block: self.of(block, levels - 1), _BUDGET.shown_in_block)
            found = self._known[name, levels] = Shapes.together([own, below])
        return found


def plain_carrier(x: float, y: float, x_scale: float, y_scale: float, degrees: float) -> Carrier:
    """Return the carrier of a reference that lies flat on the sheet."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (x_scale * cos, x_scale * sin, -y_scale * sin, y_scale * cos, x, y)
