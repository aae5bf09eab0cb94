"""Sheets opened in headless Chromium, and everything that goes wrong in them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, Unpack

import pytest

from perpend.model import WallPlan
from perpend.report import Results
from perpend.report.sheet import render_sheet

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page


class Context(TypedDict, total=False):
    """How a page is opened, besides its size."""

    color_scheme: str
    java_script_enabled: bool


@dataclass
class Sheet:
    """An open sheet: its page, and everything that went wrong or tried to leave the file."""

    page: Page
    problems: list[str] = field(default_factory=list)


Opener = Callable[..., Sheet]


@pytest.fixture
def open_sheet(browser: Browser, tmp_path: Path) -> Iterator[Opener]:
    """A function that writes a sheet and opens it; afterwards nothing may have gone wrong in it."""
    opened: list[Sheet] = []

    def opener(
        run: tuple[Results, Sequence[WallPlan]],
        *,
        anchor: str = "",
        width: int = 1440,
        **options: Unpack[Context],
    ) -> Sheet:
        path = tmp_path / f"sheet-{len(opened)}.html"
        path.write_text(render_sheet(*run), encoding="utf-8", newline="\n")
        context = browser.new_context(
            viewport={"width": width, "height": 1000}, reduced_motion="reduce", **options
        )
        sheet = Sheet(context.new_page())
        opened.append(sheet)
        page = sheet.page
        page.set_default_timeout(4000)
        page.on("console", lambda message: sheet.problems.append(f"{message.type}: {message.text}"))
        page.on("pageerror", lambda error: sheet.problems.append(f"error: {error}"))
        page.on("dialog", lambda dialog: (sheet.problems.append("a dialog"), dialog.dismiss()))
        page.on(
            "request",
            lambda request: (
                None
                if request.url.startswith(path.as_uri())
                else sheet.problems.append(f"asked for {request.url}")
            ),
        )
        page.goto(path.as_uri() + anchor)
        return sheet

    yield opener
    problems = [problem for sheet in opened for problem in sheet.problems]
    for sheet in opened:
        sheet.page.context.close()
    assert not problems
