"""How many texts and lines a plate has on each layer, with a sum that says whether they are the same.

Where another program saved a drawing without our extended data, a layer whose sums are those of the record's
note holds what we drew there, no more and no less, and may be taken out. Texts count by their words alone:
one that was moved is the same text.

Glossary:
    line: a straight piece of a LINE or a polyline, or what a DIMENSION measures.
    key: end of a layer's name, such as ``STEL``.
"""

from __future__ import annotations

import math
import re
import zlib
from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import Final, Literal

from perpend.dxf.xdata import digest_of

Sort = Literal["TEXTS", "LINES"]
TALLY_LINE: Final = re.compile(r"DRAWN ON ([A-Z]+): +(\d+) (TEXTS|LINES) ([0-9A-F]{8})")
_PER_UNIT, _ASIDE = 16.0, 0.3183
"""Places within a sixteenth of a unit are one; the cells begin where no drafter draws."""

Point = tuple[float, ...]


class PlateTally:
    """Texts and lines by the key of their layer."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._found: dict[tuple[str, Sort], tuple[int, int]] = defaultdict(lambda: (0, 0))

    def add_text(self, key: str, words: str) -> None:
        """Count a text."""
        self._add(key, "TEXTS", int(digest_of(words), 16))

    def add_lines(self, key: str, points: Sequence[Point], *, closed: bool = False) -> None:
        """Count the straight pieces of a line, drawing axes and units."""
        cells = [tuple(math.floor(v * _PER_UNIT + _ASIDE) for v in point[:2]) for point in points]
        for ends in pairwise([*cells, cells[0]] if closed else cells):
            self._add(key, "LINES", zlib.crc32(repr(sorted(ends)).encode("ascii")))

    def _add(self, key: str, sort: Sort, digest: int) -> None:
        count, total = self._found[key, sort]
        self._found[key, sort] = (count + 1, (total + digest) % (1 << 32))

    def lines(self) -> list[str]:
        """Return it as lines of the record's note, each as long whatever was counted."""
        return [f"DRAWN ON {key}: {n:5} {sort} {total:08X}" for (key, sort), (n, total) in self._sorted()]

    def _sorted(self) -> list[tuple[tuple[str, Sort], tuple[int, int]]]:
        return sorted(self._found.items())

    def proven_by(self, note: Iterable[str]) -> set[tuple[str, Sort]]:
        """Return the layers, by key and sort of thing, that hold what a note says, and nothing else."""
        said = {
            (m[1], m[3]): (int(m[2]), int(m[4], 16))
            for m in map(TALLY_LINE.fullmatch, map(_one_space, note))
            if m
        }
        return {what for what, found in self._found.items() if said.get(what) == found}


def _one_space(line: str) -> str:
    return " ".join(line.split())
