"""How much of a drawing the settings let be read."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field


class Bounds(BaseModel):
    """How much of a drawing is read before it is refused; raise one where a sound drawing is.

    Attributes:
        megabytes: size of the file.
        depth: deepest nesting of blocks.
        entities: entities that all blocks on layers of interest expand to, together.
        cells: rows × columns of one arrayed block.
        points: vertices of one entity.
        overlaps: pairs of wall outlines of which one lies over the other.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, allow_inf_nan=False)

    megabytes: Annotated[int, Field(ge=1, le=4000)] = 500
    depth: Annotated[int, Field(ge=1, le=100)] = 32
    entities: Annotated[int, Field(ge=100, le=2_000_000)] = 200_000
    cells: Annotated[int, Field(ge=1, le=100_000)] = 10_000
    points: Annotated[int, Field(ge=10, le=1_000_000)] = 20_000
    overlaps: Annotated[int, Field(ge=10, le=500_000)] = 20_000
