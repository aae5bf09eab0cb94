"""A cure names only stations where a joint may stand; numbers reckoned by hand in the comments."""

from __future__ import annotations

import re

import pytest

from layout.builders import Hole, basis
from perpend.checks import check_wall
from perpend.layout import place_joints
from perpend.model import EndCondition
from perpend.units import parse_length

CORNER, FREE = EndCondition.CORNER, EndCondition.FREE


def cure_of(length: float, holes: list[Hole]) -> str:
    """Judge a wall 160 in. high (spacing 240 in.) without joints; return the cure of its long panel."""
    findings = check_wall(basis(length, 160, holes), ()).findings
    return next(f.cure for f in findings if f.code == "panel-too-long")


def test_the_stretch_leaves_out_a_reinforced_opening_and_its_keep_out() -> None:
    """400 in. long: one joint from 160 to 240 in. would do; the opening 190-214 in. keeps 24 in. clear."""
    cure = cure_of(400, [(190, 0, 214, 80, "r")])
    assert cure == "Add a joint at 13'-4\", or at 20'-0\"."


NO_OTHER_TREATMENT = (
    "treating one of them otherwise does not help; move or narrow one, or see other methods (perpend compare)"
)


def test_without_openings_the_stretch_is_whole() -> None:
    assert cure_of(400, []) == "Add a joint between 13'-4\" and 20'-0\"."


def test_where_openings_take_the_whole_stretch_two_joints_beside_it_are_named() -> None:
    """The opening 170-230 in. keeps 146 to 254 in. clear; one joint would have to be in 160-240 in."""
    assert cure_of(400, [(170, 0, 230, 80, "r")]) == "Add 2 joints, at 10'-8\" and 22'-0\"."


def test_the_joints_that_a_panel_lacks_are_named_as_even_as_they_come() -> None:
    """700 in. long, 240 in. allowed: two joints, thirds at 233 1/3 and 466 2/3, the lines next to them."""
    assert cure_of(700, []) == "Add 2 joints, at 19'-4\" and 38'-8\"."


def test_where_openings_leave_room_at_the_ends_only_the_stretch_between_is_told() -> None:
    """Windows in a row from 36 to 664 in. keep 24 in. clear: lines at 8 and 688 are free."""
    row = [(36.0 + 64 * k, 0, 36.0 + 64 * k + 52, 80, "r") for k in range(10)]
    free = "0'-8\" and 57'-4\""
    assert cure_of(700, row) == f"Openings leave no station free between {free}: {NO_OTHER_TREATMENT}."


@pytest.mark.parametrize("ends", [(CORNER, CORNER), (CORNER, FREE), (FREE, FREE)])
def test_the_joints_that_a_bare_wall_lacks_are_those_that_placement_draws(
    ends: tuple[EndCondition, EndCondition],
) -> None:
    """The fewest, then the shortest longest panel, the evenest, the leftmost: no pier is left at a corner."""
    told = 0
    for length in range(400, 1400, 72):
        wall = basis(length, 160, [], ends=ends)
        cure = next((f.cure for f in check_wall(wall, ()).findings if f.code == "panel-too-long"), "")
        if match := re.match(r"Add \d joints, at (.*)\.", cure):
            stations = [parse_length(x) for x in re.split(", | and ", match[1])]
            assert stations == [joint.x_in for joint in place_joints(wall).joints], (length, ends)
            told += 1
    assert told >= 8


def test_the_joints_of_a_wall_of_80_feet_leave_no_pier_at_its_corner() -> None:
    """192 in. high, 288 allowed, 144 at the corners: 144, then three panels of 224, then 144."""
    findings = check_wall(basis(960, 192, [], ends=(CORNER, CORNER)), ()).findings
    cure = next(f.cure for f in findings if f.code == "panel-too-long")
    assert cure == "Add 4 joints, at 12'-0\", 30'-8\", 49'-4\" and 68'-0\"."
