"""Labels in a row: equal to trying every combination, on small rows."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from perpend.drawing.page.label_row import RowLabel, place_in_row

REACH, STEP, GAP = 6.0, 1.0, 0.5
FAR = 8.0


Dear = list[tuple[float, float, float]]


def price(label: RowLabel, offset: float, dear: Dear) -> float:
    left, right = label.at_in + offset - label.width_in / 2, label.at_in + offset + label.width_in / 2
    over = sum(cost for start, end, cost in dear if left < end and start < right)
    return abs(offset) * (1 + abs(offset) / (label.width_in * FAR + 1)) + over


def brute(labels: list[RowLabel], blocked: list[tuple[float, float]], dear: Dear) -> float | None:
    """The least price over every combination of offsets, or None when none fits."""
    offsets = [k * STEP for k in range(-6, 7)]
    best = None
    for combination in itertools.product(offsets, repeat=len(labels)):
        centres = [label.at_in + o for label, o in zip(labels, combination, strict=True)]
        edges = [(c - lb.width_in / 2, c + lb.width_in / 2) for c, lb in zip(centres, labels, strict=True)]
        if any(b[0] - a[1] < GAP - 1e-9 for a, b in itertools.pairwise(edges)):
            continue
        if any(left < end and start < right for left, right in edges for start, end in blocked):
            continue
        cost = sum(price(label, o, dear) for label, o in zip(labels, combination, strict=True))
        best = cost if best is None else min(best, cost)
    return best


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 24), st.integers(1, 5)), min_size=1, max_size=3),
    st.lists(st.tuples(st.integers(-8, 30), st.integers(1, 6)), max_size=2),
    st.lists(st.tuples(st.integers(-8, 30), st.integers(0, 4), st.integers(1, 5)), max_size=3),
)
def test_the_row_is_as_cheap_as_the_best_of_all(
    raw: list[tuple[int, int]], holes: list[tuple[int, int]], lines: list[tuple[int, int, int]]
) -> None:
    labels = [RowLabel(float(at), float(width)) for at, width in sorted(raw)]
    blocked = [(start + 0.25, start + length + 0.25) for start, length in holes]
    dear = [(start + 0.25, start + length + 0.25, float(cost)) for start, length, cost in lines]
    found = place_in_row(labels, gap_in=GAP, step_in=STEP, reach_in=REACH, blocked=blocked, disliked=dear)
    expected = brute(labels, blocked, dear)
    if expected is None:
        assert found is None
        return
    assert found is not None
    cost = sum(price(label, centre - label.at_in, dear) for label, centre in zip(labels, found, strict=True))
    assert abs(cost - expected) < 1e-6


def test_a_free_row_moves_nothing() -> None:
    labels = [RowLabel(0.0, 10.0), RowLabel(50.0, 10.0)]
    assert place_in_row(labels, gap_in=1, step_in=1, reach_in=20) == [0.0, 50.0]


def test_two_labels_on_one_station_part_evenly() -> None:
    labels = [RowLabel(0.0, 10.0), RowLabel(0.0, 10.0)]
    assert place_in_row(labels, gap_in=2, step_in=1, reach_in=20) == [-6.0, 6.0]
