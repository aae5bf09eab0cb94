"""From drawn or placed joints to tracks: turned upright, put together, sorted.

Glossary:
    part: one of several lines that make one joint.
    continues: a part begins where another ends: at its station, at the end of the lintel whose
        bearing the joint should have turned out under, or at a jamb of the opening at whose sill it ended.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import replace

from perpend.checks.measure.track_geometry import Piece, Track, share_beside
from perpend.errors import InputError
from perpend.model import EndCondition, Joint, JointKind, OpeningRule, Path, Side, Treatment, Wall
from perpend.rulebook.wall_basis import WallBasis
from perpend.units import GAP_IN, ON_MODULE_IN, SAME_IN, format_length

SIDES: tuple[Side, Side] = ("left", "right")

MOSTLY = 0.5
"""A joint serves a jamb when it stands there over half of the jamb's height at least."""


def tracks_of(basis: WallBasis, joints: Iterable[Joint]) -> tuple[Track, ...]:
    """Make the tracks of a wall's joints, from left to right.

    Args:
        basis: the wall's basis.
        joints: placed or drawn; only their path, number, handle and type are looked at.

    Returns:
        One track for every joint; parts that continue each other are one.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    parts = [_track(basis, joint) for joint in joints]
    joined = _joined(basis, sorted(parts, key=lambda t: (t.foot[1], t.foot[0])))
    return tuple(sorted(joined, key=lambda t: (t.foot_x, t.head[0], t.numbers)))


def _track(basis: WallBasis, joint: Joint) -> Track:
    pieces = _pieces(basis, joint)
    wall = basis.wall
    return Track(
        numbers=(joint.number,),
        pieces=pieces,
        floor_in=_levels(wall, pieces[0].x0)[0],
        crown_in=_levels(wall, pieces[-1].x1)[1],
        handle=joint.handle,
        joint_type=joint.joint_type,
        existing=joint.existing,
        past_in=joint.past_in,
        width_in=joint.width_in,
    )


def _levels(wall: Wall, x_in: float) -> tuple[float, float]:
    """Return where a joint at a station begins and ends; one drawn beside an end is meant at the end."""
    end = 0.0 if x_in < wall.length_in / 2 else wall.length_in
    return wall.joint_levels(end if abs(x_in - end) <= GAP_IN else x_in)


def _pieces(basis: WallBasis, joint: Joint) -> tuple[Piece, ...]:
    name = f"The joint {joint.number} of {basis.wall.tag}{_by_handle(joint.handle)}"
    path = upright(joint.path)
    if len(path) < 2 or path[-1][1] - path[0][1] <= SAME_IN:
        raise InputError(f"{name} has no height: draw it as a line from the bottom of the wall to its top.")
    stations, low = [x for x, _ in path], -_slack(basis.left_end)
    if min(stations) < low or max(stations) > basis.wall.length_in + _slack(basis.right_end):
        raise InputError(f"{name} runs out of the wall: draw it between the wall's ends.")
    for a, b in itertools.pairwise(path):
        if b[1] < a[1] - ON_MODULE_IN:
            at = format_length(a[0])
            raise InputError(f"{name} runs down again at {at}: draw it as one line from bottom to top.")
    return tuple(Piece(*a, b[0], max(a[1], b[1])) for a, b in itertools.pairwise(path))


def _slack(end: EndCondition) -> float:
    """Return how far a joint may be drawn out of the wall at an end: one between two walls may slip."""
    return GAP_IN if end is EndCondition.JOINT else ON_MODULE_IN


def _by_handle(handle: str) -> str:
    return f" (handle {handle})" if handle else ""


def upright(path: Path) -> Path:
    """Return a path from its lower to its upper end, without repeated points."""
    points = path if not path or path[0][1] <= path[-1][1] else path[::-1]
    return tuple(point for point, _ in itertools.groupby(points))


def _joined(basis: WallBasis, parts: list[Track]) -> list[Track]:
    """Put parts together that continue each other, lowest first."""
    waiting, done = list(parts), []
    while waiting:
        lower = waiting.pop(0)
        upper = next((t for t in waiting if _continues(basis, lower, t)), None)
        if upper is None:
            done.append(lower)
        else:
            waiting.remove(upper)
            waiting.insert(0, _one(lower, upper))
    return done


def _one(lower: Track, upper: Track) -> Track:
    (x, y), (u, v) = lower.head, upper.foot
    jump: tuple[Piece, ...] = ()
    if v - y > SAME_IN and abs(u - x) > ON_MODULE_IN:
        jump = (Piece(x, y, u, y, drawn=False), Piece(u, y, u, v, drawn=False))
    elif v - y > SAME_IN or abs(u - x) > SAME_IN:
        jump = (Piece(x, y, u, max(y, v), drawn=False),)
    return replace(
        lower,
        numbers=lower.numbers + upper.numbers,
        pieces=(*lower.pieces, *jump, *_lifted(upper.pieces, max(y, v))),
        crown_in=upper.crown_in,
        joint_type=lower.joint_type or upper.joint_type,
        past_in=(lower.past_in[0], upper.past_in[1]),
        width_in=max(lower.width_in, upper.width_in),
    )


def _lifted(pieces: Sequence[Piece], y_in: float) -> tuple[Piece, ...]:
    """Let the first piece begin at a height, where two parts overlap a little."""
    return (replace(pieces[0], y0=y_in, y1=max(pieces[0].y1, y_in)), *pieces[1:])


def _continues(basis: WallBasis, lower: Track, upper: Track) -> bool:
    (x, y), (u, v) = lower.head, upper.foot
    if lower.crown_in - y <= GAP_IN or v - upper.floor_in <= GAP_IN or v < y - GAP_IN:
        return False
    if abs(u - x) <= ON_MODULE_IN:
        return True
    turns_out = abs(v - y) <= GAP_IN and any(
        _turns_out(rule, side, (x, y), u) for rule in basis.openings for side in SIDES
    )
    return turns_out or any(_goes_on_from(rule, (x, y), (u, v)) for rule in basis.openings)


def _goes_on_from(rule: OpeningRule, end: tuple[float, float], begin: tuple[float, float]) -> bool:
    """Say whether a part that ends at an opening's sill goes on at a jamb of it, up to its head."""
    box = rule.opening.box
    jambs = [x for x in (box.x0, box.x1) if abs(begin[0] - x) <= ON_MODULE_IN]
    beside = box.y0 - GAP_IN <= begin[1] <= box.y1 + GAP_IN
    unreinforced = rule.treatment is Treatment.UNREINFORCED
    return unreinforced and bool(jambs) and beside and ends_at_sill(rule, *end)


def ends_at_sill(rule: OpeningRule, x_in: float, y_in: float) -> bool:
    """Say whether a point is on the sill of an opening, from jamb to jamb."""
    box = rule.opening.box
    return abs(y_in - box.y0) <= GAP_IN and box.x0 - ON_MODULE_IN <= x_in <= box.x1 + ON_MODULE_IN


def _turns_out(rule: OpeningRule, side: Side, end: tuple[float, float], beyond_in: float) -> bool:
    """Say whether a part that ends at a jamb's head goes on at the end of the lintel there."""
    if rule.lintel is None or rule.treatment is not Treatment.UNREINFORCED:
        return False
    outward = (beyond_in - end[0]) * away(side)
    at_head = abs(end[0] - jamb(rule, side)) <= GAP_IN and abs(end[1] - rule.opening.box.y1) <= GAP_IN
    return at_head and ON_MODULE_IN < outward <= bearing(rule, side) + GAP_IN


def jamb(rule: OpeningRule, side: Side) -> float:
    """Return the station of a jamb."""
    return rule.opening.box.x0 if side == "left" else rule.opening.box.x1


def away(side: Side) -> int:
    """Return the direction that leads away from the opening: -1 to the left, 1 to the right."""
    return -1 if side == "left" else 1


def bearing(rule: OpeningRule, side: Side) -> float:
    """Return the bearing that the lintel has on one side; 0 without a lintel."""
    if rule.lintel is None:
        return 0.0
    return rule.lintel.bearing_left_in if side == "left" else rule.lintel.bearing_right_in


def stands_at_jamb(track: Track, rule: OpeningRule, side: Side) -> bool:
    """Say whether a joint stands at a jamb of an opening."""
    box = rule.opening.box
    return share_beside(track, jamb(rule, side), box.y0, box.y1) >= MOSTLY


def stands_at_a_jamb(track: Track, rule: OpeningRule) -> bool:
    """Say whether a joint stands at either jamb of an opening."""
    return any(stands_at_jamb(track, rule, side) for side in SIDES)


def joints_from_drawn(basis: WallBasis) -> tuple[Joint, ...]:
    """Make joints of the lines that stand in the drawing, from left to right.

    A joint that perpend drew has the type that its plate's notes name: the wall's. Paths are turned
    upright and repeated points dropped; what a joint serves is found from where it stands. Nothing
    else is mended, for the checks judge what was drawn.

    Raises:
        InputError: a path is no line that runs up the wall.
    """
    drawn = sorted(basis.wall.drawn_joints, key=lambda d: (upright(d.path), d.handle))
    return tuple(
        Joint(
            number=number,
            x_in=upright(joint.path)[0][0] if joint.path else 0.0,
            path=upright(joint.path),
            kind=JointKind.EXISTING,
            reason="drawn already",
            joint_type=joint.joint_type or (basis.joint_type if joint.ours else None),
            existing=True,
            handle=joint.handle,
            past_in=joint.past_in,
            width_in=joint.width_in,
            held=joint.held,
            label=joint.label,
        )
        for number, joint in enumerate(drawn, start=1)
    )


def is_slip_plane(piece: Piece, rule: OpeningRule, side: Side) -> bool:
    """Say whether a piece lies level at an opening's head and leads from its jamb away under the lintel."""
    return (
        piece.is_step
        and piece.is_level
        and rule.lintel is not None
        and rule.treatment is Treatment.UNREINFORCED
        and abs(piece.x0 - jamb(rule, side)) <= ON_MODULE_IN
        and abs(piece.y0 - rule.opening.box.y1) <= GAP_IN
        and piece.shift * away(side) > 0
    )
