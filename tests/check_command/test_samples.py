"""What ``annotate`` draws comes back clean from ``check``, and the marks come and go to the byte."""

from __future__ import annotations

import shutil
from pathlib import Path

import ezdxf
import pyogrio
import pytest
import shapely
from ezdxf.entities import DXFEntity
from ezdxf.lldxf.tagwriter import TagCollector

from check_command.bench import MARKS, SETTINGS, check
from cli.harness import perpend
from drawing.seen import entities
from outside.annotated import NAMES, annotated
from perpend.checks.registry import CODES


def of_run(entity: DXFEntity, application: str) -> bool:
    return entity.xdata is not None and application in entity.xdata


@pytest.mark.parametrize("name", NAMES)
def test_an_annotated_sample_is_clean(name: str, tmp_path: Path) -> None:
    drawn = annotated(name)
    copy = Path(shutil.copy(drawn.output, tmp_path / name))
    checked = check(copy, settings=SETTINGS)
    assert checked.ending.code == 0
    assert checked.required == []
    assert checked.results.command == "check"
    for wall, placed in zip(checked.results.walls, drawn.results.walls, strict=True):
        read = [j.path for j in wall.joints if j.x_in > 0]  # at 0 stands the joint of the wall to the left
        assert read == [j.path for j in placed.joints]
        assert {j.state for j in wall.joints} <= {"existing"}
        assert [p.length_in for p in wall.panels] == [p.length_in for p in placed.panels]
        assert [p.limit_in for p in wall.panels] == [p.limit_in for p in placed.panels]
    assert copy.read_bytes() == drawn.output.read_bytes()


@pytest.mark.parametrize("name", NAMES)
def test_every_rule_is_counted_or_says_why_not(name: str, tmp_path: Path) -> None:
    copy = Path(shutil.copy(annotated(name).output, tmp_path / name))
    checks = check(copy, settings=SETTINGS).results.checks
    tags = {run.wall for run in checks.rules}
    expected = {(tag, code) for tag in tags for code in CODES if not code.startswith("waiver-")}
    assert {(run.wall, run.rule) for run in checks.rules} == expected
    assert checks.ran == sum(run.tested for run in checks.rules) > 0
    marked_nothing = {run.rule for run in checks.rules if "marks no" in run.untested}
    assert "no-joint-at-pilaster" in marked_nothing


def test_marks_are_all_that_is_added_and_a_second_check_changes_nothing(tmp_path: Path) -> None:
    drawn = annotated("shopfront-south.dxf")
    first = check(Path(shutil.copy(drawn.output, tmp_path / "a.dxf")), settings=SETTINGS)
    before = {e.dxf.handle: e for e in drawn.after.modelspace()}
    after = list(ezdxf.readfile(first.output).modelspace())
    added = [e for e in after if e.dxf.handle not in before]
    assert added
    assert all(of_run(e, MARKS) and not of_run(e, "PERPEND") for e in added)
    assert {e.dxf.layer for e in added} == {"A-ELEV-JNTC-VIOL"}
    for entity in after:
        if entity.dxf.handle in before:
            twin = before[entity.dxf.handle]
            assert list(TagCollector.dxftags(entity)) == list(TagCollector.dxftags(twin))
    written = first.results.written
    assert written is not None
    assert (written.method, written.entities) == ("inserted", len(added))
    second = check(first.output, settings=SETTINGS)
    assert second.output.read_bytes() == first.output.read_bytes()
    assert second.results.walls == first.results.walls


def test_annotating_and_cleaning_take_the_marks_out_too(tmp_path: Path) -> None:
    drawn = annotated("warehouse-north.dxf")
    checked = check(Path(shutil.copy(drawn.output, tmp_path / "a.dxf")), settings=SETTINGS)
    assert checked.output.read_bytes() != drawn.output.read_bytes()
    again, clean = tmp_path / "again.dxf", tmp_path / "clean.dxf"
    assert perpend("annotate", checked.output, "-o", again, "--settings", SETTINGS).code == 0
    assert again.read_bytes() == drawn.output.read_bytes()
    assert perpend("annotate", checked.output, "--clean", "-o", clean).code == 0
    assert clean.read_bytes() == drawn.source.read_bytes()


def test_gdal_sees_every_mark(tmp_path: Path) -> None:
    drawn = annotated("shopfront-south.dxf")
    checked = check(Path(shutil.copy(drawn.output, tmp_path / "a.dxf")), settings=SETTINGS)
    _, _, shapes, (texts_seen,) = pyogrio.raw.read(
        checked.output, columns=["Text"], where="Layer = 'A-ELEV-JNTC-VIOL'"
    )
    doc = ezdxf.readfile(checked.output)
    assert sum(of_run(e, MARKS) for e in entities(doc)) > 10
    marks = [e for e in entities(doc) if e.dxf.layer == "A-ELEV-JNTC-VIOL"]
    single = [e.dxf.text for e in marks if e.dxftype() == "TEXT"]
    paragraphs = [" ".join(e.plain_text().split()) for e in marks if e.dxftype() == "MTEXT"]
    assert sorted(" ".join(text.split()) for text in texts_seen if text) == sorted(single + paragraphs)
    assert "A1" in single
    drawn_there = shapely.union_all(shapely.from_wkb(shapes))
    for mark in marks:
        if mark.dxftype() == "LWPOLYLINE":
            assert shapely.LineString([p[:2] for p in mark.get_points()]).within(drawn_there.buffer(1e-6))
