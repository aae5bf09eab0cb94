"""Pieces of the sentences that are said about a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

_NAMED: Final = 8
"""Handles and walls that a sentence names one by one."""


def begun(words: str) -> str:
    """Return words as the beginning of a sentence; tags and handles in them stay as they are written."""
    return words[:1].upper() + words[1:]


def handles_named(handles: Iterable[str]) -> str:
    """Name handles in a sentence: in their order, each once, of many only the first."""
    every = sorted(set(handles), key=lambda h: (len(h), h))
    more = f" and {len(every) - _NAMED} more" if len(every) > _NAMED else ""
    return f"handle{'s' if every[1:] else ''} {', '.join(every[:_NAMED])}{more}"


def walls_named(tags: Sequence[str]) -> str:
    """Join the tags of walls; of very many the first few."""
    more = len(tags) - _NAMED
    *first, last = tags if more <= 1 else (*tags[:_NAMED], f"{more} more walls")
    return f"{', '.join(first)} and {last}" if first else last
