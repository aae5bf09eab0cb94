"""Joints of a drawing that was issued stay, unless the wall, its openings or its limits changed.

A joint that was issued is in somebody's bid or wall. Once a drawing was issued, a wall whose basis is as it
was keeps every joint, whatever is done to the others. Where the basis changed, the fewest joints move: of all
layouts that break the least, the exact search takes one that keeps the most of them.

Glossary:
    basis: wall, openings, and every limit that binds the joints; not the joints.
    free: the layout as if nothing had been issued.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from perpend.decisions.moved_joints import coincide
from perpend.layout import plan_wall
from perpend.layout.treatment_mix import with_fewest_changes
from perpend.model import Box, DrawnJoint, Joint, OpeningRule, Path, WallPlan
from perpend.rulebook import WallBasis
from perpend.units import to_ticks

REASON: Final = "stays where it was when the drawing was issued"
__all__ = ["REASON", "basis_digest", "laid_out"]


def basis_digest(basis: WallBasis) -> str:
    """Return a digest of everything that binds the joints of a wall, the joints themselves left aside."""
    wall = basis.wall
    told = (
        _ticks(wall.length_in, *(v for p in (*wall.top.points, *wall.bottom.points) for v in p)),
        [(_box(o.opening.box), basis.fewest_changes or _bound_by(o)) for o in basis.openings],
        (basis.spacing.method, basis.spacing.units, basis.spacing.ratio, basis.spacing.cap_in),
        (basis.spacing.corner_fraction, basis.spacing.corner_max_in, basis.spacing.corner_min_in),
        (basis.spacing.corner_around, basis.spacing.corner_one_leg),
        (str(basis.height_basis), str(basis.left_end), str(basis.right_end)),
        _ticks(basis.module_in, basis.bond_origin_in),
        [(str(rule.place.kind), _ticks(*rule.stations_in)) for rule in basis.asked_places],
        [(_box(zone.box), str(zone.kind)) for zone in wall.zones],
        repr(basis.keep_outs),
        repr(basis.judgment),
        *map(repr, basis.restraints),
    )
    return f"{zlib.crc32(repr(told).encode()):08X}"


def _bound_by(rule: OpeningRule) -> tuple[object, ...]:
    return (
        str(rule.treatment),
        rule.jambs_required,
        rule.wide,
        rule.away,
        _ticks(rule.clear_in, rule.step_in),
    )


def _ticks(*values: float) -> tuple[int, ...]:
    return tuple(to_ticks(value) for value in values)


def _box(box: Box) -> tuple[int, ...]:
    return _ticks(box.x0, box.y0, box.x1, box.y1)


def laid_out(
    basis: WallBasis, issued: Sequence[DrawnJoint], *, unchanged: bool
) -> tuple[WallBasis, WallPlan, tuple[str, ...]]:
    """Lay out a wall of a drawing that was issued.

    Args:
        basis: what binds its joints; those that people decided about are in its wall.
        issued: joints that stand where we drew them last, in their order.
        unchanged: True when the basis is what it was then: all of them stay.

    Returns:
        The basis as it was laid out, the layout, and the numbers of the joints that would be elsewhere in a
        free one.
    """
    used, free = _planned(basis, ())
    astray = [joint for joint in issued if not _is_in(free, joint)]
    if not astray:
        return used, free, ()
    if unchanged:
        used, plan = _planned(basis, issued)
    else:
        plan = plan_wall(used, [joint.path for joint in issued])
    reasons = [(joint.path, joint.reason) for joint in free.joints]
    joints = tuple(_explained(joint, issued, reasons) for joint in plan.joints)
    return used, replace(plan, joints=joints), tuple(j.label for j in astray if _is_in(plan, j))


def _explained(joint: Joint, issued: Sequence[DrawnJoint], reasons: Sequence[tuple[Path, str]]) -> Joint:
    """Return an issued joint as one that nobody holds, with the reason that a free layout has for it."""
    if not any(coincide(old.path, joint.path) for old in issued):
        return joint
    reason = next((why for path, why in reasons if coincide(path, joint.path)), REASON)
    return replace(joint, held=False, reason=reason)


def _planned(basis: WallBasis, kept: Sequence[DrawnJoint]) -> tuple[WallBasis, WallPlan]:
    """Lay out a wall with some joints kept; these are ours as before."""
    wall = basis.wall
    bound = replace(basis, wall=replace(wall, drawn_joints=(*wall.drawn_joints, *kept))) if kept else basis
    bound = with_fewest_changes(bound) if bound.fewest_changes else bound
    plan = plan_wall(bound)
    return (replace(bound, wall=wall), replace(plan, wall=wall)) if kept else (bound, plan)


def _is_in(plan: WallPlan, joint: DrawnJoint) -> bool:
    return any(coincide(joint.path, other.path) for other in plan.joints)
