"""What would free a wall that can't be satisfied: every change that is named was tried first.

Glossary:
    change: one joint that is drawn standing elsewhere or left out, an opening treated the other way, or
        another method.
    burden: how many limits a layout breaks, and by how much panels are too long.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator
from dataclasses import replace

from perpend.layout.candidates import Field, field_of, keep_outs
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.search import Found, best_layout
from perpend.model import DrawnJoint, Treatment
from perpend.rulebook.wall_basis import SpacingRule, WallBasis
from perpend.units import ON_MODULE_IN, SAME_IN, to_ticks

_MOST_PAIRED = 6
"""Openings of which every two are tried together, where no change by itself frees the wall."""
_MOST_TRIALS = 12
"""Openings, or drawn joints, tried one by one before only all of them together are tried."""
_MOST_LINES = 40
"""Module lines looked at on either side of a drawn joint; those that openings leave free are tried."""

_KINDS = "of treatment or method"

Burden = tuple[int, int]
"""Limits broken, and excess of the panels in ticks."""


def burden_of(field: Field, found: Found) -> Burden:
    """Return what a layout breaks."""
    near = sum(bool(field.candidates[n - 1].too_near) for n in found.nodes[1:-1])
    return (found.violations + len(field.lost) + len(field.near_ends) + near, found.excess)


def without(basis: WallBasis, handles: Collection[str]) -> WallBasis:
    """Return the wall without the drawn joints that have one of these handles."""
    if not handles:
        return basis
    kept = tuple(j for j in basis.wall.drawn_joints if j.handle not in handles)
    return replace(basis, wall=replace(basis.wall, drawn_joints=kept))


def what_would_free(basis: WallBasis, burden: Burden) -> str:
    """Try drawn joints elsewhere, the other treatments and methods, and say which would free the wall.

    Args:
        basis: the wall's basis.
        burden: (violations, excess in ticks) of the best layout as things are.

    Returns:
        One sentence; it says so when nothing that was tried helps.
    """
    freeing, helping, tried = list(_moves(basis)), [], len(basis.wall.drawn_joints[:_MOST_TRIALS])
    for label, other in _changes(basis):
        tried += 1
        after = _tried(other)
        if after == (0, 0):
            freeing.append(label)
        elif after < burden:
            helping.append(label)
    if not freeing:
        for label, other in _pairs(basis):
            tried += 1
            if _tried(other) == (0, 0):
                freeing.append(label)
    if freeing:
        any_of = "This frees" if len(freeing) == 1 else "Any of these frees"
        return f"{any_of} the wall: {'; '.join(freeing)}."
    if helping:
        return f"None of {tried} changes tried frees the wall; these break less: {'; '.join(helping)}."
    by_hand = "move or narrow an opening, or ask the engineer."
    if tried:
        kinds = "of a drawn joint, a treatment or the method" if basis.wall.drawn_joints else _KINDS
        return f"None of {tried} changes {kinds} helps: {by_hand}"
    return f"No other treatment or method applies: {by_hand}"


def _moves(basis: WallBasis) -> Iterator[str]:
    """Yield the drawn joints that free the wall where they stand elsewhere, or are left out."""
    for joint in basis.wall.drawn_joints[:_MOST_TRIALS]:
        bare = _with_drawn(basis, joint, None)
        if _tried(bare) != (0, 0):
            continue
        name = f"the joint drawn at {basis.show(joint.path[0][0])}"
        stations = [basis.show(x) for side in (-1, 1) if (x := _nearest(basis, joint, side)) is not None]
        yield f"move {name} to {' or to '.join(stations)}" if stations else f"leave out {name}"


def _nearest(basis: WallBasis, joint: DrawnJoint, direction: int) -> float | None:
    """Return the nearest module line on one side of a drawn joint where it breaks nothing, or None."""
    module, origin = basis.module_in, basis.bond_origin_in
    start = (joint.path[0][0] - origin) / module
    first = math.floor(start - SAME_IN) if direction < 0 else math.ceil(start + SAME_IN)
    lines = (origin + (first + direction * k) * module for k in range(_MOST_LINES))
    inside = (x for x in lines if ON_MODULE_IN < x < basis.wall.length_in - ON_MODULE_IN)
    outs = keep_outs(basis.openings)
    free = (x for x in inside if outs.clear_of(to_ticks(x), to_ticks(x)))
    return next((x for x in free if _tried(_with_drawn(basis, joint, x)) == (0, 0)), None)


def _with_drawn(basis: WallBasis, joint: DrawnJoint, x_in: float | None) -> WallBasis:
    """Return the wall with one drawn joint upright at another station, or without it."""
    wall = basis.wall
    others = tuple(j for j in wall.drawn_joints if j is not joint)
    if x_in is not None:
        path = ((x_in, max(wall.bottom.at(x_in))), (x_in, min(wall.top.at(x_in))))
        others = tuple(sorted((*others, replace(joint, path=path)), key=lambda j: j.path[0]))
    return replace(basis, wall=replace(wall, drawn_joints=others))


def _tried(basis: WallBasis) -> Burden:
    field = field_of(basis)
    return burden_of(field, best_layout(field, PanelGraph(basis, field)))


def _pairs(basis: WallBasis) -> Iterator[tuple[str, WallBasis]]:
    """Yield the wall with two openings treated the other way, where it has few."""
    others = [(i, other) for i, other in enumerate(basis.other_treatments) if other is not None]
    if len(others) > _MOST_PAIRED:
        return
    for (i, one), (j, two) in itertools.combinations(others, 2):
        label = f"{one.opening.tag} {one.treatment} and {two.opening.tag} {two.treatment}"
        yield label, basis.with_opening(i, one).with_opening(j, two)


def _changes(basis: WallBasis) -> Iterator[tuple[str, WallBasis]]:
    """Yield the wall with one change made: an opening's treatment, all of them, or the method."""
    others = [(i, other) for i, other in enumerate(basis.other_treatments) if other is not None]
    if len(others) <= _MOST_TRIALS:
        for i, other in others:
            yield f"{other.opening.tag} {other.treatment}", basis.with_opening(i, other)
    for treatment in Treatment:
        swapped = {i: other for i, other in others if other.treatment is treatment}
        if len(swapped) > 1:
            rules = tuple(swapped.get(i, rule) for i, rule in enumerate(basis.openings))
            yield f"every opening {treatment}", replace(basis, openings=rules)
    for spacing in basis.other_spacings:
        yield _method_name(spacing), replace(basis, spacing=spacing)


def _method_name(spacing: SpacingRule) -> str:
    return f"the {spacing.method} method, {spacing.units} units"
