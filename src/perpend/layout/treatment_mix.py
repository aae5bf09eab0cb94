"""The fewest openings whose treatment changes so that a wall complies: every set, the smallest first."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Final

from perpend.layout.candidates import field_of
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.place import cost_of
from perpend.layout.search import best_layout
from perpend.model import Cost
from perpend.rulebook.wall_basis import WallBasis

MOST_OPENINGS: Final = 14
"""Of more openings not every set can be tried: the wall stays as it is set, and a note says so."""


def with_fewest_changes(basis: WallBasis) -> WallBasis:
    """Return the wall with treatments that comply and differ from those set in the fewest openings.

    Of several such sets of openings the one with the best layout is taken, then the leftmost. Where none
    complies, the treatments stay as they are set.
    """
    turned = [(i, other) for i, other in enumerate(basis.other_treatments) if other is not None]
    if _complies(_cost(basis)):
        return basis
    if len(turned) > MOST_OPENINGS:
        note = (
            f"{basis.wall.tag} has more than {MOST_OPENINGS} openings: the fewest whose treatment has to "
            "change were not looked for."
        )
        return replace(basis, notes=(*basis.notes, note))
    for size in range(1, len(turned) + 1):
        best: tuple[tuple[float, ...], WallBasis] | None = None
        for changed in itertools.combinations(turned, size):
            mixed = basis
            for i, other in changed:
                mixed = mixed.with_opening(i, other)
            cost = _cost(mixed)
            rank = (cost.joints, cost.slip_planes, cost.longest_in, cost.unevenness)
            if _complies(cost) and (best is None or rank < best[0]):
                best = (rank, mixed)
        if best is not None:
            return _noted(basis, best[1])
    return basis


def _complies(cost: Cost) -> bool:
    return cost.violations == 0 and cost.narrow == 0


def _cost(basis: WallBasis) -> Cost:
    field = field_of(basis)
    return cost_of(field, best_layout(field, PanelGraph(basis, field)))


def _noted(as_set: WallBasis, mixed: WallBasis) -> WallBasis:
    pairs = zip(as_set.openings, mixed.openings, strict=True)
    changed = [
        f"{new.opening.tag} {new.treatment}" for old, new in pairs if old.treatment is not new.treatment
    ]
    note = (
        f"Treatment changed at the fewest openings for which {mixed.wall.tag} complies: {', '.join(changed)}."
    )
    return replace(mixed, notes=(*mixed.notes, note))
