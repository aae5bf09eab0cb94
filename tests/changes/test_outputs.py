"""What ``perpend changes`` writes: the marked drawing, the page, the table, the document; and two folders."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import ezdxf
import jsonschema
import pytest
from axe_playwright_python.sync_playwright import Axe
from ezdxf.entities import DXFEntity
from playwright.sync_api import Browser

import perpend
from changes.issues import LAYER, MARKS, DrawnWall, draw
from cli.harness import perpend as run
from drawing.seen import entities as parts_of
from perpend.report.changes_document import ChangesResults, FolderChanges

ROOT = Path(__file__).parents[2]
OLD = DrawnWall(openings=(("D1", (96.0, 0.0, 136.0, 88.0)),), joints=(240.0, 520.0))
NEW = OLD.but(openings=(("D1", (112.0, 0.0, 152.0, 88.0)),), joints=(216.0,))


@pytest.fixture
def issues(tmp_path: Path) -> tuple[Path, Path]:
    return draw(tmp_path / "old.dxf", OLD), draw(tmp_path / "new.dxf", NEW)


WAS = "HIDDEN"


def said(entity: DXFEntity) -> dict[str, str]:
    return dict(v.partition("=")[::2] for code, v in entity.get_xdata(MARKS) if code == 1000)


def marks(path: Path) -> list[DXFEntity]:
    doc = ezdxf.readfile(path)
    return [e for e in parts_of(doc) if e.has_xdata(MARKS)]


def lists(path: Path) -> list[str]:
    """Return the texts of the lists, which are blocks."""
    doc = ezdxf.readfile(path)
    blocks = [doc.blocks[e.dxf.name] for e in doc.modelspace().query("INSERT") if e.has_xdata(MARKS)]
    return [text.dxf.text for block in blocks for text in block.query("TEXT")]


def corners(entity: DXFEntity) -> list[tuple[float, float]]:
    return [(round(x, 3), round(y, 3)) for x, y in entity.get_points("xy")]  # type: ignore[attr-defined]


def test_exit_codes_and_text(issues: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = issues
    ending = run("changes", old, new)
    assert ending.code == 1, ending.err
    assert "Openings: 1 moved; joints: 1 removed, 1 moved." in ending.out.splitlines()
    same = draw(tmp_path / "same.dxf", OLD)
    assert run("changes", old, same).code == 0
    assert run("changes", old, tmp_path / "none.dxf").code == 2
    ending = run("changes", old, old)
    assert (ending.code, "name the older issue first" in ending.err) == (2, True)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["new.dxf", "old.dxf", "same.dxf"], "nothing written"


def test_the_marked_drawing(issues: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = issues
    target = tmp_path / "new-changes.dxf"
    results = perpend.changes(old, new, target)
    assert [c.number for c in results.changes] == [1, 2, 3]
    found = marks(target)
    assert {e.dxf.layer for e in found} == {LAYER}
    by_number = {n: [e for e in found if said(e)["number"] == n] for n in ("C1", "C2", "C3")}
    # the door: what was in dashes, and a bracket from the old left jamb to the new right one
    lines = [e for e in by_number["C1"] if e.dxftype() == "LWPOLYLINE"]
    dashed = [corners(e) for e in lines if e.dxf.linetype == WAS]
    assert dashed == [[(96, 0), (136, 0), (136, 88), (96, 88)]]
    heavy = [corners(e) for e in lines if e.dxf.lineweight == 70]
    assert [sorted({x for x, _ in line}) for line in heavy] == [[96, 152]]
    # the joint that moved: from 240 to 216, and no other line of ours is a joint
    moved = [e for e in by_number["C2"] if e.dxftype() == "LWPOLYLINE" and e.dxf.lineweight == 70]
    assert [sorted({x for x, _ in corners(e)}) for e in moved] == [[216, 240]]
    (was,) = (e for e in by_number["C2"] if e.dxf.linetype == WAS)
    assert {(p.x, p.y) for p in (was.dxf.start, was.dxf.end)} == {(240, 0), (240, 200)}
    # every change has its square flag with its number in it
    for number, entities in by_number.items():
        squares = [
            corners(e) for e in entities if e.dxftype() == "LWPOLYLINE" and e.closed and e.dxf.linetype != WAS
        ]
        (text,) = (
            e
            for e in entities
            if e.dxftype() == "TEXT" and e.dxf.text == number and said(e)["kind"] == "change"
        )
        x, y = text.dxf.align_point.x, text.dxf.align_point.y
        (square,) = [s for s in squares if len(s) == 4]
        xs, ys = {p[0] for p in square}, {p[1] for p in square}
        assert min(xs) < x < max(xs)
        assert min(ys) < y < max(ys)
        assert max(xs) - min(xs) == pytest.approx(max(ys) - min(ys))
    assert "CHANGES SINCE OLD.DXF" in lists(target)


def test_the_new_drawing_comes_back_to_the_byte(issues: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = issues
    target, cleaned = tmp_path / "new-changes.dxf", tmp_path / "cleaned.dxf"
    perpend.changes(old, new, target)
    assert target.read_bytes() != new.read_bytes()
    assert perpend.clean(target, cleaned).exact
    assert cleaned.read_bytes() == new.read_bytes()
    again = perpend.changes(new, target)
    assert again.changes == [], "marks of ours are no joints"
    perpend.changes(old, new, target)  # its own output it may write again


def test_a_drawing_that_is_saved_whole(tmp_path: Path) -> None:
    """R12 can't be inserted into: ezdxf saves it, and the marks are there all the same."""
    old, new = (draw(tmp_path / f"{n}.dxf", w, release="R12") for n, w in (("old", OLD), ("new", NEW)))
    target = tmp_path / "new-changes.dxf"
    results = perpend.changes(old, new, target)
    assert {said(e)["number"] for e in marks(target)} >= {"C1", "C2", "C3"}
    assert len(results.changes) == 3


def test_no_change_is_said_on_the_sheet_too(tmp_path: Path) -> None:
    old, same = draw(tmp_path / "old.dxf", OLD), draw(tmp_path / "same.dxf", OLD)
    target = tmp_path / "same-changes.dxf"
    assert not perpend.changes(old, same, target).violated
    assert "NONE" in lists(target)


def test_the_table(issues: tuple[Path, Path], tmp_path: Path) -> None:
    table = tmp_path / "changes.csv"
    perpend.changes(*issues, csv=table)
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    assert [
        (r["number"], r["thing"], r["change"], r["property"], r["was_in"], r["now_in"]) for r in rows
    ] == [
        ("1", "opening", "moved", "left jamb", "96.0", "112.0"),
        ("2", "joint", "moved", "station", "240.0", "216.0"),
        ("3", "joint", "removed", "", "", ""),
    ]
    assert rows[2]["old_x_in"] == "520.0"


def test_the_page_shows_both_issues(issues: tuple[Path, Path], tmp_path: Path) -> None:
    page = tmp_path / "changes.html"
    perpend.changes(*issues, sheet=page)
    text = page.read_text(encoding="utf-8")
    assert '<meta name="generator" content="perpend' in text
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', text)
    assert "script-src" not in policy
    assert "<script" not in text
    (picture,) = re.findall(
        r"<svg class=\"elevation overlay\" viewBox=\"0 0 [0-9.]+ [0-9.]+\" width.*?</svg>", text, re.DOTALL
    )
    root = ElementTree.fromstring(picture)
    lines = {(e.get("class"), e.get("points")) for e in root.iter("polyline")}
    scale = 1240 / 720  # the wall fills the usual width
    for issue, stations in (("old", (240.0, 520.0)), ("new", (216.0,))):
        xs = sorted(float(str(p).split(",")[0]) for c, p in lines if c == f"{issue} line")
        assert xs == pytest.approx([40 + x * scale for x in stations], abs=0.01)
    numbers = [e.text for e in root.iter("text") if e.get("class") == "flag-number"]
    assert sorted(str(n) for n in numbers) == ["1", "2", "3"]


def test_the_document_is_what_the_schema_says(issues: tuple[Path, Path]) -> None:
    ending = run("changes", *issues, "--json")
    document = json.loads(ending.out)
    schema = json.loads((ROOT / "docs" / "changes.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(document)
    assert ChangesResults.from_json(ending.out).to_json() == ending.out
    assert [c["thing"] for c in document["changes"]] == ["opening", "joint", "joint"]


def test_work_of_others_is_not_replaced(issues: tuple[Path, Path], tmp_path: Path) -> None:
    old, new = issues
    before = old.read_bytes()
    theirs = tmp_path / "notes.csv"
    theirs.write_text("mine\n")
    ending = run("changes", old, new, "--csv", theirs)
    assert (ending.code, theirs.read_text()) == (2, "mine\n")
    assert run("changes", old, new, "-o", old).code == 2
    assert old.read_bytes() == before


def folders(tmp_path: Path) -> tuple[Path, Path]:
    old, new = tmp_path / "bid", tmp_path / "addendum"
    for folder in (old, new):
        folder.mkdir()
        draw(folder / "A-201.dxf", OLD)
    draw(old / "A-202.dxf", OLD)
    draw(new / "a-202.DXF", NEW)
    draw(old / "A-203.dxf", OLD)
    draw(new / "A-204.dxf", NEW)
    (old / "A-205.dxf").write_bytes(b"AC1032" + bytes(100))
    (new / "A-205.dxf").write_bytes(b"AC1032" + bytes(100))
    return old, new


def test_two_folders(tmp_path: Path) -> None:
    old, new = folders(tmp_path)
    marked, table, page = tmp_path / "marked", tmp_path / "c.csv", tmp_path / "c.html"
    ending = run("changes", old, new, "-o", marked, "--csv", table, "--sheet", page, "--json")
    assert ending.code == 2, "one drawing could not be compared"
    found = FolderChanges.from_json(ending.out)
    assert [(d.name, d.state, d.changes) for d in found.drawings] == [
        ("A-201.dxf", "unchanged", 0),
        ("a-202.DXF", "changed", 3),
        ("A-203.dxf", "removed", 0),
        ("A-204.dxf", "added", 0),
        ("A-205.dxf", "refused", 0),
    ]
    assert "two ways to get DXF" in found.drawings[-1].why
    schema = json.loads((ROOT / "docs" / "folder-changes.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(json.loads(ending.out))
    assert sorted(p.name for p in marked.iterdir()) == ["A-201-changes.dxf", "a-202-changes.dxf"]
    rows = list(csv.DictReader(io.StringIO(table.read_text(encoding="utf-8-sig"))))
    assert [(r["thing"], r["change"]) for r in rows] == [
        *(("opening", "moved"), ("joint", "moved"), ("joint", "removed")),
        *(("drawing", "removed"), ("drawing", "added"), ("drawing", "refused")),
    ]
    text = page.read_text(encoding="utf-8")
    assert text.count('<svg class="elevation overlay" viewBox="0 0 48') == 3
    assert text.count('class="wall-figure"') == 1, "only the drawing that changed"


def test_folders_without_trouble(tmp_path: Path) -> None:
    old, new = folders(tmp_path)
    for folder in (old, new):
        (folder / "A-205.dxf").unlink()
    assert run("changes", old, new).code == 1
    assert perpend.folder_changes(old, new).count("changed") == 1
    assert run("changes", old, tmp_path / "none").code == 2
    assert run("changes", old, new / "A-201.dxf").code == 2


def test_the_page_is_accessible(issues: tuple[Path, Path], tmp_path: Path, browser: Browser) -> None:
    """By the rules of axe-core, on light and on dark ground."""
    page = tmp_path / "changes.html"
    perpend.changes(*issues, sheet=page)
    for scheme in ("light", "dark"):
        tab = browser.new_page(color_scheme=scheme)
        tab.goto(page.as_uri())
        assert Axe().run(tab).response["violations"] == []
        tab.close()
