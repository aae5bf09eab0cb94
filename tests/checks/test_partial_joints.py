"""Joints of partial height: as few as the judge lets pass, on every course, against brute force."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

import pytest

from perpend.checks import check_wall
from perpend.layout import place_joints
from perpend.model import (
    Box,
    EndCondition,
    Joint,
    JointKind,
    Opening,
    Place,
    PlaceKind,
    Profile,
    Treatment,
    Wall,
)
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall

BOOK = load_rulebook("us-cmu")
SETTINGS = parse_settings(
    '[defaults]\njoint_type = "formed-paper"\nmodule = 24\nintersections = "bonded"\nstrip_steel_under = 0\n'
)


def strip_wall(seed: int) -> WallBasis:
    """A wall with a strip window of 18 to 24 ft, near a corner, near a bonded wall, or near neither."""
    dice = random.Random(seed)
    x0, width, sill = 24.0 * dice.randint(1, 4), 24.0 * dice.randint(9, 12), 24.0 * dice.randint(2, 5)
    head = sill + 24.0 * dice.randint(1, 3)
    height = head + dice.choice((16.0, 48.0, 72.0))
    length = x0 + width + 24.0 * dice.randint(4, 8)
    held = dice.choice((None, 0.0, x0 + width + 24.0))
    return resolve_wall(
        SETTINGS,
        BOOK,
        Wall(
            tag="W1",
            handle="1",
            length_in=length,
            top=Profile.level(height, 0.0, length),
            bottom=Profile.level(0.0, 0.0, length),
            openings=(
                Opening(
                    "A",
                    "2",
                    Box(x0, sill, x0 + width, head),
                    treatment=dice.choice(tuple(Treatment)),
                ),
            ),
            places=(Place(held, PlaceKind.INTERSECTION, "3"),) if held else (),
            left_end=EndCondition.CORNER if held == 0.0 else EndCondition.FREE,
            right_end=EndCondition.FREE,
        ),
    )


def is_right(basis: WallBasis, joints: tuple[Joint, ...]) -> bool:
    found = {f.code for f in check_wall(basis, joints).findings}
    return not found & {"panel-at-opening-too-long", "joint-at-bonded-wall"}


@pytest.mark.parametrize("seed", range(24))
def test_no_layout_with_fewer_partial_joints_passes_the_judge(seed: int) -> None:
    basis = strip_wall(seed)
    joints = place_joints(basis).joints
    whole = tuple(j for j in joints if j.kind is not JointKind.PARTIAL)
    assert is_right(basis, joints)
    for piece in basis.strip_pieces:
        own = [j for j in joints if j.kind is JointKind.PARTIAL and piece.holds(j.path)]
        others = tuple(j for j in joints if j not in whole and j not in own)
        stations = [x for k in range(60) if piece.box.x0 < (x := 24.0 * k) < piece.box.x1]
        fewer = itertools.combinations(stations, len(own) - 1) if own else ()
        for xs in fewer:
            tried = tuple(
                replace(own[0], number=100 + n, x_in=x, path=((x, piece.y0_in), (x, piece.y1_in)))
                for n, x in enumerate(xs)
            )
            assert not is_right(basis, (*whole, *others, *tried)), (piece, xs)
