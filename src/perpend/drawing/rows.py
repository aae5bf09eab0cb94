"""Labels in a row: each as near to its own station as its neighbours allow.

The order of the labels stays that of their stations, so no two leaders of a row cross. The best
positions come from a recursion over the labels, exact on a grid of offsets.

Glossary:
    slot: one of the offsets that a label may be moved by.
    blocked: a stretch of the row where no label may lie.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Interval = tuple[float, float]

_INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class RowLabel:
    """A label that wants to stand centred on a station."""

    at_in: float
    width_in: float


def place_in_row(
    labels: Sequence[RowLabel],
    *,
    gap_in: float,
    step_in: float,
    reach_in: float,
    blocked: Sequence[Interval] = (),
) -> list[float] | None:
    """Find the centres that move the labels least in all.

    Args:
        labels: in the order of their stations.
        gap_in: least room between two labels.
        step_in: grain of the offsets.
        reach_in: greatest offset either way.
        blocked: stretches to keep off.

    Returns:
        One centre for each label, or None when they do not fit within the reach.
    """
    steps = int(reach_in / step_in)
    offsets = [k * step_in for k in range(-steps, steps + 1)]
    costs: list[list[float]] = []
    origins: list[list[int]] = []
    for index, label in enumerate(labels):
        half = label.width_in / 2 + reach_in
        near = [b for b in blocked if b[0] < label.at_in + half and label.at_in - half < b[1]]
        own = [_own_cost(label, offset, near) for offset in offsets]
        if index == 0:
            costs.append(own)
            origins.append([-1] * len(offsets))
            continue
        room = (labels[index - 1].width_in + label.width_in) / 2 + gap_in
        lead = label.at_in - labels[index - 1].at_in - room
        best, origin = _extend(costs[-1], offsets, lead)
        costs.append([a + b for a, b in zip(own, best, strict=True)])
        origins.append(origin)
    return _trace(labels, offsets, costs, origins)


def _own_cost(label: RowLabel, offset: float, blocked: Sequence[Interval]) -> float:
    left, right = label.at_in + offset - label.width_in / 2, label.at_in + offset + label.width_in / 2
    if any(left < end and start < right for start, end in blocked):
        return _INFINITE
    return abs(offset) * (1.0 + abs(offset) / (label.width_in * 8 + 1.0))


def _extend(before: list[float], offsets: list[float], lead: float) -> tuple[list[float], list[int]]:
    """Return, for each offset of a label, the cheapest slot of the one before that leaves room."""
    best, origin = [], []
    pointer, cheapest, where = 0, _INFINITE, -1
    for offset in offsets:
        while pointer < len(offsets) and offsets[pointer] <= offset + lead + 1e-9:
            if before[pointer] < cheapest:
                cheapest, where = before[pointer], pointer
            pointer += 1
        best.append(cheapest)
        origin.append(where)
    return best, origin


def _trace(
    labels: Sequence[RowLabel],
    offsets: list[float],
    costs: list[list[float]],
    origins: list[list[int]],
) -> list[float] | None:
    if not labels:
        return []
    slot = min(range(len(offsets)), key=lambda k: (costs[-1][k], abs(offsets[k])))
    if costs[-1][slot] == _INFINITE:
        return None
    centres = []
    for index in range(len(labels) - 1, -1, -1):
        centres.append(labels[index].at_in + offsets[slot])
        slot = origins[index][slot]
    return centres[::-1]
