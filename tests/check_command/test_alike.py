"""Annotate and check tell alike of a joint that was drawn before and stands where it must not."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend
from perpend.report import Results
from perpend.report.document import FindingEntry

MISPLACED = {"joint-in-keep-out", "joint-through-opening", "joint-through-lintel"}


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A wall of 80'-0": joints through D1, through the lintel of D2, 1'-6" beside D3, and one that is right."""
    doc = new_drawing()
    add_box(doc, (0, 0, 960, 200), "A-ELEV-WALL")
    add_text(doc, "W1", (20, 180))
    doc.layers.add("A-ELEV-JNTC")
    for tag, x in (("D1", 200), ("D2", 480), ("D3", 720)):
        add_box(doc, (x, 0, x + 40, 88), "A-ELEV-OPNG")
        add_text(doc, tag, (x + 6, 60))
    for x in (112, 216, 524, 778):
        doc.modelspace().add_line((x, 0), (x, 200), dxfattribs={"layer": "A-ELEV-JNTC"})
    doc.saveas(tmp_path / "w.dxf")
    return tmp_path / "w.dxf"


def told(command: str, drawing: Path) -> dict[str, FindingEntry]:
    """What a command says of misplaced joints, by fingerprint; its drawing stands beside, as out.dxf."""
    found = drawing.with_name("r.json")
    perpend(command, drawing, "-o", drawing.with_name("out.dxf"), "--results", found, "--overwrite")
    results = Results.from_json(found.read_text(encoding="utf-8"))
    return {f.fingerprint: f for f in results.all_findings if f.code in MISPLACED}


def test_a_misplaced_joint_is_the_same_finding_with_the_same_cure(drawing: Path) -> None:
    by_check = told("check", drawing)
    by_annotate = told("annotate", drawing)
    plate = drawing.with_name("out.dxf").rename(drawing.with_name("plate.dxf"))
    on_the_plate = told("check", plate)
    assert {(f.code, f.at[0][0], f.measured_in) for f in by_annotate.values()} == {
        ("joint-through-opening", 216.0, None),
        ("joint-through-lintel", 524.0, 12.0),  # the lintel bears 16 in. past the jamb at 520
        ("joint-in-keep-out", 778.0, 18.0),
    }
    assert by_annotate.keys() == by_check.keys() == on_the_plate.keys()
    for key, finding in by_annotate.items():
        assert (finding.measured_in, finding.limit_in) == (by_check[key].measured_in, by_check[key].limit_in)
        assert finding.cure == on_the_plate[key].cure


def test_a_joint_that_the_layout_does_without_is_told_so(drawing: Path) -> None:
    """It stands in the drawing all the same, so that a check counts one joint more than the layout."""
    messages = {f.at[0][0]: f.message for f in told("annotate", drawing).values()}
    assert [x for x, said in messages.items() if said.endswith("The layout does without it.")] == [216.0]
