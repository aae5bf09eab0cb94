"""What must hold for every height, coefficient and opening, not only for the printed ones."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.model import Box, Opening, Profile, Treatment, Wall
from perpend.rulebook import OpeningChoices, limits, load_rulebook, opening_rules, spacing_rule

BOOK = load_rulebook("us-cmu")
HEIGHTS = st.floats(8.0, 600.0)
COEFFICIENTS = st.floats(0.0010, 0.0015)
UNTIMED = settings(deadline=None, derandomize=True)
"""The same examples every time, and no clock: the machine may be busy."""


@UNTIMED
@given(HEIGHTS, HEIGHTS, st.sampled_from(["full-height", "half-high"]))
def test_a_higher_wall_never_gets_a_shorter_spacing(a: float, b: float, units: str) -> None:
    low, high = (limits(BOOK, h, units=units).max_spacing_in for h in sorted((a, b)))
    assert low is not None
    assert high is not None
    assert low <= high <= 300.0


@UNTIMED
@given(HEIGHTS, COEFFICIENTS, COEFFICIENTS)
def test_a_greater_coefficient_never_gets_a_longer_spacing(height: float, a: float, b: float) -> None:
    small, great = sorted((a, b))
    longer = limits(BOOK, height, method="engineered", ccc=small).max_spacing_in
    shorter = limits(BOOK, height, method="engineered", ccc=great).max_spacing_in
    assert longer is not None
    assert shorter is not None
    assert shorter <= longer + 1e-9


@UNTIMED
@given(COEFFICIENTS)
def test_interpolation_stays_on_the_line_between_its_rows(ccc: float) -> None:
    rule = spacing_rule(BOOK, method="engineered", ccc=ccc)
    assert rule.ratio is not None
    assert rule.cap_in is not None
    assert abs(rule.ratio - (2.5 - (ccc - 0.0010) / 0.0005 * 0.5)) < 1e-9
    assert abs(rule.cap_in - (300.0 - (ccc - 0.0010) / 0.0005 * 60.0)) < 1e-6


@st.composite
def rows_of_openings(draw: st.DrawFn) -> tuple[Wall, tuple[OpeningChoices, ...]]:
    """A wall with up to six openings in a row, heads and piers of any size, treated in any way."""
    x, holes, choices = 0.0, [], []
    for i in range(draw(st.integers(1, 6))):
        x += draw(st.integers(0, 40))
        width, sill, height = draw(st.integers(8, 120)), draw(st.integers(0, 60)), draw(st.integers(8, 140))
        holes.append(Opening(f"O{i}", "", Box(x, float(sill), x + width, float(sill + height))))
        choices.append(OpeningChoices(treatment=draw(st.sampled_from(list(Treatment)))))
        x += width
    length = x + draw(st.integers(0, 40)) + 1
    top, bottom = Profile.level(200.0, 0.0, length), Profile.level(0.0, 0.0, length)
    return Wall("W", "", length, top, bottom, openings=tuple(holes)), tuple(choices)


@UNTIMED
@given(rows_of_openings())
def test_lintels_stay_in_the_masonry(drawn: tuple[Wall, tuple[OpeningChoices, ...]]) -> None:
    """Inside the wall, over their opening, through no other opening, and through no other lintel."""
    wall, choices = drawn
    rules = opening_rules(BOOK, wall, choices)
    boxes = [rule.lintel.box for rule in rules if rule.lintel]
    for rule in rules:
        if rule.lintel is None:
            continue
        box, hole = rule.lintel.box, rule.opening.box
        assert box.x0 >= 0.0
        assert box.x1 <= wall.length_in
        assert box.y1 <= 200.0
        assert box.x0 == hole.x0 - rule.lintel.bearing_left_in
        assert box.x1 == hole.x1 + rule.lintel.bearing_right_in
        assert not any(box.overlaps(other.box, 1e-9) for other in wall.openings)
    for i, box in enumerate(boxes):
        assert not any(box.overlaps(other, 1e-9) for other in boxes[i + 1 :])


@UNTIMED
@given(rows_of_openings(), st.integers(0, 1000))
def test_what_is_asked_of_an_opening_does_not_depend_on_where_the_wall_starts(
    drawn: tuple[Wall, tuple[OpeningChoices, ...]], shift: int
) -> None:
    """Every opening moved along a wall lengthened at both ends asks for the same joints and room."""
    wall, choices = drawn
    moved = tuple(
        Opening(o.tag, "", Box(o.box.x0 + shift + 100, o.box.y0, o.box.x1 + shift + 100, o.box.y1))
        for o in wall.openings
    )
    length = wall.length_in + shift + 200
    longer = Wall(
        "W", "", length, Profile.level(200.0, 0, length), Profile.level(0.0, 0, length), openings=moved
    )
    here, there = opening_rules(BOOK, wall, choices), opening_rules(BOOK, longer, choices)
    for a, b in zip(here, there, strict=True):
        assert (a.jambs_required, a.clear_in, a.step_in, a.bearing_in) == (
            b.jambs_required,
            b.clear_in,
            b.step_in,
            b.bearing_in,
        )
