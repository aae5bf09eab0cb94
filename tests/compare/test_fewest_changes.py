"""The row of the fewest openings to change: where it is listed, what it names, and what it comes to.

The wall is that of the plate "fewest-changes" of the gallery. Reinforced, the first panel over D1 is
too long: joints 24 in. off its jambs are 268 in. apart at least, and 1.5 times 160 in. is 240 in.
Unreinforced, W1 needs a joint at a jamb, and both are in or at a part that is kept free of joints.
So D1 alone changes: joints at its jambs, 160 and 380, 220 in. apart.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from perpend.jobs import compare
from perpend.jobs.compare import options_of
from perpend.model import Box, EndCondition, Opening, Profile, Wall
from perpend.model.elevation import Zone, ZoneKind
from perpend.report.comparison import Option
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings

US = load_rulebook("us-cmu")
FREE = EndCondition.FREE
KEPT_FREE = Zone(Box(40.0, 0.0, 84.0, 160.0), ZoneKind.NO_JOINTS, "Z1")
HOLES = (
    Opening("W1", "", Box(4.0, 40.0, 44.0, 96.0)),
    Opening("D1", "", Box(160.0, 0.0, 380.0, 120.0)),
    Opening("W2", "", Box(480.0, 40.0, 520.0, 96.0)),
)
WALL = Wall(
    tag="A",
    handle="A1",
    length_in=640.0,
    top=Profile.level(160.0, 0.0, 640.0),
    bottom=Profile.level(0.0, 0.0, 640.0),
    openings=HOLES,
    left_end=FREE,
    right_end=FREE,
    zones=(KEPT_FREE,),
)


def mixed_rows(wall: Wall, text: str = "") -> list[tuple[int, Option]]:
    found = options_of(wall, parse_settings(text), US)
    return [(n, option) for n, option in enumerate(found) if option.variant.fewest_changes]


def test_the_row_names_the_opening_and_has_its_joints_at_the_jambs() -> None:
    ((row, option),) = mixed_rows(WALL)
    assert row == 2  # after "as set" and "unreinforced" of the wall's own method
    assert option.changed == ("D1 unreinforced",)
    assert not option.variant.own
    plan = option.plan
    assert plan is not None
    assert plan.cost is not None
    assert (plan.cost.violations, plan.cost.narrow) == (0, 0)
    assert {160.0, 380.0} <= {joint.x_in for joint in plan.joints}
    assert not [f for f in option.findings if f.code in ("panel-too-long", "opening-without-joint")]


def test_it_starts_from_the_treatments_that_are_set() -> None:
    ((_, option),) = mixed_rows(WALL, "[defaults]\nopenings = 'unreinforced'\n")
    assert option.changed == ("W1 reinforced",)


def test_a_wall_that_complies_by_one_treatment_has_no_such_row() -> None:
    assert mixed_rows(replace(WALL, zones=())) == []
    assert mixed_rows(replace(WALL, openings=())) == []


def test_where_no_change_is_enough_the_row_says_so() -> None:
    """D1 between 100 and 420 kept free: nothing can part the panel, whatever the treatment."""
    zone = Zone(Box(40.0, 0.0, 420.0, 160.0), ZoneKind.NO_JOINTS, "Z1")
    ((_, option),) = mixed_rows(replace(WALL, zones=(zone,)))
    assert option.plan is None
    assert option.why_not.startswith("no change")
    assert "3 openings" in option.why_not


def test_it_is_listed_with_many_openings_and_says_where_the_answer_is_not_known(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Small openings high up in a wall that goes on to the right, 17 with the others."""
    small = tuple(Opening(f"V{n}", "", Box(700.0 + 120 * n, 40.0, 740.0 + 120 * n, 80.0)) for n in range(14))
    length = 2400.0
    wall = replace(
        WALL,
        length_in=length,
        top=Profile.level(160.0, 0.0, length),
        bottom=Profile.level(0.0, 0.0, length),
        openings=(*HOLES, *small),
    )
    assert [option.changed for _, option in mixed_rows(wall)] == [("D1 unreinforced",)]
    monkeypatch.setattr(compare, "COMPARED_LAYOUTS", 5)
    ((_, option),) = mixed_rows(wall)
    assert option.plan is None
    assert option.why_not.startswith("not known after 5 layouts")


def test_a_project_that_sets_it_sees_it_as_its_own_row() -> None:
    found = options_of(WALL, parse_settings("[defaults]\nopenings = 'fewest-changes'\n"), US)
    own = next(option for option in found if option.variant.own)
    assert own.plan is not None
    assert own.variant.all_alike is None
    assert {160.0, 380.0} <= {joint.x_in for joint in own.plan.joints}
    assert not [option for option in found if option.variant.fewest_changes]
