"""The garbage collector's pace in a process that does drawings and nothing else."""

from __future__ import annotations

import gc
from typing import Final

_THRESHOLDS: Final = (200_000, 20, 20)


def collect_rarely() -> None:
    """Look for garbage less often than usual.

    A drawing is a few hundred thousand objects that all stay until it is done; at the usual pace the
    collector goes over them again and again and finds nothing, for an eighth of the whole time.
    """
    gc.set_threshold(*_THRESHOLDS)
