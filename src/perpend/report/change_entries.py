"""Changes in the results document: of a finding's cure, and of the layout that is proposed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from typing import TYPE_CHECKING, Annotated, Final, Literal

from perpend.model import BeamChange, Change, JointChange, Treat, UseMethod
from perpend.report.document_parts import Number, Part, Spot, described
from perpend.slotted import dataclass

if TYPE_CHECKING:  # what has no proposal to carry over does not load the search for one
    from perpend.layout.nearest_layout import NearestLayout, Proposed


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
    if isinstance(change, JointChange):
        return ChangeEntry(
            kind=change.kind,
            number=change.number,
            handle=change.handle,
            x_in=change.x_in,
            path=list(change.path),
            opening=change.opening,
        )
    if isinstance(change, Treat):
        return ChangeEntry(
            kind="treat", handle=change.handle, opening=change.opening, value=change.treatment.value
        )
    if isinstance(change, UseMethod):
        return ChangeEntry(kind="use-method", value=f"{change.method} {change.units}")
    if isinstance(change, BeamChange):
        return ChangeEntry(kind=_BEAMS[change.kind], handle=change.handle, x_in=change.x_in, y_in=change.y_in)
    return ChangeEntry(kind="advice", opening=change.subject, x_in=change.length_in, value=change.key)


_BEAMS: Final[dict[str, Literal["stop-beam", "debond-beam", "add-beam"]]] = {
    "stop": "stop-beam",
    "debond": "debond-beam",
    "add": "add-beam",
}


def proposed_entries(nearest: NearestLayout) -> list[ProposedEntry]:
    """Carry the nearest layout that satisfies the rules over, joint by joint from left to right."""
    return [_proposed(proposed) for proposed in nearest.proposed]


def _proposed(proposed: Proposed) -> ProposedEntry:
    joint = proposed.joint
    return ProposedEntry(
        change=proposed.change,
        number=joint.number,
        was=proposed.was.number if proposed.was else None,
        x_in=joint.x_in,
        path=list(joint.path),
        move_in=proposed.move_in,
        reason=joint.reason,
    )
