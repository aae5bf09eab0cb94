"""Numbers and issues survive what other programs do to a drawing when they save it."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import DXFGraphic, LWPolyline, Polyline

import perpend
from held.revising import AT, JOINTS, Office, a_wall, add_window, foot_of, joints_in, said, stations
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
        assert {d.code for d in results.decisions} == {"held", "issued"}


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
    assert {d.code for d in results.decisions} == {"held", "issued"}


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
    assert all(joint.state == "new" for joint in results.walls[0].joints), "they are ours again"
    assert [joint.mark for joint in results.walls[0].joints if joint.held] == ["3A"]
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
    schedule = office.folder / "schedule.csv"
    drawn = office.path.read_bytes()
    again = office.annotate(schedule=schedule)
    assert office.path.read_bytes() == drawn
    assert "architect" not in schedule.read_text(encoding="utf-8"), "the joints were ours"
    assert [issue.name for issue in again.issues] == ["Bid set", "Addendum 1"]


def ours_by_layer(office: Office) -> dict[str, int]:
    """How much is on each of our layers but that of the joints; numbered ones count to the first."""
    layers = (re.sub(r"-\d+$", "", e.dxf.layer) for e in office.open().modelspace())
    return dict(Counter(name for name in layers if name.startswith(f"{JOINTS}-")))


def test_without_xdata_what_is_as_it_was_drawn_is_taken_out(issued: tuple[Office, dict[str, float]]) -> None:
    office, _ = issued
    before = ours_by_layer(office)
    without_xdata(office)
    (lost, *_) = office.annotate().decisions
    assert "Erase" not in lost.words
    assert ours_by_layer(office) == before, "nothing is on the sheet twice"


def line_at(doc: Drawing, x: float) -> DXFGraphic:
    """Return the joint line whose foot is at a station, with XDATA or without."""
    lines = doc.modelspace().query(f'LWPOLYLINE[layer=="{JOINTS}"]')
    return next(line for line in lines if abs(foot_of(line) - x) < 1)


def test_without_xdata_moved_and_deleted_joints_are_known(issued: tuple[Office, dict[str, float]]) -> None:
    """In the program that lost the marks the engineer moves a joint and deletes one."""
    office, at = issued
    without_xdata(office)
    doc = office.open()
    line_at(doc, at["4"]).translate(-16, 0, 0)
    doc.modelspace().delete_entity(line_at(doc, at["2"]))
    office.save(doc)
    results = office.annotate()
    assert {("moved", "4", at["4"], at["4"] - 16), ("deleted", "2", at["2"], None)} <= set(said(results))
    now = stations(results)
    assert at["2"] not in now.values()
    assert (now["1"], now["3A"], now["4"]) == (at["1"], at["3A"], at["4"] - 16)
    drawn = office.path.read_bytes()
    office.annotate()
    assert office.path.read_bytes() == drawn


def test_without_xdata_a_new_window_moves_the_joint_that_it_is_on(
    issued: tuple[Office, dict[str, float]],
) -> None:
    office, at = issued
    without_xdata(office)
    doc = office.open()
    add_window(doc, ("N", at["4"] - 16, 48.0, at["4"] + 16, 96.0))
    office.save(doc)
    results = office.annotate()
    assert not results.violated
    assert at["4"] not in stations(results).values()


def test_without_xdata_joints_go_over_to_a_new_base(issued: tuple[Office, dict[str, float]]) -> None:
    office, at = issued
    without_xdata(office)
    base = office.next()
    a_wall(at=(0.0, 0.0)).saveas(base)
    results = perpend.annotate(base, office.next(), decisions_from=office.path).results
    assert stations(results) == at
    assert [issue.name for issue in results.issues] == ["Bid set"]


def test_without_xdata_what_somebody_added_on_our_layers_stays(
    issued: tuple[Office, dict[str, float]],
) -> None:
    office, _ = issued
    before = ours_by_layer(office)
    without_xdata(office)
    doc = office.open()
    layer = {"layer": f"{JOINTS}-NOTE", "insert": (1300, 900)}
    handle = doc.modelspace().add_text("SEE A-501", height=9, dxfattribs=layer).dxf.handle
    office.save(doc)
    (lost, *_) = office.annotate().decisions
    assert f"({JOINTS}-NOTE)" in lost.words, "only where there is more than we drew is anything left to erase"
    assert office.open().entitydb[handle].dxf.text == "SEE A-501"
    now = ours_by_layer(office)
    assert {key: n for key, n in now.items() if "NOTE" not in key} == {
        key: n for key, n in before.items() if "NOTE" not in key
    }


@pytest.mark.parametrize("lose", [without_xdata, through_gdal])
def test_a_joint_that_is_erased_after_its_marks_were_lost_stays_away(
    lose: object, issued: tuple[Office, dict[str, float]]
) -> None:
    office, at = issued
    lose(office)  # type: ignore[operator]
    office.annotate()
    doc = office.open()
    x = AT[0] + at["2"]
    for line in list(doc.modelspace().query("LINE LWPOLYLINE POLYLINE")):
        if line.dxf.layer in (JOINTS, f"{JOINTS}-2") and all(abs(p[0] - x) < 1 for p in ends_of(line)):
            doc.modelspace().delete_entity(line)
    office.save(doc)
    results = office.annotate()
    assert ("deleted", "2", at["2"], None) in said(results)
    assert at["2"] not in stations(results).values()


def ends_of(line: DXFGraphic) -> list[tuple[float, ...]]:
    if isinstance(line, LWPolyline):
        return [tuple(p) for p in line.get_points("xy")]
    if isinstance(line, Polyline):
        return [tuple(p) for p in line.points()]
    return [tuple(line.dxf.start), tuple(line.dxf.end)]


def test_a_drawing_that_librecad_saved(tmp_path: Path) -> None:
    """LibreCAD 2.2.0 drops extended data and draws blocks and dimensions anew.

    The file was issued twice; CJ-1 was moved from 12'-0" and CJ-5 from 88'-0" before LibreCAD saved it.
    """
    path = tmp_path / "south.dxf"
    shutil.copy(Path(__file__).with_name("saved_by_librecad.dxf"), path)
    results = perpend.annotate(path, tmp_path / "annotated.dxf").results
    assert stations(results) == {
        "0A": 80.0,
        "1": 160.0,
        "2": 400.0,
        "3": 624.0,
        "4": 912.0,
        "5": 1048.0,
        "6": 1120.0,
    }
    assert [issue.name for issue in results.issues] == ["Bid set", "Addendum 1"]
    assert [(d.code, d.from_in) for d in results.decisions] == [
        ("marks-lost", None),
        ("no-joint", 144.0),
        ("no-joint", 1056.0),
    ]
    for layer in ("DIMS", "LINT", "NOTE", "SCHD", "STEL"):
        assert f"A-ELEV-JNTC-{layer}" in results.decisions[0].words, "what is to be erased is named"
    again = perpend.annotate(tmp_path / "annotated.dxf", tmp_path / "again.dxf").output
    assert again.read_bytes() == (tmp_path / "annotated.dxf").read_bytes()


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
