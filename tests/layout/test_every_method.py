"""The referee and brute force on the real rule books: every method, both treatments, every book.

The walls are random; what binds them comes from settings through the rule books, as in a real run.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout import brute, referee
from perpend.layout.place import place_joints
from perpend.model import Box, EndCondition, Opening, Place, PlaceKind, Profile, Treatment, Wall
from perpend.rulebook import WallBasis, load_rulebook
from perpend.settings import parse_settings, resolve_wall

METHODS = {
    "empirical": "method = 'empirical'",
    "empirical, half-high": "method = 'empirical'\nunits = 'half-high'",
    "engineered 0.0010": "method = 'engineered'\nccc = 0.0010",
    "engineered 0.0012": "method = 'engineered'\nccc = 0.0012",
    "engineered 0.0015": "method = 'engineered'\nccc = 0.0015",
    "veneer, loose lintels": "method = 'veneer'\nlintel_support = 'loose'",
    "veneer, anchored lintels": "method = 'veneer'\nlintel_support = 'anchored'",
    "no joints": "method = 'no-joints'",
    "au-ncc": "",
    "us-clay, loose lintels": "lintel_support = 'loose'",
    "us-clay, hung lintels": "lintel_support = 'anchored'",
    "us-clay, calculated, joints known round the corners": (
        "method = 'engineered'\nleft_return = '4 ft'\nright_return = '14 ft'"
    ),
    "us-clay, parapet": "parapet = true",
    "en-uk, clay": "material = 'clay'\nleft_return = '2 m'\nright_return = '9 m'",
    "en-uk, aggregate concrete": "material = 'aggregate-concrete'",
    "en-uk, parapet of calcium silicate": "material = 'calcium-silicate'\nparapet = true",
}
ENDS = st.sampled_from([EndCondition.CORNER, EndCondition.FREE, EndCondition.CONTINUES])
TREATMENTS = st.sampled_from(list(Treatment))
UNIT_IN = {"us-cmu": 8.0, "us-clay": 8.0, "au-ncc": 200 / 25.4, "en-uk": 225 / 25.4}
ONE_TREATMENT = ("us-clay", "en-uk", "au-ncc")
"""Books that know one treatment of openings only."""


def book_of(method: str) -> str:
    first = method.partition(",")[0]
    return first if first in UNIT_IN else "us-cmu"


def basis_of(method: str, drawn: Wall, module_units: int) -> WallBasis:
    key = book_of(method)
    module = f"module = {module_units * UNIT_IN[key]!r}\n"
    text = f"rulebook = '{key}'\n[defaults]\n{module}{METHODS[method]}\n"
    chosen = parse_settings(text)
    if key in ONE_TREATMENT:
        drawn = replace(drawn, openings=tuple(replace(o, treatment=None) for o in drawn.openings))
    return resolve_wall(chosen, load_rulebook(chosen.rulebook), drawn, metric=key in ("au-ncc", "en-uk"))


@st.composite
def walls(draw: st.DrawFn, unit: float, least: int, most: int, holes: int) -> Wall:
    """Draw a wall of whole units, level or stepped, with openings that leave at least a unit of masonry."""
    count, height = draw(st.integers(least, most)), draw(st.integers(6, 36))
    length = count * unit
    x, found = 0, []
    for number in range(draw(st.integers(0, holes))):
        left = x + draw(st.integers(1, 12))
        right = left + draw(st.integers(2, 14))
        if right >= count:
            break
        head = draw(st.integers(3, height))
        sill = draw(st.integers(0, max(0, head - 3)))
        box = Box(left * unit, sill * unit, right * unit, head * unit)
        arched = draw(st.integers(0, 9)) == 0 and head < height
        found.append(Opening(f"O{number}", "", box, treatment=draw(TREATMENTS), arched=arched))
        x = right
    return Wall(
        tag="W1",
        handle="1",
        length_in=length,
        top=draw(tops(length, count, height, unit)),
        bottom=Profile.level(0.0, 0.0, length),
        openings=tuple(found),
        left_end=draw(ENDS),
        right_end=draw(ENDS),
        places=draw(st.sampled_from([(), (), (Place(count // 2 * unit, PlaceKind.PILASTER),)])),
    )


@st.composite
def tops(draw: st.DrawFn, length: float, count: int, height: int, unit: float) -> Profile:
    rise, at = draw(st.sampled_from([0, 0, 1, 8])), draw(st.integers(1, count - 1)) * unit
    low, high = height * unit, (height + rise) * unit
    return (
        Profile(((0.0, low), (at, low), (at, high), (length, high)))
        if rise
        else Profile.level(low, 0.0, length)
    )


@pytest.mark.parametrize("method", METHODS)
def test_the_referee_finds_nothing_to_complain_of(method: str) -> None:
    """Walls of up to 80 ft on the module of the book."""
    unit = UNIT_IN[book_of(method)]

    @settings(max_examples=40)
    @given(walls(unit, 12, 120, 6))
    def holds(drawn: Wall) -> None:
        basis = basis_of(method, drawn, 1)
        report = referee.judge(basis, place_joints(basis))
        assert report.complaints == []

    holds()


@pytest.mark.parametrize("method", METHODS)
def test_brute_force_finds_no_better_layout(method: str) -> None:
    """Walls with so few stations, on a wide module, that every layout can be tried."""
    unit = UNIT_IN[book_of(method)]

    @settings(max_examples=25)
    @given(walls(unit, 12, 60, 3))
    def holds(drawn: Wall) -> None:
        basis = basis_of(method, drawn, 6)
        report = referee.judge(basis, place_joints(basis))
        assert report.complaints == []
        assert (*report.cost, report.off_steps, report.feet) == brute.best(basis)

    holds()


def test_the_walls_do_what_the_methods_tell_apart() -> None:
    """The random walls are of use: every method gives another layout on some of them, and joints do step."""
    seen: dict[str, set[tuple[float, ...]]] = {method: set() for method in METHODS}
    stepped: set[str] = set()

    @settings(max_examples=25)
    @given(walls(8.0, 30, 120, 6))
    def look(drawn: Wall) -> None:
        for method in METHODS:
            placed = place_joints(basis_of(method, drawn, 1))
            seen[method].add(tuple(joint.x_in for joint in placed.joints))
            if any(joint.slip_planes for joint in placed.joints):
                stepped.add(method)

    look()
    assert len({frozenset(found) for found in seen.values()}) >= 7
    straight = {"veneer, anchored lintels", "no joints", "au-ncc", "us-clay, hung lintels"}
    assert stepped & straight == set()
    asked = {method for method in METHODS if book_of(method) not in ONE_TREATMENT} - straight
    assert stepped >= asked, "only where no joint has to stand at a jamb may none step"
