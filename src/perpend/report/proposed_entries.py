"""The cure of a wall, carried into the results document."""

from __future__ import annotations

from typing import TYPE_CHECKING

from perpend.report.results_document import ProposedEntry

if TYPE_CHECKING:  # who has no cure to carry over does not load the search for one
    from perpend.layout.nearest_layout import NearestLayout, Proposed


def proposed_entries(nearest: NearestLayout) -> list[ProposedEntry]:
    """Carry the nearest layout that satisfies the rules over, joint by joint from left to right."""
    return [_entry(proposed) for proposed in nearest.proposed]


def _entry(proposed: Proposed) -> ProposedEntry:
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
