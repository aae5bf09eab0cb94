"""How much room a line of text takes, on every machine the same.

No font is asked: a table says how wide each letter may come out, over its capital height, in the
widest of seven fonts measured for it (the stroke fonts ``simplex`` and ``txt`` of CAD programs by
their published advance widths, LibreCAD's ``standard``, ``iso`` and ``simplex``, DejaVu Sans,
Helvetica and Times). Readers replace a missing font as they like; none of these comes out wider.

Glossary:
    cap height: height of a capital letter, which is DXF's text height.
    baseline: the line the letters stand on.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from perpend.model.geometry import Box, Point

WIDTH_FACTOR: Final = 0.8
"""Width of the letters of our text style, as a share of what its font draws."""

_CLASSES: Final = {
    0.45: "il",
    0.50: "',.:;|",
    0.55: "!I",
    0.65: "j",
    0.70: "()[]`",
    0.75: "frt",
    0.80: ' "',
    0.85: "J",
    0.90: "ksxz{}",
    0.95: "?Labcdeghnpquv",
    1.00: "$*012356789BEFPRSTZ\\oy",
    1.05: "4CHNU",
    1.10: "ADGKOQVXY",
    1.15: "#<>^w",
    1.20: "/~",
    1.25: "+-=",
    1.30: "&",
    1.35: "%M",
    1.40: "@W",
    1.45: "m",
    1.60: "_",
}
WIDTHS: Final[dict[str, float]] = {letter: width for width, letters in _CLASSES.items() for letter in letters}
"""Greatest advance of each printable ASCII letter, in cap heights, at width factor 1."""

_UNKNOWN_WIDTH: Final = 1.6


class _Advances(dict[str, float]):
    def __missing__(self, letter: str) -> float:
        return _UNKNOWN_WIDTH


_ADVANCE: Final = _Advances(WIDTHS).__getitem__
_WIDOW: Final = 3
_DEEP: Final = set("gjpqy,;()[]{}|_/\\$@Q&")
_TALL: Final = set("()[]{}|/\\$@")

_SPELLED: Final = str.maketrans(
    {
        "²": "2",
        "³": "3",
        "½": " 1/2",
        "¼": " 1/4",
        "¾": " 3/4",
        "×": "x",
        "·": "*",
        "≥": ">=",
        "≤": "<=",
        "±": "+/-",
        "°": " DEG",
        "§": "SEC. ",
        "–": "-",
        "—": " - ",
        "−": "-",
        "‘": "'",
        "’": "'",
        "′": "'",
        "“": '"',
        "”": '"',
        "″": '"',
        "…": "...",
    }
)


def plain(text: str) -> str:
    """Spell a text with the letters that every TEXT entity can carry, in capitals.

    Returns:
        Capitals, typographic signs spelled in ASCII, accents kept off; a letter that has no ASCII
        spelling stays. Percent pairs, which start control codes in TEXT, are parted.
    """
    folded = unicodedata.normalize(
        "NFKD", " ".join(text.split()).replace("in²", "sq in.").translate(_SPELLED)
    )
    bare = "".join(c for c in folded if not unicodedata.combining(c) and c.isprintable())
    while "%%" in bare:
        bare = bare.replace("%%", "% %")
    return " ".join(bare.split()).upper()


@lru_cache(maxsize=4096)
def text_width(text: str, height_in: float, width_factor: float = WIDTH_FACTOR) -> float:
    """Return the greatest width of a line of text, in the unit of its height."""
    return height_in * width_factor * sum(map(_ADVANCE, text))


def text_rise(text: str, height_in: float) -> float:
    """Return how far a line of text reaches above its baseline."""
    return height_in * (1.03 if _TALL.isdisjoint(text) else 1.15)


def text_drop(text: str, height_in: float) -> float:
    """Return how far a line of text reaches below its baseline."""
    return height_in * (0.05 if _DEEP.isdisjoint(text) else 0.3)


def text_box(text: str, baseline: Point, height_in: float, align: str = "left") -> Box:
    """Return the box that a level line of text stays within.

    Args:
        text: the line.
        baseline: left end of the baseline, or its middle, or its right end, as ``align`` says.
        height_in: cap height.
        align: ``left``, ``center`` or ``right``.
    """
    width = text_width(text, height_in)
    x0 = baseline[0] - {"left": 0.0, "center": width / 2, "right": width}[align]
    y = baseline[1]
    return Box(x0, y - text_drop(text, height_in), x0 + width, y + text_rise(text, height_in))


_WORDS: Final = re.compile(r"\S*\d [×X] \S+|\S*\d [hH]\b\S*|\S+")
"""What stays on one line: a word, a product (1.5 × H), hours (4 h)."""


def wrap(text: str, width_in: float, height_in: float) -> list[str]:
    """Break a text into lines no wider than ``width_in``; a longer word stands alone."""
    lines: list[str] = []
    line, run = "", 0.0
    for word in _WORDS.findall(text):
        run_on = sum(map(_ADVANCE, f" {word}"), run)
        if line and height_in * WIDTH_FACTOR * run_on <= width_in:
            line, run = f"{line} {word}", run_on
            continue
        if line:
            lines.append(line)
        line, run = word, sum(map(_ADVANCE, word))
    return _without_widow([*lines, line]) if line else lines


def halved(text: str) -> list[str]:
    """Break a text into two lines of about one length; a single word stays whole."""
    words = text.split()
    if len(words) < 2:
        return [text]
    pairs = [(" ".join(words[:i]), " ".join(words[i:])) for i in range(1, len(words))]
    return list(min(pairs, key=lambda pair: max(map(len, pair))))


def _without_widow(lines: list[str]) -> list[str]:
    """Give a last line of a few letters the word before it, if the line above can spare one."""
    if len(lines) > 1 and len(lines[-1]) <= _WIDOW:
        *above, word = _WORDS.findall(lines[-2])
        if len(above) > 1:
            return [*lines[:-2], " ".join(above), f"{word} {lines[-1]}"]
    return lines


def widest(lines: Iterable[str], height_in: float) -> float:
    """Return the width of the widest line; 0 for none."""
    return max((text_width(line, height_in) for line in lines), default=0.0)
