"""Orders on an existing Dask cluster, through the executor that its client offers.

The workers must see the folders under the same paths and have the same version of perpend installed. How
much memory a worker may hold, and how often a drawing is tried again when a worker dies, the cluster says.
"""

from __future__ import annotations

import importlib
import logging
from collections.abc import Callable
from concurrent.futures import Executor, Future
from typing import Any, Final, TypeVar

from perpend.errors import InputError
from perpend.folders.worker_pool import MakeExecutor
from perpend.version import __version__

_ANSWER_WITHIN_S: Final = 10
T = TypeVar("T")


class ScheduledExecutor(Executor):
    """The workers of a Dask cluster."""

    def __init__(self, address: str) -> None:
        """Connect to a scheduler.

        Args:
            address: such as ``tcp://10.0.0.5:8786``.

        Raises:
            InputError: dask is not installed, nothing answers, or the workers run another perpend.
        """
        try:
            distributed: Any = importlib.import_module("distributed")
        except ImportError:
            raise InputError("--scheduler needs packages of its own: install perpend[cluster].") from None
        logging.getLogger("distributed").setLevel(logging.CRITICAL)
        try:
            self._client = distributed.Client(address, timeout=_ANSWER_WITHIN_S, set_as_default=False)
        except (OSError, ValueError) as error:
            reason = " ".join(str(error).split()) or type(error).__name__
            raise InputError(
                f"No scheduler answers at {address} ({reason}): look at --scheduler, such as tcp://HOST:8786."
            ) from None
        try:
            self._refuse_strangers(address)
        except BaseException:
            self._client.close()
            raise
        self._executor = self._client.get_executor(pure=False)

    def _refuse_strangers(self, address: str) -> None:
        """Refuse a cluster without workers, or with workers that would decide otherwise than we."""
        versions = self._client.run(_version_here, on_error="return")
        if not versions:
            raise InputError(f"The scheduler at {address} has no workers: start some.")
        for worker, version in versions.items():
            if version != __version__:
                told = version if isinstance(version, str) else "none"
                raise InputError(
                    f"Worker {worker} has perpend {told}, not {__version__}: install the same there."
                )

    @property
    def places(self) -> int:
        """How many orders the workers can do at once."""
        return sum(self._client.nthreads().values())

    def submit(self, work: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:  # noqa: ANN401
        """Hand out work; see `concurrent.futures.Executor.submit`."""
        future: Future[T] = self._executor.submit(work, *args, **kwargs)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let go of the cluster, which stays; cancelled futures are given up, under way or not."""
        self._executor.shutdown(wait=wait and not cancel_futures)
        self._client.close()


def _version_here() -> str:
    from perpend.version import __version__ as version

    return version


def on_cluster(address: str) -> tuple[MakeExecutor, int]:
    """Return what makes executors on the cluster of a scheduler, and how many drawings it can do at once.

    Raises:
        InputError: dask is not installed, nothing answers, or the workers run another perpend.
    """
    first = ScheduledExecutor(address)
    try:
        return lambda _workers: ScheduledExecutor(address), first.places
    finally:
        first.shutdown(wait=False)
