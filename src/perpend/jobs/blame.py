"""Whose fault it is when a job on a drawing fails: the drawing's, or ours."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

from perpend.errors import InputError, within_means


@contextlib.contextmanager
def drawing_to_blame(path: Path) -> Iterator[None]:
    """Turn what goes wrong with a drawing that is damaged, or too large, into an error of the input.

    What goes wrong with a sound drawing stays what it is: a fault of perpend.

    Args:
        path: the drawing that the job reads.

    Raises:
        InputError: the drawing is damaged by itself, or memory or stack did not suffice.
    """
    with within_means(path):
        try:
            yield
        except (InputError, OSError, MemoryError, RecursionError):
            raise
        except Exception as error:
            from perpend.dxf.soundness import refuse_damaged

            refuse_damaged(path, error)
            raise
