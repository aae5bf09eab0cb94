"""``perpend limits``: numbers of the published tables, in whatever unit the height is typed."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from cli.harness import Ending, perpend


def limits(*arguments: str) -> dict[str, object]:
    ending = perpend("limits", "--json", *arguments)
    assert ending.code == 0, ending.err
    found: dict[str, object] = json.loads(ending.out)
    return found


FULL = ("--method", "empirical", "--units", "full-height")
HALF = ("--method", "empirical", "--units", "half-high")


@pytest.mark.parametrize(
    ("height", "units", "feet"),
    [
        # TEK 10-2C Table 1: 1.5 × H, at most 25'-0"; worked in facts.md section 1.
        ("4'-8\"", FULL, 7),
        ("8'-0\"", FULL, 12),
        ("12'-0\"", FULL, 18),
        ("16'-8\"", FULL, 25),
        ("20'-0\"", FULL, 25),
        # TEK 10-2D: half-high units, at most 20'-0".
        ("12'-0\"", HALF, 18),
        ("13'-4\"", HALF, 20),
        ("20'-0\"", HALF, 20),
    ],
)
def test_spacing_is_that_of_the_table(height: str, units: tuple[str, ...], feet: int) -> None:
    found = limits("--height", height, *units)
    assert found["limits"]["max_spacing_in"] == 12 * feet  # type: ignore[index]
    assert found["limits"]["corner_distance_in"] == 6 * feet  # type: ignore[index]


@pytest.mark.parametrize(
    "typed",
    ["16'-8\"", "16' 8\"", "16ft 8in", "200", "200in", '200"', "5080mm", "5080 mm", "508cm", "5.08 m"],
)
def test_every_way_to_type_a_height_is_the_same_height(typed: str) -> None:
    found = limits("--height", typed)
    assert (found["height_in"], found["limits"]["max_spacing_in"]) == (200, 300)  # type: ignore[index]


def test_decimal_feet() -> None:
    assert limits("--height", "16.5ft")["height_in"] == 198


def test_a_metric_height_is_answered_in_metric_with_the_imperial_limit_beside() -> None:
    """TEK 10-2B Table 1 prints the cap as 25 ft (7.62 m)."""
    text = perpend("limits", "--height", "6 m").out
    assert "7620 mm (25'-0\") at most" in text
    assert limits("--height", "6 m")["metric"] is True


@pytest.mark.parametrize(
    ("ccc", "spacing_in", "corner_in"),
    # Ratio 2.5, cap 25 ft at 0.0010; 2.0 and 20 ft at 0.0015 (facts.md section 1); straight between.
    [("0.0010", 140, 70), ("0.0015", 112, 56), ("0.00125", 126, 63)],
)
def test_engineered_spacing_of_a_low_wall(ccc: str, spacing_in: float, corner_in: float) -> None:
    found = limits("--height", "4'-8\"", "--method", "engineered", "--ccc", ccc)
    assert found["limits"]["max_spacing_in"] == spacing_in  # type: ignore[index]
    assert found["limits"]["corner_distance_in"] == corner_in  # type: ignore[index]


def test_a_limit_is_rounded_down_to_the_module_never_up() -> None:
    """facts.md section 1: engineered 2.5 × 4'-8" = 11'-8", laid out as 11'-4"."""
    found = limits("--height", "4'-8\"", "--method", "engineered", "--ccc", "0.0010")
    assert (found["limits"]["max_spacing_in"], found["max_spacing_on_module_in"]) == (140, 136)  # type: ignore[index]


def test_reinforcement_choices_are_those_of_the_table() -> None:
    """12 · A / 0.025 down to a course: computed, so nothing of them is unverified."""
    choices = limits("--height", "10ft")["horizontal_reinforcement"]["choices"]  # type: ignore[index]
    found = [(c["area_in2"], c["max_spacing_in"], c["source"]["unverified"]) for c in choices]
    assert found == [
        (0.034, 16, False),
        (0.055, 24, False),
        (0.11, 48, False),
        (0.2, 96, False),
        (0.31, 144, False),
    ]
    half = limits("--height", "10ft", *HALF)["horizontal_reinforcement"]["choices"]  # type: ignore[index]
    assert half[0]["max_spacing_in"] == 12


def test_text_names_terms_sources_unverified_rows_and_cautions() -> None:
    text = perpend("limits", "--height", "12'-0\"").out
    assert "18'-0\" at most; 1.5 × H governs: 1.5 × H = 18'-0\"; cap 25'-0\"" in text
    assert "the first joint not more than 9'-0\" away" in text
    assert "TEK 10-2C (2010), Table 1" in text
    assert "its Table 2 was not seen (derived)" in " ".join(text.split())
    assert "* not verified against the source" in text
    assert "an aid, not a design" in text
    assert max(map(len, text.splitlines())) <= 100


def test_the_other_methods_stand_beside() -> None:
    others = limits("--height", "12'-0\"")["others"]
    found = {(o["method"], o["units"], o["ccc"]): o["max_spacing_in"] for o in others}  # type: ignore[attr-defined]
    assert found["empirical", "half-high", None] == 216
    assert found["engineered", "full-height", 0.001] == 300
    assert found["engineered", "full-height", 0.0015] == 240
    assert found["veneer", "full-height", None] == 216
    assert found["no-joints", "full-height", None] is None


def test_settings_tighten_the_answer(tmp_path: Path) -> None:
    """1.3 × H is the ratio of an IMI plan-layout note (facts.md section 1)."""
    settings = tmp_path / "office.toml"
    settings.write_text("[defaults]\nspacing_ratio = 1.3\n", encoding="utf-8")
    found = limits("--height", "10ft", "--settings", str(settings))
    assert found["limits"]["max_spacing_in"] == 156  # type: ignore[index]
    assert "1.3" in found["limits"]["tightened"]  # type: ignore[index]


@pytest.mark.parametrize(
    ("typed", "doubted"), [("16.67", True), ("39", True), ("40", False), ("16.67 in", False)]
)
def test_a_bare_number_that_is_rather_feet_is_taken_as_inches_and_doubted(typed: str, doubted: bool) -> None:
    text = " ".join(perpend("limits", "--height", typed).out.split())
    assert (f"{typed} was taken as inches" in text) is doubted
    assert (f"write {typed}' if feet are meant." in text) is doubted


@pytest.mark.parametrize(("typed", "doubted"), [("4877", True), ("1000", False), ("4877in", False)])
def test_a_bare_number_that_is_rather_millimetres_is_doubted(typed: str, doubted: bool) -> None:
    text = " ".join(perpend("limits", "--height", typed).out.split())
    assert (f"very high wall: write {typed}mm if millimetres are meant." in text) is doubted


def test_a_metric_answer_gives_areas_in_square_millimetres() -> None:
    """0.034 in² are 21.9 mm², 0.31 in² 200.0 mm² (25.4 mm an inch, exactly)."""
    text = perpend("limits", "--height", "4877mm").out
    assert "2 wires W1.7 (9 gauge)        22 mm²   400 mm" in text
    assert "one No. 5 or larger          200 mm²   3600 mm" in text
    assert max(map(len, text.splitlines())) <= 100


def test_between_printed_coefficients_the_interpolation_is_told_with_its_source() -> None:
    said = "the ratio and the cap are interpolated in a straight line [Common practice"
    for ccc, told in (("0.0012", True), ("0.0010", False), ("0.0015", False)):
        text = perpend("limits", "--height", "12ft", "--method", "engineered", "--ccc", ccc).out
        assert (said in " ".join(text.split())) is told


def test_a_wall_lower_than_the_module_says_that_no_spacing_fits() -> None:
    """1.5 × 5 in. = 7 1/2 in., and joints stand on multiples of 8 in."""
    assert "the 0'-8\" grid is wider than that: none fits" in perpend("limits", "--height", "5in").out


def numbers_behind(found: dict[str, Any]) -> list[tuple[str, float]]:
    """Return every number that a book must answer for, with the row that is said to hold it; in. or in²."""
    limits, steel = found["limits"], found["horizontal_reinforcement"]
    rows = [source["row"].split("#")[0] for source in limits["sources"]]
    spacing = next(row for row in rows if row.startswith("spacing."))
    corner = next((row for row in rows if row.startswith("corner.")), "")
    interpolated = found["ccc"] is not None and found["ccc"] not in (0.001, 0.0015)
    behind = [] if interpolated else [(spacing, limits[key]) for key in ("ratio", "cap_in")]
    if found["method"] == "veneer":
        behind.append((corner, limits["corner_distance_in"]))
    elif corner == "corner.distance":
        behind += [(corner, limits["corner_min_in"]), (corner, limits["corner_distance_in"])]
    elif limits["max_spacing_in"]:
        behind.append((corner, limits["corner_distance_in"] / limits["max_spacing_in"]))
    if steel["source"]:
        behind.append((steel["source"]["row"].split("#")[0], steel["required_in2_per_ft"]))
    if not found["metric"]:  # metric spacings are those of the book, taken down to the 200 mm course
        for choice in steel["choices"]:
            row = choice["source"]["row"].split("#")[0]
            behind += [(row, choice["area_in2"]), (row, choice["max_spacing_in"])]
    return [(row, number) for row, number in behind if number is not None]


@pytest.mark.parametrize(
    "arguments",
    [
        (),
        ("--units", "half-high"),
        ("--method", "engineered", "--ccc", "0.0010"),
        ("--method", "engineered", "--ccc", "0.0012"),
        ("--method", "engineered"),
        ("--method", "veneer"),
        ("--method", "veneer", "--units", "half-high"),
        ("--method", "no-joints"),
        ("--rulebook", "au-ncc"),
    ],
    ids=" ".join,
)
@pytest.mark.parametrize("height", ["9'-4\"", "4877mm"])
def test_every_number_is_on_the_page_of_its_rule_with_its_source(
    height: str, arguments: tuple[str, ...]
) -> None:
    """The pages of docs/rules, read as text: the numbers in their tables, the document beside each."""
    found = limits("--height", height, *arguments)
    pages = Path(__file__).parents[2] / "docs" / "rules" / found["rulebook"]["key"]  # type: ignore[index]
    behind = numbers_behind(found)
    assert behind or "no-joints" in arguments
    for row, number in behind:
        page = (pages / f"{row}.md").read_text(encoding="utf-8")
        table = re.findall(r"^\| [a-z ]+ \| ([\d.]+)[^|]*\| ([\d.]*) *\|.*\| (.+) \|$", page, re.MULTILINE)
        values = [float(text) for *texts, source in table for text in texts if text and source.strip()]
        assert any(value == pytest.approx(number, rel=1e-4) for value in values), (row, number, values)
    every = [*found["limits"]["sources"], *found["unverified"]]  # type: ignore[index,misc]
    for source in every:
        page = (pages / f"{source['row'].split('#')[0]}.md").read_text(encoding="utf-8")
        assert source["document"].split(" (")[0] in page, source


def test_a_height_off_the_course_is_remarked() -> None:
    assert "16'-8\" and 17'-4\"" in perpend("limits", "--height", "17ft").out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--height", "tall"), "is not a length"),
        (("--height", "0"), "above zero"),
        (("--height=-8ft",), "above zero"),
        (("--height", "8ft", "--ccc", "0.001"), "belongs to the engineered method"),
        (("--height", "8ft", "--method", "engineered", "--ccc", "0.002"), "outside the range"),
        (("--height", "8ft", "--rulebook", "us-cmo"), "us-cmu"),
        (("--height", "8ft", "--method", "guess"), "--method"),
        ((), "--height"),
        (("--height", "8ft", "--settings", "missing.toml"), "missing.toml"),
    ],
)
def test_bad_input_is_one_sentence_and_exit_code_2(arguments: tuple[str, ...], words: str) -> None:
    ending: Ending = perpend("limits", *arguments)
    assert ending.code == 2
    assert words in ending.err
    assert ending.out == ""
    assert "Traceback" not in ending.err


def test_a_looser_setting_is_refused_with_the_limit_and_its_source(tmp_path: Path) -> None:
    settings = tmp_path / "loose.toml"
    settings.write_text('[defaults]\nspacing_cap = "30 ft"\n', encoding="utf-8")
    ending = perpend("limits", "--height", "20ft", "--settings", str(settings))
    assert ending.code == 2
    assert "30'-0\" is looser than the limit of 25'-0\" by TEK 10-2C" in ending.err


def test_a_book_that_tells_large_openings_apart() -> None:
    """NCC Housing Provisions 5.6.8: 6 m, 5 m with openings over 900 × 900 mm; 0.47 to 4.5 m from corners."""
    found = limits("--height", "3m", "--rulebook", "au-ncc")
    own = found["limits"]
    spacing, far, near = (
        round(own[key] * 25.4)  # type: ignore[index]
        for key in ("max_spacing_in", "corner_distance_in", "corner_min_in")
    )
    assert (spacing, far, near) == (6000, 4500, 470)
    (other,) = found["others"]  # type: ignore[misc]
    assert (other["large_openings"], round(other["max_spacing_in"] * 25.4)) == (True, 5000)


def test_a_wall_without_joints_says_on_what_condition() -> None:
    text = perpend("limits", "--height", "3m", "--method", "no-joints").out
    assert "horizontal steel of at least 0.002 times its net area" in text
