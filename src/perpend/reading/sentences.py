"""How sentences about a drawing begin."""

from __future__ import annotations


def begun(words: str) -> str:
    """Return words as the beginning of a sentence; tags and handles in them stay as they are written."""
    return words[:1].upper() + words[1:]
