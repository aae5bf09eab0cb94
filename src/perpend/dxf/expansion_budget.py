"""How far block references are expanded, for whatever purpose: the one set of limits."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Budget:
    """How far blocks are expanded before the reader refuses, or looks no further.

    Attributes:
        megabytes: size of the file.
        depth: deepest nesting of blocks.
        entities: entities that all relevant block references may expand to, together.
        cells: rows × columns of one arrayed block reference.
        points: vertices of one entity.
        aside: entities that one block may expand to which nobody asked for.
        looked_at: entities that all such references may expand to, together.
        overlaps: pairs of wall outlines of which one lies over the other.
        shown_depth: nesting of blocks that labels keep off.
        shown_points: points of all block references that labels keep off.
        shown_in_block: points of one block that labels keep off.
        shown_parts: parts of dimensions and leaders that labels keep off.
    """

    megabytes: int = 500
    depth: int = 32
    entities: int = 200_000
    cells: int = 10_000
    points: int = 20_000
    aside: int = 20_000
    looked_at: int = 4_000_000
    overlaps: int = 20_000
    shown_depth: int = 4
    shown_points: int = 1_000_000
    shown_in_block: int = 100_000
    shown_parts: int = 50_000

    @property
    def most_points(self) -> int:
        """Points of one entity on any layer, ten times those of an entity that is read."""
        return 10 * self.points
