"""Numbers that stay: kept once issued, letters for what comes between, none used twice."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawing.seen import said as drawn
from held.revising import Office, a_wall, add_window, joints_in, said, stations
from perpend.decisions.joint_numbers import kept, of_drawn
from perpend.decisions.joint_record import RecordedJoint
from perpend.model import DrawnJoint, Joint, JointKind


def joint(x: float) -> Joint:
    return Joint(0, x, ((x, 0.0), (x, 96.0)), JointKind.STRAIGHT, "")


def recorded(label: str, x: float) -> RecordedJoint:
    return RecordedJoint(label, "placed", ((x, 0.0), (x, 96.0)))


def marks(xs: list[float], known: dict[str, float], gone: tuple[str, ...] = ()) -> list[str]:
    old = [recorded(label, x) for label, x in known.items()]
    return [j.label for j in kept([joint(x) for x in xs], old, gone, {}, 48.0)]


FOUR = {"1": 100.0, "2": 300.0, "3": 500.0, "4": 700.0}


def test_a_new_joint_between_two_gets_a_letter() -> None:
    assert marks([100, 300, 400, 500, 700], FOUR) == ["1", "2", "2A", "3", "4"]
    assert marks([100, 300, 360, 440, 500, 700], FOUR) == ["1", "2", "2A", "2B", "3", "4"]
    assert marks([100, 300, 400, 500], {"1": 100, "2": 300, "2A": 400, "3": 500}) == ["1", "2", "2A", "3"]
    assert marks([20, 100], {"1": 100.0}) == ["2", "1"], "CJ-0A would read as CJ-OA"
    assert marks([20, 50, 100, 200], {"2": 20, "1": 100}) == ["2", "2A", "1", "3"]
    assert marks([100, 200], {"1": 100.0}) == ["1", "2"]


def test_a_joint_drawn_by_hand_has_a_number_of_its_own_when_it_is_checked() -> None:
    labels = {100.0: "1", 300.0: "4", 400.0: "", 500.0: "5", 700.0: ""}
    drawn = [DrawnJoint(((x, 0.0), (x, 96.0)), f"{x:.0f}", label=label) for x, label in labels.items()]
    assert [j.label for j in of_drawn(drawn, ["4A", "6"])] == ["1", "4", "4B", "5", "7"]
    bare = [DrawnJoint(j.path, j.handle) for j in drawn]
    assert [j.label for j in of_drawn(bare, [])] == [""] * 5, "numbers go from left to right then"


def test_a_removed_number_is_not_used_again() -> None:
    assert marks([100, 500, 700, 900], FOUR) == ["1", "3", "4", "5"]
    assert marks([100, 300, 500, 700, 900], FOUR, gone=("5", "2A")) == ["1", "2", "3", "4", "6"]
    assert marks([100, 210, 300], {"1": 100, "2": 300}, gone=("1A",)) == ["1", "1B", "2"]


def test_one_that_shifts_a_little_keeps_its_number() -> None:
    assert marks([100, 324, 500, 700], FOUR) == ["1", "2", "3", "4"]
    assert marks([100, 400, 500, 700], FOUR) == ["1", "2A", "3", "4"], "100 inches off it is another joint"


@given(
    st.lists(st.integers(1, 60), unique=True, max_size=12).map(sorted),
    st.lists(st.integers(1, 60), unique=True, min_size=1, max_size=12).map(sorted),
    st.sets(st.sampled_from(["7", "8", "8A", "13"])),
)
def test_numbers_are_unique_and_none_comes_back(old: list[int], new: list[int], gone: set[str]) -> None:
    known = {str(n): x * 16.0 for n, x in enumerate(old, start=20)}
    found = marks([x * 16.0 for x in new], known, tuple(gone))
    assert len(set(found)) == len(found)
    assert not set(found) & gone
    for x, label in zip(new, found, strict=True):
        if x in old:
            assert label == str(20 + old.index(x)), "what stands where it stood keeps its number"


def test_before_an_issue_joints_are_numbered_anew(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    count = len(stations(office.annotate()))
    office.copy("1", 40.0)
    assert list(stations(office.annotate())) == [str(n) for n in range(1, count + 2)]


def test_after_an_issue_they_keep_their_numbers(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    at = stations(office.annotate(issue="Bid set"))
    office.copy("1", 40.0)
    office.erase("3")
    results = office.annotate()
    now = stations(results)
    assert now["1A"] == at["1"] + 40
    assert now["4"] == at["4"]
    assert "3" not in now
    tags = drawn(office.open(), "tag")
    assert {f"CJ-{mark}" for mark in now} <= set(tags)
    assert set(joints_in(office.open())) == set(now)
    office.erase("1A")
    now = stations(office.annotate())
    office.copy(next(iter(now)), 40.0)
    again = stations(office.annotate())
    assert len(again) > len(now) - 1
    assert not {"1A", "3"} & set(again), "they were given before, and are not used again"


@pytest.mark.parametrize(("renumber", "kept_"), [("always", False), ("never", True)])
def test_the_settings_decide(renumber: str, kept_: bool, tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), f'renumber = "{renumber}"\n')
    at = stations(office.annotate(issue="Bid set" if renumber == "always" else ""))
    office.copy("1", 40.0)
    now = stations(office.annotate())
    assert ("1A" in now) is kept_
    assert (list(now) == [str(n) for n in range(1, len(now) + 1)]) is not kept_
    assert at["1"] + 40 in now.values()


def test_a_joint_that_a_change_moves_keeps_its_number_and_is_named(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall())
    at = stations(office.annotate(issue="Bid set"))
    doc = office.open()
    add_window(doc, ("B", at["3"] - 12, 48.0, at["3"] + 12, 96.0))
    office.save(doc)
    results = office.annotate()
    now = stations(results)
    moved = {label for label in at if label in now and now[label] != at[label]}
    assert moved
    assert {d[1] for d in said(results) if d[0] == "shifted"} == moved


def test_an_office_says_how_near_is_the_same_joint(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), 'same_joint_within = "16 in"\n')
    at = stations(office.annotate())
    office.erase("3")
    results = office.annotate()
    near = [abs(x - at["3"]) for x in stations(results).values()]
    assert 16 <= min(near) < 48, "nearer than the usual 4 ft, not nearer than the office says"
    assert "within 1'-4\"" in results.decisions[0].words


def test_issues_are_on_record(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(), "[text]\nrecord_note = false\n")
    office.annotate(issue="Bid set")
    texts = [text.text for text in office.open().modelspace().query("MTEXT")]
    assert not any("RECORD OF JOINTS" in text for text in texts), "the note has a switch"
    office.annotate()
    results = office.annotate(issue="Addendum 1")
    assert [issue.name for issue in results.issues] == ["Bid set", "Addendum 1"]
