"""The two ways perpend ends badly: the input's fault (exit 2) and ours (exit 3)."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from perpend.clean_text import quoted, visible

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


@contextlib.contextmanager
def within_means(path: Path) -> Iterator[None]:
    """Report what is too large or too deeply nested for this machine as a fault of the input.

    Raises:
        InputError: memory or stack did not suffice.
    """
    try:
        yield
    except MemoryError:
        raise InputError(
            f"{quoted(path)} needs more memory than there is: look at what is in it, or close other programs."
        ) from None
    except RecursionError:
        raise InputError(
            f"{quoted(path)} is nested too deeply to be read: open it in a CAD program, explode or purge "
            "what is not needed, and save it as DXF."
        ) from None


class NoElevationError(InputError):
    """No wall was found, and nothing in the drawing hints at one: it is a sheet of something else."""


class InternalError(PerpendError):
    """A promise of ours was broken, such as an output that did not read back whole."""

    exit_code = 3
