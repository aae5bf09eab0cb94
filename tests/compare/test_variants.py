"""Which options of a wall are compared, and under which settings each is laid out."""

from __future__ import annotations

import pytest

from perpend.model import Box, Opening, Profile, Treatment, Wall
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings, resolve_wall
from perpend.settings.method_variants import variants_of, with_variant

US = load_rulebook("us-cmu")
DOOR = Opening("D1", "", Box(200.0, 0.0, 240.0, 88.0))
WINDOW = Opening("N1", "", Box(300.0, 32.0, 380.0, 88.0))


def wall(*holes: Opening, tag: str = "W1") -> Wall:
    top, bottom = Profile.level(192.0, 0.0, 960.0), Profile.level(0.0, 0.0, 960.0)
    return Wall(tag, "", 960.0, top, bottom, openings=holes)


def listed(text: str, drawn: Wall, *, veneer: bool = False) -> list[tuple[str, float | None, str, bool]]:
    found = variants_of(parse_settings(text), US, drawn, veneer=veneer)
    return [(v.method, v.ccc, v.treatment.value if v.treatment else "as set", v.own) for v in found]


def test_a_plain_wall_is_compared_by_every_method_once() -> None:
    assert listed("", wall()) == [
        ("empirical", None, "as set", True),
        ("engineered", 0.0010, "as set", False),
        ("engineered", 0.0015, "as set", False),
        ("no-joints", None, "as set", False),
    ]


def test_openings_are_compared_as_set_and_all_one_way() -> None:
    mixed = "[[openings]]\ntag = 'D1'\ntreatment = 'unreinforced'\n"
    assert [row[2] for row in listed(mixed, wall(DOOR, WINDOW))[:3]] == [
        "as set",
        "reinforced",
        "unreinforced",
    ]
    assert [row[2] for row in listed("", wall(DOOR, WINDOW))[:2]] == ["as set", "unreinforced"]
    alike = variants_of(parse_settings(""), US, wall(DOOR, WINDOW))
    assert alike[0].all_alike is Treatment.REINFORCED


def test_a_coefficient_that_is_set_is_the_one_compared() -> None:
    text = "[defaults]\nmethod = 'engineered'\nccc = 0.0012\n"
    assert [row for row in listed(text, wall()) if row[0] == "engineered"] == [
        ("engineered", 0.0012, "as set", True)
    ]


def test_without_a_coefficient_the_most_severe_one_is_the_settings_own() -> None:
    rows = listed("[defaults]\nmethod = 'engineered'\n", wall())
    assert [row[1] for row in rows if row[3]] == [0.0015]


def test_veneer_is_compared_with_veneers_and_with_others_only_when_asked() -> None:
    own = variants_of(parse_settings("[defaults]\nmethod = 'veneer'\n"), US, wall(DOOR))
    assert {v.method for v in own} == {"veneer"}
    assert [(v.lintel_support, v.own) for v in own if v.treatment is None] == [
        ("loose", True),
        ("anchored", False),
    ]
    assert "veneer" not in {row[0] for row in listed("", wall())}
    assert "veneer" in {row[0] for row in listed("", wall(), veneer=True)}


def test_a_book_that_does_not_tell_treatments_apart_gives_one_option() -> None:
    book = load_rulebook("au-ncc")
    (only,) = variants_of(parse_settings("rulebook = 'au-ncc'"), book, wall(DOOR, WINDOW))
    assert (only.method, only.own) == ("empirical", True)


def test_exactly_one_option_is_the_settings_own() -> None:
    for text in ("", "[defaults]\nmethod = 'no-joints'\n", "[defaults]\nmethod = 'veneer'\n"):
        for drawn in (wall(), wall(DOOR, WINDOW)):
            assert sum(row[3] for row in listed(text, drawn)) == 1


def test_a_treatment_of_all_openings_overrules_tags_layers_and_the_drawing() -> None:
    drawn = wall(Opening("D1", "", DOOR.box, treatment=Treatment.REINFORCED, layer="L"), WINDOW)
    entry = "[[openings]]\n{} = '{}'\ntreatment = 'reinforced'\n"
    settings = parse_settings(entry.format("tag", "N1") + entry.format("layer", "L"))
    (turned,) = [v for v in variants_of(settings, US, drawn) if v.treatment and v.method == "empirical"]
    basis = resolve_wall(with_variant(settings, US, drawn, turned), US, drawn)
    assert {rule.treatment for rule in basis.openings} == {Treatment.UNREINFORCED}
    other = wall(DOOR, tag="W2")
    assert (
        resolve_wall(with_variant(settings, US, drawn, turned), US, other).openings[0].treatment
        == "reinforced"
    )


@pytest.mark.parametrize(("cap", "engineered"), [("22 ft", 240.0), ("15 ft", 180.0)])
def test_a_tighter_cap_goes_along_where_it_is_tighter_and_a_ratio_stays_with_its_method(
    cap: str, engineered: float
) -> None:
    """Engineered at 0.0015: 2.0 × 16 ft = 32 ft, cap 20 ft (facts of TEK 10-3)."""
    settings = parse_settings(f"[defaults]\nspacing_cap = '{cap}'\nspacing_ratio = 1.3\n")
    severe = next(v for v in variants_of(settings, US, wall()) if v.ccc == 0.0015)
    limits = resolve_wall(with_variant(settings, US, wall(), severe), US, wall()).limits(0.0, 960.0)
    assert (limits.max_spacing_in, limits.ratio) == (engineered, 2.0)


def test_the_choice_of_bars_goes_along_to_the_methods_that_have_it() -> None:
    settings = parse_settings("[defaults]\nhorizontal_reinforcement = 'No. 4'\n")
    for variant in variants_of(settings, US, wall(), veneer=True):
        basis = resolve_wall(with_variant(settings, US, wall(), variant), US, wall())
        expected = {"veneer": None, "no-joints": "one No. 4 in each of 8 bond beams"}.get(
            variant.method, "one No. 4"
        )
        assert basis.reinforcement.chosen == expected
