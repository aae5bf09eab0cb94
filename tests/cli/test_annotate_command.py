"""``perpend annotate`` from outside: files, exit codes, settings, units, options."""

from __future__ import annotations

import json
import re
from pathlib import Path

import ezdxf
import pytest

from cli.drawings import Box, save_elevation
from cli.harness import perpend, program
from perpend.report import Results

WALL: Box = (0, 0, 720, 200)


@pytest.fixture
def drawing(tmp_path: Path) -> Path:
    """A wall of 60'-0" × 16'-8" with a 4'-0" door."""
    return save_elevation(tmp_path / "north.dxf", [("N", WALL)], [("D1", (240, 0, 288, 88))])


def results_of(path: Path) -> Results:
    return Results.from_json(path.read_text(encoding="utf-8"))


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_the_output_goes_beside_the_input_which_stays_as_it_was(drawing: Path) -> None:
    original = drawing.read_bytes()
    ending = perpend("annotate", drawing)
    assert (ending.code, ending.err) == (0, "")
    assert names(drawing.parent) == ["north-annotated.dxf", "north.dxf"]
    assert drawing.read_bytes() == original
    assert "N: 60'-0\" long, 16'-8\" high" in ending.out


def test_results_round_trip_and_match_what_was_read(drawing: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.json"
    assert perpend("annotate", drawing, "-o", tmp_path / "o.dxf", "--results", path).code == 0
    results = results_of(path)
    assert path.read_text(encoding="utf-8") == results.to_json()
    (wall,) = results.walls
    assert (wall.tag, wall.length_in, wall.height_in) == ("N", 720, 200)
    assert [(o.tag, o.x0_in, o.x1_in, o.y1_in) for o in wall.openings] == [("D1", 240, 288, 88)]
    # TEK 10-2C Table 1: 25'-0"; reinforced door, so no joint within 24 in. of it (facts.md section 4).
    assert wall.limits.max_spacing_in == 300
    assert all(not 216 < joint.x_in < 312 for joint in wall.joints)
    assert all(joint.x_in % 8 == 0 for joint in wall.joints)
    assert wall.joints[0].x_in <= 150
    assert 720 - wall.joints[-1].x_in <= 150


def test_the_review_sheet_is_written_beside_the_drawing(drawing: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "north.html"
    assert perpend("annotate", drawing, "-o", tmp_path / "o.dxf", "--sheet", sheet).code == 0
    page = sheet.read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert "<svg" in page
    assert "D1" in page
    refused = perpend("annotate", drawing, "-o", tmp_path / "o.dxf", "--sheet", tmp_path / "o.dxf")
    assert refused.code == 2
    assert "o.dxf is no name for a review sheet" in refused.err


def test_json_on_the_screen_is_the_results_file(drawing: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.json"
    ending = perpend("annotate", drawing, "-o", tmp_path / "o.dxf", "--results", path, "--json")
    assert json.loads(ending.out) == json.loads(path.read_text(encoding="utf-8"))


def test_a_wall_that_breaks_a_limit_is_drawn_and_ends_with_1(tmp_path: Path) -> None:
    """A reinforced door of 50'-0" in a wall 4'-8" high leaves no place for a joint over 54'-0"."""
    path = save_elevation(tmp_path / "tight.dxf", [("T", (0, 0, 800, 56))], [("D1", (104, 0, 704, 48))])
    ending = perpend("annotate", path)
    assert (ending.code, ending.err) == (1, "")
    assert "VIOLATION V1" in ending.out
    assert "measured 54'-0\"; limit 7'-0\"" in ending.out
    doc = ezdxf.readfile(tmp_path / "tight-annotated.dxf")
    assert len(doc.modelspace().query('*[layer=="A-ELEV-JNTC-VIOL"]')) > 0


def test_project_settings_and_sidecar_are_found(drawing: Path, tmp_path: Path) -> None:
    (tmp_path / "perpend.toml").write_text('[defaults]\nopenings = "unreinforced"\n', encoding="utf-8")
    (tmp_path / "north.perpend.toml").write_text(
        '[[walls]]\ntag = "N"\nleft_end = "free"\n', encoding="utf-8"
    )
    path = tmp_path / "r.json"
    assert perpend("annotate", drawing, "--results", path).code == 0
    results = results_of(path)
    assert [Path(f).name for f in results.settings_files] == ["perpend.toml", "north.perpend.toml"]
    (wall,) = results.walls
    assert (wall.left_end, wall.right_end) == ("free", "corner")
    assert wall.openings[0].treatment == "unreinforced"
    assert wall.openings[0].joints != []


def test_a_tag_in_the_settings_that_is_not_in_the_drawing_is_remarked(drawing: Path, tmp_path: Path) -> None:
    settings = tmp_path / "s.toml"
    settings.write_text('[[openings]]\ntag = "D9"\ntreatment = "unreinforced"\n', encoding="utf-8")
    ending = perpend("annotate", drawing, "--settings", settings)
    assert ending.code == 0
    assert "D9 of the settings is not in this drawing: is D1 meant?" in ending.out


def adjoining_pair(folder: Path) -> tuple[Path, Path, Path]:
    """Draw two walls that adjoin; return the drawing, and where its results and its settings go."""
    walls = [("W1", (0, 0, 360, 144)), ("W2", (360, 0, 960, 112))]
    return save_elevation(folder / "p.dxf", walls), folder / "r.json", folder / "s.toml"


@pytest.mark.parametrize("command", ["annotate", "check"])
def test_an_end_that_only_one_of_two_adjoining_walls_gives_up_keeps_its_joint_and_is_told(
    command: str, tmp_path: Path
) -> None:
    pair, found, settings = adjoining_pair(tmp_path)
    entry = '[[walls]]\ntag = "W1"\nright_end = "continues"\n'
    settings.write_text(entry, encoding="utf-8")
    ending = perpend(command, pair, "--settings", settings, "--results", found)
    left, right = results_of(found).walls
    assert (left.right_end, right.left_end) == ("joint", "joint")
    said = (
        'right_end = "continues" of W1 does nothing: W2 adjoins there, and the joint between the two stays. '
        "To go without it, set left_end of W2 too."
    )
    assert results_of(found).remarks == [said]
    if command == "annotate":
        assert (ending.code, left.joints[-1].x_in, left.joints[-1].kind) == (0, 360.0, "end")
    else:
        missing = [f.at for f in left.findings if f.code == "no-joint-at-adjoining-wall"]
        assert [at[0][0] for at in missing] == [360.0]
    settings.write_text(entry + '[[walls]]\ntag = "W2"\nleft_end = "continues"\n', encoding="utf-8")
    perpend(command, pair, "--settings", settings, "--results", found, "--overwrite")
    left, right = results_of(found).walls
    assert (left.right_end, right.left_end) == ("continues", "continues")
    assert [r.partition(",")[0] for r in results_of(found).remarks] == [
        "By the settings no joint is between W1 and W2"
    ]


@pytest.mark.parametrize("command", ["annotate", "check"])
@pytest.mark.parametrize("ends", [("free", "free"), ("corner", "corner"), ("free", "corner")])
def test_a_wildcard_that_takes_the_joint_between_two_walls_away_is_told(
    command: str, ends: tuple[str, str], tmp_path: Path
) -> None:
    pair, found, settings = adjoining_pair(tmp_path)
    entry = f'[[walls]]\ntag = "W?"\nleft_end = "{ends[0]}"\nright_end = "{ends[1]}"\n'
    settings.write_text(entry, encoding="utf-8")
    perpend(command, pair, "--settings", settings, "--results", found)
    left, right = results_of(found).walls
    assert (left.right_end, right.left_end) == (ends[1], ends[0])
    assert 360.0 not in [joint.x_in for joint in left.joints]
    assert results_of(found).remarks == [
        "By the settings no joint is between W1 and W2, and what runs through there is not measured as "
        "one panel: draw the two as one outline to have it measured."
    ]


def test_a_bare_number_that_is_rather_feet_is_doubted(drawing: Path, tmp_path: Path) -> None:
    settings, found = tmp_path / "s.toml", tmp_path / "r.json"
    settings.write_text("[defaults]\nwide_opening_from = 6\nspacing_cap = 240\n", encoding="utf-8")
    perpend("annotate", drawing, "--settings", settings, "--results", found)
    assert results_of(found).remarks == [
        "wide_opening_from of the settings is 0'-6\", for a bare number is one of inches: "
        'write "6\'" if feet are meant.'
    ]


def test_every_file_that_was_written_is_named(drawing: Path, tmp_path: Path) -> None:
    places = [tmp_path / "r.json", tmp_path / "s.html"]
    ending = perpend("annotate", drawing, "--results", places[0], "--sheet", places[1])
    written = [line for line in ending.out.splitlines() if line.startswith("Written: ")]
    assert written == [f"Written: {p}" for p in (drawing.with_name("north-annotated.dxf"), *places)]


def test_a_layer_of_ours_under_another_name_is_told(drawing: Path) -> None:
    doc = ezdxf.readfile(drawing)
    doc.layers.add("A-ELEV-JNTC", color=3)
    doc.saveas(drawing)
    text = " ".join(perpend("annotate", drawing).out.split())
    assert "has a layer A-ELEV-JNTC that looks otherwise, so that ours is A-ELEV-JNTC-2." in text


def test_a_slip_in_a_project_s_settings_is_told_before_the_tags_of_other_drawings(drawing: Path) -> None:
    """D-01 reads like D1; the others belong to other elevations, and four names of ten are enough."""
    others = "".join(f'[[walls]]\ntag = "EAST {n}"\n' for n in range(10))
    slip = '[[openings]]\ntag = "D-01"\ntreatment = "unreinforced"\n'
    drawing.with_name("perpend.toml").write_text(others + slip, encoding="utf-8")
    text = " ".join(perpend("annotate", drawing).out.split())
    slip_at = text.index("D-01 of the settings is not in this drawing: is D1 meant?")
    rest_at = text.index("named by the settings: EAST 0, EAST 1, EAST 2 and 7 more.")
    assert slip_at < rest_at


def test_a_coefficient_that_the_method_does_not_read_is_remarked(drawing: Path, tmp_path: Path) -> None:
    settings = tmp_path / "s.toml"
    settings.write_text("[defaults]\nccc = 0.001\n", encoding="utf-8")
    text = " ".join(perpend("annotate", drawing, "--settings", settings).out.split())
    assert "The crack control coefficient of the settings does nothing: only the engineered" in text
    settings.write_text('[defaults]\nmethod = "engineered"\nccc = 0.001\n', encoding="utf-8")
    assert "coefficient of the settings" not in perpend("annotate", drawing, "--settings", settings).out


def test_millimetres_lay_out_on_the_metric_module_and_print_metric(drawing: Path, tmp_path: Path) -> None:
    """18 m × 5 m: 1.5 × H = 7.5 m, below the cap of 7.62 m (25 ft, TEK 10-2B Table 1); module 200 mm."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    points = [(0, 0), (18000, 0), (18000, 5000), (0, 5000)]
    doc.modelspace().add_lwpolyline(points, close=True, dxfattribs={"layer": "A-ELEV-WALL"})
    path = tmp_path / "metric.dxf"
    doc.saveas(path)
    ending = perpend("annotate", path, "--results", tmp_path / "r.json")
    assert ending.code == 0
    assert "18000 mm long, 5000 mm high" in ending.out
    assert "up to 7500 mm (24'-7 1/4\")" in ending.out
    (wall,) = results_of(tmp_path / "r.json").walls
    stations = [joint.x_in * 25.4 for joint in wall.joints]
    assert stations == pytest.approx([200 * round(x / 200) for x in stations], abs=0.01)
    assert max(panel.length_in for panel in wall.panels) * 25.4 <= 7500


def test_a_metric_project_of_a_metric_rule_book_prints_no_feet(tmp_path: Path) -> None:
    """In words, cures, sheet and results: 12 m for clay (EN 1996-2, table of lm), 3 × H for a low wall."""
    drawing = Path(__file__).parents[2] / "sample_drawings" / "brick-uk" / "row-rear.dxf"
    results, sheet = tmp_path / "r.json", tmp_path / "sheet.html"
    ending = perpend("check", drawing, "-o", tmp_path / "c.dxf", "--results", results, "--sheet", sheet)
    assert "limit 12000 mm\n" in ending.out
    assert "3 × height 1800 mm)" in ending.out
    assert "Cure: Add 2 MJs, at 5963 mm and 17325 mm." in ending.out
    written = (ending.out, results.read_text(encoding="utf-8"), sheet.read_text(encoding="utf-8"))
    for text in written:
        assert " mm" in text
        assert not re.search(r"\d'-\d", text.replace("&#x27;", "'"))


def test_the_unit_of_the_drawing_can_be_overruled(drawing: Path, tmp_path: Path) -> None:
    path = tmp_path / "r.json"
    ending = perpend("annotate", drawing, "--units-of-drawing", "cm", "--results", path)
    assert ending.code in (0, 1)
    results = results_of(path)
    assert (results.drawing.units, results.drawing.metric) == ("cm", True)
    assert results.walls[0].length_in == pytest.approx(7200 / 25.4, abs=1e-4)


def test_a_layout_that_is_not_there_is_named_with_those_that_are(drawing: Path) -> None:
    ending = perpend("annotate", drawing, "--layout", "Sheet 9")
    assert ending.code == 2
    assert "Sheet 9" in ending.err
    assert "Layout1" in ending.err
    assert names(drawing.parent) == ["north.dxf"]


@pytest.mark.parametrize(("kind", "start"), [("svg", b"<?xml"), ("png", b"\x89PNG")])
def test_a_picture_needs_no_cad_program(drawing: Path, tmp_path: Path, kind: str, start: bytes) -> None:
    picture = tmp_path / f"p.{kind}"
    assert perpend("annotate", drawing, "--picture", picture).code == 0
    assert picture.read_bytes().startswith(start)


def test_another_kind_of_picture_is_refused_and_nothing_written(drawing: Path, tmp_path: Path) -> None:
    ending = perpend("annotate", drawing, "--picture", tmp_path / "p.bmp", "--results", tmp_path / "r.json")
    assert ending.code == 2
    assert "name it .svg or .png" in ending.err
    assert names(tmp_path) == ["north.dxf"]


def test_a_fault_while_drawing_leaves_nothing(drawing: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("no ink")

    monkeypatch.setattr("perpend.jobs.annotate.draw_plans", broken)
    ending = perpend("annotate", drawing, "--results", drawing.with_suffix(".json"))
    assert (ending.code, ending.out) == (3, "")
    assert names(drawing.parent) == ["north.dxf"]


def test_an_output_that_nobody_touched_is_replaced_without_a_word(drawing: Path) -> None:
    output = drawing.with_name("north-annotated.dxf")
    assert perpend("annotate", drawing).code == 0
    settings = drawing.with_name("perpend.toml")
    settings.write_text("[text]\nplot_scale = 48\n", encoding="utf-8")
    before = output.read_bytes()
    ending = perpend("annotate", drawing)
    assert (ending.code, ending.err) == (0, "")
    assert output.read_bytes() != before


@pytest.mark.parametrize(("release", "kind"), [("R2010", "asc"), ("R12", "asc"), ("R2010", "bin")])
@pytest.mark.parametrize("command", ["annotate", "check"])
def test_work_in_an_output_is_not_overwritten(drawing: Path, command: str, release: str, kind: str) -> None:
    """A line drawn into the output by another program stays; what ezdxf saved anew is known as well."""
    doc = ezdxf.readfile(drawing)
    if release == "R12":
        doc = old = ezdxf.new("R12")
        for layer, (x0, y0, x1, y1) in (("A-ELEV-WALL", WALL), ("A-ELEV-OPNG", (240, 0, 288, 88))):
            points = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            old.modelspace().add_polyline2d(points, close=True, dxfattribs={"layer": layer})
    doc.saveas(drawing, fmt=kind)  # type: ignore[arg-type]
    output = drawing.with_name({"annotate": "north-annotated.dxf", "check": "north-checked.dxf"}[command])
    assert perpend(command, drawing).code < 2
    assert perpend(command, drawing).code < 2, "nobody touched it"
    doc = ezdxf.readfile(output)
    doc.modelspace().add_line((0, 0), (10, 10), dxfattribs={"layer": "MINE"})
    doc.saveas(output, fmt=kind)  # type: ignore[arg-type]
    work = output.read_bytes()
    ending = perpend(command, drawing)
    assert (ending.code, ending.out, len(ending.err.splitlines())) == (2, "", 1)
    assert "was changed since perpend wrote it" in ending.err
    assert "--overwrite" in ending.err
    assert output.read_bytes() == work
    assert perpend(command, drawing, "--overwrite").code < 2
    assert not ezdxf.readfile(output).modelspace().query('*[layer=="MINE"]')


def test_a_file_of_somebody_else_is_not_overwritten(drawing: Path) -> None:
    output = drawing.with_name("north-annotated.dxf")
    output.write_text("old", encoding="utf-8")
    ending = perpend("annotate", drawing)
    assert (ending.code, output.read_text(encoding="utf-8")) == (2, "old")
    assert "was not written by perpend" in ending.err
    assert perpend("annotate", drawing, "--overwrite").code == 0
    assert ezdxf.readfile(output).modelspace().query('*[layer=="A-ELEV-JNTC"]')


def test_an_output_that_is_annotated_again_gets_a_number_once(drawing: Path) -> None:
    for source in ("north.dxf", "north-annotated.dxf", "north-annotated-2.dxf"):
        assert perpend("annotate", drawing.with_name(source)).code == 0
    assert names(drawing.parent) == [
        "north-annotated-2.dxf",
        "north-annotated-3.dxf",
        "north-annotated.dxf",
        "north.dxf",
    ]


def test_a_drawing_is_not_written_under_another_ending(drawing: Path) -> None:
    ending = perpend("annotate", drawing, "-o", drawing.with_name("out.txt"))
    assert (ending.code, ending.out, names(drawing.parent)) == (2, "", ["north.dxf"])
    assert "ends in .dxf" in ending.err


@pytest.mark.parametrize("option", ["-o", "--results", "--picture"])
def test_a_place_that_cannot_be_written_is_refused_and_nothing_else_written(
    drawing: Path, option: str
) -> None:
    """Nobody may make a file in /proc, not even the administrator."""
    ending = perpend("annotate", drawing, option, "/proc/perpend.svg")
    assert (ending.code, ending.out) == (2, "")
    assert len(ending.err.splitlines()) == 1
    assert "/proc" in ending.err
    assert names(drawing.parent) == ["north.dxf"]


def test_the_same_input_gives_the_same_bytes(drawing: Path, tmp_path: Path) -> None:
    first, second = tmp_path / "1.dxf", tmp_path / "2.dxf"
    assert program("annotate", drawing, "-o", first, PYTHONHASHSEED="1").code == 0
    assert program("annotate", drawing, "-o", second, PYTHONHASHSEED="2").code == 0
    assert first.read_bytes() == second.read_bytes()


def test_clean_gives_the_original_bytes_back(drawing: Path, tmp_path: Path) -> None:
    annotated, cleaned = tmp_path / "a.dxf", tmp_path / "c.dxf"
    assert perpend("annotate", drawing, "-o", annotated).code == 0
    assert annotated.read_bytes() != drawing.read_bytes()
    ending = perpend("annotate", annotated, "--clean", "-o", cleaned)
    assert (ending.code, ending.err) == (0, "")
    assert perpend("annotate", annotated, "--clean", "-o", cleaned).code == 2, "it may hold work by now"
    assert "to the byte what it was before" in ending.out
    assert cleaned.read_bytes() == drawing.read_bytes()


def test_clean_goes_with_the_output_alone(drawing: Path, tmp_path: Path) -> None:
    ending = perpend("annotate", drawing, "--clean", "--results", tmp_path / "r.json")
    assert (ending.code, ending.out) == (2, "")
    assert "--clean" in ending.err
    assert names(tmp_path) == ["north.dxf"]
