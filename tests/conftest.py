"""Headless Chromium for the tests that look at pages.

The browser is the system's own (Debian package ``chromium``); Playwright only drives it, its own browsers
are never fetched. Without Chromium the tests are skipped on a desk and fail in CI.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

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
