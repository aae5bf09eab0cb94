"""How wide and how high: the sizes of a joint itself, and the horizontal joints of a wall, inches."""

from __future__ import annotations

from dataclasses import dataclass

from perpend.model.sources import Source


@dataclass(frozen=True, slots=True)
class HorizontalJoints:
    """The horizontal joints of a wall, each below a support that carries the masonry above it.

    Attributes:
        under: what the supports are called, such as ``shelf angle``.
        levels_in: heights of the joints above the wall's foot, lowest first; its top may be one.
        width_in: least width of each; None where the book has none.
        at_most_in: greatest height of masonry from support to support; None where the book has none.
        at_gable_in: the same up to a peak.
        free_to_in: a wall up to this height needs none.
        source: the row that says how high masonry may rise.
    """

    under: str
    levels_in: tuple[float, ...] = ()
    width_in: float | None = None
    at_most_in: float | None = None
    at_gable_in: float | None = None
    free_to_in: float = 0.0
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class JointSizes:
    """What a rule book says of the joint itself; None where it says nothing.

    Attributes:
        width_in: of a vertical joint.
        width_noted: True where a sheet has to say it: the masonry's movement sets it, or the rule book asks.
        ties_in: distance of the ties beside it.
        horizontal: joints below supports.
    """

    width_in: float | None = None
    width_noted: bool = False
    ties_in: float | None = None
    horizontal: HorizontalJoints | None = None
