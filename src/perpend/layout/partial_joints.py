"""Joints of partial height: below the sill and above the head of openings that are long and low.

Each piece of masonry is laid out as a wall of its own, with its own height, once the joints of the whole wall
stand: the search is the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from perpend.layout.candidates import field_of
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.search import best_layout
from perpend.model import DrawnJoint, EndCondition, Joint, JointKind, OpeningRule, Profile, Wall
from perpend.rulebook.judgment import KeepOut, Restraint
from perpend.rulebook.strip_pieces import StripPiece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN, SAME_IN, from_ticks


def partial_joints(basis: WallBasis, joints: Sequence[Joint]) -> Iterator[Joint]:
    """Yield the partial joints of a wall, piece by piece from the left, numbered 0.

    Args:
        basis: the wall's basis.
        joints: its whole joints, which stand.
    """
    for piece in basis.strip_pieces:
        drawn = [j for j in basis.wall.drawn_joints if not j.ours and piece.holds(j.path)]
        if piece.beams_in and not drawn:
            continue
        bounds = _bounds(basis, piece, joints)
        own = _piece_basis(basis, piece, drawn, bounds)
        field = field_of(own)
        for node in best_layout(field, PanelGraph(own, field)).nodes[1:-1]:
            candidate = field.candidates[node - 1]
            x = bounds.x0_in + from_ticks(candidate.line.foot)
            old = candidate.drawn
            yield Joint(
                number=0,
                x_in=x,
                path=((x, piece.y0_in), (x, piece.y1_in)) if old is None else _moved(old, bounds.x0_in),
                kind=JointKind.PARTIAL if old is None else JointKind.EXISTING,
                reason=_reason(basis, piece) if old is None else "drawn already",
                joint_type=(old.joint_type if old else None) or basis.joint_type,
                existing=old is not None,
                handle=old.handle if old else "",
                sources=basis.source_of("judgment.strip-opening"),
            )


@dataclass(frozen=True, slots=True)
class _Bounds:
    """Where a piece begins and ends, and what it has there.

    Attributes:
        x0_in: its left jamb, or the joint beside it.
        x1_in: its right jamb, or the joint beside it.
        left: condition there.
        right: likewise.
        restraints: what holds the masonry up to the next whole joints, in the wall's axes.
    """

    x0_in: float
    x1_in: float
    left: EndCondition
    right: EndCondition
    restraints: tuple[Restraint, ...]


def _bounds(basis: WallBasis, piece: StripPiece, joints: Sequence[Joint]) -> _Bounds:
    box = piece.box
    left = next((j for j in reversed(joints) if j.x_in <= box.x0 + ON_MODULE_IN), None)
    right = next((j for j in joints if j.x_in >= box.x1 - ON_MODULE_IN), None)
    x0, x1 = _beside(left, piece, box.x0), _beside(right, piece, box.x1)
    panel = (left.x_in if left else 0.0, right.x_in if right else basis.wall.length_in)
    limits = basis.limits(*panel)
    beside, near = basis.spacing.beside_restraint_in(limits), limits.corner_distance_in
    held = [replace(r, within_in=r.within_in or beside) for r in basis.restraints_between(*panel)]
    corners = (
        (left, basis.left_end, basis.served_corners[0], 0.0, box.x0),
        (right, basis.right_end, basis.served_corners[1], panel[1], panel[1] - box.x1),
    )
    for joint, end, served, at, pier in corners:
        if joint is None and end is EndCondition.CORNER and not served and near is not None and near > pier:
            held.append(Restraint(at, at, near, "corner"))
    return _Bounds(
        box.x0 if x0 is None else x0,
        box.x1 if x1 is None else x1,
        EndCondition.CONTINUES if x0 is None else EndCondition.JOINT,
        EndCondition.CONTINUES if x1 is None else EndCondition.JOINT,
        tuple(sorted(held, key=lambda r: r.middle_in)),
    )


def _beside(joint: Joint | None, piece: StripPiece, jamb_in: float) -> float | None:
    """Return where a joint at a strip's jamb is half way up the masonry below or above; None: elsewhere."""
    if joint is None or abs(joint.x_in - jamb_in) > ON_MODULE_IN:
        return None
    middle = piece.box.center[1]
    return next((x for (x, _), (_, y) in pairwise(joint.path) if y >= middle), joint.path[-1][0])


def _moved(joint: DrawnJoint, by_in: float) -> tuple[tuple[float, float], ...]:
    return tuple((x + by_in, y) for x, y in joint.path)


def _reason(basis: WallBasis, piece: StripPiece) -> str:
    part = "below the sill" if piece.where == "below" else "above the head"
    height = basis.show(piece.box.height)
    return f"the masonry {part} of {piece.opening} is {height} high and a panel of its own"


def _piece_basis(
    basis: WallBasis, piece: StripPiece, drawn: Sequence[DrawnJoint], bounds: _Bounds
) -> WallBasis:
    """Return a piece as a wall of its own, in its own axes; joints stand between the jambs of its strip."""
    length, left = bounds.x1_in - bounds.x0_in, bounds.x0_in
    wall = Wall(
        tag=basis.wall.tag,
        handle=basis.wall.handle,
        length_in=length,
        top=Profile.level(piece.box.height, 0.0, length),
        bottom=Profile.level(0.0, 0.0, length),
        drawn_joints=tuple(replace(j, path=_moved(j, -left)) for j in drawn),
    )
    none: tuple[OpeningRule, ...] = ()
    spacing, restraints = basis.spacing, bounds.restraints
    if piece.beams_in:
        spacing, restraints = replace(spacing, ratio=None, cap_in=None), ()
    bearings = [
        KeepOut(left - SAME_IN, piece.box.x0 + ON_MODULE_IN, "", "a lintel's bearing"),
        KeepOut(piece.box.x1 - ON_MODULE_IN, bounds.x1_in + SAME_IN, "", "a lintel's bearing"),
    ]
    return replace(
        basis,
        wall=wall,
        spacing=spacing,
        left_end=bounds.left,
        right_end=bounds.right,
        openings=none,
        other_treatments=(),
        bond_origin_in=basis.bond_origin_in - left,
        corner_stations_in=(),
        place_rules=(),
        strip_pieces=(),
        strip_spans=(),
        restraints=tuple(replace(r, x0_in=r.x0_in - left, x1_in=r.x1_in - left) for r in restraints),
        keep_outs=tuple(
            replace(k, x0_in=k.x0_in - left, x1_in=k.x1_in - left)
            for k in sorted((*basis.keep_outs, *bearings), key=lambda k: (k.x0_in, k.x1_in))
            if k.x1_in > left and k.x0_in < bounds.x1_in
        ),
    )
