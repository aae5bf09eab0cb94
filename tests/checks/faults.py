"""Faults put into a correct layout, each with the findings that must appear, reckoned here.

What must appear is reckoned from what the layout itself says of its joints (what they serve, what
forced them), from the numbers of the wall, and from the arithmetic below; nothing of `perpend.checks`
is used. Every wall stands on the 8-inch module, so nothing lies within a tolerance by chance.

Glossary:
    key: (code, opening, stations of the marks) of a finding.
    fault: the joints after the fault, and the keys that must appear; or None where the wall has no
        joint of the kind.
"""

from __future__ import annotations

import itertools
import math
import random
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.model import BondBeam, Box, EndCondition, Joint, JointKind, OpeningRule, Path, Treatment
from perpend.rulebook import WallBasis

Key = tuple[str, str, tuple[float, ...]]
SLACK_IN = 1 / 64


@dataclass(frozen=True)
class Fault:
    basis: WallBasis
    joints: tuple[Joint, ...]
    expected: Counter[Key]


Seeder = Callable[[WallBasis, tuple[Joint, ...], random.Random], Fault | None]


def runs_of(path: Path) -> list[tuple[float, float, float]]:
    return [(xa, ya, yb) for (xa, ya), (xb, yb) in itertools.pairwise(path) if yb > ya]


def inner(joints: Sequence[Joint]) -> list[Joint]:
    return [j for j in joints if j.kind is not JointKind.END]


def station(path: Path, y: float) -> float:
    """Return where a joint crosses a course, upright beyond its ends."""
    runs = runs_of(path)
    return next((x for x, y0, y1 in runs if y <= y1), runs[-1][0])


def longest_between(left: Path, right: Path) -> float:
    """Return the greatest level distance on any course that two joints share."""
    both = [b - a for a, a0, a1 in runs_of(left) for b, b0, b1 in runs_of(right) if min(a1, b1) > max(a0, b0)]
    return max(both)


def spacing(basis: WallBasis, paths: Sequence[Path]) -> Iterator[Key]:
    """Yield what the spacing and the corners ask for and do not get."""
    length = basis.wall.length_in
    lines = sorted(paths)
    ends = [0.0, *(p[0][0] for p in lines), length]
    for i, (x0, x1) in enumerate(itertools.pairwise(ends)):
        left, right = (lines[i - 1] if i else None), (lines[i] if i < len(lines) else None)
        if left and right:
            measured = longest_between(left, right)
        else:
            low = min(x for x, _, _ in runs_of(left)) if left else 0.0
            measured = (max(x for x, _, _ in runs_of(right)) if right else length) - low
        limits = basis.limits(x0, x1)
        assert limits.max_spacing_in is not None
        corner = math.inf if limits.corner_distance_in is None else limits.corner_distance_in
        if measured > limits.max_spacing_in + SLACK_IN:
            yield ("panel-too-long", "", (x0, x1))
        bare = not lines and EndCondition.JOINT not in (basis.left_end, basis.right_end)
        if bare or measured > corner + SLACK_IN:
            if left is None and basis.left_end is EndCondition.CORNER:
                yield ("corner-too-far", "", (0.0,))
            if right is None and basis.right_end is EndCondition.CORNER:
                yield ("corner-too-far", "", (length,))
    for rule in basis.openings:
        box, within = rule.opening.box, rule.near_within_in
        gaps = [abs(p[0][0] - x) for p in paths for x in (box.x0, box.x1)]
        if within is not None and min(gaps, default=length) > within + SLACK_IN:
            yield ("no-joint-near-opening", rule.opening.tag, (box.x0, box.x1))


def in_the_way(basis: WallBasis, x: float) -> Iterator[Key]:
    """Yield what a straight joint at a station runs into."""
    for rule in basis.openings:
        box, tag = rule.opening.box, rule.opening.tag
        lintel = rule.lintel.box if rule.lintel else None
        if box.x0 < x < box.x1:
            yield ("joint-through-opening", tag, (x,))
        elif lintel and lintel.x0 < x < lintel.x1:
            yield ("joint-through-lintel", tag, (x,))
        elif (rule.treatment is Treatment.REINFORCED or rule.clear_asked) and (
            box.x0 - rule.clear_in < x < box.x1 + rule.clear_in
        ):
            yield ("joint-in-keep-out", tag, (x,))


def too_close(unit: float, rest: Sequence[Joint], joint: Joint) -> Iterator[Key]:
    """Yield what a joint makes with neighbours less than a unit away (advice)."""
    for other in rest:
        a, b = sorted((other.path, joint.path))
        if longest_between(a, b) < unit:
            yield ("joints-too-close", "", ((a[0][0] + b[0][0]) / 2,))


def too_near_corner(basis: WallBasis, x: float) -> Iterator[Key]:
    """Yield the corners to which a straight joint stands too near."""
    ends = ((basis.left_end, x), (basis.right_end, basis.wall.length_in - x))
    for end, distance in ends:
        if end is EndCondition.CORNER and distance < basis.spacing.corner_min_in - SLACK_IN:
            yield ("corner-too-near", "", (x,))


def left_bare(basis: WallBasis, gone: Joint, rest: Sequence[Joint]) -> Iterator[Key]:
    """Yield what a joint served that no other joint serves."""
    for rule in basis.openings:
        tag, box = rule.opening.tag, rule.opening.box
        if tag in gone.serves:
            others = [j for j in rest if tag in j.serves]
            side = box.x0 if gone.x_in == box.x0 else box.x1
            if not rule.jambs_required:
                continue
            if not others:
                yield ("opening-without-joint", tag, (box.x0, box.x1))
            elif rule.jambs_required == 2:
                yield ("opening-needs-both-jambs", tag, (side,))
    if gone.place is not None:
        yield (f"no-joint-at-{gone.place}", "", (gone.x_in,))


def apart(x: float, joints: Sequence[Joint], least: float = 8.0) -> bool:
    return all(abs(x - u) >= least for j in joints for u, _ in j.path)


def rule_of(basis: WallBasis, tag: str) -> OpeningRule:
    return next(r for r in basis.openings if r.opening.tag == tag)


# ------------------------------------------------------------------------------------------ the faults


def drop(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    if not joints:
        return None
    gone = dice.choice(joints)
    rest = tuple(j for j in joints if j is not gone)
    keys = [*spacing(basis, [j.path for j in inner(rest)]), *left_bare(basis, gone, rest)]
    return Fault(basis, rest, Counter(keys))


def shift(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    """Move a joint that only keeps the spacing, on the module or 3 in. off it."""
    plain = [j for j in joints if j.kind is JointKind.STRAIGHT]
    if not plain:
        return None
    moved = dice.choice(plain)
    rest = [j for j in joints if j is not moved]
    x = moved.x_in + 8 * dice.choice((-6, -3, -2, -1, 0, 1, 2, 3, 6)) + dice.choice((0, 0, 3))
    near = [j for j in rest if abs(j.x_in - moved.x_in) < abs(x - moved.x_in) + 16]
    if x == moved.x_in or near or not 8 < x < basis.wall.length_in - 8:
        return None
    return _with_straight(basis, rest, replace(moved, x_in=x, path=_upright(basis, x)))


def add(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    x = 8.0 * dice.randint(2, int(basis.wall.length_in / 8) - 2) + dice.choice((0, 0, 3))
    if not apart(x, joints):
        return None
    extra = Joint(99, x, _upright(basis, x), JointKind.STRAIGHT, "one more", joint_type=basis.joint_type)
    return _with_straight(basis, list(joints), extra)


def _upright(basis: WallBasis, x: float) -> Path:
    return ((x, max(basis.wall.bottom.at(x))), (x, min(basis.wall.top.at(x))))


def _with_straight(basis: WallBasis, rest: list[Joint], joint: Joint) -> Fault | None:
    places = [p.x_in for p in basis.wall.places] + [x for x, _, _ in basis.wall.top.steps()]
    if any(abs(joint.x_in - x) < 8 for x in places):
        return None
    clashes = list(in_the_way(basis, joint.x_in))
    keys = [*spacing(basis, [j.path for j in inner([*rest, joint])]), *clashes]
    at_jamb = any(
        joint.x_in in (r.opening.box.x0, r.opening.box.x1)
        for r in basis.openings
        if r.treatment is Treatment.UNREINFORCED
    )
    close = [] if clashes else list(too_close(basis.unit_in, rest, joint))
    near = list(too_near_corner(basis, joint.x_in))
    keys += [*close, *near]
    if joint.x_in % 8 and not at_jamb and not clashes and not close:
        keys.append(("joint-off-module", "", (joint.x_in,)))
    return Fault(basis, (*rest, joint), Counter(keys))


def double(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    if not inner(joints):
        return None
    twice = dice.choice(inner(joints))
    y = (twice.path[0][1] + twice.path[-1][1]) / 2
    key = ("joint-doubled", "", (station(twice.path, y),))
    return Fault(basis, (*joints, replace(twice, number=99)), Counter([key]))


def shorten_top(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    if not inner(joints):
        return None
    cut = dice.choice(inner(joints))
    y = cut.path[0][1] + 8 * dice.randint(2, int((cut.path[-1][1] - cut.path[0][1]) / 8) - 1)
    path = (*itertools.takewhile(lambda p: p[1] < y, cut.path), (station(cut.path, y), y))
    key = ("joint-stops-short", "", (path[-1][0],))
    return Fault(basis, _swapped(joints, cut, replace(cut, path=path)), Counter([key]))


def shorten_bottom(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    if not inner(joints):
        return None
    cut = dice.choice(inner(joints))
    foot = (cut.path[0][0], cut.path[0][1] + 8 * dice.randint(1, 2))
    key = ("joint-stops-short", "", (foot[0],))
    return Fault(basis, _swapped(joints, cut, replace(cut, path=(foot, *cut.path[1:]))), Counter([key]))


def _swapped(joints: tuple[Joint, ...], old: Joint, *new: Joint) -> tuple[Joint, ...]:
    return (*(j for j in joints if j is not old), *new)


def _stepped(joints: Sequence[Joint], dice: random.Random) -> tuple[Joint, int] | None:
    """Choose a stepped joint with one slip plane, and the corner of its path where that begins."""
    stepped = [j for j in joints if len(j.slip_planes) == 1 and len(j.path) == 4]
    if not stepped:
        return None
    joint = dice.choice(stepped)
    return joint, 1


def slip_plane_removed(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    chosen = _stepped(joints, dice)
    if chosen is None:
        return None
    joint, k = chosen
    lower, upper = joint.path[: k + 1], joint.path[k + 1 :]
    parts = (replace(joint, path=lower), replace(joint, number=99, path=upper))
    return Fault(basis, _swapped(joints, joint, *parts), Counter([_bare_step(joint, k)]))


def _bare_step(joint: Joint, k: int) -> Key:
    middle = (joint.path[k][0] + joint.path[k + 1][0]) / 2
    return ("step-without-slip-plane", joint.slip_planes[0].opening, (middle,))


def step_slanted(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    chosen = _stepped(joints, dice)
    if chosen is None:
        return None
    joint, k = chosen
    (x, y), after = joint.path[k], joint.path[k + 1 :]
    slanted = replace(joint, path=(*joint.path[:k], (x, y - 8), *after))
    return Fault(basis, _swapped(joints, joint, slanted), Counter([_bare_step(joint, k)]))


def slip_plane_shortened(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    chosen = _stepped(joints, dice)
    if chosen is None:
        return None
    joint, k = chosen
    (x, y), (u, _), (_, top) = joint.path[k : k + 3]
    half = (x + u) / 2
    short = replace(joint, path=(*joint.path[: k + 1], (half, y), (half, top)))
    after = _swapped(joints, joint, short)
    key = ("slip-plane-too-short", joint.slip_planes[0].opening, ((x + half) / 2,))
    return Fault(basis, after, Counter([key, *spacing(basis, [j.path for j in inner(after)])]))


def straight_at_the_jamb(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    chosen = _stepped(joints, dice)
    if chosen is None:
        return None
    joint, _ = chosen
    x, top = joint.path[0][0], min(basis.wall.top.at(joint.path[0][0]))
    straight = replace(joint, path=(joint.path[0], (x, top)))
    after = _swapped(joints, joint, straight)
    key = ("joint-through-lintel", joint.slip_planes[0].opening, (x,))
    return Fault(basis, after, Counter([key, *spacing(basis, [j.path for j in inner(after)])]))


def stepped_joint_shifted(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    """Move a stepped joint two modules away from its opening, where nothing else is near."""
    chosen = _stepped(joints, dice)
    if chosen is None:
        return None
    joint, k = chosen
    by = 16 if joint.path[k + 1][0] > joint.path[k][0] else -16
    path = tuple((x + by, y) for x, y in joint.path)
    reach = (min(x for x, _ in path) - 80, max(x for x, _ in path) + 80)
    rest = tuple(j for j in joints if j is not joint)
    others = [r.opening.box for r in basis.openings if r.opening.tag not in joint.serves]
    steps = [x for x, _, _ in basis.wall.top.steps()]
    if any(b.x0 < reach[1] and b.x1 > reach[0] for b in others) or not 8 < reach[0] + 80 < reach[1] - 80:
        return None
    if reach[1] - 80 > basis.wall.length_in - 8 or any(reach[0] < x < reach[1] for x in steps):
        return None
    if any(reach[0] < x < reach[1] for j in rest for x, _ in j.path):
        return None
    moved = replace(joint, x_in=path[0][0], path=path)
    middle = (path[k][0] + path[k + 1][0]) / 2
    near = abs(path[k][0] - joint.path[k][0])
    keys = [
        *spacing(basis, [j.path for j in inner([*rest, moved])]),
        *left_bare(basis, joint, rest),
        ("step-without-slip-plane", joint.slip_planes[0].opening if near <= 16 else "", (middle,)),
    ]
    return Fault(basis, (*rest, moved), Counter(keys))


def type_forgotten(basis: WallBasis, joints: tuple[Joint, ...], _: random.Random) -> Fault | None:
    if not joints:
        return None
    first = min(joints, key=lambda j: (j.x_in, j.path[-1][0]))
    y = (first.path[0][1] + first.path[-1][1]) / 2
    bare = replace(basis, joint_type=None, joint_type_name="", transfers_shear=None)
    key = ("joint-type-missing", "", (station(first.path, y),))
    return Fault(bare, tuple(replace(j, joint_type=None) for j in joints), Counter([key]))


def shear_not_transferred(basis: WallBasis, joints: tuple[Joint, ...], _: random.Random) -> Fault | None:
    planes = Counter(plane.opening for j in joints for plane in j.slip_planes)
    both = [rule_of(basis, tag).opening for tag, count in planes.items() if count == 2]
    if not both:
        return None
    raked = replace(basis, joint_type="raked", joint_type_name="raked joint", transfers_shear=False)
    keys = [("shear-transfer-needed", o.tag, (o.box.x0, o.box.x1)) for o in both]
    return Fault(raked, tuple(replace(j, joint_type="raked") for j in joints), Counter(keys))


def beam_through_joint(basis: WallBasis, joints: tuple[Joint, ...], dice: random.Random) -> Fault | None:
    if not inner(joints):
        return None
    y = basis.wall.height_in - 12
    crossed = station(dice.choice(inner(joints)).path, y)
    ends = (max(crossed - 36, 0), min(crossed + 36, basis.wall.length_in))
    beam = BondBeam(Box(ends[0], y - 4, ends[1], y + 4), handle="6A")
    wall = replace(basis.wall, bond_beams=(beam,))
    hit = [x for x in (station(j.path, y) for j in inner(joints)) if ends[0] < x < ends[1]]
    keys = [("reinforcement-through-joint", "", (x,)) for x in hit]
    return Fault(replace(basis, wall=wall), joints, Counter(keys))


FAULTS: dict[str, Seeder] = {
    "a joint dropped": drop,
    "a joint shifted": shift,
    "a joint added": add,
    "a joint doubled": double,
    "a joint cut at the top": shorten_top,
    "a joint cut at the bottom": shorten_bottom,
    "a slip plane removed": slip_plane_removed,
    "a step slanted": step_slanted,
    "a slip plane shortened": slip_plane_shortened,
    "a stepped joint straightened": straight_at_the_jamb,
    "a stepped joint shifted": stepped_joint_shifted,
    "the joint type forgotten": type_forgotten,
    "a type without shear transfer": shear_not_transferred,
    "a bond beam through a joint": beam_through_joint,
}

FAULTS_OF_EVERY_BOOK = (
    "a joint dropped",
    "a joint shifted",
    "a joint added",
    "a joint doubled",
    "a joint cut at the top",
    "a joint cut at the bottom",
    "the joint type forgotten",
    "a bond beam through a joint",
)
"""Those that have nothing to do with how a book treats openings."""
