"""The two ways perpend ends badly: the input's fault (exit 2) and ours (exit 3)."""

from __future__ import annotations

from typing import Final

from perpend.clean_text import visible

INTERRUPTED: Final = 130
"""Exit code of a run that was stopped, as shells count a Ctrl-C."""


class PerpendError(Exception):
    """Base of every error that perpend raises on purpose; its text is one clear sentence."""

    exit_code: int = 3

    def __init__(self, sentence: str) -> None:
        super().__init__(visible(sentence))


class InputError(PerpendError):
    """The drawing, the settings or the command line is wrong; the sentence says what to do."""

    exit_code = 2


class NoElevationError(InputError):
    """No wall was found, and nothing in the drawing hints at one: it is a sheet of something else."""


class InternalError(PerpendError):
    """A promise of ours was broken, such as an output that did not read back whole."""

    exit_code = 3
