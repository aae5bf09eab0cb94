"""The fewest openings whose treatment changes so that a wall complies.

Glossary:
    free: an opening that is treated either way at once: a joint may be wherever one of its two treatments
        permits it, and none has to be. A wall that does not comply with some openings free does not comply
        however these are treated.
    decided: an opening that is treated as it is set, or the other way.

Openings are decided from left to right, those on the right free, so that what can't comply is given up as
soon as it shows. How many of the last openings have to change at least, all others free, is found first, from
the right end on: it bounds what is left to decide.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from itertools import permutations
from typing import Final, Literal

from perpend.layout.candidates import field_of
from perpend.layout.narrow_piers import narrow_piers
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.place import cost_of
from perpend.layout.search import best_layout
from perpend.model import Cost, OpeningRule, Treatment
from perpend.rulebook.wall_basis import WallBasis

MOST_LAYOUTS: Final = 1 << 12
"""Layouts tried for one wall; walls with openings by the dozen may need more."""

COMPARED_LAYOUTS: Final = 1 << 9
"""Layouts tried where several ways to build a wall are compared: in seconds."""

_How = Literal["as set", "changed", "free"]


class LayoutsSpentError(Exception):
    """More layouts would have to be tried than may be."""


def with_fewest_changes(basis: WallBasis) -> WallBasis:
    """Return the wall with treatments that comply and differ from those set in the fewest openings.

    Of several such sets of openings the one with the best layout is taken, then the leftmost. Where none
    complies, the treatments stay as they are set; where that is not known, a note says so.
    """
    try:
        mixed = fewest_changes(basis, MOST_LAYOUTS)
    except LayoutsSpentError:
        note = (
            f"Treatments stay as they are set in {basis.wall.tag}: among {MOST_LAYOUTS} layouts with other "
            f"treatments of its {len(basis.openings)} openings none is known to be the answer. Set the "
            "treatment of some openings by tag."
        )
        return replace(basis, notes=(*basis.notes, note))
    if mixed is None or mixed.openings == basis.openings:
        return basis
    changed = ", ".join(changed_treatments(basis, mixed))
    note = f"Treatment changed at the fewest openings for which {mixed.wall.tag} complies: {changed}."
    return replace(mixed, notes=(*mixed.notes, note))


def fewest_changes(basis: WallBasis, most_layouts: int) -> WallBasis | None:
    """Return the wall with the fewest treatments changed; None where no treatment of its openings complies.

    Args:
        basis: what binds the wall, the treatments as they are set.
        most_layouts: how many layouts are tried at most.

    Raises:
        LayoutsSpentError: more would have to be tried.
    """
    if _complies(_cost(basis)):
        return basis
    return _Search(basis, most_layouts).best()


class _Search:
    """The search over the openings of one wall that can be treated either way, from left to right."""

    def __init__(self, basis: WallBasis, most: int) -> None:
        self.basis, self.left = basis, most
        self.turned = [(i, other) for i, other in enumerate(basis.other_treatments) if other is not None]
        self.piers = list(narrow_piers(_all_unreinforced(basis)))
        self.least = [0] * (len(self.turned) + 1)
        self._known: dict[tuple[_How, ...], Cost] = {}

    def best(self) -> WallBasis | None:
        """Return the best of the complying walls with the fewest changes, the leftmost of those alike."""
        count = len(self.turned)
        for n in reversed(range(count)):
            before: tuple[_How, ...] = tuple("free" for _ in range(n))
            self.least[n] = self.least[n + 1]
            while not any(self._complying(before, self.least[n])):
                self.least[n] += 1
                if self.least[n] > count - n:
                    return None
        if not count:
            return None
        found = self._complying((), self.least[0])
        best = min(found, key=lambda how: _rank(self._cost_of(how)))
        mixed = self.basis
        for (i, other), how in zip(self.turned, best, strict=True):
            mixed = mixed.with_opening(i, other) if how == "changed" else mixed
        return mixed

    def _complying(self, decided: tuple[_How, ...], changes: int) -> Iterator[tuple[_How, ...]]:
        """Yield the complying treatments with up to so many changes, those with changes on the left first."""
        n = len(decided)
        if self.least[n] > changes or not _complies(self._cost_of(decided)):
            return
        if n == len(self.turned):
            yield decided
            return
        if changes:
            yield from self._complying((*decided, "changed"), changes - 1)
        yield from self._complying((*decided, "as set"), changes)

    def _cost_of(self, decided: tuple[_How, ...]) -> Cost:
        if decided not in self._known:
            if not self.left:
                raise LayoutsSpentError
            self.left -= 1
            free = [one for n, one in enumerate(self.turned) if decided[n : n + 1] in ((), ("free",))]
            rules = list(self.basis.openings)
            for i, other in free:
                rules[i] = _free(rules[i], other)
            for (i, other), how in zip(self.turned, decided, strict=False):
                if how == "changed":
                    rules[i] = other
            wall = replace(self.basis, openings=tuple(rules))
            self._known[decided] = _cost(wall, self._served_across({i for i, _ in free}))
        return self._known[decided]

    def _served_across(self, free: set[int]) -> set[int]:
        """Return the openings that a joint at a free opening may serve, across a narrow pier."""
        pairs = (pair for pier in self.piers for pair in permutations((pier.left, pier.right)))
        return {here for here, across in pairs if across in free}


def _all_unreinforced(basis: WallBasis) -> WallBasis:
    loose = (
        other if other is not None and other.treatment is Treatment.UNREINFORCED else rule
        for rule, other in zip(basis.openings, basis.other_treatments, strict=True)
    )
    return replace(basis, openings=tuple(loose))


def _free(rule: OpeningRule, other: OpeningRule) -> OpeningRule:
    """Return a rule for an opening that permits the joints of either of two rules, and asks for none."""
    loose = rule if rule.treatment is Treatment.UNREINFORCED else other
    return replace(
        loose,
        opening=loose.opening if loose.bars_jambs else replace(loose.opening, arched=False),
        jambs_required=0,
        jambs_optional=loose.jambs_required > 0 or loose.jambs_optional,
        clear_in=min(rule.clear_in, other.clear_in),
        near_within_in=None,
        clear_asked=rule.clear_asked and other.clear_asked,
    )


def _complies(cost: Cost) -> bool:
    return cost.violations == 0 and cost.narrow == 0


def _rank(cost: Cost) -> tuple[float, ...]:
    return (cost.joints, cost.slip_planes, cost.longest_in, cost.unevenness)


def _cost(basis: WallBasis, unasked: Collection[int] = ()) -> Cost:
    """Return what the best layout of a wall costs where some openings ask for nothing."""
    field = field_of(basis)
    if unasked:
        asked = tuple(r for r in field.requirements if r.opening not in unasked)
        lost = tuple(one for one in field.lost if one.opening not in unasked or one.opening is None)
        field = replace(field, requirements=asked, lost=lost)
    return cost_of(field, best_layout(field, PanelGraph(basis, field)))


def changed_treatments(as_set: WallBasis, mixed: WallBasis) -> tuple[str, ...]:
    """Name the openings whose treatment differs, each with its new one: ``D1 unreinforced``."""
    pairs = zip(as_set.openings, mixed.openings, strict=True)
    return tuple(
        f"{new.opening.tag} {new.treatment}" for old, new in pairs if old.treatment is not new.treatment
    )
