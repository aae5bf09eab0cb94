"""The fewest openings whose treatment changes so that a wall complies: every set, the smallest first."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Final

from perpend.layout.candidates import field_of
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.place import cost_of
from perpend.layout.search import best_layout
from perpend.model import Cost
from perpend.rulebook.wall_basis import WallBasis

MOST_SETS: Final = 1 << 14
"""Sets of openings tried: every set of 14 openings; of more openings the smaller sets, size by size."""

COMPARED_SETS: Final = 1 << 10
"""Sets tried where several ways to build a wall are compared: the smaller ones first, in seconds."""


def with_fewest_changes(basis: WallBasis, most_sets: int | None = None) -> WallBasis:
    """Return the wall with treatments that comply and differ from those set in the fewest openings.

    Of several such sets of openings the one with the best layout is taken, then the leftmost. Where none
    complies, the treatments stay as they are set. Where a wall has so many openings that not every set is
    tried, a note says up to how many changes none complies.

    Args:
        basis: what binds the wall, the treatments as they are set.
        most_sets: how many sets of openings are tried at most; None: `MOST_SETS`.
    """
    turned = [(i, other) for i, other in enumerate(basis.other_treatments) if other is not None]
    if _complies(_cost(basis)):
        return basis
    most = most_changes_tried(len(turned), MOST_SETS if most_sets is None else most_sets)
    for size in range(1, len(turned) + 1):
        if size > most:
            return _given_up(basis, len(turned), most)
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


def most_changes_tried(openings: int, most_sets: int) -> int:
    """Return up to how many changes every set of openings is tried, of so many sets in all."""
    sets = itertools.accumulate(math.comb(openings, size) for size in range(openings + 1))
    return sum(so_far <= most_sets for so_far in sets) - 1


def every_set_is_tried(basis: WallBasis) -> bool:
    """Say whether the openings of a wall are so few that every set of them is tried: the answer is exact."""
    return 1 << sum(other is not None for other in basis.other_treatments) <= MOST_SETS


def _complies(cost: Cost) -> bool:
    return cost.violations == 0 and cost.narrow == 0


def _cost(basis: WallBasis) -> Cost:
    field = field_of(basis)
    return cost_of(field, best_layout(field, PanelGraph(basis, field)))


def _given_up(basis: WallBasis, openings: int, most: int) -> WallBasis:
    said = f"Treatments stay as they are set in {basis.wall.tag}"
    note = (
        f"{said}: no change of up to {most} of its {openings} openings makes it comply, and changes of more "
        "than that were not tried. Set the treatment of some openings by tag."
    )
    return replace(basis, notes=(*basis.notes, note))


def _noted(as_set: WallBasis, mixed: WallBasis) -> WallBasis:
    changed = ", ".join(changed_treatments(as_set, mixed))
    note = f"Treatment changed at the fewest openings for which {mixed.wall.tag} complies: {changed}."
    return replace(mixed, notes=(*mixed.notes, note))


def changed_treatments(as_set: WallBasis, mixed: WallBasis) -> tuple[str, ...]:
    """Name the openings whose treatment differs, each with its new one: ``D1 unreinforced``."""
    pairs = zip(as_set.openings, mixed.openings, strict=True)
    return tuple(
        f"{new.opening.tag} {new.treatment}" for old, new in pairs if old.treatment is not new.treatment
    )
