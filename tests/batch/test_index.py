"""What the index adds up is what the drawings hold, in their own units, and nothing that was not drawn."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from batch.material import rows_of, save_doubtful, save_good
from cli.drawings import add_box, add_text, new_drawing, save_elevation
from perpend import annotate
from perpend.errors import InputError
from perpend.folders import BatchOptions, BatchReport, run_batch


def batch(source: Path, out: Path, **options: bool) -> BatchReport:
    return run_batch(source, out, BatchOptions(**options), make=ThreadPoolExecutor)


def index_of(out: Path) -> dict[str, Any]:
    document: dict[str, Any] = json.loads((out / "index.json").read_text(encoding="utf-8"))
    return document


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def save_metric(path: Path) -> Path:
    """Write a wall of 12,000 mm by 3,600 mm."""
    doc = new_drawing()
    doc.header["$INSUNITS"], doc.header["$MEASUREMENT"] = 4, 1
    add_box(doc, (0, 0, 12000, 3600), "A-ELEV-WALL")
    add_text(doc, "W1", (200, 3000))
    path.parent.mkdir(parents=True, exist_ok=True)
    doc.saveas(path)
    return path


def test_a_check_tells_of_no_lintel_and_no_bar(tmp_path: Path) -> None:
    """Annotating draws the lintel of a door of 3'-4"; a check only assumes one, and draws marks."""
    save_good(tmp_path / "in", "a")
    batch(tmp_path / "in", tmp_path / "new")
    batch(tmp_path / "new", tmp_path / "checked", check=True)
    drawn, judged = index_of(tmp_path / "new"), index_of(tmp_path / "checked")
    assert drawn["totals"]["lintels"] == 1
    # 40 in. of door, and a bearing of a whole unit of 16 in. on either side
    assert drawn["totals"]["lintel_ft"] == 6.0
    assert drawn["totals"]["lintel_m"] == 1.83
    only_drawn = {"lintels", "lintel_ft", "lintel_m", "steel_ft", "steel_m"}
    assert set(drawn["totals"]) - set(judged["totals"]) == only_drawn
    assert not only_drawn & set(judged["drawings"][0])
    assert not only_drawn & set(table(tmp_path / "checked" / "index.csv")[0])
    pages = [(tmp_path / out / "index.html").read_text(encoding="utf-8") for out in ("new", "checked")]
    assert ["Lintels</button>" in page for page in pages] == [True, False]
    assert ["ft of bars" in page for page in pages] == [True, False]


def test_lengths_are_told_in_the_units_of_the_drawings(tmp_path: Path) -> None:
    save_good(tmp_path / "feet", "a")
    save_metric(tmp_path / "metres" / "b.dxf")
    save_good(tmp_path / "both", "a")
    save_metric(tmp_path / "both" / "b.dxf")
    headings = {}
    for name in ("feet", "metres", "both"):
        assert batch(tmp_path / name, tmp_path / "out" / name).exit_code == 0
        page = (tmp_path / "out" / name / "index.html").read_text(encoding="utf-8")
        told = next(line for line in page.splitlines() if "All together" in line)
        headings[name] = ("Joint, ft" in page, "Joint, m" in page, " ft of" in told, " m of" in told)
    assert headings == {
        "feet": (True, False, True, False),
        "metres": (False, True, False, True),
        "both": (True, True, False, True),
    }
    assert " ft / " in told, "both units stand side by side"
    feet, metres = index_of(tmp_path / "out" / "both")["drawings"]
    assert (feet["metric"], metres["metric"]) == (False, True)
    assert feet["joint_ft"] == 12 * feet["joints"] > 0
    assert metres["joint_m"] == pytest.approx(3.6 * metres["joints"], abs=0.005)
    totals = index_of(tmp_path / "out" / "both")["totals"]
    assert totals["joint_ft"] == pytest.approx(
        12 * feet["joints"] + 3.6 / 0.3048 * metres["joints"], abs=0.01
    )
    assert totals["joint_m"] == pytest.approx(3.6576 * feet["joints"] + 3.6 * metres["joints"], abs=0.01)
    stations = {
        row["drawing"]: (row["x_in"], row["station"])
        for row in table(tmp_path / "out" / "both" / "joints.csv")
    }
    inches, printed = stations["b.dxf"]
    assert printed == f"{float(inches) * 25.4:.0f} mm"
    assert stations["a.dxf"][1].endswith('"')


def test_the_findings_of_a_project_are_in_one_table_and_counted_by_their_codes(tmp_path: Path) -> None:
    """A wall of 40 ft by 12 ft without any joint: its one panel is too long; no name is a formula."""
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    for name in ("a", "=b"):
        save_elevation(source / f"{name}.dxf", [("W1", (0, 0, 480, 144))])
    assert batch(source, out, check=True).exit_code == 1
    document, rows = index_of(out), table(out / "findings.csv")
    per_drawing = {row["drawing"]: row["findings"] for row in document["drawings"]}
    assert per_drawing["a.dxf"] == per_drawing["=b.dxf"]
    assert per_drawing["a.dxf"]["panel-too-long"] == 1
    assert document["findings"] == {code: 2 * count for code, count in per_drawing["a.dxf"].items()}
    assert len(rows) == sum(document["findings"].values())
    results = json.loads((out / "a-checked.json").read_text(encoding="utf-8"))
    told = [finding["message"] for finding in results["walls"][0]["findings"]]
    assert sorted(row["message"] for row in rows if row["drawing"] == "a.dxf") == sorted(told)
    assert {row["drawing"] for row in rows} == {"a.dxf", "'=b.dxf"}, "no name is a formula to a spreadsheet"
    shown = table(out / "index.csv")[1]
    assert shown["drawing"] == "a.dxf"
    assert "panel-too-long 1" in shown["findings"].split("; ")
    assert "Findings by kind: " in (out / "index.html").read_text(encoding="utf-8")


def test_a_waived_finding_is_in_the_table_and_not_in_the_counts(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    save_elevation(source / "a.dxf", [("W1", (0, 0, 480, 144))])
    batch(source, out, check=True)
    (row,) = (row for row in table(out / "findings.csv") if row["code"] == "panel-too-long")
    assert row["state"] == "open"
    (source / "a.waivers.toml").write_text(
        f'[[waivers]]\nfingerprint = "{row["fingerprint"]}"\nreason = "agreed"\nwho = "R. Oduya"\n'
    )
    batch(source, out, check=True)
    (row,) = (row for row in table(out / "findings.csv") if row["code"] == "panel-too-long")
    assert (row["state"], row["waived_by"]) == ("waived", "R. Oduya")
    assert "panel-too-long" not in index_of(out)["findings"]


def test_a_drawing_that_was_read_with_doubts_needs_a_look_and_its_row_shows_the_gravest(
    tmp_path: Path,
) -> None:
    """A sill in W1 that was read as nothing is shown where no pane in W2 is in doubt."""
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    save_doubtful(source / "pane.dxf")
    save_elevation(source / "remark.dxf", [("W1", (0, 0, 483, 160))])
    for name in ("sill.dxf", "both.dxf"):
        doc = new_drawing()
        add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
        add_box(doc, (100, 40, 380, 44), "A-ELEV-WALL")
        add_text(doc, "W1", (20, 120))
        if name == "both.dxf":
            add_box(doc, (600, 0, 1080, 144), "A-ELEV-WALL")
            add_box(doc, (800, 40, 864, 96), "X7")
            add_text(doc, "W2", (620, 120))
        doc.saveas(source / name)
    assert batch(source, out).exit_code == 1
    rows = rows_of(out)
    looks = "1 shape on layer X7 looks like an opening: read as such, by its looks alone."
    assert {name: (row["state"], row["doubts"], row["worst"]) for name, row in rows.items()} == {
        "pane.dxf": ("clean", 1, f"W1: {looks}"),
        "both.dxf": ("clean", 2, f"W2: {looks}"),
        "sill.dxf": (
            "clean",
            1,
            "W1: 1 outline on wall layer A-ELEV-WALL was read as neither a wall nor an opening.",
        ),
        "remark.dxf": ("clean", 0, rows["remark.dxf"]["worst"]),
    }
    assert [name for name, row in rows.items() if row["needs_look"]] == ["both.dxf", "pane.dxf", "sill.dxf"]
    assert rows["remark.dxf"]["worst_severity"] == "advisory"
    assert rows["remark.dxf"]["gravity_place"] == 4
    assert (
        '<p class="verdict bad">3 of 4 need a look: 3 read with doubts; 1 clean, 1 of them with remarks</p>'
        in (out / "index.html").read_text(encoding="utf-8")
    )
    assert {row["drawing"] for row in table(out / "index.csv") if row["needs_look"] == "yes"} == {
        *("both.dxf", "pane.dxf", "sill.dxf")
    }


def test_a_violation_is_shown_with_the_doubt_that_may_be_behind_it(tmp_path: Path) -> None:
    """A wall of 40 ft without a joint, and with a pane on a layer without a role."""
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    save_doubtful(source / "a.dxf")
    assert batch(source, out, check=True).exit_code == 1
    row = rows_of(out)["a.dxf"]
    assert (row["worst_severity"], row["doubts"]) == ("required", 1)
    assert row["doubt"].startswith("W1: 1 shape on layer X7 looks like an opening")
    page = (out / "index.html").read_text(encoding="utf-8")
    assert f"<br><strong>Doubt:</strong> {row['doubt']}" in page
    assert "1 of 1 need a look: 1 with violations; 0 clean" in page


def test_tables_begin_with_a_byte_order_mark(tmp_path: Path) -> None:
    """Without it a spreadsheet takes UTF-8 for the letters of its own system."""
    save_good(tmp_path / "in", "Süd")
    batch(tmp_path / "in", tmp_path / "out")
    for name in ("index.csv", "joints.csv", "findings.csv"):
        data = (tmp_path / "out" / name).read_bytes()
        assert data.startswith(b"\xef\xbb\xbfdrawing,"), name
        assert data.count(b"\n") == data.count(b"\r\n") > 0, name
    assert table(tmp_path / "out" / "index.csv")[0]["drawing"] == "Süd.dxf"
    assert not (tmp_path / "out" / "index.json").read_bytes().startswith(b"\xef")


def test_a_check_proposes_where_it_is_asked_and_goes_on_only_from_its_like(tmp_path: Path) -> None:
    source, out = tmp_path / "in", tmp_path / "out"
    source.mkdir()
    save_elevation(source / "a.dxf", [("W1", (0, 0, 480, 144))])

    def proposed(**options: bool) -> tuple[bool, int]:
        report = batch(source, out, check=True, **options)
        walls = json.loads((out / "a-checked.json").read_text(encoding="utf-8"))["walls"]
        return report.outcomes[0].reused, len(walls[0]["proposed"])

    assert proposed() == (False, 0)
    reused, added = proposed(propose=True)
    assert not reused
    assert added == len(annotate(source / "a.dxf", output=tmp_path / "b.dxf").results.walls[0].joints) > 1
    assert proposed(propose=True) == (True, added)
    assert proposed() == (False, 0)
    with pytest.raises(InputError, match=r"--propose .* pass --check as well"):
        batch(source, tmp_path / "other", propose=True)
    assert not (tmp_path / "other").exists()


def test_a_worker_loads_what_its_order_needs_and_no_more(tmp_path: Path) -> None:
    (drawing,) = save_good(tmp_path, "a")
    script = (
        "import sys\nfrom pathlib import Path\nfrom perpend.folders.orders import Order\n"
        "from perpend.folders.one_drawing import do_order\n"
        "at, place = Path(sys.argv[1]), Path(sys.argv[1]).with_name\n"
        "print(do_order(Order('a', at, place('b.dxf'), place('b.json'), place('b.html'))).state)\n"
        "print('perpend.jobs.annotate' in sys.modules, 'perpend.jobs.check' in sys.modules)\n"
    )
    words = [sys.executable, "-c", script, drawing]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.split() == ["clean", "True", "False"]
