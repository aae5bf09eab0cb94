"""Joint spacing against the published limits and the worked arithmetic that follows from them.

Sources: TEK 10-2B/10-2C Table 1 and TEK 10-2D (empirical); TEK 10-3 and the practice of the trade
(engineered); TEK 10-4 and the practice of the trade (veneer).
"""

from __future__ import annotations

import pytest

from perpend.errors import InputError
from perpend.model import HeightBasis, Standing
from perpend.rulebook import limits, load_rulebook, spacing_rule
from perpend.units import format_length, off_module, parse_length

BOOK = load_rulebook("us-cmu")


def spacing(height: str, **kind: object) -> str:
    found = limits(BOOK, parse_length(height), **kind)  # type: ignore[arg-type]
    assert found.max_spacing_in is not None
    return format_length(found.max_spacing_in)


@pytest.mark.parametrize(
    ("height", "expected"),
    [
        ("4'-8\"", "7'-0\""),
        ("8'-0\"", "12'-0\""),
        ("12'-0\"", "18'-0\""),
        ("16'-8\"", "25'-0\""),
        ("20'-0\"", "25'-0\""),
    ],
)
def test_empirical_full_height_tek_10_2c_table_1(height: str, expected: str) -> None:
    assert spacing(height) == expected


@pytest.mark.parametrize(
    ("height", "expected"),
    [("12'-0\"", "18'-0\""), ("13'-4\"", "20'-0\""), ("20'-0\"", "20'-0\"")],
)
def test_empirical_half_high_tek_10_2d(height: str, expected: str) -> None:
    assert spacing(height, units="half-high") == expected


@pytest.mark.parametrize(("ccc", "expected"), [(0.0015, "9'-4\""), (0.0010, "11'-8\"")])
def test_engineered_low_wall_of_4_8(ccc: float, expected: str) -> None:
    assert spacing("4'-8\"", method="engineered", ccc=ccc) == expected


def test_a_limit_is_never_rounded_up_to_the_module() -> None:
    """11'-8" is allowed, and the longest panel on the 8-inch module under it is 11'-4"."""
    allowed = parse_length("11'-8\"")
    assert off_module(allowed, 8.0) == 4.0
    assert format_length(allowed // 8.0 * 8.0) == "11'-4\""


def test_engineered_between_the_printed_coefficients_is_a_straight_line() -> None:
    """Halfway between 0.0010 (2.5, 25 ft) and 0.0015 (2.0, 20 ft): 2.25 and 22'-6"."""
    rule = spacing_rule(BOOK, method="engineered", ccc=0.00125)
    assert rule.ratio == pytest.approx(2.25, abs=1e-12)
    assert rule.cap_in == pytest.approx(parse_length("22'-6\""), abs=1e-9)
    assert {"spacing.engineered-0010", "spacing.engineered-0015", "spacing.engineered-between"} <= {
        source.row for source in rule.sources
    }


@pytest.mark.parametrize("ccc", [0.0009999, 0.0015001, 0.0, -0.001, 0.15])
def test_engineered_outside_the_printed_coefficients_is_refused(ccc: float) -> None:
    with pytest.raises(InputError, match=r"0\.0010 to 0\.0015.*nothing is extrapolated"):
        spacing_rule(BOOK, method="engineered", ccc=ccc)


def test_engineered_without_a_coefficient_takes_the_most_severe_row() -> None:
    rule = spacing_rule(BOOK, method="engineered")
    assert (rule.ratio, rule.cap_in) == (2.0, 240.0)


@pytest.mark.parametrize("units", ["full-height", "half-high"])
def test_veneer_caps_at_20_ft_and_keeps_a_joint_within_a_wythe_of_the_corner(units: str) -> None:
    found = limits(BOOK, 240.0, method="veneer", units=units)
    assert (found.ratio, found.cap_in, found.max_spacing_in) == (1.5, 240.0, 240.0)
    assert found.corner_distance_in == 4.0


def test_no_joints_has_no_spacing_but_a_source() -> None:
    found = limits(BOOK, 56.0, method="no-joints")
    assert found.max_spacing_in is None
    assert found.corner_distance_in is None
    assert found.sources[0].document == "Masonry Magazine (March 2003)"


def test_the_corner_distance_is_half_the_spacing_tek_10_2b_item_6() -> None:
    assert limits(BOOK, parse_length("16'-8\"")).corner_distance_in == parse_length("12'-6\"")
    assert limits(BOOK, parse_length("4'-8\"")).corner_distance_in == parse_length("3'-6\"")


@pytest.mark.parametrize(
    ("height", "governing"), [("16'-6\"", "ratio"), ("16'-10\"", "cap"), ("4'-8\"", "ratio")]
)
def test_above_16_8_the_cap_governs(height: str, governing: str) -> None:
    assert limits(BOOK, parse_length(height)).governing == governing


def test_mixed_standings_are_kept_apart_per_number() -> None:
    rule = spacing_rule(BOOK, method="engineered", ccc=0.0010)
    assert {s.row: s.standing for s in rule.sources[:2]} == {
        "spacing.engineered-0010": Standing.COMMON_PRACTICE,
        "spacing.engineered-0010#cap": Standing.MEMORY,
    }
    assert "not verified against the source" in rule.sources[1].cite()


def test_a_setting_may_tighten_as_the_trade_detail_with_1_3_does() -> None:
    found = limits(BOOK, parse_length("10'-0\""), ratio=1.3, cap_in=parse_length("20'-0\""))
    assert found.max_spacing_in == pytest.approx(156.0)
    assert found.corner_distance_in == pytest.approx(78.0)
    assert found.tightened == "ratio 1.3 instead of 1.5; cap 20'-0\" instead of 25'-0\""


def test_a_tightened_cap_is_measured_against_the_interpolated_one() -> None:
    rule = spacing_rule(BOOK, method="engineered", ccc=0.00125, cap_in=264.0)
    assert rule.tightened == "cap 22'-0\" instead of 22'-6\""


def test_a_setting_equal_to_the_limit_tightens_nothing() -> None:
    assert spacing_rule(BOOK, ratio=1.5, cap_in=300.0).tightened == ""


@pytest.mark.parametrize(
    ("looser", "named"),
    [
        ({"ratio": 1.6}, r"spacing_ratio = 1\.6 .* limit of 1\.5 by TEK 10-2C \(2010\), Table 1;"),
        ({"cap_in": 324.0}, r"spacing_cap = 27'-0\" .* limit of 25'-0\" by TEK 10-2C"),
        ({"cap_in": 300.0, "units": "half-high"}, r"limit of 20'-0\" by TEK 10-2D \(2019\)"),
        (
            {"cap_in": 276.0, "method": "engineered", "ccc": 0.00125},
            r"spacing_cap = 23'-0\" .* limit of 22'-6\" by TEK 10-3 \(2003\), .*\(not verified against",
        ),
    ],
)
def test_a_looser_setting_is_refused_with_the_limit_and_its_source(
    looser: dict[str, object], named: str
) -> None:
    with pytest.raises(InputError, match=named):
        spacing_rule(BOOK, **looser)  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [{"ratio": 0.0}, {"ratio": -1.0}, {"cap_in": 0.0}])
def test_a_limit_that_leaves_no_panel_is_refused(bad: dict[str, float]) -> None:
    with pytest.raises(InputError, match="not above zero"):
        spacing_rule(BOOK, **bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("height", [0.0, -8.0])
def test_a_height_that_is_not_above_zero_is_refused(height: float) -> None:
    with pytest.raises(InputError, match="above zero"):
        limits(BOOK, height)


def test_an_unknown_method_names_the_nearest_one() -> None:
    with pytest.raises(InputError, match="'engineered'"):
        spacing_rule(BOOK, method="enginered")


def test_the_height_basis_is_passed_through() -> None:
    assert limits(BOOK, 96.0, basis=HeightBasis.STOREY).height_basis is HeightBasis.STOREY


@pytest.mark.parametrize(
    ("length", "modular"), [("21'-4\"", True), ("20'-8\"", True), ("22'-0\"", True), ("19'-8\"", False)]
)
def test_module_of_half_a_unit_ncarb_study_post(length: str, modular: bool) -> None:
    module = BOOK.row("module.half-unit").numbers["module"].value
    assert (off_module(parse_length(length), module) == 0.0) is modular
