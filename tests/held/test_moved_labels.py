"""Tags, callouts and dimension lines that a person moved stay there as long as they fit."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic

from held.revising import AT, TAGS, Office, a_wall, joints_in
from perpend.dxf.xdata import own_kind, own_number
from perpend.report import Results

STORE = (("A", 256.0, 48.0, 320.0, 104.0), ("B", 640.0, 48.0, 704.0, 104.0))


@pytest.fixture
def office(tmp_path: Path) -> Office:
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE))
    office.annotate(issue="Bid set")
    return office


def labels(doc: Drawing, kind: str, what: str) -> list[DXFGraphic]:
    """Return our labels of a kind that show something, or say something."""
    found = [e for e in doc.modelspace() if own_kind(e) == kind]
    return [e for e in found if own_number(e).startswith(what) or str(e.dxf.get("text", "")).startswith(what)]


def place(entity: DXFGraphic) -> tuple[float, float]:
    """Return where a label is: the middle of a tag's baseline, the end of a dimension line."""
    point = entity.dxf.defpoint if entity.dxftype() == "DIMENSION" else entity.dxf.get("align_point")
    point = point or entity.dxf.insert
    return round(point[0], 3), round(point[1], 3)


def shifted(office: Office, kind: str, what: str, dx: float, dy: float) -> list[tuple[float, float]]:
    """Move labels by hand; return where they are then."""
    doc = office.open()
    moved = labels(doc, kind, what)
    for entity in moved:
        entity.translate(dx, dy, 0)
    office.save(doc)
    return [place(entity) for entity in moved]


def now(office: Office, kind: str, what: str) -> list[tuple[float, float]]:
    return [place(entity) for entity in labels(office.open(), kind, what)]


def of_labels(results: Results) -> list[str]:
    return [d.code for d in results.decisions if d.code.startswith("label")]


def assert_stays(office: Office, kind: str, what: str, at: list[tuple[float, float]]) -> None:
    """Two more runs leave it there, and the second changes nothing at all."""
    assert of_labels(office.annotate()) == ["label-moved"]
    assert now(office, kind, what) == at
    drawn = office.path.read_bytes()
    assert of_labels(office.annotate()) == []
    assert office.path.read_bytes() == drawn


@pytest.mark.parametrize("by", [(40.0, 10.0), (-48.0, 0.0), (30.0, -14.0)])
def test_a_tag_stays_where_it_was_put(office: Office, by: tuple[float, float]) -> None:
    at = shifted(office, "tag", "W1-2", *by)
    assert_stays(office, "tag", "W1-2", at)


def test_a_callout_stays_where_it_was_put(office: Office) -> None:
    at = shifted(office, "callout", "HORIZ. REINF. BELOW", -30.0, 30.0)
    assert_stays(office, "callout", "HORIZ. REINF. BELOW", at)


def test_a_string_of_dimensions_stays_where_it_was_put(office: Office) -> None:
    at = shifted(office, "dimension", "W1 panel", 0.0, -40.0)
    assert len(at) == 5
    assert_stays(office, "dimension", "W1 panel", at)
    office.copy("2", 100.0)
    office.annotate()
    heights = {y for _, y in now(office, "dimension", "W1 panel")}
    assert heights == {at[0][1]}, "a new panel is dimensioned in the same string"


def test_one_dimension_stays_where_it_was_put(office: Office) -> None:
    others = now(office, "dimension", "W1 panel 3")
    at = shifted(office, "dimension", "W1 panel 2", 0.0, -24.0)
    assert_stays(office, "dimension", "W1 panel 2", at)
    assert now(office, "dimension", "W1 panel 3") == others


@pytest.mark.parametrize("by", [(400.0, 10.0), (-224.0, 0.0)])
def test_a_tag_that_is_not_its_joints_any_more_goes_back(office: Office, by: tuple[float, float]) -> None:
    """Put too far off, or onto the tag of another joint."""
    usual = now(office, "tag", "W1-3")
    shifted(office, "tag", "W1-3", *by)
    assert of_labels(office.annotate()) == ["label-back"]
    assert now(office, "tag", "W1-3") == usual
    assert of_labels(office.annotate()) == []


def test_a_tag_goes_back_when_something_is_drawn_there_later(office: Office) -> None:
    usual = now(office, "tag", "W1-2")
    ((x, y),) = shifted(office, "tag", "W1-2", 40.0, 10.0)
    office.annotate()
    doc = office.open()
    doc.modelspace().add_text("DS", height=9, dxfattribs={"layer": TAGS, "insert": (x, y)})
    office.save(doc)
    assert of_labels(office.annotate()) == ["label-back"]
    assert now(office, "tag", "W1-2") == usual


def test_what_moves_with_its_joint_or_with_the_drawing_was_not_moved(office: Office) -> None:
    doc = office.open()
    joints_in(doc)["2"][0].translate(16, 0, 0)
    for tag in labels(doc, "tag", "W1-2"):
        tag.translate(16, 0, 0)
    office.save(doc)
    assert of_labels(office.annotate()) == []
    doc = office.open()
    for entity in doc.modelspace():
        entity.translate(5000, -300, 0)
    office.save(doc)
    assert of_labels(office.annotate()) == []


def test_a_tag_stays_with_its_joint_when_joints_are_renumbered(tmp_path: Path) -> None:
    """Nothing was issued: a copy left of it makes CJ-2 CJ-3, and the place goes with the joint."""
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE))
    office.annotate()
    office.move("2", 8.0)
    office.annotate()
    at = shifted(office, "tag", "W1-2", 40.0, 10.0)
    office.copy("1", -80.0)
    assert of_labels(office.annotate()) == ["label-moved"]
    assert now(office, "tag", "W1-3") == at


def test_labels_go_back_when_all_is_released(office: Office) -> None:
    usual = now(office, "tag", "W1-2")
    shifted(office, "tag", "W1-2", 40.0, 10.0)
    office.annotate()
    office.annotate(release=["all"])
    assert now(office, "tag", "W1-2") == usual
    assert AT[0] < usual[0][0]
