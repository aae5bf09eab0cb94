"""Numbers and issues survive what other programs do to a drawing when they save it."""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import ezdxf
import pytest

from held.revising import JOINTS, Office, a_wall, joints_in, said, stations
from programs import need


@pytest.fixture
def issued(tmp_path: Path) -> tuple[Office, dict[str, float]]:
    """A drawing that was issued, and has a joint 3A since."""
    office = Office(tmp_path, a_wall())
    office.annotate(issue="Bid set")
    office.copy("3", 40.0)
    return office, stations(office.annotate())


def test_ezdxf_saves_numbers_issues_and_decisions(issued: tuple[Office, dict[str, float]]) -> None:
    office, at = issued
    for release in ("R2018", "R2000"):
        doc = office.open()
        doc.dxfversion = release
        office.save(doc)
        results = office.annotate()
        assert stations(results) == at
        assert [issue.name for issue in results.issues] == ["Bid set"]
        assert {d.code for d in results.decisions} == {"held"}


def test_handles_may_all_be_new(issued: tuple[Office, dict[str, float]]) -> None:
    """Some programs give every entity a new handle."""
    office, at = issued
    doc = ezdxf.read(io.StringIO(office.path.read_text(encoding="utf-8")))
    for entity in list(doc.modelspace()):
        handle = f"{int(entity.dxf.handle, 16) + 0x1000:X}"
        doc.entitydb.discard(entity)
        entity.dxf.handle = handle
        doc.entitydb.add(entity)
    office.save(doc)
    results = office.annotate()
    assert stations(results) == at
    assert {d.code for d in results.decisions} == {"held"}


def without_xdata(office: Office) -> None:
    doc = office.open()
    for entity in doc.entitydb.values():
        entity.discard_xdata("PERPEND")
    office.save(doc)


def through_gdal(office: Office) -> None:
    out = office.next()
    run = [need("ogr2ogr", "gdal-bin"), "-f", "DXF", str(out), str(office.path)]
    subprocess.run(run, check=True, capture_output=True)
    office.path = out


@pytest.mark.parametrize("lose", [without_xdata, through_gdal])
def test_without_xdata_the_tags_beside_the_joints_tell(
    lose: object, issued: tuple[Office, dict[str, float]]
) -> None:
    office, at = issued
    lose(office)  # type: ignore[operator]
    results = office.annotate()
    assert stations(results) == at, "every joint stands, under its number"
    assert said(results)[0][0] == "marks-lost"
    assert all(joint.state == "existing" for joint in results.walls[0].joints)
    doc = office.open()
    doc.modelspace().add_line((1250, 500), (1250, 692), dxfattribs={"layer": JOINTS})
    office.save(doc)
    now = stations(office.annotate())
    assert now["1A"] == 250.0
    assert {label: now[label] for label in at} == at


@pytest.mark.parametrize("lose", [without_xdata, through_gdal])
def test_without_xdata_issues_and_deleted_joints_are_read_from_the_sheet(
    lose: object, issued: tuple[Office, dict[str, float]]
) -> None:
    office, at = issued
    office.erase("2")
    now = stations(office.annotate(issue="Addendum 1"))
    assert at["2"] not in now.values()
    lose(office)  # type: ignore[operator]
    results = office.annotate()
    assert [issue.name for issue in results.issues] == ["Bid set", "Addendum 1"]
    assert ("no-joint", "", at["2"], None) in said(results)
    assert stations(results) == now, "the joint that was deleted is not placed again"
    drawn = office.path.read_bytes()
    again = office.annotate()
    assert office.path.read_bytes() == drawn
    assert [issue.name for issue in again.issues] == ["Bid set", "Addendum 1"]


def test_a_note_that_was_erased_as_well_is_named(issued: tuple[Office, dict[str, float]]) -> None:
    office, _ = issued
    without_xdata(office)
    doc = office.open()
    for text in doc.modelspace().query("MTEXT"):
        if "RECORD OF JOINTS" in text.text:
            doc.modelspace().delete_entity(text)
    office.save(doc)
    results = office.annotate()
    assert results.decisions[0].code == "marks-lost"
    assert "not known" in results.decisions[0].words


def test_without_the_record_moved_joints_are_known_by_their_own_xdata(
    issued: tuple[Office, dict[str, float]],
) -> None:
    office, at = issued
    doc = office.open()
    for record in (*doc.layers, *doc.appids):
        record.discard_xdata("PERPEND")
    joints_in(doc)["4"][0].translate(16, 0, 0)
    office.save(doc)
    held = [j.x_in for j in office.annotate().walls[0].joints if j.held]
    assert held == [at["3A"], at["4"] + 16]
