"""Corners at which two drawn walls meet: what each knows of the other, by the settings and by marks.

Numbers: BIA TN 18A, a spacing of 25 ft round a corner is 10 ft and 15 ft; veneer: one wythe,
4 in., and 1.5 × H.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from perpend.checks import check_wall
from perpend.errors import InputError
from perpend.jobs.walls_round_corners import bases_to_judge, plan_walls
from perpend.model import DrawnJoint, Elevation, EndCondition, Profile, Wall
from perpend.reading.gather.texts import corner_mark, end_named
from perpend.rulebook import WallBasis
from perpend.settings import book_of, parse_settings, resolve_wall, unmatched_tags
from perpend.settings.shared_corners import measured_corners, round_corners, shared_corners, whole_paths

VENEER = '[defaults]\nmethod = "veneer"\n'
CLAY = 'rulebook = "us-clay"\n'
CORNER = '[[corners]]\nwalls = ["W1", "W2"]\nends = ["right", "left"]\n'


def wall(tag: str, length: float, *joints: float, height: float = 120.0) -> Wall:
    drawn = tuple(
        DrawnJoint(((x, 0.0), (x, height)), f"{tag}{n}", handles=(f"{tag}{n}",)) for n, x in enumerate(joints)
    )
    return Wall(
        tag,
        tag,
        length,
        Profile.level(height, 0.0, length),
        Profile.level(0.0, 0.0, length),
        drawn_joints=drawn,
    )


def planned(text: str, *walls: Wall) -> tuple[list[list[float]], list[WallBasis]]:
    """Return the stations of the joints of each wall as they are laid out, and what binds each after that."""
    settings = parse_settings(text)
    elevation = Elevation("x.dxf", "", "R2010", "in", walls)
    bases, plans = plan_walls(elevation, settings, book_of(settings))
    judged = bases_to_judge(settings, walls, bases, [plan.joints for plan in plans])
    for basis, plan in zip(judged, plans, strict=True):
        assert not check_wall(basis, plan.joints).required, basis.wall.tag
    return [[joint.x_in for joint in plan.joints] for plan in plans], judged


def faults(text: str, *walls: Wall) -> list[tuple[str, str, float | None, float | None]]:
    """Return what the judge says of the drawn joints: wall, code, measured, limit."""
    from perpend.checks import joints_from_drawn

    settings = parse_settings(text)
    bases = [resolve_wall(settings, book_of(settings), each) for each in walls]
    joints = [joints_from_drawn(basis) for basis in bases]
    judged = bases_to_judge(settings, walls, bases, joints)
    return [
        (basis.wall.tag, f.code, f.measured_in, f.limit_in)
        for basis, mine in zip(judged, joints, strict=True)
        for f in check_wall(basis, mine).findings
        if f.code == "corner-too-far"
    ]


def test_veneer_has_one_joint_at_a_corner_of_two_walls() -> None:
    (one, two), _ = planned(VENEER + CORNER, wall("W1", 480.0), wall("W2", 200.0))
    assert one[-1] == 476.0, "4 in. from the corner"
    assert [x for x in two if x < 24.0] == []
    assert two[0] <= 180.0 - 4.0, "the two legs are 1.5 x H together, 15 ft"


def test_the_other_wall_carries_it_where_the_settings_say_so() -> None:
    (one, two), _ = planned(VENEER + CORNER + 'joint_in = "W2"\n', wall("W1", 480.0), wall("W2", 200.0))
    assert [x for x in one if x > 456.0] == []
    assert two[0] == 4.0


def test_the_wall_whose_drawn_joint_is_near_carries_it() -> None:
    (one, two), _ = planned(VENEER + CORNER, wall("W1", 480.0), wall("W2", 200.0, 4.0))
    assert [x for x in one if x > 456.0] == []
    assert two[0] == 4.0


def test_a_wall_served_at_its_only_corner_needs_no_joint() -> None:
    """Both legs are 14 ft together, less than 15 ft; without the corner that wall has a joint of its own."""
    text = VENEER + '[[walls]]\ntag = "W2"\nright_end = "free"\n'
    (_, two), _ = planned(text + CORNER, wall("W1", 480.0), wall("W2", 164.0))
    assert two == []
    (_, alone), _ = planned(text, wall("W1", 480.0), wall("W2", 164.0))
    assert alone == [4.0]


def test_clay_is_ten_feet_and_fifteen() -> None:
    (one, two), bases = planned(CLAY + CORNER, wall("W1", 480.0), wall("W2", 480.0))
    assert 480.0 - one[-1] <= 120.0
    assert (480.0 - one[-1]) + two[0] <= 300.0
    assert bases[1].limits(0.0, two[0]).corner_distance_in == 300.0 - (480.0 - one[-1])


@pytest.mark.parametrize(
    ("first", "second", "found"),
    [
        (120.0, 180.0, []),
        (96.0, 204.0, []),
        (180.0, 120.0, []),
        (120.0, 192.0, [("W2", "corner-too-far", 192.0, 180.0)]),
        (204.0, 120.0, [("W1", "corner-too-far", 204.0, 180.0)]),
        (128.0, 128.0, [("W1", "corner-too-far", 128.0, 120.0)]),
    ],
)
def test_drawn_joints_are_measured_round_the_corner_and_a_fault_counts_once(
    first: float, second: float, found: Sequence[tuple[str, str, float, float]]
) -> None:
    one, two = wall("W1", 480.0, 96.0, 240.0, 480.0 - first), wall("W2", 480.0, second, 384.0)
    assert faults(CLAY + CORNER, one, two) == found


def test_a_short_return_counts_with_its_whole_length() -> None:
    """Concrete masonry 12 ft high: 18 ft. A return of 8 ft leaves 10 ft, more than the half of 9 ft."""
    text = CORNER.replace('"left"]', '"left"]')
    (_, two), bases = planned(text, wall("W1", 480.0, height=144.0), wall("W2", 96.0, height=144.0))
    assert two == []
    assert bases[0].returns_in == (None, 96.0)
    lower = '[[walls]]\ntag = "W1"\nspacing_cap = 160\n' + text
    (one, _), _ = planned(lower, wall("W1", 480.0, height=144.0), wall("W2", 96.0, height=144.0))
    assert 480.0 - one[-1] <= 160.0 - 96.0, "a spacing of 13'-4\" leaves 5'-4\", not 6'-8\""


def test_what_the_settings_say_of_a_return_stays() -> None:
    text = CLAY + '[[walls]]\ntag = "W2"\nleft_return = "2 ft"\n' + CORNER
    _, bases = planned(text, wall("W1", 480.0), wall("W2", 480.0))
    assert bases[1].returns_in == (24.0, None)


def test_marks_make_a_corner() -> None:
    settings = parse_settings("")
    one, two = wall("W1", 480.0), wall("W2", 480.0)
    marked = replace(one, corner_marks=("", "A")), replace(two, corner_marks=("A", "B"))
    (corner,) = shared_corners(settings, marked)
    assert corner.ends == ((0, "right"), (1, "left"))
    thrice = (*marked, replace(two, tag="W3", corner_marks=("", "A")))
    assert shared_corners(settings, thrice) == (), "three ends of one mark are no corner"


@pytest.mark.parametrize(
    ("text", "mark"),
    [("CORNER A", "A"), ("corner 12", "12"), ("CORNER-B2", "B2"), ("CORNER", ""), ("CORNER BEAD", "")],
)
def test_the_mark_of_a_corner(text: str, mark: str) -> None:
    assert corner_mark(text) == mark
    assert end_named(text) is (EndCondition.CORNER if mark or text == "CORNER" else None)


def test_what_is_wrong_with_an_entry_is_said() -> None:
    twice = CORNER + '[[corners]]\nwalls = ["W2", "W3"]\nends = ["left", "right"]\n'
    with pytest.raises(InputError, match="left end of W2"):
        shared_corners(parse_settings(twice), (wall("W1", 480.0), wall("W2", 480.0), wall("W3", 480.0)))
    with pytest.raises(InputError, match="names one end twice"):
        parse_settings('[[corners]]\nwalls = ["W1", "W1"]\nends = ["left", "left"]\n')
    with pytest.raises(InputError, match="joint_in"):
        parse_settings(CORNER + 'joint_in = "W3"\n')
    assert unmatched_tags(parse_settings(CORNER), (wall("W1", 480.0),)) == ["W2"]


def test_a_corner_is_measured_over_both_walls() -> None:
    settings = parse_settings(CLAY + CORNER)
    walls = wall("W1", 480.0), wall("W2", 240.0)
    bases, plans = plan_walls(Elevation("x.dxf", "", "R2010", "in", walls), settings, book_of(settings))
    paths = [whole_paths(plan.joints) for plan in plans]
    corners = shared_corners(settings, walls)
    (found,) = measured_corners(corners, round_corners(corners, bases, paths), paths)
    one, two = plans[0].joints[-1].x_in, plans[1].joints[0].x_in
    assert found.first_joints_in == (480.0 - one, two)
    assert found.around_in == 480.0 - one + two
    assert found.limits_in == (120.0, 300.0 - (480.0 - one))
