"""The index in headless Chromium: sorted, linked to each sheet, printed, asking nothing of a network."""

from __future__ import annotations

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from axe_playwright_python.sync_playwright import Axe

from batch.material import rows_of, save_doubtful, save_good, save_title_sheet
from cli.drawings import save_elevation
from perpend.folders import BatchOptions, run_batch

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

# What most needs a look first. A 38'-6" door in a wall of 40 ft leaves the first joint 39'-10" from the left
# corner where 9'-0" is allowed, 3.4 times too far; a 50'-0" door in a wall 4'-8" high a panel of 51'-4"
# where 7'-0" is allowed, 6.3 times too long. A wall of 483 in. is off the module, which is a remark.
# A pane on a layer without a role, in a good wall, is a doubt.
GRAVEST_FIRST = [
    *("broken.dxf", "panel.dxf", "corner.dxf", "doubt.dxf", "remark.dxf"),
    *("a.dxf", "b.dxf", "long & <b>wide.dxf", "title.dxf"),
]


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the outputs of nine drawings: of each kind one at least."""
    root = tmp_path_factory.mktemp("index")
    source = root / "in"
    save_good(source, "long & <b>wide", "a", "b")
    save_elevation(source / "panel.dxf", [("W1", (0, 0, 2400, 56))], [("D1", (104, 0, 704, 48))])
    save_elevation(source / "corner.dxf", [("W1", (0, 0, 480, 144))], [("D1", (8, 0, 470, 88))])
    save_elevation(source / "remark.dxf", [("W1", (0, 0, 483, 160))])
    save_doubtful(source / "doubt.dxf")
    save_title_sheet(source / "title.dxf")
    (source / "broken.dxf").write_text("<script>alert(1)</script>")
    assert run_batch(source, root / "out", BatchOptions(), make=ThreadPoolExecutor).exit_code == 2
    return root / "out"


@pytest.fixture
def page(browser: Browser, out: Path) -> Iterator[Page]:
    page = browser.new_page(viewport={"width": 1400, "height": 1000})
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: pytest.fail(f"the page speaks: {dialog.message}"))
    page.goto((out / "index.html").as_uri())
    yield page
    page.close()
    assert all(url.startswith("file://") for url in asked)


def names(page: Page) -> list[str]:
    return page.locator("tbody tr:visible th strong").all_inner_texts()


def column(page: Page, heading: str) -> int:
    heads = [text.replace("\u00ad", "") for text in page.locator("thead th").all_inner_texts()]
    return next(i for i, head in enumerate(heads, start=1) if head.startswith(heading))


def test_the_drawings_come_by_name_and_the_page_says_how_many_need_a_look(page: Page) -> None:
    assert names(page) == sorted(GRAVEST_FIRST)
    assert page.locator(".verdict").inner_text() == (
        "4 of 9 need a look: 1 refused, 2 with violations, 1 read with doubts; "
        "4 clean, 1 of them with remarks; 1 without an elevation"
    )
    assert "licensed professional of record decides" in page.inner_text("main")


@pytest.mark.parametrize("heading", ["State", "Worst"])
def test_what_needs_a_look_first_comes_first_by_keyboard_too(page: Page, heading: str) -> None:
    button = page.locator(f"thead th:nth-child({column(page, heading)}) button")
    button.focus()
    page.keyboard.press("Enter")
    assert names(page) == GRAVEST_FIRST
    assert button.locator("xpath=..").get_attribute("aria-sort") == "ascending"
    page.keyboard.press("Space")
    assert names(page) == GRAVEST_FIRST[::-1]


def test_a_count_is_sorted_by_number_and_what_has_none_comes_last(page: Page) -> None:
    place = column(page, "Joints")
    page.click(f"thead th:nth-child({place}) button")
    shown = page.locator(f"tbody td:nth-child({place})").all_inner_texts()
    assert shown[-2:] == ["–", "–"]
    counts = [int(text) for text in shown[:-2]]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) > 2
    assert int(page.locator(f"tfoot td:nth-child({place})").inner_text()) == sum(counts)
    assert page.locator("tbody svg.thumb path.j").count() == sum(counts)
    page.click(f"thead th:nth-child({place}) button")
    assert page.locator(f"tbody td:nth-child({place})").all_inner_texts() == shown[::-1]


def test_the_data_agree_with_what_is_shown(page: Page, out: Path) -> None:
    rows = rows_of(out)
    assert sorted(rows, key=lambda name: rows[name]["gravity_place"]) == GRAVEST_FIRST
    for row in page.locator("tbody tr").all():
        name = row.locator("th strong").inner_text()
        found = rows[name]
        assert row.get_attribute("data-state") == found["state"]
        words = row.locator("td.why").inner_text()
        kind = {"required": "Violation: ", "doubt": "Doubt: ", "advisory": "Remark: ", "": ""}[
            found["worst_severity"]
        ]
        assert words == (found["sentence"] or (kind + found["worst"]) or "nothing found")
        marks = 0 if found["state"] == "refused" else found["violations"]
        assert row.locator("svg path.v").count() == marks


def test_only_what_needs_a_look(page: Page) -> None:
    page.get_by_label("Only drawings that need a look").check()
    assert names(page) == ["broken.dxf", "corner.dxf", "doubt.dxf", "panel.dxf"]
    page.get_by_label("Only drawings that need a look").uncheck()
    assert len(names(page)) == 9


def test_a_name_leads_to_the_sheet(page: Page) -> None:
    page.get_by_role("link", name="long & <b>wide.dxf").click()
    assert page.title().startswith("Joint")


def test_nothing_is_cut_off_on_a_screen_or_on_paper(page: Page, tmp_path: Path) -> None:
    region = page.locator(".scroll")
    assert region.evaluate("e => e.scrollWidth <= e.clientWidth")
    import pymupdf

    for form in ("Letter", "A4"):
        page.pdf(path=tmp_path / "p.pdf", format=form, prefer_css_page_size=False, landscape=True)
        with pymupdf.open(tmp_path / "p.pdf") as printed:
            words = [word for sheet in printed for word in sheet.get_text("words")]
            width = printed[0].rect.width
        lintels = [word for word in words if word[4] == "Lintels"]
        assert lintels
        assert max(word[2] for word in words) < width - 20
        said = " ".join(word[4] for word in words)
        assert re.search(r"Violation: The panel from", said)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing(browser: Browser, out: Path, scheme: str) -> None:
    page = browser.new_page(color_scheme=scheme)  # type: ignore[arg-type]
    page.goto((out / "index.html").as_uri())
    found = Axe().run(page).response["violations"]
    page.close()
    assert [f"{v['impact']}: {v['id']}: {v['nodes'][0]['html'][:160]}" for v in found] == []
