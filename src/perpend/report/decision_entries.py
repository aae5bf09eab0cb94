"""What people decided about joints, in the results document."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from perpend.decisions.decision import Decision
from perpend.decisions.joint_record import Issue
from perpend.report.document_parts import Number, Part, described
from perpend.units import DisplaySystem


@dataclass(frozen=True, slots=True, kw_only=True)
class DecisionEntry(Part):
    """One decision of a person, or what became of one."""

    code: Annotated[str, described("Such as moved, deleted or released; docs/revisions.md lists them.")]
    wall: str
    number: Annotated[str, described("Of the joint, such as 4A; empty where it has none.")] = ""
    from_in: Annotated[Number | None, described("Station of its foot before.")] = None
    to_in: Annotated[Number | None, described("Station of its foot now.")] = None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueEntry(Part):
    """One issue of the drawing."""

    name: str
    day: Annotated[str, described("On which it was recorded, such as 2026-12-01.")]
    joints: int


def decision_entries(decisions: Iterable[Decision], label: str, system: DisplaySystem) -> list[DecisionEntry]:
    """Carry decisions over, in words as well."""
    return [
        DecisionEntry(
            code=d.code,
            wall=d.wall,
            number=d.number,
            from_in=d.from_in,
            to_in=d.to_in,
            words=d.words(label, system),
        )
        for d in decisions
    ]


def issue_entries(issues: Iterable[Issue]) -> list[IssueEntry]:
    """Carry the issues over."""
    return [IssueEntry(name=issue.name, day=issue.day, joints=issue.joints) for issue in issues]
