"""Whose fault it is when a job on a drawing fails: the drawing's, or ours."""

from __future__ import annotations

import contextlib
import functools
import inspect
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import ParamSpec, TypeVar

from perpend.errors import InputError, within_means

P = ParamSpec("P")
T = TypeVar("T")


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


def blames_the_drawing(job: Callable[P, T]) -> Callable[P, T]:
    """Run a job that reads one drawing, its argument `drawing`, within `drawing_to_blame`."""
    signature = inspect.signature(job)

    @functools.wraps(job)
    def blaming(*given: P.args, **options: P.kwargs) -> T:
        with drawing_to_blame(Path(signature.bind(*given, **options).arguments["drawing"])):
            return job(*given, **options)

    return blaming
