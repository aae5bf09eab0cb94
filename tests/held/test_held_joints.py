"""What a person does to our joints in a CAD program stays, and is named."""

from __future__ import annotations

from pathlib import Path

import pytest

import perpend
from held.revising import AT, JOINTS, WALL, Office, a_wall, add_window, foot_of, joints_in, said, stations
from perpend.errors import InputError


@pytest.fixture
def office(tmp_path: Path) -> Office:
    return Office(tmp_path, a_wall())


def test_a_second_run_changes_nothing(office: Office) -> None:
    office.annotate()
    first = office.path.read_bytes()
    results = office.annotate()
    assert office.path.read_bytes() == first
    assert results.decisions == []


def test_a_moved_joint_is_held_and_drawn_there(office: Office) -> None:
    at = stations(office.annotate())
    office.move("2", 24.0)
    results = office.annotate()
    assert ("moved", "2", at["2"], at["2"] + 24) in said(results)
    wall = results.walls[0]
    assert [j.x_in for j in wall.joints if j.held] == [at["2"] + 24]
    assert at["2"] not in [j.x_in for j in wall.joints], "it is not brought back"
    (line,) = joints_in(office.open())["2"]
    assert foot_of(line) == at["2"] + 24
    drawn = office.path.read_bytes()
    again = office.annotate()
    assert office.path.read_bytes() == drawn
    assert ("held", "2", None, at["2"] + 24) in said(again)


def test_others_are_placed_around_a_held_one(office: Office) -> None:
    at = stations(office.annotate())
    office.move("1", 64.0)
    results = office.annotate()
    panels = results.walls[0].panels
    assert all(p.limit_in is None or p.length_in <= p.limit_in + 1 / 64 for p in panels)
    assert at["1"] + 64 in stations(results).values()


def test_a_deleted_joint_is_not_placed_there_again(office: Office) -> None:
    at = stations(office.annotate())
    office.erase("2")
    results = office.annotate()
    assert ("deleted", "2", at["2"], None) in said(results)
    assert at["2"] not in stations(results).values()
    again = office.annotate()
    assert at["2"] not in stations(again).values()
    assert [d.code for d in again.decisions] == ["no-joint"]


def test_a_copy_is_a_joint_of_ours(office: Office) -> None:
    at = stations(office.annotate())
    office.copy("1", 30.0)
    results = office.annotate()
    held = [j for j in results.walls[0].joints if j.held]
    assert [j.x_in for j in held] == [at["1"] + 30]
    assert held[0].state == "new", "it is drawn as ours"
    assert results.ignored == []
    lines = [line for lines in joints_in(office.open()).values() for line in lines]
    assert sorted(map(foot_of, lines)) == sorted(stations(results).values())


def test_a_copy_whose_original_is_gone_is_a_move(office: Office) -> None:
    at = stations(office.annotate())
    doc = office.open()
    (line,) = joints_in(doc)["2"]
    copy = line.copy()
    doc.modelspace().add_entity(copy)
    copy.translate(16, 0, 0)
    doc.modelspace().delete_entity(line)
    office.save(doc)
    assert ("moved", "2", at["2"], at["2"] + 16) in said(office.annotate())


def test_a_copy_on_top_counts_once(office: Office) -> None:
    at = stations(office.annotate())
    office.copy("1", 0.0)
    results = office.annotate()
    assert stations(results) == at
    assert [d.code for d in results.decisions] == ["doubled"]


def test_another_layer_holds_a_joint(office: Office) -> None:
    at = stations(office.annotate())
    doc = office.open()
    joints_in(doc)["1"][0].dxf.layer = "0"
    office.save(doc)
    results = office.annotate()
    assert ("relayered", "1", at["1"], at["1"]) in said(results)
    assert joints_in(office.open())["1"][0].dxf.layer == JOINTS


def test_a_layer_that_was_renamed_holds_nothing(office: Office) -> None:
    office.annotate()
    doc = office.open()
    doc.layers.get(JOINTS).rename("S-JOINT-CTRL")
    office.save(doc)
    assert office.annotate().decisions == []


def test_a_stretched_joint_stays_as_it_is_and_is_a_finding(office: Office) -> None:
    office.annotate()
    doc = office.open()
    (line,) = joints_in(doc)["2"]
    (x, y), (_, top) = line.get_points("xy")  # type: ignore[attr-defined]
    line.set_points([(x, y), (x, top - 60)], format="xy")  # type: ignore[attr-defined]
    office.save(doc)
    results = office.annotate()
    held = next(j for j in results.walls[0].joints if j.held)
    assert held.path[-1][1] == 192.0 - 60
    assert "stretched" in [d.code for d in results.decisions]
    assert any(f.severity == "required" for f in results.walls[0].findings), "what it breaks is a finding"
    drawn = office.path.read_bytes()
    office.annotate()
    assert office.path.read_bytes() == drawn


def test_a_drawing_moved_as_a_whole_holds_nothing(office: Office) -> None:
    at = stations(office.annotate())
    doc = office.open()
    for entity in doc.modelspace():
        entity.translate(240, 36, 0)
    office.save(doc)
    results = office.annotate()
    assert results.decisions == []
    assert stations(results) == at


def test_a_wall_lengthened_at_its_left_holds_nothing(office: Office) -> None:
    office.annotate()
    doc = office.open()
    wall = next(e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == WALL)
    points = [(x - 48 if x == AT[0] else x, y) for x, y in wall.get_points("xy")]  # type: ignore[attr-defined]
    wall.set_points(points, format="xy")  # type: ignore[attr-defined]
    office.save(doc)
    assert not any(j.held for j in office.annotate().walls[0].joints)


def test_a_held_joint_follows_a_wall_that_grows(office: Office) -> None:
    at = stations(office.annotate())
    office.move("2", 24.0)
    office.annotate()
    doc = office.open()
    wall = next(e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == WALL)
    points = [(x, y if y == AT[1] else y + 48) for x, y in wall.get_points("xy")]  # type: ignore[attr-defined]
    wall.set_points(points, format="xy")  # type: ignore[attr-defined]
    office.save(doc)
    held = next(j for j in office.annotate().walls[0].joints if j.held)
    assert held.path == [(at["2"] + 24, 0.0), (at["2"] + 24, 240.0)]


def test_an_opening_drawn_later_releases_a_held_joint(office: Office) -> None:
    at = stations(office.annotate(issue="Bid set"))
    office.move("1", 24.0)
    office.annotate()
    x = at["1"] + 24
    doc = office.open()
    add_window(doc, ("B", x - 20, 48.0, x + 20, 96.0))
    office.save(doc)
    results = office.annotate()
    assert ("released", "1", x, None) in said(results)
    assert x not in stations(results).values()
    assert not any(j.held for j in results.walls[0].joints)


def test_a_joint_moved_onto_an_opening_is_held_and_found_fault_with(office: Office) -> None:
    at = stations(office.annotate())
    office.move("1", 420.0 - at["1"])
    results = office.annotate()
    assert 420.0 in stations(results).values()
    assert "joint-through-opening" in [f.code for f in results.walls[0].findings]
    again = office.annotate()
    assert 420.0 in stations(again).values(), "it was decided so: a second run changes nothing"


def test_a_joint_moved_off_the_wall_is_named(office: Office) -> None:
    at = stations(office.annotate())
    office.move("1", 5000.0)
    results = office.annotate()
    assert ("off-wall", "1", at["1"], None) in said(results)
    assert at["1"] not in stations(results).values()


def test_a_joint_drawn_anew_by_the_drafter_takes_the_place_of_ours(office: Office) -> None:
    at = stations(office.annotate())
    doc = office.open()
    doc.modelspace().delete_entity(joints_in(doc)["1"][0])
    x = AT[0] + at["1"]
    doc.modelspace().add_line((x, AT[1]), (x, AT[1] + 192), dxfattribs={"layer": JOINTS})
    office.save(doc)
    results = office.annotate()
    assert ("redrawn", "1", at["1"], None) in said(results)
    assert [j.x_in for j in results.walls[0].joints if j.state == "existing"] == [at["1"]]


def test_release_lets_joints_go_back(office: Office) -> None:
    at = stations(office.annotate())
    office.move("1", 24.0)
    office.annotate()
    office.erase("3")
    office.annotate()
    with pytest.raises(InputError, match="17"):
        office.annotate(release=["17"])
    results = office.annotate(release=["all"])
    assert stations(results) == at
    assert office.annotate().decisions == []


def test_release_by_number(office: Office) -> None:
    at = stations(office.annotate(issue="Bid set"))
    office.move("1", 24.0)
    office.annotate()
    results = office.annotate(release=["CJ-1"])
    assert stations(results) == at
    assert ("released", "1", at["1"] + 24, None) in said(results)


def test_fresh_forgets(office: Office) -> None:
    first = office.annotate()
    drawn = office.path.read_bytes()
    office.move("1", 24.0)
    office.annotate(issue="Bid set")
    results = office.annotate(fresh=True)
    assert stations(results) == stations(first)
    assert results.issues == []
    assert len(drawn) > 0


def test_clean_gives_the_original_back_to_the_byte(office: Office) -> None:
    original = office.path.read_bytes()
    office.annotate(issue="Bid set")
    cleaned = perpend.clean(office.path, office.next())
    assert cleaned.exact
    assert cleaned.output.read_bytes() == original


@pytest.mark.parametrize("release", ["R12", "R2000", "R2018"])
def test_decisions_live_in_every_release(release: str, tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(release=release))
    at = stations(office.annotate(issue="Bid set"))
    office.move("1", 24.0)
    office.annotate()
    office.erase("3")
    results = office.annotate()
    assert stations(results)["1"] == at["1"] + 24
    assert ("deleted", "3", at["3"], None) in said(results)
    again = office.annotate()
    assert {d.code for d in again.decisions} == {"held", "no-joint", "issued"}
    assert [issue.name for issue in again.issues] == ["Bid set"]
