"""From a DXF file to findings: what a drafter does to a drawing, and what stays the same.

The drawings are written with ezdxf, entity by entity; the sample drawings are annotated by the program
itself and judged as anybody's drawing is.
"""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest
from ezdxf.document import Drawing

from perpend import annotate
from perpend.checks import check_wall, joints_from_drawn, whole_joints
from perpend.findings import Finding, Severity
from perpend.jobs.settings_to_options import reading_options
from perpend.layout.nearest_layout import nearest_layout
from perpend.reading import read_drawing
from perpend.rulebook import load_rulebook
from perpend.settings import load_settings, resolve_wall

SAMPLES = Path(__file__).parents[2] / "sample_drawings"
JOINT_LAYER = "A-ELEV-JNTC"


def elevation(at: tuple[float, float] = (0.0, 0.0)) -> Drawing:
    """Draw a wall of 50'-0" with a door and a window, the joints by somebody else."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 1
    space = doc.modelspace()
    x0, y0 = at

    def box(layer: str, x: float, y: float, width: float, height: float) -> None:
        corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
        points = [(x0 + u, y0 + v) for u, v in corners]
        space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})

    def line(*points: tuple[float, float]) -> None:
        moved = [(x0 + u, y0 + v) for u, v in points]
        space.add_lwpolyline(moved, dxfattribs={"layer": JOINT_LAYER})

    box("A-ELEV-WALL", 0, 0, 600, 200)
    space.add_text("W1", height=9, dxfattribs={"layer": "A-ELEV-TEXT"}).set_placement((x0 + 20, y0 + 180))
    box("A-ELEV-OPNG-UNRE", 104, 0, 40, 88)
    box("A-ELEV-OPNG-REIN", 400, 40, 64, 48)
    line((104, 0), (104, 88), (100, 88), (100, 200))
    line((480, 0), (480, 200))
    line((590, 0), (590, 160))
    return doc


def judged(path: Path) -> list[Finding]:
    settings = load_settings(None, path)
    book = load_rulebook(settings.rulebook)
    read = read_drawing(path, reading_options(settings, None, None)).elevation
    found: list[Finding] = []
    for wall in read.walls:
        basis = resolve_wall(settings, book, wall, metric=read.metric)
        found += check_wall(basis, joints_from_drawn(basis)).findings
    return found


def saved(doc: Drawing, path: Path) -> Path:
    doc.saveas(path)
    return path


def test_the_faults_of_a_drawing_are_found_where_they_are(tmp_path: Path) -> None:
    found = judged(saved(elevation(), tmp_path / "a.dxf"))
    required = sorted((f.code, f.measured_in, f.limit_in) for f in found if f.severity is Severity.REQUIRED)
    assert required == [
        ("joint-in-keep-out", 16.0, 24.0),
        ("joint-stops-short", 40.0, 0.0),
        ("panel-too-long", 380.0, 300.0),
        ("slip-plane-too-short", 4.0, 8.0),
    ]
    assert {f.code for f in found if f.severity is Severity.ADVISORY} == {
        "joint-off-module",
        "joint-type-missing",
    }


@pytest.mark.parametrize("at", [(1234.0, -567.0), (1234.5678901, 98765.4321), (-1e6 / 3, 1e5 / 7)])
def test_fingerprints_survive_a_shift_of_the_drawing_and_a_second_run(
    tmp_path: Path, at: tuple[float, float]
) -> None:
    first = [f.fingerprint for f in judged(saved(elevation(), tmp_path / "a.dxf"))]
    assert first == [f.fingerprint for f in judged(tmp_path / "a.dxf")]
    assert first == [f.fingerprint for f in judged(saved(elevation(at), tmp_path / "b.dxf"))]
    assert len(set(first)) == len(first) == 6


def test_a_fault_that_moves_has_another_fingerprint(tmp_path: Path) -> None:
    first = {
        f.fingerprint for f in judged(saved(elevation(), tmp_path / "a.dxf")) if f.code == "joint-in-keep-out"
    }
    doc = elevation()
    moved = doc.modelspace().query(f'LWPOLYLINE[layer=="{JOINT_LAYER}"]')[1]
    moved.translate(2, 0, 0)
    second = {f.fingerprint for f in judged(saved(doc, tmp_path / "b.dxf")) if f.code == "joint-in-keep-out"}
    assert len(first) == len(second) == 1
    assert first != second


@pytest.mark.parametrize("sample", sorted(p.name for p in SAMPLES.glob("*.dxf")))
def test_what_perpend_annotates_it_judges_clean_after_reading_it_back(sample: str, tmp_path: Path) -> None:
    out = annotate(SAMPLES / sample, output=tmp_path / sample).output
    (tmp_path / "perpend.toml").write_bytes((SAMPLES / "perpend.toml").read_bytes())
    required = [f.message for f in judged(out) if f.severity is Severity.REQUIRED]
    assert required == []


def test_a_joint_of_ours_that_a_drafter_moved_is_judged_and_cured(tmp_path: Path) -> None:
    out = annotate(SAMPLES / "warehouse-north.dxf", output=tmp_path / "moved.dxf").output
    (tmp_path / "perpend.toml").write_bytes((SAMPLES / "perpend.toml").read_bytes())
    doc = ezdxf.readfile(out)
    settings = load_settings(None, out)
    options = reading_options(settings, None, None)
    wall = read_drawing(out, options).elevation.walls[0]
    drawn = [d for d in wall.drawn_joints if len(d.path) == 2][-1]
    doc.entitydb[drawn.handle].translate(43, 0, 0)  # type: ignore[attr-defined]
    doc.saveas(out)
    wall = read_drawing(out, options).elevation.walls[0]
    basis = resolve_wall(settings, load_rulebook(settings.rulebook), wall)
    joints = joints_from_drawn(basis)
    report = check_wall(basis, joints)
    assert {f.code for f in report.required} == {"panel-too-long"}
    assert ("joint-off-module", 3.0) in [(f.code, f.measured_in) for f in report.findings]
    found = nearest_layout(basis, whole_joints(basis, joints), report.misplaced)
    changed = [p for p in found.proposed if p.change != "kept"]
    assert [p.change for p in changed] == ["moved"]
    assert changed[0].move_in <= 43.0, "moving the joint back is one way, so no farther move is the nearest"
    assert check_wall(basis, found.joints).required == ()
