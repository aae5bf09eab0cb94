"""Labels in a row: each as near to its own station as its neighbours allow.

The order of the labels stays that of their stations, so no two leaders of a row cross. The best
positions come from a recursion over the labels, exact on a grid of offsets: the cheapest way to
place the first labels with the last of them in a given slot follows from the same for one label less.

Glossary:
    slot: one of the offsets that a label may be moved by.
    blocked: a stretch of the row where no label may lie.
    disliked: a stretch where a label may lie at a price.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Interval = tuple[float, float]
_Costs = npt.NDArray[np.float64]
_Slots = npt.NDArray[np.intp]

_FAR_WIDTHS = 8.0
"""A label moved this many times its width costs twice its offset: few labels far out are worse
than many a little out."""


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
    disliked: Sequence[tuple[float, float, float]] = (),
) -> list[float] | None:
    """Find the centres that move the labels least in all.

    Args:
        labels: in the order of their stations.
        gap_in: least room between two labels.
        step_in: grain of the offsets.
        reach_in: greatest offset either way.
        blocked: stretches to keep off.
        disliked: stretches that cost a label something (start, end, price in inches of offset).

    Returns:
        One centre for each label, or None when they do not fit within the reach.
    """
    steps = int(reach_in / step_in)
    offsets: _Costs = np.arange(-steps, steps + 1, dtype=np.float64) * step_in
    costs: _Costs = np.zeros(len(offsets))
    dear: _Costs = np.array(disliked, dtype=np.float64).reshape(-1, 3)
    origins: list[_Slots] = []
    for index, label in enumerate(labels):
        own = _own_costs(label, offsets, reach_in, blocked) + _dislikes(label, offsets, reach_in, dear)
        if index == 0:
            costs = own
            continue
        room = (labels[index - 1].width_in + label.width_in) / 2 + gap_in
        lead = label.at_in - labels[index - 1].at_in - room
        before, origin = _cheapest_before(costs, offsets, lead, step_in)
        costs = own + before
        origins.append(origin)
    return _traced(labels, offsets, costs, origins)


def _own_costs(label: RowLabel, offsets: _Costs, reach_in: float, blocked: Sequence[Interval]) -> _Costs:
    """Price every slot of one label by itself; infinite where it would lie on something."""
    away = np.abs(offsets)
    costs: _Costs = away * (1.0 + away / (label.width_in * _FAR_WIDTHS + 1.0))
    half = label.width_in / 2
    left, right = label.at_in + offsets - half, label.at_in + offsets + half
    for start, end in blocked:
        if start < label.at_in + reach_in + half and label.at_in - reach_in - half < end:
            costs[(left < end) & (start < right)] = np.inf
    return costs


def _dislikes(label: RowLabel, offsets: _Costs, reach_in: float, disliked: _Costs) -> _Costs:
    """Price every slot of one label by what it would lie over."""
    half = label.width_in / 2
    low, high = label.at_in - reach_in - half, label.at_in + reach_in + half
    near = disliked[(disliked[:, 0] < high) & (low < disliked[:, 1])]
    left, right = label.at_in + offsets - half, label.at_in + offsets + half
    over = (left[:, None] < near[None, :, 1]) & (near[None, :, 0] < right[:, None])
    prices: _Costs = over @ near[:, 2]
    return prices


def _cheapest_before(costs: _Costs, offsets: _Costs, lead: float, step_in: float) -> tuple[_Costs, _Slots]:
    """Return, for each slot of a label, the cheapest slot of the one before that leaves room for it."""
    least = np.minimum.accumulate(costs)
    places = np.arange(len(costs))
    where = np.maximum.accumulate(np.where(costs == least, places, 0))
    last = np.floor((offsets + lead - offsets[0]) / step_in + 1e-9).astype(np.intp)
    allowed = np.clip(last, 0, len(costs) - 1)
    return np.where(last >= 0, least[allowed], np.inf), where[allowed]


def _traced(
    labels: Sequence[RowLabel], offsets: _Costs, costs: _Costs, origins: Sequence[_Slots]
) -> list[float] | None:
    if not labels:
        return []
    if not np.isfinite(costs).any():
        return None
    ranked = np.lexsort((np.abs(offsets), costs))
    slot = int(ranked[0])
    centres = []
    for index in range(len(labels) - 1, -1, -1):
        centres.append(labels[index].at_in + float(offsets[slot]))
        if index:
            slot = int(origins[index - 1][slot])
    return centres[::-1]
