"""``perpend compare`` as a user runs it, on the sample drawings."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from cli.drawings import add_box, add_text, new_drawing, save_elevation
from cli.harness import perpend
from perpend.report.comparison import ArchingEntry, CompareResults, LayoutEntry, OptionEntry
from perpend.units import format_length

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_drawings"
DRAWINGS = sorted(SAMPLES.glob("*.dxf"))


def compared(drawing: Path, *arguments: str | Path) -> dict[str, Any]:
    ending = perpend("compare", drawing, "--json", *arguments)
    assert ending.code in (0, 1), ending.err
    found: dict[str, Any] = json.loads(ending.out)
    return found


@cache
def compared_sample(drawing: Path) -> dict[str, Any]:
    """Return the comparison of a sample drawing; nothing is written, so that tests may share it."""
    return compared(drawing)


@pytest.mark.parametrize("drawing", DRAWINGS, ids=lambda d: d.stem)
def test_the_settings_own_option_is_what_annotate_draws(drawing: Path, tmp_path: Path) -> None:
    """The other way round: annotate's results, read as JSON."""
    ending = perpend("annotate", drawing, "-o", tmp_path / "out.dxf", "--json")
    walls = {wall["tag"]: wall for wall in json.loads(ending.out)["walls"]}
    for wall in compared_sample(drawing)["walls"]:
        (own,) = [option for option in wall["options"] if option["own"]]
        drawn = walls[wall["tag"]]
        assert own["layout"]["joints"] == len(drawn["joints"])
        assert own["layout"]["slip_planes"] == sum(len(j["slip_planes"]) for j in drawn["joints"])
        assert own["layout"]["longest_panel_in"] == max(p["length_in"] for p in drawn["panels"])
        assert own["layout"]["max_spacing_in"] == drawn["limits"]["max_spacing_in"]
        lintels = [o["lintel"] for o in drawn["openings"] if o["lintel"]]
        assert own["layout"]["lintel_length_in"] == pytest.approx(
            sum(x["x1_in"] - x["x0_in"] for x in lintels)
        )


@pytest.mark.parametrize(
    ("method", "treatment"),
    [("empirical", "unreinforced"), ("engineered", "reinforced"), ("no-joints", "unreinforced")],
)
def test_an_option_is_what_annotate_draws_under_settings_that_ask_for_it(
    method: str, treatment: str, tmp_path: Path
) -> None:
    """The settings of the option written out by hand, and annotate run with them."""
    shutil.copy(SAMPLES / "shopfront-south.dxf", tmp_path)
    ccc = "ccc = 0.0010\n" if method == "engineered" else ""
    text = f"[defaults]\nmethod = '{method}'\n{ccc}openings = '{treatment}'\n"
    (tmp_path / "other.toml").write_text(text, encoding="utf-8")
    drawing = tmp_path / "shopfront-south.dxf"
    ending = perpend("annotate", drawing, "--json", "--settings", tmp_path / "other.toml")
    (drawn,) = json.loads(ending.out)["walls"]
    (wall,) = compared_sample(SAMPLES / "shopfront-south.dxf")["walls"]
    option = next(
        o
        for o in wall["options"]
        if (o["method"], o["openings"]) == (method, treatment) and o["ccc"] in (None, 0.001)
    )
    assert option["layout"]["joints"] == len(drawn["joints"])
    assert option["layout"]["longest_panel_in"] == max(p["length_in"] for p in drawn["panels"])
    assert option["layout"]["slip_planes"] == sum(len(j["slip_planes"]) for j in drawn["joints"])


@pytest.mark.parametrize("drawing", DRAWINGS, ids=lambda d: d.stem)
def test_the_table_is_readable_at_100_columns_and_marks_what_is_not_verified(drawing: Path) -> None:
    ending = perpend("compare", drawing, "--veneer")
    assert ending.code == 0
    lines = ending.out.splitlines()
    assert max(map(len, lines)) <= 100
    rows = [line for line in lines if re.match(r"[> ] (empirical|engineered|veneer|no-joints)", line)]
    assert rows
    for row in rows:
        assert len(re.split(r"\s{2,}|(?<=\S) (?=%)", row.strip("> ").strip())) >= 8, row
    severe = [row for row in rows if "engineered 0.0015" in row]
    assert severe
    assert all("engineered 0.0015*" in row for row in severe)
    assert "* not verified against the source" in ending.out
    assert "lists what to look up" in " ".join(ending.out.split())
    assert "TEK 10-3 (2003), table of spacing by crack control" in ending.out
    assert "an aid, not a design" in ending.out
    assert sum(row.startswith(">") for row in rows) == len(compared_sample(drawing)["walls"])


def test_the_csv_holds_every_option_and_no_formula(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("=cmd", (0, 0, 480, 144))], [("D1", (200, 0, 240, 88))])
    target = tmp_path / "options.csv"
    found = compared(drawing, "--csv", target)
    assert target.read_bytes().startswith(b"\xef\xbb\xbfdrawing,"), "a spreadsheet needs the byte-order mark"
    rows = list(csv.DictReader(io.StringIO(target.read_text(encoding="utf-8-sig"))))
    options = [option for wall in found["walls"] for option in wall["options"]]
    assert len(rows) == len(options) == 8
    assert {row["wall"] for row in rows} == {"'=cmd"}
    for row, option in zip(rows, options, strict=True):
        assert row["method"] == option["method"]
        assert int(row["joints"]) == option["layout"]["joints"]
        assert float(row["steel_lb"]) == option["layout"]["steel"]["total_lb"]
        assert row["not_met"] == "; ".join(f["code"] for f in option["not_met"])
        assert row["sources"].startswith("spacing.")
        assert "an aid, not a design" in row["caution"]
    assert "spacing.engineered-0010#cap" in rows[2]["unverified"]


def test_table_and_csv_tell_of_one_panel_and_its_own_limit(tmp_path: Path) -> None:
    """A wall 8 ft high at the left and 20 ft at the right: the limit is 12 ft there and 25 ft here.

    The other way round: every panel of what annotate draws, from its results, and the share of its own limit.
    """
    shape = [(0, 0), (480, 0), (480, 240), (200, 240), (200, 96), (0, 96)]
    doc = new_drawing()
    doc.modelspace().add_lwpolyline(shape, close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    add_text(doc, "W1", (6.0, 80.0))
    drawing = tmp_path / "a.dxf"
    doc.saveas(drawing)
    target = tmp_path / "options.csv"
    text = perpend("compare", drawing, "--csv", target).out
    row = next(r for r in csv.DictReader(io.StringIO(target.read_text("utf-8"))) if r["own"] == "True")
    panels = json.loads(perpend("annotate", drawing, "--json").out)["walls"][0]["panels"]
    fullest = max(panels, key=lambda p: p["length_in"] / p["limit_in"])
    longest = max(panels, key=lambda p: p["length_in"])
    assert len({p["limit_in"] for p in panels}) > 1
    assert fullest["length_in"] < longest["length_in"]
    assert float(row["fullest_panel_in"]) == fullest["length_in"]
    assert float(row["fullest_panel_limit_in"]) == fullest["limit_in"]
    assert float(row["greatest_utilisation"]) == pytest.approx(fullest["length_in"] / fullest["limit_in"])
    shown = next(line for line in text.splitlines() if line.startswith("> empirical"))
    share = 100 * fullest["length_in"] / fullest["limit_in"]
    assert shown.endswith(f" {format_length(fullest['length_in'])}  {share:.0f} %")
    said = (
        f"panels: empirical: the fullest is {format_length(fullest['length_in'])} of its "
        f"{format_length(fullest['limit_in'])}; the longest is {format_length(longest['length_in'])} of its "
        f"{format_length(longest['limit_in'])}."
    )
    assert said in re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("count", [1, 9])
def test_a_cure_names_the_openings_that_are_in_the_way(count: int, tmp_path: Path) -> None:
    """Reinforced openings over 312 or 320 in. of a wall 12 ft high: its panels may be 216 in. long."""
    width, step = (320 if count == 1 else 24), 36
    doors = [(f"D{n + 1}", (80 + n * step, 0, 80 + n * step + width, 88)) for n in range(count)]
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))], doors)
    settings = tmp_path / "other.toml"
    text = "[defaults]\nopenings = 'reinforced'\nstrip_window_over = 400\nganged_up_to = 0\n"
    settings.write_text(text, encoding="utf-8")
    own = next(o for o in compared(drawing, "--settings", settings)["walls"][0]["options"] if o["own"])
    (found,) = [f for f in own["not_met"] if f["code"] == "panel-too-long"]
    tags = ", ".join(f"D{n + 1}" for n in range(count))
    assert f": {tags} in the way." in found["cure"]


def test_remarks_name_missing_tags_and_a_ratio_that_stays_with_its_method(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))])
    text = "[defaults]\nspacing_ratio = 1.3\n[[walls]]\ntag = 'W9'\nunits = 'half-high'\n"
    (tmp_path / "perpend.toml").write_text(text, encoding="utf-8")
    found = compared(drawing)
    assert found["remarks"] == [
        "Not in this drawing, but named by the settings: W9.",
        "The tighter ratio of the settings counts for the wall's own method only: W1.",
    ]
    spacings = {
        o["method"]: o["layout"]["max_spacing_in"] for o in found["walls"][0]["options"] if o["layout"]
    }
    assert spacings["empirical"] == pytest.approx(1.3 * 144)
    assert spacings["engineered"] == 240


@pytest.mark.parametrize("command", ["annotate", "compare"])
def test_a_slip_in_a_tag_is_told_alike_and_a_coefficient_is_idle_only_where_nothing_reads_it(
    command: str, tmp_path: Path
) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))])
    text = "[defaults]\nccc = 0.0010\n[[walls]]\ntag = 'W-01'\nleft_end = 'free'\n"
    (tmp_path / "perpend.toml").write_text(text, encoding="utf-8")
    remarks = json.loads(perpend(command, drawing, "--json").out)["remarks"]
    assert remarks[0] == "W-01 of the settings is not in this drawing: is W1 meant?"
    idle = [remark for remark in remarks if "crack control coefficient" in remark]
    assert bool(idle) is (command == "annotate"), "the comparison has rows by the engineered method"


def test_exit_code_1_when_what_the_settings_ask_for_cannot_be_met(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))], [("OH1", (160, 0, 280, 112))])
    settings = tmp_path / "perpend.toml"
    settings.write_text("[defaults]\njoint_type = 'raked'\nopenings = 'unreinforced'\n", encoding="utf-8")
    ending = perpend("compare", drawing)
    assert ending.code == 1
    text = re.sub(r"\s+", " ", ending.out)
    assert re.search(r"not met: empirical, unreinforced[^:]*: shear-transfer-needed\. ", text)
    assert "[Common practice]" in re.sub(r"\s+", " ", ending.out)


def test_annotate_reports_what_only_the_judge_sees(tmp_path: Path) -> None:
    """A wide opening on slip planes at both ends needs joints that carry shear; a type must be named."""
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))], [("OH1", (160, 0, 280, 112))])
    settings = tmp_path / "perpend.toml"
    for kind, code in (("raked", "shear-transfer-needed"), ("none", "joint-type-missing")):
        text = f"[defaults]\njoint_type = '{kind}'\nopenings = 'unreinforced'\n"
        settings.write_text(text, encoding="utf-8")
        ending = perpend("annotate", drawing, "--json", "-o", tmp_path / f"{kind}.dxf")
        assert ending.code == 1
        found = [f["code"] for wall in json.loads(ending.out)["walls"] for f in wall["findings"]]
        assert found.count(code) == 1
    settings.write_text("[defaults]\nopenings = 'unreinforced'\n", encoding="utf-8")
    assert perpend("annotate", drawing, "-o", tmp_path / "good.dxf").code == 0


def test_a_metric_drawing_is_answered_in_metric(tmp_path: Path) -> None:
    drawing = save_elevation(
        tmp_path / "a.dxf", [("W1", (0, 0, 12000, 3600))], [("D1", (5000, 0, 6000, 2200))]
    )
    ending = perpend("compare", drawing, "--units-of-drawing", "mm")
    assert ending.code == 0
    assert "12000 long, 3600 high" in ending.out
    head = ending.out.splitlines()[5]
    assert head.split()[-4:] == ["m", "kg", "panel", "limit"]
    row = next(line for line in ending.out.splitlines() if line.startswith("> empirical")).split()
    assert row[3] == "5400"
    assert " kg; if it arches" in ending.out


def test_the_sentence_on_arching_is_in_the_drawings_own_units_first(tmp_path: Path) -> None:
    """1000 mm of masonry over a door of 3000 mm: half of (3000 + 2 × 200 mm) and 8 in. would be needed."""
    walls, doors = [("W1", (0, 0, 12000, 3200))], [("D1", (4000, 0, 7000, 2200))]
    drawing = save_elevation(tmp_path / "a.dxf", walls, doors)
    text = re.sub(r"\s+", " ", perpend("compare", drawing, "--units-of-drawing", "mm").out)
    needed = (3000 + 2 * 200) / 2 + 8 * 25.4
    assert f"It can't: 1000 mm (3'-3 3/8\") of masonry above the head, {needed:.0f} mm (" in text


def test_what_does_not_depend_on_the_option_is_told_once(tmp_path: Path) -> None:
    """A drafter's joint stops 40 in. short of the top: no method and no treatment mends that."""
    doc = new_drawing()
    add_box(doc, (0, 0, 480, 144), "A-ELEV-WALL")
    add_box(doc, (300, 0, 340, 88), "A-ELEV-OPNG")
    doc.modelspace().add_line((160, 0), (160, 104), dxfattribs={"layer": "A-ELEV-JNTC"})
    drawing = tmp_path / "a.dxf"
    doc.saveas(drawing)
    text = re.sub(r"\s+", " ", perpend("compare", drawing).out)
    options = compared(drawing)["walls"][0]["options"]
    assert len(options) > 1
    assert all("joint-stops-short" in [f["code"] for f in option["not_met"]] for option in options)
    assert text.count("joint-stops-short") == 1
    assert "not met: every option: joint-stops-short. The joint at 13'-4\" of" in text


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("missing.dxf",), "missing.dxf"),
        (("a.dxf", "--csv", "a.dxf"), "never overwritten"),
        (("a.dxf", "--csv", "nowhere/options.csv"), "no folder"),
        (("a.dxf", "--settings", "missing.toml"), "missing.toml"),
        ((), "DRAWING"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(
    arguments: tuple[str, ...], words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    drawing = save_elevation(tmp_path / "a.dxf", [("W1", (0, 0, 480, 144))])
    before = drawing.read_bytes()
    ending = perpend("compare", *arguments)
    assert ending.code == 2
    assert words in ending.err
    assert "Traceback" not in ending.err
    assert drawing.read_bytes() == before
    assert [p.name for p in tmp_path.iterdir()] == ["a.dxf"]


def test_every_key_of_the_comparison_is_explained() -> None:
    text = (ROOT / "docs" / "results.md").read_text(encoding="utf-8").split("## The comparison")[1]
    text += (
        (ROOT / "docs" / "results.md").read_text(encoding="utf-8").split("## The whole")[1].split("## ")[0]
    )
    models = (CompareResults, OptionEntry, LayoutEntry, ArchingEntry)
    for key in [field.name for model in models for field in fields(model)]:
        if key not in ("longest_panel_limit_in", "longest_panel_utilisation"):
            assert f"`{key}`" in text, key
    assert "`steel`" in text
