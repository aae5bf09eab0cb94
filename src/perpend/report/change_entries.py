"""Changes in the results document: of a finding's cure, and of the layout that is proposed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Literal

from perpend.model import Advice, BeamChange, Change, Treat, UseMethod
from perpend.report.document_parts import Number, Part, Spot, described

if TYPE_CHECKING:  # what has no proposal to carry over does not load the search for one
    from perpend.layout.nearest_layout import NearestLayout


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeEntry(Part):
    """One change of a cure. What its kind does not need is empty."""

    kind: Annotated[
        Literal[
            "move", "step", "extend", "straighten", "trim", "add", "remove",
            "treat", "use-method", "stop-beam", "debond-beam", "add-beam", "advice",
        ],
        described("Of a joint: move to add to remove. Of an opening: treat. Of the wall: the others."),
    ]  # fmt: skip
    number: Annotated[int, described("Of the joint as drawn; 0 for one that is added.")] = 0
    handle: str = ""
    x_in: Annotated[Number | None, described("Station of the joint's foot, or of the change.")] = None
    y_in: Number | None = None
    path: Annotated[
        list[Spot], described("The joint's whole new line from bottom to top; as it was where it is removed.")
    ] = field(default_factory=list)
    opening: str = ""
    value: Annotated[str, described("The treatment, the method and units, or which advice.")] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedEntry(Part):
    """What becomes of one joint in the nearest layout that satisfies the rules."""

    change: Literal["kept", "moved", "redrawn", "added", "removed"]
    number: Annotated[int, described("In the proposed layout; of a removed joint, its own.")]
    was: Annotated[int | None, described("Number of the drawn joint that it was; null when it is added.")]
    x_in: Annotated[Number, described("Station of its foot after the change; as drawn when removed.")]
    path: Annotated[list[Spot], described("Its line after the change; as drawn when removed.")]
    move_in: Annotated[Number, described("How far its foot moves; 0 unless it is moved.")]
    reason: str


def change_entries(changes: Iterable[Change]) -> list[ChangeEntry]:
    """Carry the changes of a cure over."""
    return [_change(change) for change in changes]


def _change(change: Change) -> ChangeEntry:
    if isinstance(change, Treat):
        return ChangeEntry.of(change, kind="treat", value=change.treatment.value)
    if isinstance(change, UseMethod):
        return ChangeEntry(kind="use-method", value=f"{change.method} {change.units}")
    if isinstance(change, BeamChange):
        return ChangeEntry.of(change, kind=f"{change.kind}-beam")
    if isinstance(change, Advice):
        return ChangeEntry(kind="advice", opening=change.subject, x_in=change.length_in, value=change.key)
    return ChangeEntry.of(change)


def proposed_entries(nearest: NearestLayout) -> list[ProposedEntry]:
    """Carry the nearest layout that satisfies the rules over, joint by joint from left to right."""
    return [
        ProposedEntry.of(proposed.joint, proposed, was=proposed.was.number if proposed.was else None)
        for proposed in nearest.proposed
    ]
