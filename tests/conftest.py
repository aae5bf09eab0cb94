"""What all tests share: order of the files, pace of the garbage collector, Hypothesis, headless Chromium.

The browser is the system's own (Debian package ``chromium``); Playwright only drives it, its own browsers
are never fetched. Without Chromium the tests are skipped on a desk and fail in CI.
"""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, settings

from perpend.gc_tuning import collect_rarely

if TYPE_CHECKING:
    from playwright.sync_api import Browser

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
"""Programs that tests start keep what they compiled: without it each of them compiles every module anew."""

settings.register_profile(
    "perpend",
    derandomize=True,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)
settings.load_profile("perpend")
"""The same examples every time, and no clock: a busy machine fails no test."""

NAMES = ("chromium", "chromium-browser", "google-chrome")
OPTIONS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

LONGEST_FIRST = (
    "held/test_machine.py",
    "fuzz/test_fuzz_targets.py",
    "reading/test_public.py",
    "drawing/test_overlaps.py",
    "layout/test_properties.py",
    "batch/test_faults.py",
    "reading/test_selective.py",
    "cures/test_solve.py",
    "checks/test_seeded_faults.py",
    "reading/test_fuzz.py",
    "reading/test_work.py",
    "checks/test_nearest.py",
    "layout/test_every_method.py",
)
"""Files that take longest; begun last, one of them would run alone while the other process is idle."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Bring the files that take longest to the front (which needs ``--no-loadscope-reorder``)."""
    places = {name: place for place, name in enumerate(LONGEST_FIRST)}
    items.sort(key=lambda item: places.get("/".join(item.path.parts[-2:]), len(places)))


def pytest_collection_finish() -> None:
    """Let the garbage collector pass over what stays, and come by as rarely as when perpend runs."""
    gc.collect()
    gc.freeze()
    collect_rarely()


def chromium() -> str:
    """Return the path of the system's Chromium."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        reason = "Chromium is not installed (Debian: apt-get install chromium)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """One headless Chromium for the session, with a fresh profile."""
    path = chromium()
    from playwright import sync_api

    with sync_api.sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=path, args=OPTIONS)
        yield running
        running.close()
