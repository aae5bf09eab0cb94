"""Elevations drawn at another size than the rest of the sheet, known by the scales that their titles name.

Where one sheet is plotted at one scale, and an elevation on it has a title with another, its lines are longer
or shorter than life. Letters tell this from a drawing in life size that is plotted at two scales: there the
letters of the titles are as different as the scales.

Glossary:
    factor: what every length of an elevation is multiplied by; 1 for what is drawn as the unit says.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Final

from perpend.dxf.entity_points import point_in_ring
from perpend.model import Box
from perpend.notices import NoticePlace, Notices
from perpend.reading.gather.texts import DrawnText
from perpend.reading.outlines.close_outlines import Ring
from perpend.reading.reading_options import NamedWall

_IMPERIAL: Final = re.compile(r"(\d+(?:[- ]\d+/\d+)?|\d+/\d+)\s*(?:\"|'')\s*=\s*(\d+)\s*'(?:\s*-?\s*0\s*\")?")
_RATIO: Final = re.compile(r"(?<![\d:])1\s*:\s*(\d{1,4})(?![\d:])")
LONGEST_SCALE: Final = 60
"""Letters of the longest text that may name a scale."""

SCALES: Final = (1.0, 2000.0)
"""No elevation is plotted at another one."""

_LEAST_PART: Final = 0.02
_MOST: Final = 40
"""Of the largest outline's area, what another has at least, and how many outlines are compared."""

_DOOR_IN: Final = 84.0
_ALIKE: Final = 1.25
"""Doors and letters that differ by less than this factor are as high as each other."""


def scale_of(text: str) -> float | None:
    """Return the scale that a text names: 96 for ``SCALE: 1/8" = 1'-0"``, 50 for ``1:50``."""
    if len(text) > LONGEST_SCALE or ("=" not in text and ":" not in text):
        return None
    if found := _IMPERIAL.search(text):
        paper = sum(Fraction(part) for part in re.split("[- ]", found[1]))
        scale = float(12 * int(found[2]) / paper) if paper else 0.0
    elif ("SCALE" in text.upper() and (found := _RATIO.search(text))) or (
        found := _RATIO.fullmatch(text.strip())
    ):
        scale = float(found[1])
    else:
        return None
    return scale if SCALES[0] <= scale <= SCALES[1] else None


def likely_walls(rings: Sequence[Ring]) -> list[Ring]:
    """Return the outlines whose titles are compared; none where there is one alone, or too many."""
    least = _LEAST_PART * max((ring.area for ring in rings), default=0.0)
    large = [ring for ring in rings if ring.area >= least]
    return large if 1 < len(large) <= _MOST else []


def size_factors(
    rings: Sequence[Ring],
    openings: Sequence[Ring],
    texts: Iterable[DrawnText],
    named: Iterable[NamedWall],
    inches: float,
    notices: Notices,
) -> dict[str, float]:
    """Return the factor of every wall outline that has one, by its handle.

    Args:
        rings: the wall outlines.
        openings: those of openings; doors are compared.
        texts: texts near the outlines.
        named: walls that the settings name; a ``scale`` there counts.
        inches: inches in one drawing unit.
        notices: takes which wall was read at another size, or may have to be.
    """
    settled = {r.handle: e.scale for e in named if e.scale for r in rings if is_meant(e, r)}
    said = [(text, scale) for text in texts if (scale := scale_of(text.text))]
    if len({scale for _, scale in said}) < 2:
        return settled
    titled = {ring.handle: found for ring in rings if (found := _below(ring, said, inches)) is not None}
    doors = {ring.handle: _door(ring, openings) * inches for ring in rings if ring.handle in titled}
    known = {handle: high for handle, high in doors.items() if high}
    if not known:
        return settled
    home = min(known, key=lambda handle: abs(math.log(known[handle] / _DOOR_IN)))
    letters, scale = titled[home]
    for ring in rings:
        title, other = titled.get(ring.handle, (letters, scale))
        factor = other / scale
        if ring.handle in settled or factor == 1.0 or not _alike(title.height, letters.height):
            continue
        sure = ring.handle in known and _alike(known[ring.handle] * factor, known[home])
        if sure:
            settled[ring.handle] = factor
        _note(ring, home, title.text, factor, notices, sure=sure)
    return settled


def _note(ring: Ring, home: str, title: str, factor: float, notices: Notices, *, sure: bool) -> None:
    line = f'[[walls]] handle = "{ring.handle}" with a tag and scale'
    place = NoticePlace(ring.handle, ring.kind, ring.layer)
    drawn = f"Wall outline {ring.handle} is drawn {1 / factor:g} times as large as outline {home}"
    if sure:
        words = f"{drawn}, as its title ({title}) and its doors say, and was read so"
        notices.note("wall-at-other-scale", f"{words}: {line} = 1 takes it as it is.", place)
    else:
        words = f"{drawn}, as its title says ({title}), but was read as it is"
        cure = f"{line} = {factor:g} reads it so, = 1 says that it is right"
        notices.doubt("wall-at-other-scale", f"{words}: {cure}.", place)


def is_meant(entry: NamedWall, ring: Ring) -> bool:
    """Say whether an entry of the settings names the wall with an outline."""
    if entry.handle is not None:
        return entry.handle.upper() in (handle.upper() for handle in (ring.handle, *ring.handles))
    return entry.at is not None and point_in_ring(entry.at, ring.points)


def _below(
    ring: Ring, said: Sequence[tuple[DrawnText, float]], inches: float
) -> tuple[DrawnText, float] | None:
    """Return the scale nearest below an outline."""
    x0, y0, x1, y1 = ring.box
    reach = max(144.0 / inches, 0.75 * (y1 - y0))
    near = [
        (y0 - text.at[1] + max(0.0, x0 - text.at[0], text.at[0] - x1), text.handle, text, scale)
        for text, scale in said
        if y0 - reach <= text.at[1] < y0 and x0 - (x1 - x0) / 2 <= text.at[0] <= x1 + (x1 - x0) / 2
    ]
    if not near:
        return None
    *_, text, scale = min(near, key=lambda found: found[:2])
    return text, scale


def _door(ring: Ring, openings: Iterable[Ring]) -> float:
    """Return the height of the highest door in an outline, drawing units; 0 without one."""
    wall = Box(*ring.box)
    boxes = (Box(*opening.box) for opening in openings)
    slack = 0.01 * wall.height
    return max(
        (
            b.height
            for b in boxes
            if wall.grown(slack).contains(b) and b.y0 <= wall.y0 + slack and b.height > b.width
        ),
        default=0.0,
    )


def _alike(one: float, other: float) -> bool:
    return 1 / _ALIKE < one / other < _ALIKE


def factor_in(factors: Mapping[str, float], rings: Sequence[Ring], ring: Ring) -> float:
    """Return the factor of an outline: its own, or that of the outline that it lies in."""
    if ring.handle in factors or not factors:
        return factors.get(ring.handle, 1.0)
    middle = Box(*ring.box).center
    return next(
        (factors[r.handle] for r in rings if r.handle in factors and point_in_ring(middle, r.points)), 1.0
    )
