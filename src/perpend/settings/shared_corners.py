"""Corners at which two drawn walls meet: which they are, and what each wall knows of the masonry round them.

Glossary:
    leg: masonry of one wall from the corner to its first joint, or all of it where it has none.
    carrier: of two walls that need one joint at their corner, the one that has it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from perpend.errors import InputError
from perpend.model import EndCondition, Joint, JointKind, MeasuredCorner, Path, Side, Wall
from perpend.rulebook import WallBasis
from perpend.settings.opening_choices import any_matches
from perpend.settings.settings_schema import Settings
from perpend.units import exceeds, same

_SIDES: tuple[Side, Side] = ("left", "right")
Ends = tuple[tuple[int, Side], tuple[int, Side]]
"""The two ends that meet: which wall of the elevation, and which end of it."""


@dataclass(frozen=True, slots=True)
class SharedCorner:
    """A corner of two drawn walls.

    Attributes:
        ends: the two ends.
        carrier: 0 or 1: the wall that has the joint unless a drawn one says otherwise.
    """

    ends: Ends
    carrier: int = 0


def shared_corners(settings: Settings, walls: Sequence[Wall]) -> tuple[SharedCorner, ...]:
    """Return the corners of two drawn walls: those that the settings name, then those that marks show.

    Raises:
        InputError: the settings name one end for two corners, or an end where the masonry stops at a door.
    """
    found = list(_named(settings, walls))
    taken = {end for corner in found for end in corner.ends}
    marked: dict[str, list[tuple[int, Side]]] = defaultdict(list)
    for number, wall in enumerate(walls):
        for side, mark in zip(_SIDES, wall.corner_marks, strict=True):
            if mark and (number, side) not in taken and _is_corner(wall, side):
                marked[mark].append((number, side))
    found += [SharedCorner((ends[0], ends[1])) for ends in marked.values() if len(ends) == 2]
    return tuple(found)


def _named(settings: Settings, walls: Sequence[Wall]) -> Iterator[SharedCorner]:
    taken: dict[tuple[int, Side], str] = {}
    for entry in settings.corners:
        pairs = [_ends_of(walls, tag, side) for tag, side in entry.named]
        carrier = entry.walls.index(entry.joint_in) if entry.joint_in else 0
        for one, two in zip(*pairs, strict=False):
            for end, (tag, side) in zip((one, two), entry.named, strict=True):
                if end in taken:
                    raise InputError(
                        f"The {side} end of {tag} is named by two [[corners]] of the settings, {taken[end]} "
                        f"and {' and '.join(entry.walls)}: take it out of one of them."
                    )
                taken[end] = " and ".join(entry.walls)
            yield SharedCorner((one, two), carrier)


def _ends_of(walls: Sequence[Wall], tag: str, side: Side) -> list[tuple[int, Side]]:
    """Return the ends that a tag and a side name: of a wall in runs, or in storeys, the outermost ones."""
    found = [n for n, wall in enumerate(walls) if any_matches(wall.names, tag) and _is_corner(wall, side)]
    return [(n, side) for n in found]


def _is_corner(wall: Wall, side: Side) -> bool:
    """Say whether an end of a wall may be a corner: where its masonry stops at an opening it is none."""
    drawn = wall.left_end if side == "left" else wall.right_end
    return not (wall.part_of and drawn is EndCondition.FREE)


def round_corners(
    corners: Iterable[SharedCorner], bases: Sequence[WallBasis], joints: Sequence[Sequence[Path]]
) -> list[WallBasis]:
    """Return the bases of the walls with what they know of the masonry round their shared corners.

    Args:
        corners: the corners of two drawn walls.
        bases: of all walls; what their settings say of a return is left as it is.
        joints: paths of the joints of each wall, as far as they are known. A joint that is still to be
            placed counts as if it were as far from the corner as it may be.
    """
    found = list(bases)
    for corner in corners:
        pair = [bases[n] for n, _ in corner.ends]
        legs = [_leg(bases[n], side, joints[n]) for n, side in corner.ends]
        beyond = _beyond(corner, pair, legs)
        for place, ((number, side), distance) in enumerate(zip(corner.ends, beyond, strict=True)):
            if distance is not None:
                found[number] = _with_return(found[number], side, distance, pair[1 - place])
    return found


def _beyond(
    corner: SharedCorner, pair: Sequence[WallBasis], legs: Sequence[float | None]
) -> tuple[float | None, float | None]:
    """Return for each of the two walls how much masonry beyond the corner counts; None: none does."""
    rules = {basis.spacing.corner_legs for basis in pair}
    whole = [basis.wall.length_in if basis.short_return else None for basis in pair]
    if rules == {"one"}:
        carrier = _carrier(corner, pair, legs)
        near, leg = pair[carrier].spacing.corner_max_in, legs[carrier]
        if near is None or pair[carrier].short_return:
            return whole[1], whole[0]
        known = near if leg is None else min(leg, near)
        return (None, known) if carrier == 0 else (known, None)
    if rules == {"each"}:
        known_legs = [
            length if length is not None else _leg_or_most(basis, leg)
            for length, basis, leg in zip(whole, pair, legs, strict=True)
        ]
        return known_legs[1], known_legs[0]
    return whole[1], whole[0]


def _carrier(corner: SharedCorner, pair: Sequence[WallBasis], legs: Sequence[float | None]) -> int:
    """Return the wall whose joint is near the corner; without one, the wall that is to have it."""
    near = [
        (leg, n)
        for n, (basis, leg) in enumerate(zip(pair, legs, strict=True))
        if leg is not None and not exceeds(leg, basis.spacing.corner_max_in or 0.0)
    ]
    if len(near) == 1:
        return near[0][1]
    if pair[corner.carrier].short_return:
        return 1 - corner.carrier
    return corner.carrier


def _leg_or_most(basis: WallBasis, leg: float | None) -> float | None:
    """Return the leg of a wall, or how long it may be where its joints are not placed yet."""
    if leg is not None:
        return leg
    height = basis.wall.panel_height_in(0.0, basis.wall.length_in, basis.height_basis)
    return basis.spacing.at(height, basis.height_basis).corner_distance_in


def _leg(basis: WallBasis, side: Side, paths: Iterable[Path]) -> float | None:
    """Return the greatest distance of a wall's first joint from one of its ends, or None without a joint."""
    length = basis.wall.length_in
    reaches = (
        max(x for x, _ in path) if side == "left" else length - min(x for x, _ in path) for path in paths
    )
    return min(reaches, default=None)


def _with_return(basis: WallBasis, side: Side, distance: float, other: WallBasis) -> WallBasis:
    """Return the basis of a wall that knows how much masonry of another counts round one of its corners."""
    place = _SIDES.index(side)
    if basis.returns_in[place] is not None:
        return basis
    left, right = basis.returns_in
    rows = (*basis.spacing.sources, *basis.spacing.corner_round_sources)
    basis = replace(
        basis,
        returns_in=(distance, right) if side == "left" else (left, distance),
        spacing=replace(basis.spacing, sources=tuple(dict.fromkeys(rows))),
    )
    if not basis.served_corners[place]:
        return basis
    tag, beyond = basis.wall.tag, other.wall.tag
    near = basis.spacing.corner_max_in or 0.0
    at = near if side == "left" else basis.wall.length_in - near
    return replace(
        basis,
        corner_stations_in=tuple(x for x in basis.corner_stations_in if not same(x, at)),
        notes=(
            *basis.notes,
            f"The joint of {beyond} near their corner serves {tag} at its {side} end too: the first joint of "
            f"{tag} is measured round the corner.",
        ),
    )


def whole_paths(joints: Iterable[Joint]) -> list[Path]:
    """Return the paths of the joints that a leg ends at: those of partial height are none."""
    return [joint.path for joint in joints if joint.kind is not JointKind.PARTIAL]


def drawn_paths(wall: Wall) -> list[Path]:
    """Return the paths of the joints that stand in a wall and stay when it is laid out."""
    return [joint.path for joint in wall.drawn_joints if joint.held or not joint.ours]


def measured_corners(
    corners: Iterable[SharedCorner], bases: Sequence[WallBasis], joints: Sequence[Sequence[Path]]
) -> list[MeasuredCorner]:
    """Measure the masonry round every shared corner.

    Args:
        corners: the corners of two drawn walls.
        bases: of all walls, with what they know of the masonry round their corners.
        joints: paths of the joints of each wall.
    """
    found = []
    for corner in corners:
        (one, side_one), (two, side_two) = corner.ends
        legs = [_leg(bases[n], side, joints[n]) for n, side in corner.ends]
        around = sum(
            bases[n].wall.length_in if leg is None else leg
            for (n, _), leg in zip(corner.ends, legs, strict=True)
        )
        limits = tuple(
            _corner_limit(bases[n], side, leg) for (n, side), leg in zip(corner.ends, legs, strict=True)
        )
        found.append(
            MeasuredCorner(
                (bases[one].wall.tag, bases[two].wall.tag),
                (side_one, side_two),
                (legs[0], legs[1]),
                around,
                (limits[0], limits[1]),
            )
        )
    return found


def _corner_limit(basis: WallBasis, side: Side, leg: float | None) -> float | None:
    """Return how far the first joint of a wall may be from one of its corners."""
    length = basis.wall.length_in
    reach = length if leg is None else min(leg, length)
    x0, x1 = (0.0, reach) if side == "left" else (length - reach, length)
    return basis.limits(x0, x1).corner_distance_in if x1 > x0 else None
