"""``[[joints]]`` in the settings, and proposals that are accepted."""

from __future__ import annotations

from pathlib import Path

import pytest

from drawing.seen import said as drawn_texts
from held.revising import AT, JOINTS, Office, a_wall, joints_in, said, stations
from perpend.errors import InputError


def joints(**entry: str) -> str:
    lines = "".join(f'{key} = "{value}"\n' for key, value in entry.items())
    return f'[[joints]]\nwall = "W1"\n{lines}'


def test_a_joint_is_held_by_the_settings(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), joints(station="18 ft", decision="held", number="7"))
    results = office.annotate()
    assert stations(results)["7"] == 216.0
    assert ("held", "7", None, 216.0) in said(results)
    drawn = office.path.read_bytes()
    office.annotate()
    assert office.path.read_bytes() == drawn
    office.settings.write_text("", encoding="utf-8")
    assert 216.0 not in stations(office.annotate()).values(), "without the entry nothing holds it"


def test_a_station_has_no_joint_by_the_settings(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    at = stations(office.annotate())
    office.settings.write_text(joints(station=f"{at['2']} in", decision="none-here"), encoding="utf-8")
    assert at["2"] not in stations(office.annotate()).values()


def test_type_and_detail_are_said_of_a_joint(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    at = stations(office.annotate())
    entry = joints(station=f"{at['2']} in", type="preformed-gasket", detail="5/A-501")
    office.settings.write_text(entry, encoding="utf-8")
    joint = next(j for j in office.annotate().walls[0].joints if j.x_in == at["2"])
    assert (joint.type, joint.detail, joint.held) == ("preformed-gasket", "5/A-501", False)
    written = office.open()
    spaces = (written.modelspace(), *(b for b in written.blocks if b.name.startswith("PERPEND-")))
    texts = [text for space in spaces for text in space.query("TEXT")]
    bubble = [t for t in texts if t.dxf.text == "5/A-501" and t.dxf.layer.endswith("-NOTE")]
    assert len(bubble) == 1, "a bubble names the detail at the joint"
    office.annotate(schedule=tmp_path / "schedule.csv")
    rows = (tmp_path / "schedule.csv").read_text(encoding="utf-8").splitlines()
    (row,) = [row for row in rows if ",CJ-2," in row]
    assert "preformed gasket" in row, "the schedule says so too"
    assert "5/A-501" in row


def test_what_was_moved_by_hand_counts_more(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), joints(station="18 ft", decision="held", number="7"))
    office.annotate()
    office.move("7", 24.0)
    results = office.annotate()
    assert 240.0 in stations(results).values()
    assert 216.0 not in stations(results).values()
    assert "setting-unused" in [d.code for d in results.decisions]


def test_a_wrong_entry_is_refused(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), joints(station="18 ft", decision="kept"))
    with pytest.raises(InputError, match="decision"):
        office.annotate()


def with_a_poor_joint(tmp_path: Path) -> Office:
    doc = a_wall()
    for x in (60.0, 700.0):
        ends = (AT[0] + x, AT[1]), (AT[0] + x, AT[1] + 192)
        doc.modelspace().add_line(*ends, dxfattribs={"layer": JOINTS})
    return Office(tmp_path, doc)


def test_proposals_become_joints(tmp_path: Path) -> None:
    office = with_a_poor_joint(tmp_path)
    checked = office.check(propose=True)
    wanted = {p.x_in for p in checked.walls[0].proposed if p.change in ("moved", "added", "redrawn")}
    moved = [p for p in checked.walls[0].proposed if p.change == "moved"]
    assert wanted
    assert moved
    results = office.annotate(accept=["all"])
    assert wanted <= set(stations(results).values())
    assert {d.to_in for d in results.decisions if d.code == "accepted"} == wanted
    assert [d.code for d in results.decisions].count("superseded") == len(moved)
    assert not [f for f in results.walls[0].findings if f.severity == "required"]
    lines = [line for line in office.open().modelspace().query("LINE") if line.dxf.layer == JOINTS]
    assert len([line for line in lines if not line.has_xdata("PERPEND")]) == 2, "the drafter's stay"
    assert "SUPERSEDED" in drawn_texts(office.open(), "superseded")
    drawn = office.path.read_bytes()
    office.annotate()
    assert office.path.read_bytes() == drawn
    again = office.check()
    assert not [f for f in again.walls[0].findings if f.severity == "required"], "they count no more"


def test_a_superseded_joint_that_is_moved_counts_again(tmp_path: Path) -> None:
    office = with_a_poor_joint(tmp_path)
    office.check(propose=True)
    office.annotate(accept=["all"])
    doc = office.open()
    lines = [e for e in doc.modelspace().query("LINE") if e.dxf.layer == JOINTS]
    for line in lines:
        if not line.has_xdata("PERPEND"):
            line.translate(40, 0, 0)
    office.save(doc)
    results = office.annotate()
    assert "superseded-moved" in [d.code for d in results.decisions]


def test_proposals_are_accepted_by_number(tmp_path: Path) -> None:
    office = with_a_poor_joint(tmp_path)
    checked = office.check(propose=True)
    first = next(p for p in checked.walls[0].proposed if p.change == "added")
    results = office.annotate(accept=[str(first.number)])
    held = [j.x_in for j in results.walls[0].joints if j.held]
    assert held == [first.x_in]


def test_there_must_be_a_proposal(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    with pytest.raises(InputError, match="propose"):
        office.annotate(accept=["all"])


def test_our_own_joint_is_accepted_to_where_it_was_proposed(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    office.annotate(issue="Bid set")
    office.move("2", 100.0)
    checked = office.check(propose=True)
    moved = [p for p in checked.walls[0].proposed if p.change == "moved"]
    results = office.annotate(accept=["all"])
    assert moved
    assert {p.x_in for p in moved} <= set(stations(results).values())
    assert set(joints_in(office.open())) == set(stations(results))
