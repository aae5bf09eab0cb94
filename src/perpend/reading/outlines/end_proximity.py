"""Ends of lines that meet others, found among very many without looking at every pair."""

from __future__ import annotations

import itertools
from typing import Final

import numpy as np
import numpy.typing as npt

_CELLS: Final = 1 << 21
"""More cells than a drawing is long or high, and than it has layers; what lies beyond shares the last."""


def have_company(
    ends: npt.NDArray[np.float64], groups: npt.NDArray[np.integer], reach: float
) -> npt.NDArray[np.bool_]:
    """Say of every end of lines whether an end of another line of its group may be within reach of it.

    None that is within reach is missed; one up to three times as far may be taken for one.

    Args:
        ends: both ends of each line, shape (n, 2, 2).
        groups: the number of the group of each line, 0 or more, shape (n,).
        reach: how far apart two ends are at most that meet.

    Returns:
        Truths of shape (n, 2).
    """
    if not len(ends):
        return np.empty((0, 2), dtype=bool)
    least = ends.reshape(-1, 2).min(axis=0)
    cells = np.minimum((ends - least) / reach, _CELLS - 4).astype(np.int64) + 2
    keys = (groups[:, None] * _CELLS + cells[:, :, 0]) * _CELLS + cells[:, :, 1]
    known, counts = np.unique(keys, return_counts=True)
    near_by = np.zeros(keys.shape, dtype=np.int64)
    for along, up in itertools.product((-1, 0, 1), repeat=2):
        sought = keys + along * _CELLS + up
        at = np.minimum(np.searchsorted(known, sought), len(known) - 1)
        near_by += np.where(known[at] == sought, counts[at], 0)
    own = 1 + (np.abs(cells[:, 0] - cells[:, 1]) <= 1).all(axis=1)
    found: npt.NDArray[np.bool_] = near_by > own[:, None]
    return found
