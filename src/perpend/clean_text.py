"""Foreign text made fit to be shown: what comes from drawings, settings and file names.

A terminal obeys control characters, a page reorders text at bidirectional ones, and a file name on Linux may
hold bytes that are no text at all. Everything that perpend prints or writes for people passes through
`visible`; what a sentence quotes passes through `quoted`. The escapes are those of JSON and TOML, so that a
document stays one.
"""

from __future__ import annotations

import os
import re
from typing import Final

LONGEST_QUOTE: Final = 80
"""Most characters of one foreign text in a sentence."""

_UNFIT: Final = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)
"""C0 and C1 controls, bidirectional controls, line ends, the byte-order mark, lone surrogates."""

_FORMULA: Final = re.compile("[=+\\-@\uff1d\uff0b\uff0d\uff20\t\r\n]")
"""How a text begins that a spreadsheet may take for a formula, full-width forms included."""


def visible(text: str, keep: str = "") -> str:
    r"""Return a text in which every control character can be seen: ``\u001b``, ``\u202e``.

    Args:
        text: anything.
        keep: characters that stay, such as the line ends between the lines of a document of ours.
    """
    if text.isascii() and text.isprintable():
        return text
    return _UNFIT.sub(lambda found: found[0] if found[0] in keep else f"\\u{ord(found[0]):04x}", text)


def quoted(text: str | os.PathLike[str]) -> str:
    """Return a foreign text as a sentence quotes it: visible, and of at most 80 characters.

    A longer one loses its middle, as its ends tell most. A path is not cut as a whole, but each name in it.
    """
    if isinstance(text, str):
        return _shortened(visible(text))
    shown = visible(os.fspath(text))
    return re.sub(r"[^/\\]{81,}", lambda name: _shortened(name[0]), shown)


def _shortened(shown: str) -> str:
    if len(shown) <= LONGEST_QUOTE:
        return shown
    half = (LONGEST_QUOTE - 1) // 2
    return f"{shown[:half]}…{shown[-(LONGEST_QUOTE - 1 - half) :]}"


def neutral_cell(text: str) -> str:
    """Return a cell of a table that no spreadsheet takes for a formula, on one line."""
    return visible(f"'{text}" if _FORMULA.match(text) else text)
