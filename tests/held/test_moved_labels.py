"""Whatever of ours a person moved stays there as long as it fits, or is named."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic, LWPolyline
from ezdxf.entities.insert import Insert

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
    return [e for e in found if own_number(e).startswith(what) or words(e).startswith(what)]


def words(entity: DXFGraphic) -> str:
    """Return what a text says, or the first text of a block."""
    block = entity.block() if isinstance(entity, Insert) else None
    text = entity if block is None else block.query("TEXT")[0]
    return str(text.dxf.text) if text.dxftype() == "TEXT" else ""


def place(entity: DXFGraphic) -> tuple[float, float]:
    """Return where a label is: the middle of a tag's baseline, the end of a dimension line."""
    if isinstance(entity, Insert) and own_kind(entity) == "callout":  # where its first text is seen
        return place(next(part for part in entity.virtual_entities() if part.dxftype() == "TEXT"))
    dxf = entity.dxf
    point = dxf.defpoint if entity.dxftype() == "DIMENSION" else dxf.insert
    if entity.dxftype() == "TEXT" and dxf.halign:
        point = dxf.align_point
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


@pytest.mark.parametrize("kind", ["joint-schedule", "schedule", "note", "record-note"])
def test_a_list_stays_where_it_was_put(office: Office, kind: str) -> None:
    others = [now(office, other, "") for other in ("tag", "dimension", "callout")]
    at = shifted(office, kind, "", 1900.0, 700.0)
    assert_stays(office, kind, "", at)
    assert [now(office, other, "") for other in ("tag", "dimension", "callout")] == others


def test_a_list_on_a_text_goes_back(office: Office) -> None:
    usual = now(office, "schedule", "")
    ((x, y),) = shifted(office, "schedule", "", 1900.0, 700.0)
    office.annotate()
    doc = office.open()
    doc.modelspace().add_text("SEE A-501", height=9, dxfattribs={"layer": TAGS, "insert": (x + 9, y - 30)})
    office.save(doc)
    assert of_labels(office.annotate()) == ["label-back"]
    assert now(office, "schedule", "") == usual


@pytest.mark.parametrize(
    ("kind", "what"), [("bar", ""), ("lintel", "B"), ("leader", "W1-2"), ("slip-plane", "")]
)
def test_what_has_one_place_is_named_and_goes_back(tmp_path: Path, kind: str, what: str) -> None:
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE), "[defaults]\nopenings = 'unreinforced'\n")
    office.annotate()
    doc = office.open()
    usual = sorted(points(e) for e in doc.modelspace() if own_kind(e) == kind)
    labels(doc, kind, what)[0].translate(3.0, 5.0, 0)
    office.save(doc)
    assert of_labels(office.annotate()) == ["label-back"]
    assert sorted(points(e) for e in office.open().modelspace() if own_kind(e) == kind) == usual
    assert of_labels(office.annotate()) == []


def points(entity: DXFGraphic) -> list[tuple[float, ...]]:
    if isinstance(entity, LWPolyline):
        return [tuple(p) for p in entity.get_points("xy")]
    return [tuple(entity.dxf.start), tuple(entity.dxf.end)]


def test_the_bubble_of_a_detail_stays_where_it_was_put(tmp_path: Path) -> None:
    office = Office(tmp_path, a_wall(960.0, 192.0, STORE), "[details]\njoint = '5/A-501'\n")
    office.annotate()
    at = shifted(office, "detail", "5/A-501", 20.0, 60.0)
    assert len(at) == 1
    assert_stays(office, "detail", "5/A-501", at)
    shifted(office, "detail", "5/A-501", 900.0, 0.0)
    assert of_labels(office.annotate()) == ["label-back"], "too far from every joint that it shows"


@pytest.mark.parametrize(("written", "seen"), [("VERIFY", "VERIFY"), ("<> MAX.", "18'-8\" MAX.")])
def test_what_a_person_wrote_for_a_length_stays_as_long_as_it(
    office: Office, written: str, seen: str
) -> None:
    doc = office.open()
    (dimension,) = labels(doc, "dimension", "W1 panel 2")
    dimension.dxf.text = written
    office.save(doc)
    assert of_labels(office.annotate()) == ["label-written"]
    drawn = office.path.read_bytes()
    assert of_labels(office.annotate()) == []
    assert office.path.read_bytes() == drawn
    (dimension,) = labels(office.open(), "dimension", "W1 panel 2")
    assert dimension.dxf.text == written
    assert [t.dxf.text for t in dimension.virtual_entities() if t.dxftype() == "TEXT"] == [seen]  # type: ignore[attr-defined]
    office.move("2", 16.0)
    assert "label-unwritten" in of_labels(office.annotate())
    assert {d.dxf.text for d in labels(office.open(), "dimension", "")} == {""}, "what is measured is shown"


def test_the_text_of_a_dimension_stays_where_it_was_put(office: Office) -> None:
    doc = office.open()
    (dimension,) = labels(doc, "dimension", "W1 panel 2")
    x, y, _ = dimension.dxf.text_midpoint
    dimension.dxf.text_midpoint = (x + 30.0, y - 40.0)
    office.save(doc)
    assert of_labels(office.annotate()) == ["label-moved"]
    drawn = office.path.read_bytes()
    assert of_labels(office.annotate()) == []
    assert office.path.read_bytes() == drawn
    (dimension,) = labels(office.open(), "dimension", "W1 panel 2")
    assert tuple(dimension.dxf.text_midpoint)[:2] == pytest.approx((x + 30.0, y - 40.0), abs=1 / 64)


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


def test_a_callout_whose_words_a_person_changed_in_its_block_is_kept(office: Office) -> None:
    doc = office.open()
    (callout,) = labels(doc, "callout", "HORIZ. REINF. BELOW")
    assert isinstance(callout, Insert)
    block = callout.block()
    assert block is not None
    block.query("TEXT")[0].dxf.text = "BOND BEAM BELOW SILL,"
    name = callout.dxf.name
    office.save(doc)
    office.annotate()
    kept = [e for e in office.open().modelspace().query("INSERT") if e.dxf.name == name]
    assert [words(e) for e in kept] == ["BOND BEAM BELOW SILL,"]
    assert not own_kind(kept[0]), "it is the drafter's now"
