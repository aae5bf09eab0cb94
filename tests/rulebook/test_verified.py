"""What an office looked up in its own copy: confirmed, tightened or corrected, and cited as theirs."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.harness import perpend
from perpend.errors import InputError
from perpend.model import Profile, Standing, Wall
from perpend.rulebook import RuleBook, book_keys, load_rulebook
from perpend.rulebook.verified import questions
from perpend.settings import book_of, parse_settings, resolve_wall

US = load_rulebook("us-cmu")
OFFICE = "TEK 10-4 (2001), p. 3, checked by M. Weaver, 2026-11"
MOST_UNVERIFIED = 12


def book(text: str) -> RuleBook:
    return book_of(parse_settings(f"[verified]\n{text}\n"))


def test_few_numbers_of_all_books_are_still_unverified() -> None:
    assert sum(len(list(questions(load_rulebook(key)))) for key in book_keys()) <= MOST_UNVERIFIED


def test_every_unverified_number_is_asked_for_with_its_document() -> None:
    asked = {q.key: q for q in questions(US)}
    unverified = {s.row for row in US.rows for s in US.sources(row) if s.unverified}
    assert {key.partition("#")[0] for key in asked} == {row.partition("#")[0] for row in unverified}
    cap = asked["spacing.engineered-0010#cap"]
    assert (cap.document, cap.printed) == ("TEK 10-3 (2003)", "25 ft")
    assert "25 ft" in cap.asks
    assert all(q.asks.endswith("?") for q in asked.values())


@pytest.mark.parametrize("key", ["spacing.veneer", "spacing.veneer#cap"])
def test_a_confirmed_row_is_cited_as_the_offices_own(key: str) -> None:
    found = book(f'"{key}" = "{OFFICE}"')
    source = found.source(found.row("spacing.veneer"), "cap")
    assert (source.standing, source.document) == (Standing.VERIFIED, OFFICE)
    assert source.cite() == f"{OFFICE} (verified by the office)"
    assert found.row("spacing.veneer").numbers["ratio"] == US.row("spacing.veneer").numbers["ratio"]
    assert [q.key for q in questions(found)] == [q.key for q in questions(US) if "veneer" not in q.key]


def test_a_confirmed_row_is_used_and_no_longer_marked() -> None:
    length = 960.0
    wall = Wall("W1", "", length, Profile.level(240.0, 0, length), Profile.level(0.0, 0, length))
    text = "[defaults]\nmethod = 'veneer'\n[verified]\n"
    text += f"'spacing.veneer#cap' = {{ source = '{OFFICE}', value = '18 ft' }}\n"
    settings = parse_settings(text)
    limits = resolve_wall(settings, book_of(settings), wall).limits(0.0, length)
    assert limits.max_spacing_in == 216.0
    assert not any(source.unverified for source in limits.sources)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("'spacing.veneer#cap' = { source = 'x', value = '18 ft' }", 216.0),
        ("'spacing.veneer#cap' = { source = 'x', value = 192 }", 192.0),
        ("'spacing.veneer#cap' = { source = 'x', value = '22 ft', corrects = true }", 264.0),
    ],
)
def test_a_value_may_tighten_or_say_that_it_corrects(text: str, value: float) -> None:
    assert book(text).row("spacing.veneer").numbers["cap"].value == value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "'spacing.veneer#cap' = { source = 'x', value = '22 ft' }",
            "looser than 20 ft: add corrects = true",
        ),
        ("'opening.reinforced#clear' = { source = 'x', value = '20 in' }", "looser than 24 in"),
        ("'spacing.vener' = 'x'", "unknown row 'spacing.vener'; the nearest known one is 'spacing.veneer'"),
        ("'spacing.veneer#kap' = 'x'", "unknown row 'spacing.veneer#kap'"),
        ("'opening.reinforced' = { source = 'x', value = '30 in' }", "several numbers: name one"),
        ("'spacing.veneer#cap' = { source = 'x', value = 'long' }", "'long' is no value for cap"),
        (
            "'opening.reinforced#bar_diameters' = { source = 'x', value = '3 in' }",
            "no value for bar_diameters",
        ),
        ("'spacing.veneer' = ''", "verified"),
        ("'spacing.veneer' = { by = 'x' }", "unknown key"),
    ],
)
def test_what_does_not_fit_is_refused_in_one_sentence(text: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        book(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_row_of_another_book_is_left_alone() -> None:
    assert book("'place.vertical-only' = 'x'\n'spacing.large-openings' = 'y'").has("spacing.veneer")


def test_limits_lists_what_an_office_has_to_look_up(tmp_path: Path) -> None:
    listed = perpend("limits", "--unverified")
    assert listed.code == 0
    assert all(q.key in listed.out and q.document in listed.out for q in questions(US))
    settings = tmp_path / "perpend.toml"
    lines = [f"'{q.key}' = 'our copy, checked by A. Reed, 2026-11'" for q in questions(US)]
    settings.write_text("[verified]\n" + "\n".join(lines) + "\n", encoding="utf-8")
    cleared = perpend("limits", "--unverified", "--settings", settings)
    assert cleared.code == 0
    assert not any(q.key in cleared.out for q in questions(US))


def test_limits_needs_a_height_or_the_list() -> None:
    refused = perpend("limits")
    assert refused.code == 2
    assert "--height" in refused.err


def test_what_an_office_verified_is_used_and_cited_as_theirs_in_summary_results_and_sheet(
    tmp_path: Path,
) -> None:
    """24 in. from memory becomes 32 in. by the office's own copy: no joint is nearer than that to a jamb."""
    sample = Path(__file__).parents[2] / "sample_drawings" / "shopfront-south.dxf"
    settings, results, sheet = (tmp_path / name for name in ("own.toml", "r.json", "s.html"))
    settings.write_text(
        "[defaults]\nopenings = 'reinforced'\njoint_type = 'formed-paper'\n[verified]\n"
        f"'opening.reinforced#clear' = {{ source = '{OFFICE}', value = '32 in' }}\n",
        encoding="utf-8",
    )
    outputs = ("-o", tmp_path / "o.dxf", "--results", results, "--sheet", sheet)
    ending = perpend("annotate", sample, *outputs, "--settings", settings)
    assert ending.code in (0, 1), ending.err
    assert f"{OFFICE} (verified)" in " ".join(ending.out.split())
    assert OFFICE in sheet.read_text(encoding="utf-8")
    document = json.loads(results.read_text(encoding="utf-8"))
    (wall,) = document["walls"]
    jambs = [x for o in wall["openings"] for x in (o["x0_in"], o["x1_in"])]
    assert min(abs(j["x_in"] - x) for j in wall["joints"] for x in jambs) >= 32 - 1 / 64
    assert "opening.reinforced#clear" not in {s["row"] for s in document["unverified"]}
    cited = [s for o in wall["openings"] for s in o["sources"] if s["row"] == "opening.reinforced#clear"]
    assert {(s["document"], s["standing"]) for s in cited} == {(OFFICE, "verified")}
