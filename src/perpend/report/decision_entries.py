"""What people decided about joints, in the results document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from perpend.decisions.joint_record import Issue
from perpend.report.document_parts import Number, Part, described, part_of


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionEntry(Part):
    """One decision of a person, or what became of one."""

    code: Annotated[str, described("Such as moved, deleted or released; docs/revisions.md lists them.")]
    wall: str
    number: Annotated[str, described("Of the joint, such as 4A; empty where it has none.")] = ""
    from_in: Annotated[Number | None, described("Station of its foot before.")] = None
    to_in: Annotated[Number | None, described("Station of its foot now.")] = None
    words: str


@part_of(Issue)
@dataclass(frozen=True, slots=True, kw_only=True)
class IssueEntry(Part):
    """One issue of the drawing."""

    name: str
    day: Annotated[str, described("On which it was recorded, such as 2026-12-01.")]
    joints: int
