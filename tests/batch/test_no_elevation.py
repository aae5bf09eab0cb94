"""A sheet without an elevation is a state of its own; an elevation whose walls can't be seen is none such."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from ezdxf.document import Drawing

from batch.material import rows_of, save_good, save_title_sheet
from cli.drawings import add_box, add_text, new_drawing
from cli.harness import perpend
from perpend.folders import BatchOptions, BatchReport, run_batch
from perpend.reading.reading_options import Role
from perpend.reading.survey.layer_survey import survey_layers

BOX = (0, 0, 480, 144)


def batch(root: Path, **options: bool) -> BatchReport:
    return run_batch(root / "in", root / "out", BatchOptions(**options), make=ThreadPoolExecutor)


@pytest.mark.parametrize("checking", [False, True], ids=["annotate", "check"])
def test_a_title_sheet_is_told_comes_last_and_leaves_the_run_green(checking: bool, tmp_path: Path) -> None:
    for name in ("b", "c"):
        save_good(tmp_path / "plain", name)
    save_title_sheet(tmp_path / "plain" / "a.dxf")
    source = tmp_path / "plain"
    if checking:
        assert run_batch(source, tmp_path / "in", BatchOptions(), make=ThreadPoolExecutor).exit_code == 0
        save_title_sheet(tmp_path / "in" / "a.dxf")
    else:
        source.rename(tmp_path / "in")
    report = batch(tmp_path, check=checking)
    assert report.exit_code == 0
    rows = rows_of(tmp_path / "out")
    assert rows["a.dxf"]["state"] == "no elevation"
    assert "no wall found" in rows["a.dxf"]["sentence"]
    assert rows["a.dxf"]["output"] == ""
    assert rows["a.dxf"]["gravity_place"] == 3
    page = (tmp_path / "out" / "index.html").read_text(encoding="utf-8")
    assert '<p class="verdict">2 clean' in page
    assert "1 without an elevation</p>" in page


def test_the_command_tells_it_and_counts_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("perpend.folders.LocalProcesses", ThreadPoolExecutor)
    save_good(tmp_path / "in", "b")
    save_title_sheet(tmp_path / "in" / "a.dxf")
    ending = perpend("batch", tmp_path / "in", "--out", tmp_path / "out", "--jobs", "1")
    assert ending.code == 0, ending.err
    assert ending.out.startswith("a.dxf: no elevation: ")
    assert "1 of 2 drawings done (0 unchanged): 1 clean, 1 without an elevation" in ending.out


def test_a_folder_of_title_sheets_alone_is_a_mistake(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    save_title_sheet(tmp_path / "in" / "a.dxf")
    report = batch(tmp_path)
    assert report.exit_code == 2
    assert report.trouble.startswith(f"No drawing in {tmp_path / 'in'} is an elevation")
    assert (tmp_path / "out" / "index.html").exists()


def frozen_wall(doc: Drawing) -> None:
    add_box(doc, BOX, "A-ELEV-WALL")
    doc.layers.get("A-ELEV-WALL").freeze()


def open_wall(doc: Drawing) -> None:
    doc.modelspace().add_line((0, 0), (480, 0), dxfattribs={"layer": "A-ELEV-WALL"})


def wall_in_a_layout(doc: Drawing) -> None:
    doc.layout("Layout1").add_lwpolyline(
        [(0, 0), (480, 0), (480, 144)], close=True, dxfattribs={"layer": "A-ELEV-WALL"}
    )


def wall_in_another_file(doc: Drawing) -> None:
    doc.add_xref_def("north.dwg", "NORTH-ELEVATION")
    doc.modelspace().add_blockref("NORTH-ELEVATION", (0, 0))


def walls_on(layer: str, openings: str) -> Callable[[Drawing], object]:
    """Return what draws a wall with a window and its mark, on layers that no setting names."""

    def draw(doc: Drawing) -> None:
        add_box(doc, (-100, -100, 600, 300), "G-ANNO-TTLB")
        add_box(doc, BOX, layer)
        add_box(doc, (200, 40, 264, 96), openings)
        add_text(doc, "W1", (20, 120))

    return draw


def wall_on_a_large_sheet(doc: Drawing) -> None:
    """Draw the same among so many lines that what has no role is kept from the loading."""
    walls_on("MW-FACE", "MW-HOLE")(doc)
    for number in range(3000):
        doc.modelspace().add_line((number, 400), (number, 500), dxfattribs={"layer": "A-FURN"})


@pytest.mark.parametrize(
    "draw",
    [
        frozen_wall,
        open_wall,
        wall_in_a_layout,
        wall_in_another_file,
        pytest.param(lambda doc: add_box(doc, (0, 0, 40, 88), "A-ELEV-OPNG"), id="its doors alone"),
    ],
)
def test_an_elevation_whose_walls_cannot_be_seen_is_refused(
    draw: Callable[[Drawing], object], tmp_path: Path
) -> None:
    save_good(tmp_path / "in", "b")
    doc = new_drawing()
    add_text(doc, "NORTH ELEVATION", (0, -40))
    draw(doc)
    doc.saveas(tmp_path / "in" / "a.dxf")
    assert batch(tmp_path).exit_code == 2
    row = rows_of(tmp_path / "out")["a.dxf"]
    assert (row["state"], row["gravity_place"]) == ("refused", 1), row["sentence"]


@pytest.mark.parametrize(
    "draw",
    [
        wall_on_a_large_sheet,
        *(
            pytest.param(walls_on(layer, openings), id=layer)
            for layer, openings in (
                ("MW-FACE", "MW-HOLE"),
                ("ELEV-OUTLINE", "ELEV-OPEN"),
                ("A-ELEV-FACE", "A-ELEV-GLAZ"),
                ("FASSADE", "OEFFNUNG"),
                ("A-ELEV-OTLN", "A-ELEV-DOOR"),
                ("BLDG", "DOORS"),
            )
        ),
    ],
)
def test_a_wall_that_is_known_by_what_is_drawn_alone_is_read_and_needs_a_look(
    draw: Callable[[Drawing], object], tmp_path: Path
) -> None:
    """Its lone window is read too, so that no joint stands in it."""
    save_good(tmp_path / "in", "b")
    doc = new_drawing()
    draw(doc)
    doc.saveas(tmp_path / "in" / "a.dxf")
    report = batch(tmp_path)
    assert report.exit_code == 1
    rows = rows_of(tmp_path / "out")
    assert [(rows[n]["state"], rows[n]["needs_look"]) for n in ("a.dxf", "b.dxf")] == [
        ("clean", True),
        ("clean", False),
    ]
    assert (rows["a.dxf"]["walls"], rows["a.dxf"]["doubts"], rows["a.dxf"]["gravity_place"]) == (1, 1, 1)
    assert rows["a.dxf"]["worst"].startswith("No layer of walls is named in the settings")
    stations = [row[2] for outcome in report.outcomes if outcome.name == "a.dxf" for row in outcome.schedule]
    assert stations
    assert not [x for x in stations if isinstance(x, float) and 200 < x < 264]


def test_a_wall_on_a_layer_whose_name_says_walls_is_read(tmp_path: Path) -> None:
    save_good(tmp_path / "in", "b")
    doc = new_drawing()
    add_box(doc, BOX, "WAND")
    doc.saveas(tmp_path / "in" / "a.dxf")
    assert batch(tmp_path).exit_code == 0
    row = rows_of(tmp_path / "out")["a.dxf"]
    assert (row["state"], row["walls"], row["doubts"]) == ("clean", 1, 0)


def plan_of_notes(doc: Drawing) -> None:
    add_box(doc, (0, 0, 1000, 700), "G-ANNO-TTLB")
    for row in range(8):
        add_text(doc, f"{row + 1}. SEE SPECIFICATION SECTION 04 20 00.", (60, 600 - 40 * row))


def sheet_of_details(doc: Drawing) -> None:
    add_box(doc, (0, 0, 1000, 700), "G-ANNO-TTLB")
    for number in range(3):
        add_box(doc, (100 + 250 * number, 100, 300 + 250 * number, 400), "A-DETL-OTLN")
        add_text(doc, f"D{number + 1}", (110 + 250 * number, 60))


@pytest.mark.parametrize("draw", [plan_of_notes, sheet_of_details])
def test_a_sheet_of_which_no_layer_would_be_drafted_as_walls_has_no_elevation(
    draw: Callable[[Drawing], object], tmp_path: Path
) -> None:
    save_good(tmp_path / "in", "b")
    doc = new_drawing()
    draw(doc)
    doc.saveas(tmp_path / "in" / "a.dxf")
    assert survey_layers(doc).layers_of(Role.WALLS) == ()
    assert batch(tmp_path).exit_code == 0
    assert rows_of(tmp_path / "out")["a.dxf"]["state"] == "no elevation"


def test_a_drawing_that_has_lost_its_walls_is_refused_until_its_outputs_are_moved_away(
    tmp_path: Path,
) -> None:
    save_good(tmp_path / "in", "a", "b")
    assert batch(tmp_path).exit_code == 0
    save_title_sheet(tmp_path / "in" / "a.dxf")
    for _ in range(2):
        report = batch(tmp_path)
        assert report.exit_code == 2
        assert "There were walls in it when a-annotated.dxf was written" in report.outcomes[0].sentence
    (tmp_path / "out" / "a-annotated.dxf").unlink()
    assert batch(tmp_path).exit_code == 0
    assert rows_of(tmp_path / "out")["a.dxf"]["state"] == "no elevation"
