"""The handles in a text: a million of them as numbers, eight bytes each."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

_HANDLE: Final = re.compile(rb"\n[ \t]*+(?:5|105)[ \t]*+\r?\n[ \t]*+([0-9A-Fa-f]++)[ \t]*+\r?(?=\n)")
_STRETCH: Final = 1 << 22
"""Bytes that are looked through at once."""

_LONGEST: Final = 16
"""Digits of a handle that is kept with the others; one with more is damage."""


@dataclass(frozen=True, slots=True)
class Handles:
    """Handles, each perhaps several times.

    Attributes:
        sorted: all that have no more digits than a handle may have, the smallest first.
        longer: the others.
    """

    sorted: npt.NDArray[np.uint64]
    longer: frozenset[int]

    @classmethod
    def among(cls, data: bytes, spans: Iterable[tuple[int, int]]) -> Handles:
        """Find the values of all groups 5 and 105 in some stretches of a text."""
        found: array[int] = array("Q")
        longer: set[int] = set()
        for start, end in spans:
            while start < end:
                stop = data.find(b"\n", start + _STRETCH, end)
                stop = end if stop == -1 else stop
                behind = data.find(b"\n", stop + 1, end) + 1  # a code line may end at the border
                for text in _HANDLE.findall(data, start, behind or end):
                    if len(text) <= _LONGEST:
                        found.append(int(text, 16))
                    else:
                        longer.add(int(text, 16))
                start = stop
        return cls(np.sort(np.array(found, np.uint64)), frozenset(longer))

    @property
    def highest(self) -> int:
        """The highest of them; 0 where there is none."""
        return max((int(self.sorted[-1]) if len(self.sorted) else 0, *self.longer))

    def __contains__(self, handle: int) -> bool:
        """Say whether a handle is among them."""
        if handle >= 16**_LONGEST:
            return handle in self.longer
        if handle < 0:  # a damaged drawing may have ``-1``
            return False
        at = int(np.searchsorted(self.sorted, np.uint64(handle)))
        return at < len(self.sorted) and int(self.sorted[at]) == handle
