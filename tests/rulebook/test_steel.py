"""Walls without joints: As ≥ 0.002 · An.

Sources: TEK 10-3 Table 3 (from memory; its 24 cells are the regression), Masonry Magazine March 2003
p. 50 (the ratio), TEK 14-1B (shells of ASTM C90-06), Biggs in Masonry Magazine (a 12-inch solid wall),
and, for the net area, the `sectionproperties` package.
"""

from __future__ import annotations

import itertools

import pytest

from perpend.errors import InputError
from perpend.model import Box, Opening, Profile, Wall
from perpend.rulebook import (
    NoJointSteel,
    SteelChoices,
    bar_area_in2,
    bar_weight_lb,
    load_rulebook,
    max_bar_spacing_in,
    no_joint_steel,
    section_of,
)
from perpend.rulebook.no_joint_steel import spread
from perpend.rulebook.wall_section import wire_area_in2
from perpend.rulebook.wall_strips import beams_of, strips_of

BOOK = load_rulebook("us-cmu")
BEFORE, SINCE = "before-C90-06", "C90-06"

TEK_10_3_TABLE_3 = {
    6: {"hollow": (48, 48, 32), "solid": (32, 24, 16)},
    8: {"hollow": (48, 40, 24), "solid": (24, 16, 8)},
    10: {"hollow": (48, 32, 16), "solid": (16, 16, 8)},
    12: {"hollow": (48, 24, 8), "solid": (16, 8, 8)},
}
"""Greatest spacing of one No. 6, No. 5 and No. 4 bar per bond beam, in."""
CELLS = [
    (nominal, core, bar, spacing)
    for nominal, cores in TEK_10_3_TABLE_3.items()
    for core, row in cores.items()
    for bar, spacing in zip(("No. 6", "No. 5", "No. 4"), row, strict=True)
]


def spacing(nominal: int, core: str, bar: str, edition: str) -> float | None:
    section = section_of(BOOK, SteelChoices(nominal, core, edition=edition))  # type: ignore[arg-type]
    return max_bar_spacing_in(BOOK, section, bar)


def plain(height: float, length: float = 480.0, *openings: Opening) -> Wall:
    top, bottom = Profile.level(height, 0.0, length), Profile.level(0.0, 0.0, length)
    return Wall("W1", "", length, top, bottom, openings=openings)


@pytest.mark.parametrize(("nominal", "core", "bar", "expected"), CELLS)
def test_tek_10_3_table_3(nominal: int, core: str, bar: str, expected: float) -> None:
    assert spacing(nominal, core, bar, BEFORE) == expected


def test_two_cells_change_with_the_shells_of_c90_06() -> None:
    changed = {
        (nominal, core, bar): spacing(nominal, core, bar, SINCE)
        for nominal, core, bar, before in CELLS
        if spacing(nominal, core, bar, SINCE) != before
    }
    assert changed == {(10, "hollow", "No. 5"): 40, (12, "hollow", "No. 5"): 32}


def test_a_bar_that_is_too_small_for_every_course_has_no_spacing() -> None:
    """12 in. solid asks for 0.186 in² per course; one No. 3 has 0.11."""
    assert spacing(12, "solid", "No. 3", SINCE) is None


def test_a_wall_of_4_8_goes_without_joints_with_three_bond_beams() -> None:
    """Three No. 4 give 0.60 in² over An = 257; two give 0.40 and need 0.002 · 218 = 0.44."""
    found = no_joint_steel(BOOK, plain(56.0), SteelChoices(8, "hollow", "No. 4"))
    assert len(found.courses) == 3
    assert found.enough
    (strip,) = found.strips
    assert strip.net_area_in2 == pytest.approx(257.2, abs=0.05)
    assert strip.required_in2 == pytest.approx(0.514, abs=0.001)
    assert strip.provided_in2 == pytest.approx(0.60)
    two = found.section.net_area_in2(56.0, 2)
    assert 0.002 * two == pytest.approx(0.436, abs=0.001)
    assert 0.002 * two > 2 * bar_area_in2(BOOK, "No. 4")


def test_the_three_bond_beams_lie_evenly_on_the_courses() -> None:
    found = no_joint_steel(BOOK, plain(56.0), SteelChoices(8, "hollow", "No. 4"))
    assert found.courses == (1, 3, 5)
    assert list(found.beams) == [((0.0, y), (480.0, y)) for y in (12.0, 28.0, 44.0)]


def test_the_wall_of_biggs_stands_with_no_6_at_16_in() -> None:
    """12 in. solid: 0.44 in² in every 16 in. meets 0.002 · 11.625 · 16 = 0.372."""
    assert spacing(12, "solid", "No. 6", SINCE) == 16
    section = section_of(BOOK, SteelChoices(12, "solid"))
    assert 0.002 * section.net_area_in2(16.0, 1) == pytest.approx(0.372)
    assert bar_area_in2(BOOK, "No. 6") >= 0.372


@pytest.mark.parametrize(
    ("nominal", "edition", "beams"), [(8, SINCE, 3), (10, BEFORE, 2), (12, BEFORE, 4), (6, SINCE, 0)]
)
def test_net_areas_by_sectionproperties(nominal: int, edition: str, beams: int) -> None:
    """The same section meshed by another package: two shells and the grout between them."""
    from sectionproperties.analysis.section import Section as MeshedSection
    from sectionproperties.pre.library.primitive_sections import rectangular_section

    section = section_of(BOOK, SteelChoices(nominal, "hollow", edition=edition))
    assert section.shell_in is not None
    height, shell, t = 96.0, section.shell_in, section.thickness_in

    left = rectangular_section(d=height, b=shell)
    shape = left + left.shift_section(t - shell, 0.0)
    for i in range(beams):
        shape += rectangular_section(d=7.625, b=t - 2 * shell).shift_section(shell, 8.0 + 24.0 * i)
    shape.create_mesh(mesh_sizes=[50.0])
    whole = MeshedSection(shape)
    whole.calculate_geometric_properties()
    assert section.net_area_in2(height, beams) == pytest.approx(whole.get_area(), rel=1e-9)


@pytest.mark.parametrize("height", [56.0, 96.0, 144.0, 200.0, 240.0, 333.0])
@pytest.mark.parametrize("bar", ["No. 4", "No. 5", "No. 6"])
@pytest.mark.parametrize(("nominal", "core"), [(8, "hollow"), (12, "hollow"), (6, "solid"), (8, "solid")])
def test_fewest_bond_beams_by_trying_every_number(height: float, bar: str, nominal: int, core: str) -> None:
    """The formula of the table written out again, and the 48 in. between bond beams."""
    t = {6: 5.625, 8: 7.625, 12: 11.625}[nominal]
    shell = {6: 1.0, 8: 1.25, 12: 1.25}[nominal]
    area = {"No. 4": 0.20, "No. 5": 0.31, "No. 6": 0.44}[bar]

    def enough(n: int) -> bool:
        net = t * height if core == "solid" else 2 * shell * height + n * (t - 2 * shell) * 7.625
        return n * area >= 0.002 * net - 1e-12 and n * 48.0 >= height

    fewest = next((n for n in range(1, int(height // 8) + 1) if enough(n)), None)
    found = no_joint_steel(BOOK, plain(height), SteelChoices(nominal, core, bar))  # type: ignore[arg-type]
    assert found.enough is (fewest is not None)
    if fewest is not None:
        assert len(found.courses) == fewest
        gaps = [b - a for a, b in itertools.pairwise(found.courses)]
        assert all(gap * 8.0 <= 48.0 for gap in gaps)
        assert max(gaps, default=0) - min(gaps, default=0) <= 1


@pytest.mark.parametrize(("count", "available"), [(1, 1), (3, 7), (4, 7), (5, 23), (7, 7), (6, 31)])
def test_spread_courses_are_distinct_even_and_inside(count: int, available: int) -> None:
    courses = spread(count, available)
    assert len(set(courses)) == count
    assert min(courses) >= 0
    assert max(courses) < available
    mirrored = sorted(available - 1 - c for c in courses)
    assert all(abs(a - b) <= 1 for a, b in zip(courses, mirrored, strict=True))


def door_and_window() -> NoJointSteel:
    door = Opening("D1", "", Box(80.0, 0.0, 120.0, 184.0))
    window = Opening("N1", "", Box(180.0, 40.0, 320.0, 88.0))
    return no_joint_steel(BOOK, plain(200.0, 480.0, door, window), SteelChoices(8, "hollow", "No. 5"))


def test_every_strip_beside_over_and_under_an_opening_has_its_own_steel() -> None:
    found = door_and_window()
    assert found.enough
    assert [(s.x0_in, s.x1_in, s.height_in) for s in found.strips] == [
        (0.0, 80.0, 200.0),
        (80.0, 120.0, 16.0),
        (120.0, 180.0, 200.0),
        (180.0, 320.0, 152.0),
        (320.0, 480.0, 200.0),
    ]
    for strip in found.strips:
        net = 2.5 * strip.height_in + strip.bond_beams * 5.125 * 7.625
        assert strip.provided_in2 == pytest.approx(0.31 * strip.bond_beams)
        assert 0.31 * strip.bond_beams >= 0.002 * net


def test_bond_beams_stop_at_an_opening() -> None:
    found = door_and_window()
    for (x0, y), (x1, _) in found.beams:
        for box in (Box(80.0, 0.0, 120.0, 184.0), Box(180.0, 40.0, 320.0, 88.0)):
            crosses = box.y0 < y < box.y1 and min(x1, box.x1) > max(x0, box.x0)
            assert not crosses, f"bond beam at {y} runs through the opening"


def test_a_strip_of_masonry_lower_than_a_course_cannot_be_helped() -> None:
    door = Opening("D1", "", Box(80.0, 0.0, 120.0, 196.0))
    found = no_joint_steel(BOOK, plain(200.0, 480.0, door), SteelChoices(8, "hollow", "No. 5"))
    assert not found.enough
    (lacking,) = [strip for strip in found.strips if not strip.enough]
    assert (lacking.x0_in, lacking.bond_beams) == (80.0, 0)


def test_joint_reinforcement_counts_with_the_bars() -> None:
    """Two wires W1.7 (0.034 in²) in every second bed of 12 ft: nine beds, 0.306 in²."""
    bare = no_joint_steel(BOOK, plain(144.0), SteelChoices(8, "hollow", "No. 4"))
    wired = no_joint_steel(
        BOOK, plain(144.0), SteelChoices(8, "hollow", "No. 4", wire="W1.7", wire_spacing_in=16.0)
    )
    assert len(wired.courses) < len(bare.courses)
    assert wired.strips[0].provided_in2 == pytest.approx(0.20 * len(wired.courses) + 0.306)


def test_sizes_that_the_book_does_not_have_are_refused() -> None:
    with pytest.raises(InputError, match="'No. 5'|No. 3, No. 4"):  # noqa: RUF043
        bar_area_in2(BOOK, "No. 55")
    with pytest.raises(InputError, match="W1\\.7"):
        wire_area_in2(BOOK, "9 gauge")
    with pytest.raises(InputError, match=r"4 in\. units"):
        section_of(BOOK, SteelChoices(4, "hollow"))
    with pytest.raises(InputError, match="'C90-06'"):
        section_of(BOOK, SteelChoices(8, "hollow", edition="C90-6"))
    with pytest.raises(InputError, match="lower than one course"):
        no_joint_steel(BOOK, plain(6.0))


def test_areas_and_weights_of_bars_astm_a615() -> None:
    """ASTM A615 gives 1.043 lb/ft for No. 5 and 0.668 lb/ft for No. 4."""
    assert wire_area_in2(BOOK, "W2.8") == pytest.approx(0.056)
    assert bar_weight_lb(BOOK, "No. 5", 12.0) == pytest.approx(1.043, rel=0.02)
    assert bar_weight_lb(BOOK, "No. 4", 120.0) == pytest.approx(6.68, rel=0.02)


def without_joints(top: tuple[tuple[float, float], ...], *holes: Opening) -> NoJointSteel:
    length = top[-1][0]
    wall = Wall("W1", "", length, Profile(top), Profile.level(0.0, 0.0, length), openings=holes)
    return no_joint_steel(BOOK, wall, SteelChoices(8, "hollow", "No. 4"))


def test_bond_beams_of_a_gable_run_out_to_its_slopes() -> None:
    """Eaves at 112 in., ridge at 208 in. over 240 in. on each side: the slope is at (y - 112) / 0.4."""
    found = without_joints(((0.0, 112.0), (240.0, 208.0), (480.0, 112.0)))
    above = {y: (x0, x1) for (x0, y), (x1, _) in found.beams if y > 112.0}
    assert len(found.beams) == len(found.courses)
    assert len(above) >= 3
    for y, (x0, x1) in above.items():
        assert (x0, x1) == pytest.approx(((y - 112.0) / 0.4, 480.0 - (y - 112.0) / 0.4))
    below = len(found.courses) - len(above)
    assert found.counts == (below, len(found.courses))
    assert found.bars == f"one No. 4 in each of {below} to {len(found.courses)} bond beams"


def test_an_opening_in_a_gable_cuts_only_the_courses_that_touch_it() -> None:
    """A window of 136 to 168 in. from 216 to 264 in.: past its jambs the beams still reach the slopes."""
    window = Opening("N1", "", Box(216.0, 136.0, 264.0, 168.0))
    found = without_joints(((0.0, 112.0), (240.0, 208.0), (480.0, 112.0)), window)
    high = [(x0, y, x1) for (x0, y), (x1, _) in found.beams if y > 112.0]
    beside = [piece for piece in high if 136.0 < piece[1] < 168.0]
    assert beside
    for y in {y for _, y, _ in beside}:
        slope = (y - 112.0) / 0.4
        spans = [pytest.approx((x0, x1)) for x0, at, x1 in beside if at == y]
        assert spans == [(slope, 216.0), (264.0, 480.0 - slope)]
    assert all(x1 - x0 > 48.0 for x0, y, x1 in high if 168.0 < y < 190.0)


def test_each_part_of_a_stepped_wall_has_the_bond_beams_below_its_own_top() -> None:
    """96 in. and 160 in. high: twelve and twenty courses."""
    found = without_joints(((0.0, 96.0), (320.0, 96.0), (320.0, 160.0), (640.0, 160.0)))
    low = [course for course in found.courses if course < 12]
    assert found.counts == (len(low), len(found.courses))
    assert [beam[0][0] for beam in found.beams] == [0.0] * len(low) + [320.0] * (
        len(found.courses) - len(low)
    )


def test_a_course_cut_by_a_level_top_is_no_bond_beam() -> None:
    """Right of the step the wall is 100 in. high: the course from 96 to 104 in. is 4 in. there."""
    top = Profile(((0.0, 104.0), (320.0, 104.0), (320.0, 100.0), (640.0, 100.0)))
    strips = list(strips_of(Wall("W1", "", 640.0, top, Profile.level(0.0, 0.0, 640.0)), 8.0))
    assert beams_of(strips, (11, 12)) == (((0.0, 92.0), (640.0, 92.0)), ((0.0, 100.0), (320.0, 100.0)))
