"""What the settings say of a corner at which two drawn walls meet."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from perpend.model import Side
from perpend.settings.setting_values import as_tuple

Named = Annotated[str, Field(min_length=1)]


class CornerEntry(BaseModel):
    """One ``[[corners]]`` entry: two ends of drawn walls that meet at one corner of the building.

    Attributes:
        walls: tags of the two walls.
        ends: which end of each.
        joint_in: tag of the one that has the joint, where one joint serves both; without it the one whose
            drawn joint is near, or else the first.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    walls: Annotated[tuple[Named, Named], BeforeValidator(as_tuple)]
    ends: Annotated[tuple[Side, Side], BeforeValidator(as_tuple)]
    joint_in: Named | None = None

    @model_validator(mode="after")
    def _two_ends(self) -> CornerEntry:
        if (self.walls[0], self.ends[0]) == (self.walls[1], self.ends[1]):
            raise ValueError("a corner is where two ends meet, and this names one end twice")
        if self.joint_in is not None and self.joint_in not in self.walls:
            raise ValueError(f"joint_in is one of the two walls, {self.walls[0]} or {self.walls[1]}")
        return self

    @property
    def named(self) -> tuple[tuple[str, Side], tuple[str, Side]]:
        """The two ends: tag of the wall, and side."""
        return (self.walls[0], self.ends[0]), (self.walls[1], self.ends[1])
