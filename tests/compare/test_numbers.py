"""The numbers of the comparison, reckoned here by hand.

Steel weighs 490 lb/ft³ (the usual unit weight), so a bar of A in² weighs A · 490 / 1728 lb per
inch. Areas: two wires W1.7 0.034 in², No. 4 0.20 in² (ASTM A615). W1.7 lies in every second bed joint.
"""

from __future__ import annotations

import pytest

from perpend.jobs.compare import options_of
from perpend.model import Box, EndCondition, Opening, Profile, Wall
from perpend.report import SettingsUsed
from perpend.report.comparison import CompareResults, OptionEntry, build_comparison
from perpend.rulebook import load_rulebook
from perpend.settings import parse_settings
from report.sample_results import elevation_of

US = load_rulebook("us-cmu")
LB = 490 / 1728
FREE = EndCondition.FREE
DOOR = Opening("D1", "", Box(200.0, 0.0, 240.0, 88.0))
WINDOW = Opening("N1", "", Box(200.0, 32.0, 240.0, 88.0))


def compared(text: str, *holes: Opening, length: float = 480.0, height: float = 144.0) -> CompareResults:
    top, bottom = Profile.level(height, 0.0, length), Profile.level(0.0, 0.0, length)
    wall = Wall("W1", "A", length, top, bottom, openings=holes, left_end=FREE, right_end=FREE)
    settings = parse_settings(text)
    book = load_rulebook(settings.rulebook)
    options = options_of([wall], 0, settings, book)
    return build_comparison(elevation_of(wall), [(wall, options)], book, settings=SettingsUsed())


def option(results: CompareResults, method: str, openings: str) -> OptionEntry:
    found = results.walls[0].options
    return next(o for o in found if o.method == method and openings in (o.openings, o.all_alike))


def test_a_wall_with_a_reinforced_door() -> None:
    """Two joints for 480 in. at 216 in.; W1.7 at 16, 32, ... 128; the door takes 40 in. of five beds."""
    found = option(compared("", DOOR), "empirical", "reinforced")
    layout = found.layout
    assert layout is not None
    assert layout.max_spacing_in == 216.0
    assert (layout.joints, layout.slip_planes, layout.joint_length_in) == (2, 0, 2 * 144.0)
    assert layout.lintel_length_in == 40.0 + 2 * 16.0
    assert layout.steel.jamb_bars_lb == pytest.approx(2 * 144.0 * 0.20 * LB)
    assert layout.steel.sill_bars_lb == 0.0
    assert layout.steel.horizontal_lb == pytest.approx((8 * 480.0 - 5 * 40.0) * 0.034 * LB)
    assert layout.steel.total_lb == pytest.approx((2 * 144.0 * 0.20 + 3640.0 * 0.034) * LB)
    assert layout.bond_beam_length_in == 0.0
    assert layout.longest_panel_utilisation == pytest.approx(layout.longest_panel_in / 216.0)
    assert found.not_met == []


def test_a_wall_with_an_unreinforced_door() -> None:
    """One joint at a jamb steps 8 in. out; beds at 96 and 104 in. run 24 in. past, or to the joint there."""
    layout = option(compared("", DOOR), "empirical", "unreinforced").layout
    assert layout is not None
    assert layout.slip_planes == 1
    assert layout.joint_length_in == layout.joints * 144.0 + 8.0
    assert layout.lintel_length_in == 40.0 + 2 * 8.0
    assert layout.steel.jamb_bars_lb == 0.0
    assert layout.steel.corner_beds_lb == pytest.approx(2 * (8.0 + 40.0 + 24.0) * 0.034 * LB)


def test_only_the_masonry_part_of_a_jamb_bar_is_weighed() -> None:
    """Over a door of 120 in. and its 8 in. lintel the window's bars are 144 - 96 in.; the door's 144 in."""
    door = Opening("D1", "", Box(160.0, 0.0, 280.0, 88.0))
    above = Opening("N1", "", Box(200.0, 104.0, 240.0, 128.0))
    layout = option(compared("", door, above), "empirical", "reinforced").layout
    assert layout is not None
    assert layout.steel.jamb_bars_lb == pytest.approx(2 * (144.0 + 48.0) * 0.20 * LB)


def test_a_sill_bar_runs_from_joint_to_joint() -> None:
    results = compared("", WINDOW)
    found = option(results, "empirical", "reinforced").layout
    assert found is not None
    assert found.joints == 2
    whole = found.steel.sill_bars_lb / (0.20 * LB)
    assert whole == pytest.approx(8.0 * round(whole / 8.0), abs=1e-3)
    assert 40.0 + 2 * 24.0 <= whole <= 216.0


def test_a_wall_of_4_8_without_joints() -> None:
    """Three bond beams of one No. 4 (facts of TEK 10-3): 3 · 40 ft, and nothing else."""
    layout = option(compared("", height=56.0), "no-joints", "none").layout
    assert layout is not None
    assert (layout.joints, layout.max_spacing_in, layout.greatest_utilisation) == (0, None, None)
    assert layout.bond_beam_length_in == 3 * 480.0
    assert layout.steel.total_lb == pytest.approx(3 * 480.0 * 0.20 * LB)
    assert layout.horizontal_reinforcement == "one No. 4 in each of 3 bond beams"


def test_bars_that_the_settings_choose_are_weighed_instead_of_wires() -> None:
    """One No. 4 at 96 in. at most: two bond beams in 144 in."""
    layout = option(compared("[defaults]\nhorizontal_reinforcement = 'No. 4'\n"), "empirical", "none").layout
    assert layout is not None
    assert layout.bond_beam_length_in == 2 * 480.0
    assert layout.steel.bond_beams_lb == pytest.approx(2 * 480.0 * 0.20 * LB)
    assert layout.steel.horizontal_lb == 0.0


def test_half_high_units_put_the_wires_at_12_in() -> None:
    layout = option(compared("[defaults]\nunits = 'half-high'\n"), "empirical", "none").layout
    assert layout is not None
    assert layout.steel.horizontal_lb == pytest.approx(11 * 480.0 * 0.034 * LB)


def test_the_load_on_a_lintel_with_and_without_arching() -> None:
    """140 lb/ft³ of 7.625 in.: 40 + 16 in. of span, 56 in. above the head, triangle 28 in. high."""
    (load,) = option(compared("", DOOR), "empirical", "reinforced").arching
    per_in2 = 140.0 * 7.625 / 1728
    assert load.span_in == 56.0
    assert load.full_lb == pytest.approx(56.0 * 56.0 * per_in2)
    assert load.arched_lb == pytest.approx(56.0 * 28.0 / 2 * per_in2)
    assert load.possible
    (beside,) = option(compared("", DOOR), "empirical", "unreinforced").arching
    assert not beside.possible
    assert [c.name for c in beside.conditions if c.met is False] == [
        "no joint next to the lintel",
        "masonry enough at each side",
    ]


def test_what_an_option_breaks_is_said_with_source_and_cure() -> None:
    """A raked joint carries no shear: a wide opening on slip planes at both ends may not have it (trade)."""
    wide = Opening("OH1", "", Box(160.0, 0.0, 280.0, 112.0))
    results = compared("[defaults]\njoint_type = 'raked'\n", wide)
    assert option(results, "empirical", "reinforced").not_met == []
    (broken,) = option(results, "empirical", "unreinforced").not_met
    assert broken.code == "shear-transfer-needed"
    assert broken.source is not None
    assert broken.source.row == "opening.wide-shear"
    assert broken.cure
    assert not results.violated
    own = compared("[defaults]\njoint_type = 'raked'\nopenings = 'unreinforced'\n", wide)
    assert own.violated


def test_a_panel_that_cannot_be_kept_is_counted_once_though_two_judges_see_it() -> None:
    row = [
        Opening(f"N{i}", "", Box(x, 32.0, x + 40.0, 88.0)) for i, x in enumerate((40.0, 104.0, 168.0, 232.0))
    ]
    results = compared("[defaults]\nspacing_cap = '8 ft'\n", *row, length=320.0)
    own = results.walls[0].own
    codes = [f.code for f in own.not_met]
    assert codes.count("panel-too-long") == len(
        {tuple(f.at) for f in own.not_met if f.code == "panel-too-long"}
    )
    assert "panel-too-long" in codes


def test_a_method_that_the_wall_cannot_have_says_why() -> None:
    """There is no face shell of 4 in. units in the table of TEK 10-3."""
    found = option(compared("[defaults]\nwall_thickness = 4\n"), "no-joints", "none")
    assert found.layout is None
    assert "no face shells" in found.why_not.lower()
    assert "4 in." in found.why_not


def test_every_option_names_its_sources_and_marks_those_from_memory() -> None:
    results = compared("", DOOR)
    for entry in results.walls[0].options:
        rows = {s.row for s in entry.sources}
        assert any(row.startswith("spacing.") for row in rows)
        assert entry.unverified == any(s.unverified for s in entry.sources)
        for source in entry.sources:
            assert source.unverified == (source.standing == "memory")
            assert source.document
    severe = next(o for o in results.walls[0].options if o.ccc == 0.0015)
    assert "spacing.engineered-0015#cap" in {s.row for s in severe.sources if s.unverified}
    assert {s.row for s in results.unverified} >= {"opening.reinforced#clear", "spacing.engineered-0015#cap"}
    assert any("aid, not a design" in caution for caution in results.cautions)


def test_the_australian_book_compares_too() -> None:
    results = compared("rulebook = 'au-ncc'\n", DOOR)
    (only,) = results.walls[0].options
    assert only.layout is not None
    assert only.layout.steel.total_lb == 0.0
    assert only.arching == []
