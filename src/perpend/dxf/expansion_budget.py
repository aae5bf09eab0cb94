"""How far block references are expanded before a drawing is refused."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Budget:
    """How far blocks are expanded before the reader refuses.

    Attributes:
        depth: deepest nesting of blocks.
        entities: entities that all relevant block references may expand to, together.
        cells: rows × columns of one arrayed block reference.
        points: vertices of one entity.
    """

    depth: int = 32
    entities: int = 200_000
    cells: int = 10_000
    points: int = 20_000
