"""Which unit a drawing is in: said, or guessed with a reason, or doubted aloud."""

from __future__ import annotations

from pathlib import Path

import pytest

from perpend.errors import InputError
from perpend.reading import ReadingOptions, read_drawing
from perpend.reading.gather.drawing_units import find_unit
from reading import zoo
from reading.zoo import INCHES, Pen

SILENT: dict[str, int] = {}


@pytest.mark.parametrize(("code", "name"), [(1, "in"), (2, "ft"), (4, "mm"), (5, "cm"), (6, "m")])
def test_the_header_counts(code: int, name: str) -> None:
    unit = find_unit({"$INSUNITS": code, "$MEASUREMENT": 0}, None, [], [], "f")
    assert (unit.name, unit.why, unit.inches) == (name, f"header ($INSUNITS {code})", INCHES[name])
    assert unit.metric == (name in ("mm", "cm", "m"))


@pytest.mark.parametrize("wanted", ["mm", " MM ", "inches", '"', "ft."])
def test_the_user_overrules_the_header(wanted: str) -> None:
    expected = {"mm": "mm", " MM ": "mm", "inches": "in", '"': "in", "ft.": "ft"}[wanted]
    assert find_unit({"$INSUNITS": 6}, wanted, [], [], "f").name == expected


@pytest.mark.parametrize("code", [3, 7, 8, 9, 10, 14])
def test_units_no_wall_is_drawn_in_are_asked_about(code: int) -> None:
    with pytest.raises(InputError, match=r"f says that it is drawn in .* --units-of-drawing"):
        find_unit({"$INSUNITS": code}, None, [100], [], "f")


@pytest.mark.parametrize(
    ("header", "unit", "height_in", "door_in"),
    [
        (header, unit, height, door)
        for header, units in (
            ({}, ("in", "mm", "m")),
            ({"$MEASUREMENT": 0}, ("in", "ft")),
            ({"$MEASUREMENT": 1}, ("mm", "m")),
        )
        for unit in units
        for height in (96.0, 144.0, 240.0, 320.0)
        for door in (36.0, 40.0, 72.0)
    ],
)
def test_guesses_for_ordinary_walls(
    header: dict[str, int], unit: str, height_in: float, door_in: float
) -> None:
    """Walls of 8 to 27 ft with doors of 3 to 6 ft, drawn in any unit."""
    guess = find_unit(header, None, [height_in / INCHES[unit]], [door_in / INCHES[unit]], "f")
    assert guess.name == unit
    assert guess.why.startswith("guess: the header has no unit")
    assert f"fit {unit} best" in guess.why


def test_a_drawing_that_prints_feet_and_inches_is_in_inches() -> None:
    guess = find_unit({"$LUNITS": 4}, None, [3000], [900], "f")
    assert guess.name == "in"
    assert "feet and inches" in guess.why


def test_sizes_that_contradict_the_header_s_system() -> None:
    """$MEASUREMENT says imperial (the default of many programs), but walls are 3000 high."""
    guess = find_unit({"$MEASUREMENT": 0}, None, [3000.0], [900.0], "f")
    assert guess.name == "mm"
    assert "which the sizes contradict" in guess.why


@pytest.mark.parametrize("openings", [[3.0], [3.333, 4.0]])
def test_openings_of_a_door_s_size_in_feet_outweigh_metric(openings: list[float]) -> None:
    """Programs write $MEASUREMENT unasked; a door of 3 in a wall of 14 is a door of 3 ft, not of 3 m."""
    guess = find_unit({"$MEASUREMENT": 1}, None, [14.0], openings, "f")
    assert guess.name == "ft"
    assert "metric ($MEASUREMENT 1), which the sizes contradict" in guess.why
    assert guess.why.endswith("overrule it with --units-of-drawing")
    assert "doubtful" not in guess.why


def test_a_guess_that_makes_walls_and_doors_huge_is_doubted() -> None:
    """13 m = 43 ft; 3.66 m = 12 ft."""
    assert "doubtful: walls come out 43 ft high" in find_unit({}, None, [13000.0], [900.0], "f").why
    assert "doubtful: openings come out 12 ft across" in find_unit({}, None, [8000.0], [3660.0], "f").why


def test_a_header_that_the_walls_contradict_is_not_followed_and_doubted(tmp_path: Path) -> None:
    """The header says inches, but a wall 3657.6 high is 12 ft in millimetres and 305 ft in inches."""
    pen = Pen(unit="mm")
    pen.face()
    pen.doc.header["$INSUNITS"] = 1
    path = pen.save(tmp_path / "doubtful.dxf")
    elevation = read_drawing(path).elevation
    assert elevation.units == "mm"
    assert elevation.walls[0].length_in == pytest.approx(480)
    assert any(n.code == "unit-contradicts-header" and n.is_grave for n in elevation.notices)
    said = read_drawing(path, ReadingOptions(units_of_drawing="in")).elevation
    assert (said.units, "doubtful" in said.units_why) == ("in", True)
    assert "--units-of-drawing mm" in said.units_why
    cured = read_drawing(path, ReadingOptions(units_of_drawing="mm")).elevation
    assert (cured.walls[0].length_in, cured.units_why) == (pytest.approx(480), "setting")


def test_a_unit_without_any_size_is_still_named() -> None:
    assert "nothing to measure" in find_unit(SILENT, None, [], [], "f").why


def test_a_missing_header_is_no_metre(tmp_path: Path) -> None:
    """Ezdxf fills a missing header with metres; the reader looks at what the file itself says."""
    data = zoo.plain(tmp_path / "plain.dxf", version="R12").read_bytes()
    path = tmp_path / "headless.dxf"
    path.write_bytes(b"  0\nSECTION\n  2\nTABLES" + data.split(b"TABLES", 1)[1])
    elevation = read_drawing(path).elevation
    assert elevation.units == "in"
    assert elevation.units_why.startswith("guess")
