"""The index in headless Chromium: sorted by a click, linked to each sheet, asking nothing of a network."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from playwright.sync_api import sync_playwright

from batch.material import save_good
from perpend.batch import BatchOptions, run_batch
from programs import need


def test_the_index_sorts_and_links(tmp_path: Path) -> None:
    chromium = need("chromium", "chromium")
    save_good(tmp_path / "in", "long & <b>wide", *"abcdefgh")
    (tmp_path / "in" / "broken.dxf").write_text("<script>alert(1)</script>")
    report = run_batch(tmp_path / "in", tmp_path / "out", BatchOptions(), make=ThreadPoolExecutor)
    assert report.index is not None
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        try:
            page = browser.new_page()
            asked: list[str] = []
            page.on("request", lambda request: asked.append(request.url))
            page.goto(report.index.as_uri())
            names = page.locator("tbody tr td:first-child")
            assert names.count() == 10
            counts = page.locator("tbody tr td:nth-child(5)")
            page.click("th:nth-child(5) button")
            rising = [int(text) for text in counts.all_inner_texts()]
            assert rising == sorted(rising)
            assert len(set(rising)) > 1
            assert page.get_attribute("th:nth-child(5)", "aria-sort") == "ascending"
            page.click("th:nth-child(5) button")
            assert [int(text) for text in counts.all_inner_texts()] == rising[::-1]
            assert page.locator("tbody svg.thumb path.j").count() == sum(rising)
            assert page.locator("td.bad").all_inner_texts() == ["refused"]
            page.get_by_role("link", name="long & <b>wide.dxf").click()
            assert page.title().startswith("Joint")
            assert all(url.startswith("file://") for url in asked)
        finally:
            browser.close()
