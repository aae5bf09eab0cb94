"""axe-core over the sheet, light and dark, and what it can't see: names, roles, sizes."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from sheet.conftest import Opener
from sheet.sample_sheets import clean, review, run_of, shop, spoiled, wing

if TYPE_CHECKING:
    from playwright.sync_api import Page


def faults_of(page: Page) -> list[str]:
    """Return axe-core's violations of every weight, best practices included."""
    found = Axe().run(page).response["violations"]
    return [f"{v['impact']}: {v['id']}: {v['nodes'][0]['html'][:160]}" for v in found]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_in_a_review(open_sheet: Opener, scheme: str) -> None:
    # With everything a person can bring up: a chosen finding, the numbers of another, a filter.
    page = open_sheet(review(), color_scheme=scheme).page
    page.click('.choose[data-key="V2"]')
    page.hover("#mark-V1 .flag >> nth=0")
    page.select_option("[name=state]", "required")
    assert faults_of(page) == []


def test_axe_finds_nothing_in_a_cure_or_on_a_narrow_screen(open_sheet: Opener) -> None:
    assert faults_of(open_sheet(spoiled()).page) == []
    assert faults_of(open_sheet(run_of(shop(), wing()), width=400).page) == []


def test_the_check_would_find_a_fault(open_sheet: Opener) -> None:
    page = open_sheet(clean()).page
    page.evaluate("document.querySelector('.choose').removeAttribute('aria-label')")
    page.evaluate("document.querySelector('.choose').textContent = ''")
    assert any("button-name" in fault for fault in faults_of(page))


def test_a_reader_hears_what_a_mark_and_an_elevation_are(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    mark = page.get_by_role("button", name="V2, violation; A slip plane is shorter than the lintel's bearing")
    assert mark.count() == 1
    assert page.get_by_role("toolbar", name="What is on wall W1").count() == 1
    assert page.get_by_role("group", name="Wall W1").count() == 1
    assert page.locator("#w1-desc").text_content() == "4 joints, 3 openings, 3 findings."
    assert page.get_by_role("columnheader", name="Measured").count() == 1
    assert page.get_by_role("rowheader", name="Finding V1").count() == 1


def test_the_sheet_reads_without_sideways_scrolling_on_a_narrow_screen(open_sheet: Opener) -> None:
    page = open_sheet(review(), width=400).page
    assert page.evaluate("document.documentElement.scrollWidth") <= 400
    wide = "all => all.filter(e => e.scrollWidth > e.clientWidth).map(e => e.dataset.name)"
    assert page.eval_on_selector_all(".scroll:not(.picture)", wide) == []
    cell = page.locator("#findings-table tbody tr:first-child td[data-tip='Cure']")
    assert "Cure" in cell.evaluate("e => getComputedStyle(e, '::before').content")
