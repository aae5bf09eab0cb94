"""The distance of the first joint from a corner is told of walls that end at one, and as it holds there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from perpend.model import Profile
from perpend.report.sheet.assemble import assemble
from perpend.report.summary import summary
from report.sample_results import elevation_of, opening, plain_wall, results_of


@pytest.mark.parametrize(("ends", "told"), [(("free", "free"), False), (("free", "corner"), True)])
def test_the_corner_distance_is_told_where_an_end_is_a_corner(ends: tuple[str, str], told: bool) -> None:
    settings = f"[defaults]\nleft_end = '{ends[0]}'\nright_end = '{ends[1]}'\n"
    results = results_of(elevation_of(plain_wall(720, 200)), settings)
    text = " ".join(line.text for line in summary(results))
    assert ("first joint not more than" in " ".join(text.split())) is told


def test_each_corner_is_told_the_distance_of_its_own_panel() -> None:
    """A step from 16'-0" to 12'-0" at 48'-0": half of 1.5 × 16 ft is 12 ft, of 1.5 × 12 ft 9 ft."""
    top = Profile(((0.0, 192.0), (576.0, 192.0), (576.0, 144.0), (960.0, 144.0)))
    results = results_of(elevation_of(replace(plain_wall(960, 192), top=top)))
    wall = results.walls[0]
    text = " ".join(" ".join(line.text for line in summary(results)).split())
    both = "not more than 12'-0\" from the left corner and not more than 9'-0\" from the right corner"
    assert f"at most 18'-0\" to 24'-0\", by the height of each panel; first joint {both}" in text
    assert [p.corner_limit_in for p in wall.panels] == [144.0, None, None, None, None, 108.0]
    reasons = {joint.x_in: joint.reason for joint in wall.joints}
    assert reasons[144.0] == "within 12'-0\" of the left corner; panels up to 24'-0\""
    assert reasons[856.0] == "within 9'-0\" of the right corner; panels up to 18'-0\""
    facts = {fact.label: fact.text for fact in assemble(results).walls[0].facts}
    assert facts["First joint"] == both
    assert facts["Joint spacing"].startswith(
        "at most 18'-0\" to 24'-0\", by the height of each panel (lesser of"
    )


def test_a_joint_is_said_to_serve_only_the_corners_within_its_reach() -> None:
    """A reinforced opening from 4'-0" to 58'-0" leaves room for a joint at 2'-0" alone."""
    results = results_of(elevation_of(plain_wall(720, 144, opening("N1", 48, 0, 696, 84))))
    assert {joint.x_in: joint.reason for joint in results.walls[0].joints} == {
        24.0: "within 9'-0\" of the left corner; panels up to 18'-0\""
    }


def test_a_wall_without_room_for_a_joint_is_told_the_distance_that_is_wanted() -> None:
    results = results_of(elevation_of(plain_wall(240, 96, opening("N1", 16, 24, 224, 84))))
    told = [f.message for f in results.walls[0].findings if f.code == "corner-too-far"]
    assert [message.partition("; ")[2] for message in told] == ["one within 6'-0\" is required."] * 2
