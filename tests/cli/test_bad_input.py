"""Bad input: one clear sentence, exit code 2, and no file written, for each fault of issue 2's list."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from cli.drawings import Box, add_box, add_text, new_drawing, save_elevation
from cli.harness import perpend, program

WALL: Box = (0, 0, 480, 160)
Case = Callable[[Path], Path]


def no_file(folder: Path) -> Path:
    return folder / "nowhere.dxf"


def not_a_dxf(folder: Path) -> Path:
    path = folder / "letter.dxf"
    path.write_text("Dear Sir or Madam,\n", encoding="utf-8")
    return path


def empty_file(folder: Path) -> Path:
    path = folder / "empty.dxf"
    path.touch()
    return path


def no_wall(folder: Path) -> Path:
    doc = new_drawing()
    add_box(doc, WALL, "OTHER")
    doc.saveas(folder / "nowall.dxf")
    return folder / "nowall.dxf"


def open_outline(folder: Path) -> Path:
    doc = new_drawing()
    points = [(0, 0), (480, 0), (480, 160), (0, 160), (0, 60)]
    doc.modelspace().add_lwpolyline(points, dxfattribs={"layer": "A-ELEV-WALL"})
    doc.saveas(folder / "open.dxf")
    return folder / "open.dxf"


def overlapping_openings(folder: Path) -> Path:
    openings = [("D1", (96, 0, 160, 88)), ("D2", (136, 0, 200, 88))]
    return save_elevation(folder / "overlap.dxf", [("A", WALL)], openings)


def zero_height(folder: Path) -> Path:
    return save_elevation(folder / "flat.dxf", [("A", (0, 0, 480, 0))])


def a_folder(folder: Path) -> Path:
    return folder


def cut_in_half(folder: Path) -> Path:
    whole = save_elevation(folder / "whole.dxf", [("A", WALL)]).read_bytes()
    path = folder / "cut.dxf"
    path.write_bytes(whole[: len(whole) * 2 // 3])
    (folder / "whole.dxf").unlink()
    return path


CASES: list[tuple[Case, str]] = [
    (no_file, "no file"),
    (not_a_dxf, "not a DXF"),
    (empty_file, "empty"),
    (no_wall, "wall"),
    (open_outline, "open"),
    (overlapping_openings, "overlap"),
    (zero_height, "encloses nothing"),
    (a_folder, "folder"),
    (cut_in_half, "cut"),
]


@pytest.mark.parametrize("command", ["annotate", "check"])
@pytest.mark.parametrize(("case", "word"), CASES, ids=[case.__name__ for case, _ in CASES])
def test_a_bad_drawing_is_refused_in_one_sentence(
    tmp_path: Path, case: Case, word: str, command: str
) -> None:
    drawing = case(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    ending = perpend(command, drawing, "--results", tmp_path / "results.json")
    assert (ending.code, ending.out) == (2, "")
    assert len(ending.err.splitlines()) == 1, ending.err
    assert word in ending.err
    assert drawing.name in ending.err
    assert ending.err.rstrip().endswith(".")
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[defaults]\nmetod = "empirical"\n', ("unknown key", "metod", "'method'")),
        ('[layer]\nwalls = ["X"]\n', ("unknown key", "layer", "'layers'")),
        ('[defaults]\nspacing_cap = "30 ft"\n', ("looser", "25'-0\"")),
        ("[defaults]\nspacing_ratio = 2\n", ("looser", "1.5")),
        ('[defaults]\nmethod = "guess"\n', ("guess", "empirical")),
        ('rulebook = "us-cmo"\n', ("us-cmo", "us-cmu")),
        ("[defaults\n", ("TOML",)),
        ("dimensions = true\n", ("dimensions = true is no text: put it in quotes, 'true'.",)),
        (
            '[defaults]\nwall_thickness = "8"\n',
            ("wall_thickness = '8' is no number: leave the quotes out, 8.",),
        ),
        (
            'dimensions = "plane"\n',
            ("dimensions = 'plane' is not known; the nearest known one is 'plain'.",),
        ),
        ('layer_prefix = "0"\n', ('layer_prefix: "0" is a layer of every drawing',)),
        ('layer_prefix = "A/B*"\n', ('layer_prefix: "A/B*" is no name for a layer: leave out * /.',)),
    ],
)
def test_bad_settings_are_refused_in_one_sentence(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    drawing = save_elevation(tmp_path / "good.dxf", [("A", WALL)])
    settings = tmp_path / "office.toml"
    settings.write_text(text, encoding="utf-8")
    before = sorted(tmp_path.rglob("*"))
    ending = perpend("annotate", drawing, "--settings", settings)
    assert (ending.code, ending.out) == (2, "")
    assert len(ending.err.splitlines()) == 1, ending.err
    for word in words:
        assert word in ending.err
    assert sorted(tmp_path.rglob("*")) == before


def test_a_missing_settings_file_is_named(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "good.dxf", [("A", WALL)])
    ending = perpend("annotate", drawing, "--settings", tmp_path / "gone.toml")
    assert ending.code == 2
    assert "gone.toml" in ending.err


@pytest.mark.parametrize("place", ["same", "linked", "folder", "missing folder"])
def test_a_place_where_nothing_may_be_written_is_refused(tmp_path: Path, place: str) -> None:
    drawing = save_elevation(tmp_path / "good.dxf", [("A", WALL)])
    linked = tmp_path / "link.dxf"
    linked.symlink_to(drawing)
    target = {
        "same": tmp_path / "." / "good.dxf",
        "linked": linked,
        "folder": tmp_path,
        "missing folder": tmp_path / "none" / "out.dxf",
    }[place]
    original, before = drawing.read_bytes(), sorted(tmp_path.rglob("*"))
    for option in ("-o", "--results"):
        ending = perpend("annotate", drawing, option, target)
        assert (ending.code, ending.out) == (2, "")
        assert len(ending.err.splitlines()) == 1
        assert drawing.read_bytes() == original
        assert sorted(tmp_path.rglob("*")) == before


def test_results_and_drawing_may_not_be_one_file(tmp_path: Path) -> None:
    drawing = save_elevation(tmp_path / "good.dxf", [("A", WALL)])
    ending = perpend("annotate", drawing, "-o", tmp_path / "out", "--results", tmp_path / "out")
    assert ending.code == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["good.dxf"]


def test_the_program_itself_ends_with_2_and_no_traceback(tmp_path: Path) -> None:
    ending = program("annotate", no_wall(tmp_path))
    assert ending.code == 2
    assert ending.err.startswith("perpend: ")
    assert "Traceback" not in ending.err
    assert [p.name for p in tmp_path.iterdir()] == ["nowall.dxf"]


def test_texts_alone_make_no_wall(tmp_path: Path) -> None:
    doc = new_drawing()
    add_text(doc, "W1", (10, 10))
    doc.saveas(tmp_path / "texts.dxf")
    assert perpend("annotate", tmp_path / "texts.dxf").code == 2
