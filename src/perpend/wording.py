"""Words put together for a sentence: lists, counts, first letters."""

from __future__ import annotations

from collections.abc import Iterable


def listed(words: Iterable[str], most: int | None = None, more: str = "more") -> str:
    """Join words as a sentence does: ``A``, ``A and B``, ``A, B and C``.

    Args:
        words: what is joined.
        most: of more words than this only the first ones are named, and the rest is counted:
            ``A, B and 3 more``. One word too many is named all the same.
        more: what stands behind the number of the rest.

    Returns:
        The words as one; nothing of no words.
    """
    named = list(words)
    if most is not None and len(named) > most + 1:
        named = [*named[:most], f"{len(named) - most} {more}"]
    return " and ".join(filter(None, (", ".join(named[:-1]), *named[-1:])))


def handles_named(handles: Iterable[str]) -> str:
    """Name handles in a sentence: in their order, each once, of many only the first eight."""
    every = sorted(set(handles), key=lambda handle: (len(handle), handle))
    return f"handle{'s' if every[1:] else ''} {listed(every, most=8)}"


def counted(count: int, noun: str, none: str = "0") -> str:
    """Return a count with its noun: ``0 joints``, ``1 joint``, ``3 slip planes``."""
    return f"{count or none} {noun}{'' if count == 1 else 's'}"


def begun(words: str) -> str:
    """Return words as the beginning of a sentence; tags and handles in them stay as they are written."""
    return words[:1].upper() + words[1:]
