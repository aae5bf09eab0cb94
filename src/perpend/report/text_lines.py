"""Lines of text with a tone, which the command line may color by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Tone = Literal["title", "plain", "label", "required", "advisory", "good", "quiet"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the summary and what kind of line it is."""

    text: str
    tone: Tone = "plain"
