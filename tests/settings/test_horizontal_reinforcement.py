"""Horizontal reinforcement as lines: which choice, on which levels, where they stop.

Sources: TEK 10-2C Table 2 (spacings), TEK 10-2D (reinforcement and crack-control bond beams stop at a
joint), practice of the trade (structural bond beams run through, debonded on one side).
"""

from __future__ import annotations

import itertools

import pytest

from perpend.layout.place import plan_wall
from perpend.model import BondBeam, Box, Opening, Profile, Wall, WallPlan
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall

DOOR = Opening("D1", "", Box(200.0, 0.0, 240.0, 88.0))


def wall(length: float, height: float, *holes: Opening, beams: tuple[BondBeam, ...] = ()) -> Wall:
    top, bottom = Profile.level(height, 0.0, length), Profile.level(0.0, 0.0, length)
    return Wall("W1", "", length, top, bottom, openings=holes, bond_beams=beams)


def planned(defaults: str, drawn: Wall) -> WallPlan:
    basis = resolve_wall(parse_settings(f"[defaults]\n{defaults}\n"), load_rulebook("us-cmu"), drawn)
    return plan_wall(basis)


def levels(plan: WallPlan, kind: str) -> list[float]:
    return sorted({bar.path[0][1] for bar in plan.bars if bar.kind == kind})


def spans(plan: WallPlan, y: float) -> list[tuple[float, float]]:
    return [(b.path[0][0], b.path[1][0]) for b in plan.bars if b.kind == "horizontal" and b.path[0][1] == y]


def test_nothing_is_drawn_before_a_choice_is_made() -> None:
    assert planned("", wall(480.0, 144.0)).bars == ()


@pytest.mark.parametrize(
    ("units", "choice", "expected"),
    [
        ("full-height", "W1.7", [16.0 * k for k in range(1, 9)]),
        ("half-high", "W1.7", [12.0 * k for k in range(1, 12)]),
        ("full-height", "W2.8", [24.0 * k for k in range(1, 6)]),
    ],
)
def test_wires_lie_in_bed_joints_at_the_spacing_of_the_table(
    units: str, choice: str, expected: list[float]
) -> None:
    plan = planned(f"units = '{units}'\nhorizontal_reinforcement = '{choice}'", wall(480.0, 144.0))
    assert levels(plan, "horizontal") == expected


@pytest.mark.parametrize(("choice", "most"), [("No. 3", 48.0), ("No. 4", 96.0), ("No. 5", 144.0)])
@pytest.mark.parametrize("height", [56.0, 144.0, 200.0, 320.0])
def test_bars_lie_in_the_fewest_bond_beams_that_keep_the_spacing(
    choice: str, most: float, height: float
) -> None:
    plan = planned(f"horizontal_reinforcement = '{choice}'", wall(480.0, height))
    found = levels(plan, "bond-beam")
    assert len(found) == -(-height // most)
    assert all(y % 8.0 == 4.0 for y in found)
    assert max(b - a for a, b in itertools.pairwise([0.0, *found, height])) <= most


def test_lines_stop_at_joints_openings_and_lintels_and_cover_the_rest() -> None:
    plan = planned("horizontal_reinforcement = 'W1.7'\nopenings = 'unreinforced'", wall(480.0, 144.0, DOOR))
    stations = [joint.x_in for joint in plan.joints]
    assert stations
    assert {200.0, 240.0} & set(stations)
    low = spans(plan, 16.0)
    edges = sorted({0.0, 480.0, 200.0, 240.0, *stations})
    assert low == [(a, b) for a, b in itertools.pairwise(edges) if (a, b) != (200.0, 240.0)]
    lintel = plan.openings[0].lintel
    assert lintel is not None
    assert (lintel.box.y0, lintel.box.y1) == (88.0, 96.0)
    heads = [joint.head_x_in for joint in plan.joints]
    assert spans(plan, 96.0) == list(itertools.pairwise([0.0, *heads, 480.0]))


def test_no_line_lies_in_the_slip_plane() -> None:
    hole = Opening("D1", "", Box(200.0, 0.0, 240.0, 96.0))
    plan = planned("horizontal_reinforcement = 'W1.7'\nopenings = 'unreinforced'", wall(480.0, 144.0, hole))
    (slip,) = [s for joint in plan.joints for s in joint.slip_planes]
    assert slip.y_in == 96.0
    assert all(x1 <= 192.0 or x0 >= 248.0 for x0, x1 in spans(plan, 96.0))


def test_a_stepped_wall_is_filled_only_as_high_as_it_stands() -> None:
    top = Profile(((0.0, 96.0), (160.0, 96.0), (160.0, 144.0), (480.0, 144.0)))
    drawn = Wall("W1", "", 480.0, top, Profile.level(0.0, 0.0, 480.0))
    plan = planned("horizontal_reinforcement = 'W1.7'", drawn)
    assert min(x0 for x0, _ in spans(plan, 112.0)) == 160.0
    assert min(x0 for x0, _ in spans(plan, 80.0)) == 0.0


def test_the_setting_leaves_the_lines_out_and_keeps_the_choice() -> None:
    plan = planned(
        "horizontal_reinforcement = 'W1.7'\ndraw_horizontal_reinforcement = false", wall(480.0, 144.0)
    )
    assert plan.bars == ()
    assert plan.reinforcement.chosen == "2 wires W1.7 (9 gauge)"


def test_wires_counted_in_a_wall_without_joints_are_drawn_with_its_bond_beams() -> None:
    plan = planned("method = 'no-joints'\njoint_reinforcement = 'W1.7'", wall(480.0, 144.0))
    assert levels(plan, "horizontal") == [16.0 * k for k in range(1, 9)]
    assert levels(plan, "bond-beam")


def test_structural_bond_beams_run_through_and_say_where_they_are_debonded() -> None:
    roof = BondBeam(Box(0.0, 136.0, 480.0, 144.0), structural=True)
    plain = BondBeam(Box(0.0, 64.0, 480.0, 72.0))
    plan = planned("horizontal_reinforcement = 'No. 4'", wall(480.0, 144.0, beams=(roof, plain)))
    assert plan.debonded == tuple((joint.x_in, 140.0) for joint in plan.joints)
    assert plan.bars == ()
    assert plan.notes == (
        "Crack-control bond beams stop at joints [TEK 10-2D (2019) (published)].",
        "Structural bond beams run through the joints, debonded on one side of each "
        "[Practice of the trade (common practice)].",
    )


def test_a_sill_bar_stops_at_joints_and_at_other_openings() -> None:
    """The door beside the window is in the way of the bar below its sill."""
    window = Opening("N1", "", Box(296.0, 40.0, 344.0, 88.0))
    plan = planned("left_end = 'free'\nright_end = 'free'", wall(640.0, 200.0, DOOR, window))
    (bar,) = [bar for bar in plan.bars if bar.kind == "sill"]
    joints = [joint.x_in for joint in plan.joints]
    assert bar.path[0] == (max([240.0, *(x for x in joints if x < 296.0)]), 36.0)
    assert bar.path[1] == (min(x for x in [*joints, 640.0] if x > 344.0), 36.0)


def test_a_sill_bar_of_a_wall_without_joints_runs_24_in_past_each_jamb() -> None:
    """TMS 402 asks for 24 in. past the opening (from memory)."""
    window = Opening("N1", "", Box(296.0, 40.0, 344.0, 88.0))
    plan = planned("method = 'no-joints'", wall(640.0, 200.0, window))
    (bar,) = [bar for bar in plan.bars if bar.kind == "sill"]
    assert bar.path == ((272.0, 36.0), (368.0, 36.0))
