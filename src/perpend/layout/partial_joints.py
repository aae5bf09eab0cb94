"""Joints of partial height: below the sill and above the head of openings that are long and low.

Each piece of masonry is laid out as a wall of its own, with its own height, once the joints of the whole wall
stand: the search is the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from perpend.layout.candidates import field_of
from perpend.layout.panel_graph import PanelGraph
from perpend.layout.search import best_layout
from perpend.model import DrawnJoint, EndCondition, Joint, JointKind, OpeningRule, Profile, Wall
from perpend.rulebook.strip_pieces import StripPiece
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import ON_MODULE_IN, from_ticks


def partial_joints(basis: WallBasis, joints: Sequence[Joint]) -> Iterator[Joint]:
    """Yield the partial joints of a wall, piece by piece from the left, numbered 0.

    Args:
        basis: the wall's basis.
        joints: its whole joints, which stand.
    """
    for piece in basis.strip_pieces:
        drawn = [j for j in basis.wall.drawn_joints if not j.ours and piece.holds(j.path)]
        own = _piece_basis(basis, piece, drawn, joints)
        field = field_of(own)
        for node in best_layout(field, PanelGraph(own, field)).nodes[1:-1]:
            candidate = field.candidates[node - 1]
            x = piece.box.x0 + from_ticks(candidate.line.foot)
            old = candidate.drawn
            yield Joint(
                number=0,
                x_in=x,
                path=((x, piece.y0_in), (x, piece.y1_in)) if old is None else _moved(old, piece.box.x0),
                kind=JointKind.PARTIAL if old is None else JointKind.EXISTING,
                reason=_reason(basis, piece) if old is None else "drawn already",
                joint_type=(old.joint_type if old else None) or basis.joint_type,
                existing=old is not None,
                handle=old.handle if old else "",
                sources=basis.source_of("judgment.strip-opening"),
            )


def _moved(joint: DrawnJoint, by_in: float) -> tuple[tuple[float, float], ...]:
    return tuple((x + by_in, y) for x, y in joint.path)


def _reason(basis: WallBasis, piece: StripPiece) -> str:
    part = "below the sill" if piece.where == "below" else "above the head"
    height = basis.show(piece.box.height)
    return f"the masonry {part} of {piece.opening} is {height} high and a panel of its own"


def _piece_basis(
    basis: WallBasis, piece: StripPiece, drawn: Sequence[DrawnJoint], joints: Sequence[Joint]
) -> WallBasis:
    """Return a piece as a wall of its own, in its own axes."""
    length, left = piece.box.width, piece.box.x0
    wall = Wall(
        tag=basis.wall.tag,
        handle=basis.wall.handle,
        length_in=length,
        top=Profile.level(piece.box.height, 0.0, length),
        bottom=Profile.level(0.0, 0.0, length),
        drawn_joints=tuple(replace(j, path=_moved(j, -left)) for j in drawn),
    )
    none: tuple[OpeningRule, ...] = ()
    return replace(
        basis,
        wall=wall,
        left_end=_end(joints, piece.box.x0, piece),
        right_end=_end(joints, piece.box.x1, piece),
        openings=none,
        other_treatments=(),
        bond_origin_in=basis.bond_origin_in - left,
        corner_stations_in=(),
        place_rules=(),
        strip_pieces=(),
        strip_spans=(),
        restraints=(),
        keep_outs=tuple(
            replace(k, x0_in=k.x0_in - left, x1_in=k.x1_in - left)
            for k in basis.keep_outs
            if k.x1_in > left and k.x0_in < piece.box.x1
        ),
    )


def _end(joints: Sequence[Joint], jamb_in: float, piece: StripPiece) -> EndCondition:
    """Return what a piece meets at a jamb: a joint that stands there, or the rest of the wall."""
    levels = (piece.y0_in, piece.y1_in)
    for joint in joints:
        beside = [x for x, y in joint.path if levels[0] - ON_MODULE_IN <= y <= levels[1] + ON_MODULE_IN]
        if any(abs(x - jamb_in) <= ON_MODULE_IN for x in beside or [joint.path[0][0]]):
            return EndCondition.JOINT
    return EndCondition.CONTINUES
