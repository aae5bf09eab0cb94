"""Annotate and check tell alike of a joint that was drawn before and stands where it must not."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend
from drawing.seen import said
from perpend.report import Results
from perpend.report.results_document import FindingEntry

MISPLACED = {"joint-in-keep-out", "joint-through-opening", "joint-through-lintel"}


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """W1, 80 ft long: joints through D1, through D2's lintel, 1.5 ft beside D3, and one that is right."""
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


def accepted(drawing: Path, *findings: FindingEntry) -> None:
    """Write a file of waivers beside a drawing."""
    entries = (
        f'[[waivers]]\nfingerprint = "{f.fingerprint}"\nreason = "Agreed on site."\nwho = "R. Oduya"\n'
        for f in findings
    )
    drawing.with_suffix(".waivers.toml").write_text("".join(entries), encoding="utf-8")


def results_of(command: str, drawing: Path, *options: str) -> Results:
    found = drawing.with_name("r.json")
    out = drawing.with_name("out.dxf")
    perpend(command, drawing, "-o", out, "--results", found, "--overwrite", *options)
    return Results.from_json(found.read_text(encoding="utf-8"))


def test_what_a_check_found_and_somebody_accepted_counts_for_annotate_too(drawing: Path) -> None:
    by_check = results_of("check", drawing).all_findings
    misplaced = [f for f in by_check if f.code in MISPLACED]
    assert results_of("annotate", drawing).violated
    accepted(drawing, *misplaced)
    laid_out = results_of("annotate", drawing)
    waived = {f.fingerprint for f in laid_out.all_findings if f.waived}
    assert waived == {f.fingerprint for f in misplaced}
    assert not laid_out.violated
    assert laid_out.findings == []
    assert perpend("annotate", drawing, "-o", drawing.with_name("out.dxf"), "--overwrite").code == 0
    listed = " ".join(" ".join(said(ezdxf.readfile(drawing.with_name("out.dxf")), "violation-list")).split())
    assert listed.count("WAIVED BY R. ODUYA: AGREED ON SITE.") == 3


def test_a_drawing_made_of_another_goes_by_its_waivers_and_says_so(drawing: Path) -> None:
    accepted(drawing, *(f for f in results_of("check", drawing).all_findings if f.code in MISPLACED))
    results_of("check", drawing)
    again = drawing.with_name("out.dxf").rename(drawing.with_name("w-checked.dxf"))
    results = results_of("check", again)
    assert len([f for f in results.all_findings if f.waived]) == 3
    assert "w-checked.dxf has no waivers of its own: those of w.waivers.toml count." in results.remarks
    accepted(again)
    results = results_of("check", again)
    assert not [f for f in results.all_findings if f.waived]
    assert results.remarks == []


def test_a_waiver_that_has_run_out_names_the_finding_and_its_wall(drawing: Path) -> None:
    through = next(f for f in told("check", drawing).values() if f.code == "joint-through-opening")
    accepted(drawing, through)
    file = drawing.with_suffix(".waivers.toml")
    file.write_text(file.read_text(encoding="utf-8") + "until = 2020-01-31\n", encoding="utf-8")
    for command in ("check", "annotate"):
        (late,) = results_of(command, drawing).findings
        assert (late.code, late.opening) == ("waiver-expired", "D1")
        assert [(c.kind, c.value, c.opening) for c in late.changes] == [
            ("advice", "waiver-renew", "joint-through-opening")
        ]
        assert "joint-through-opening in W1 by R. Oduya ran out on 2020-01-31" in late.message


def test_an_accepted_joint_stays_in_the_proposed_layout(drawing: Path) -> None:
    by_check = {f.at[0][0]: f for f in told("check", drawing).values()}
    (wall,) = results_of("check", drawing, "--propose").walls
    assert 524.0 not in [p.x_in for p in wall.proposed]
    accepted(drawing, by_check[524.0])
    (wall,) = results_of("check", drawing, "--propose").walls
    assert [p.change for p in wall.proposed if p.x_in == 524.0] == ["kept"]
    assert [p.x_in for p in wall.proposed if p.change == "kept"] == [112.0, 524.0]


def test_a_wall_whose_faults_were_all_accepted_gets_no_proposal(drawing: Path) -> None:
    required = [f for f in results_of("check", drawing).all_findings if f.severity == "required"]
    accepted(drawing, *required)
    (wall,) = results_of("check", drawing, "--propose").walls
    assert wall.proposed == []
