"""The alignment of joints against every alignment there is."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.revisions.joint_alignment import Cost, Lie, Pair, align, pair_cost

WITHIN = 96.0


def every_alignment(old: int, new: int) -> Iterator[list[Pair]]:
    """Yield every way to pair two rows without a crossing, by choosing which of each are paired."""
    for count in range(min(old, new) + 1):
        for some in itertools.combinations(range(old), count):
            for others in itertools.combinations(range(new), count):
                paired: list[Pair] = list(zip(some, others, strict=True))
                paired += [(i, None) for i in range(old) if i not in some]
                paired += [(None, j) for j in range(new) if j not in others]
                yield paired


def cost_of(pairs: Sequence[Pair], old: Sequence[Lie], new: Sequence[Lie]) -> Cost | None:
    total = (0, 0, 0, 0)
    for i, j in pairs:
        cost: Cost | None = (1, 0, 0, 0)
        if i is not None and j is not None:
            cost = pair_cost(old[i], new[j], WITHIN)
        if cost is None:
            return None
        total = tuple(a + b for a, b in zip(total, cost, strict=True))  # type: ignore[assignment]
    return total


stations = st.lists(st.integers(0, 60).map(lambda n: n * 8.0), max_size=5).map(sorted)
numbers = st.sampled_from(["", "", "CJ-1", "CJ-2", "CJ-3"])
heads = st.sampled_from([None, None, None, 96.0])


@st.composite
def rows(draw: st.DrawFn) -> list[Lie]:
    return [Lie(x, x, None, draw(heads), number=draw(numbers)) for x in draw(stations)]


@settings(max_examples=300, deadline=None)
@given(rows(), rows())
def test_no_alignment_is_better(old: list[Lie], new: list[Lie]) -> None:
    pairs = align(old, new, WITHIN)
    assert sorted(i for i, _ in pairs if i is not None) == list(range(len(old))), "every old joint once"
    assert sorted(j for _, j in pairs if j is not None) == list(range(len(new))), "every new joint once"
    both = [(i, j) for i, j in pairs if i is not None and j is not None]
    assert all(a[0] < b[0] and a[1] < b[1] for a, b in itertools.pairwise(both)), "no two pairs cross"
    costs = (cost_of(p, old, new) for p in every_alignment(len(old), len(new)))
    assert cost_of(pairs, old, new) == min(c for c in costs if c is not None)


def lies(*at: float) -> list[Lie]:
    return [Lie(x, x) for x in at]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ((240, 480), (240, 480), [(0, 0), (1, 1)]),
        ((240, 480), (240, 360, 480), [(0, 0), (None, 1), (1, 2)]),
        ((240, 480), (213, 480), [(0, 0), (1, 1)]),
        ((240, 480), (480,), [(0, None), (1, 0)]),
        ((240,), (337,), [(0, None), (None, 0)]),  # 97 in.: farther than a joint may have moved
        ((240,), (336,), [(0, 0)]),
        # the second stays where it is, though two short moves would do as well
        ((100, 110), (110, 120), [(0, None), (1, 0), (None, 1)]),
    ],
)
def test_by_hand(old: tuple[float, ...], new: tuple[float, ...], expected: list[Pair]) -> None:
    assert sorted(align(lies(*old), lies(*new), WITHIN), key=str) == sorted(expected, key=str)


def test_numbers_of_ours_decide_between_two_that_are_as_good() -> None:
    old = [Lie(240, 240, number="CJ-2")]
    new = [Lie(216, 216, number="CJ-1"), Lie(272, 272, number="CJ-2")]
    assert (0, 1) in align(old, new, WITHIN), "32 in. instead of 24, but the same number"
    assert (0, 0) in align(lies(240), lies(216, 272), WITHIN), "without numbers the nearer one"


def test_a_joint_as_high_as_its_wall_is_the_same_when_the_wall_grows() -> None:
    assert Lie(240, 240).is_same(Lie(240, 240))
    assert not Lie(240, 240).is_same(Lie(240, 240, None, 96.0))
