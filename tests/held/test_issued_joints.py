"""Once a drawing was issued, joints that nobody touched stay, unless their wall or its limits changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from held.revising import Office, a_wall, add_window, said, stations

STORE = (("A", 256.0, 48.0, 320.0, 104.0), ("B", 640.0, 48.0, 704.0, 104.0))
AT = {"1": 144.0, "2": 368.0, "3": 592.0, "4": 816.0}


@pytest.fixture
def issued(tmp_path: Path) -> Office:
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE))
    assert stations(office.annotate(issue="Bid set")) == AT
    return office


def codes(results: object) -> list[str]:
    return [code for code, *_ in said(results)]  # type: ignore[arg-type]


def assert_settled(office: Office) -> None:
    drawn = office.path.read_bytes()
    office.annotate()
    assert office.path.read_bytes() == drawn, "a second run changes nothing"


def test_a_copy_moves_no_other_joint(issued: Office, tmp_path: Path) -> None:
    issued.copy("2", 80.0)
    results = issued.annotate()
    assert stations(results) == AT | {"2A": 448.0}
    assert codes(results) == ["copied", "issued"]
    assert_settled(issued)
    (tmp_path / "other").mkdir()
    office = Office(tmp_path / "other", a_wall(960.0, 192.0, STORE))
    office.annotate()
    office.copy("2", 80.0)
    others = set(stations(office.annotate()).values())
    assert not set(AT.values()) <= others, "before an issue the best layout around the copy is taken"


def test_a_deletion_moves_no_other_joint(issued: Office) -> None:
    issued.erase("3")
    now = stations(issued.annotate())
    assert {label: now[label] for label in "124"} == {label: AT[label] for label in "124"}
    assert AT["3"] not in now.values()
    assert_settled(issued)


def test_a_new_window_moves_the_joint_that_it_is_on_alone(issued: Office) -> None:
    doc = issued.open()
    add_window(doc, ("C", 800.0, 48.0, 840.0, 104.0))
    issued.save(doc)
    results = issued.annotate()
    now = stations(results)
    assert {label: now[label] for label in "123"} == {label: AT[label] for label in "123"}
    assert 816.0 not in now.values()
    assert not results.violated
    assert "shifted" in codes(results) or "number-gone" in codes(results)
    assert_settled(issued)


def test_a_stricter_limit_moves_what_it_must(issued: Office) -> None:
    issued.settings.write_text('[defaults]\nspacing_cap = "18\'"\n', encoding="utf-8")
    results = issued.annotate()
    assert not results.violated
    kept = [label for label, x in stations(results).items() if AT.get(label) == x]
    assert len(kept) >= 3, "panels of 18'-8\" are too long by a little: joints between them do"
    assert_settled(issued)


def test_a_joint_moved_by_hand_moves_no_other_and_what_is_new_is_named(issued: Office) -> None:
    issued.move("1", 40.0)
    results = issued.annotate()
    assert stations(results)["1"] == 184.0
    assert {label: stations(results)[label] for label in "234"} == {label: AT[label] for label in "234"}
    new = {label: x for label, x in stations(results).items() if label not in AT}
    assert new, "the corner asks for a joint nearer to it"
    assert [(d.number, d.to_in) for d in results.decisions if d.code == "added"] == list(new.items())


def test_a_joint_is_released_by_its_number(issued: Office) -> None:
    issued.copy("2", 80.0)
    issued.annotate()
    results = issued.annotate(release=["3"])
    now = stations(results)
    assert ("released", "3", 592.0, None) in said(results)
    assert now["3"] != 592.0
    assert [now[label] for label in ("1", "2", "2A", "4")] == [144.0, 368.0, 448.0, 816.0]
    assert_settled(issued)


def test_all_are_released(issued: Office) -> None:
    issued.copy("2", 80.0)
    issued.annotate()
    results = issued.annotate(release=["all"])
    assert set(stations(results).values()) == set(AT.values())
    assert "held" not in codes(results), "what is released is not said to be held"
