"""A wall that is drawn on a layout of paper space: its joints, lists and picture are there too."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

import perpend
from perpend.dxf.xdata import APPLICATION
from zoo import odd

Drawn = tuple[Path, str]


@pytest.fixture(params=["Layout1", "Sheet 2"])
def drawn(request: pytest.FixtureRequest, tmp_path: Path) -> Drawn:
    """An elevation on the only layout that is drawn on: the first of the file, or another."""
    name = str(request.param)
    pen, _ = odd.in_a_layout() if name == "Layout1" else odd.in_a_layout(name)
    pen.doc.saveas(path := tmp_path / "elevation.dxf")
    return path, name


def test_everything_of_ours_is_on_it(drawn: Drawn, tmp_path: Path) -> None:
    path, name = drawn
    done = perpend.annotate(path, tmp_path / "plate.dxf", picture=tmp_path / "plate.svg", details=True)
    assert [wall.tag for wall in done.results.walls] == ["W1"]
    doc = ezdxf.readfile(tmp_path / "plate.dxf")
    ours = {layout.name: [e for e in layout if e.has_xdata(APPLICATION)] for layout in doc.layouts}
    assert {layout for layout, entities in ours.items() if entities} == {name}
    joints = [e for e in ours[name] if "kind=joint" in [tag.value for tag in e.get_xdata(APPLICATION)]]
    stations = sorted(round(e.get_points()[0][0]) for e in joints if e.dxftype() == "LWPOLYLINE")
    stations += sorted(round(e.dxf.start.x) for e in joints if e.dxftype() == "LINE")
    assert stations == [round(joint.x_in) for joint in done.results.walls[0].joints]
    assert (tmp_path / "plate.svg").stat().st_size > 10_000


def test_a_second_run_changes_nothing_and_cleaning_takes_all_out(drawn: Drawn, tmp_path: Path) -> None:
    path, _ = drawn
    perpend.annotate(path, tmp_path / "plate.dxf")
    perpend.annotate(tmp_path / "plate.dxf", tmp_path / "again.dxf")
    assert (tmp_path / "again.dxf").read_bytes() == (tmp_path / "plate.dxf").read_bytes()
    perpend.clean(tmp_path / "plate.dxf", tmp_path / "clean.dxf")
    assert (tmp_path / "clean.dxf").read_bytes() == path.read_bytes()


def test_a_check_marks_its_findings_there(drawn: Drawn, tmp_path: Path) -> None:
    path, name = drawn
    done = perpend.check(path, tmp_path / "checked.dxf")
    assert done.results.violated
    doc = ezdxf.readfile(tmp_path / "checked.dxf")
    marked = {layout.name for layout in doc.layouts for e in layout if e.has_xdata("PERPEND-CHECK")}
    assert marked == {name}


def test_two_layouts_that_are_drawn_on_are_a_question(tmp_path: Path) -> None:
    pen, _ = odd.in_a_layout()
    pen.doc.new_layout("Sheet 2").add_line((0, 0), (10, 0))
    pen.doc.saveas(tmp_path / "two.dxf")
    with pytest.raises(perpend.InputError, match="--layout"):
        perpend.annotate(tmp_path / "two.dxf")
