"""One drawing through the office: bid set, addendum, the engineer's marks, shop drawing, as built.

Each test is one chapter and says what the office does and what the run tells; the later ones begin where the
earlier ones ended.
"""

from __future__ import annotations

from pathlib import Path

import pytest

import perpend
from held.revising import AT, JOINTS, Office, a_wall, add_window, foot_of, joints_in, said, stations
from perpend.report import Results
from perpend.report.summary import summary

STORE = (("A", 256.0, 48.0, 320.0, 104.0), ("B", 640.0, 48.0, 704.0, 104.0))


def text_of(results: Results) -> str:
    """Return what a run prints, in one line."""
    return " ".join(" ".join(line.text for line in summary(results)).split())


@pytest.fixture
def office(tmp_path: Path) -> Office:
    """A wall 80 ft long with two windows."""
    return Office(tmp_path, a_wall(960.0, 192.0, STORE))


def bid_set(office: Office) -> Results:
    """The joints are placed and the drawing is issued for bid."""
    return office.annotate(issue="Bid set")


def addendum(office: Office) -> tuple[Results, float]:
    """The architect adds a window where a joint stands, and the drawing is issued again."""
    at = stations(perpend.annotate(office.path, office.next()).results)["3"]
    doc = office.open()
    add_window(doc, ("C", at - 16, 48.0, at + 16, 104.0))
    office.save(doc)
    return office.annotate(issue="Addendum 1"), at


def engineer(office: Office) -> Results:
    """The engineer moves the first joint 16 inches right and the last one 8 inches left, in the drawing."""
    doc = office.open()
    lines = sorted((line for (line,) in joints_in(doc).values()), key=foot_of)
    lines[0].translate(16, 0, 0)
    lines[-1].translate(-8, 0, 0)
    office.save(doc)
    return office.annotate()


def test_bid_set(office: Office) -> None:
    results = bid_set(office)
    assert list(stations(results)) == ["1", "2", "3", "4"]
    assert [issue.name for issue in results.issues] == ["Bid set"]
    assert results.decisions == []
    assert not results.violated
    assert "Joints 4 1 12'-0\"" in text_of(results)
    assert "CJ-" not in text_of(results).partition("Not tested")[0], (
        "nothing was decided yet, and nothing is named"
    )


def test_addendum_with_a_new_window(office: Office) -> None:
    before = stations(bid_set(office))
    results, at = addendum(office)
    now = stations(results)
    assert at not in now.values(), "no joint runs through the new window"
    assert not results.violated
    told = {(d.code, d.number) for d in results.decisions}
    changed = {label for label in before if now.get(label) != before[label]}
    assert changed
    assert {number for code, number in told if code in ("shifted", "number-gone")} == changed
    assert [issue.name for issue in results.issues] == ["Bid set", "Addendum 1"]
    for label in changed & set(now):
        assert f"CJ-{label} of W1 is at" in text_of(results)
    assert all(label.rstrip("ABC") in before for label in now), "what is new comes between the old numbers"


def test_the_engineer_moves_two_joints(office: Office) -> None:
    bid_set(office)
    before = stations(addendum(office)[0])
    results = engineer(office)
    first, *_, last = before
    assert ("moved", first, before[first], before[first] + 16) in said(results)
    assert ("moved", last, before[last], before[last] - 8) in said(results)
    now = stations(results)
    assert (now[first], now[last]) == (before[first] + 16, before[last] - 8)
    assert f"CJ-{first} of W1 was moved by hand" in text_of(results)
    assert "(2 held)" in text_of(results)


def test_the_shop_drawing(office: Office) -> None:
    """The mason's detailer erases a joint, adds a jamb joint of his own, and sends the drawing for review."""
    bid_set(office)
    addendum(office)
    reviewed = engineer(office)
    before = stations(reviewed)
    erased = next(joint.mark for joint in reviewed.walls[0].joints[1:] if not joint.held)
    doc = office.open()
    doc.modelspace().delete_entity(joints_in(doc)[erased][0])
    x = AT[0] + 640.0
    line = doc.modelspace().add_line((x, AT[1]), (x, AT[1] + 192), dxfattribs={"layer": JOINTS})
    handle = line.dxf.handle
    office.save(doc)
    checked = perpend.check(office.path, office.next()).results
    assert "640" in str([j.x_in for j in checked.walls[0].joints]), "the check judges what is drawn"
    results = office.annotate(issue="Shop drawing review")
    assert ("deleted", erased, before[erased], None) in said(results)
    assert erased not in stations(results)
    (theirs,) = [j for j in results.walls[0].joints if j.state == "existing"]
    assert (theirs.handle, theirs.x_in) == (handle, 640.0)
    assert theirs.mark not in before, "it has a number of its own"
    held = [j.mark for j in results.walls[0].joints if j.held]
    assert len(held) == 2, "what the engineer decided stays"
    assert f"CJ-{erased} of W1 at" in text_of(results)
    assert "was deleted by hand" in text_of(results)
    assert all(f"CJ-{label} of W1 is held at" in text_of(results) for label in held)


def test_as_built(office: Office) -> None:
    """On site a joint went in a foot off; a waiver accepts it, and the record set repeats to the byte."""
    bid_set(office)
    addendum(office)
    before = stations(engineer(office))
    label = list(before)[1]
    office.move(label, 12.0)
    results = office.annotate(issue="As built")
    assert ("moved", label, before[label], before[label] + 12) in said(results)
    assert stations(results)[label] == before[label] + 12
    assert f"CJ-{label} of W1 was moved by hand" in text_of(results)
    assert [i.name for i in results.issues] == ["Bid set", "Addendum 1", "As built"]
    drawn = office.path.read_bytes()
    again = office.annotate()
    assert office.path.read_bytes() == drawn
    assert {d.code for d in again.decisions} <= {"held", "no-joint", "issued"}, "what stays, and why"
    original = (office.folder / "south-0.dxf").read_bytes()
    cleaned = perpend.clean(office.path, office.next())
    assert cleaned.exact
    assert len(cleaned.output.read_bytes()) > len(original), "the window of the addendum is in it"
