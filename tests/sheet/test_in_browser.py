"""The sheet in headless Chromium: what a person sees, chooses, sorts, filters and prints."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

import pymupdf
import pytest
from PIL import Image
from playwright.sync_api import expect

from perpend.checks.registry import CODES
from perpend.report.results_document import NotTestedEntry
from sheet.conftest import Opener
from sheet.sample_sheets import HOSTILE, clean, review, run_of, shop, wing

if TYPE_CHECKING:
    from playwright.sync_api import Page

FOCUSED = (
    "document.activeElement.id || document.activeElement.dataset.key || document.activeElement.outerHTML"
)


def tab_to(page: Page, name: str) -> None:
    """Press Tab as a person would until the focus is on a shape (its id) or a button (its key)."""
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate(FOCUSED) == name:
            return
    pytest.fail(f"the Tab key never came to {name}")


def lit(page: Page) -> list[str]:
    """Return what is lit: marks and other shapes first, then rows."""
    return page.eval_on_selector_all(".lit", "all => all.map(e => e.id)")


def shown_rows(page: Page) -> list[str]:
    return page.eval_on_selector_all(
        "#findings-table tbody tr:not([hidden]) .choose", "all => all.map(b => b.dataset.key)"
    )


def test_opens_with_its_style_and_script_and_asks_for_nothing(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    assert "scripted" in page.evaluate("document.documentElement.className")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(251, 250, 246)"
    assert page.title() == "Joint review: shop front.dxf"
    assert page.inner_text(".verdict .words") == "2 violations, 2 advisories, 1 waived"


def test_a_finding_chosen_in_the_table_by_keyboard_lights_its_mark(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    assert page.locator("#mark-V2 .spotlight").is_hidden()
    tab_to(page, "V1")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert lit(page) == ["mark-V2", "row-V2"]
    assert page.locator("#mark-V2 .halo").is_visible()
    assert page.get_attribute("#mark-V2", "aria-pressed") == "true"
    assert page.get_attribute('.choose[data-key="V2"]', "aria-pressed") == "true"
    assert page.inner_text("#said").startswith("Chosen: V2, violation; A slip plane is shorter")
    page.keyboard.press("Escape")
    assert lit(page) == []


@pytest.mark.parametrize("height", [720, 600])
@pytest.mark.parametrize(("key", "part"), [("V3", ".flag"), ("w2-j4", ".bubble"), ("V1", ".flag")])
def test_place_and_row_of_what_is_chosen_are_in_view_together(
    open_sheet: Opener, key: str, part: str, height: int
) -> None:
    page = open_sheet(review()).page
    page.set_viewport_size({"width": 1440, "height": height})
    page.locator(f'.choose[data-key="{key}"]').press("Enter")
    shapes = ("#stage", f"[data-row={key}] {part}", f"#row-{key}")
    stage, place, row = (page.locator(shape).first.bounding_box() for shape in shapes)
    top, bottom = place["y"], place["y"] + place["height"]
    if height < 704:  # too low for elevations that stay: the page goes to the place
        assert top >= 0
        assert bottom <= height
    else:
        assert stage["y"] <= top
        assert bottom <= stage["y"] + stage["height"]
        assert stage["y"] + stage["height"] <= row["y"] + 1
        assert row["y"] + row["height"] <= height + 1


@pytest.mark.parametrize("width", [1040, 1400])
def test_elevations_stand_whole_until_something_is_chosen(open_sheet: Opener, width: int) -> None:
    """No inner box hides part of a wall; a chosen row keeps its place when the box comes and goes."""
    page = open_sheet(review()).page
    page.set_viewport_size({"width": width, "height": 720})
    hidden = "s => [s.scrollHeight - s.clientHeight, s.scrollWidth - s.clientWidth]"
    assert page.eval_on_selector("#stage", hidden) == [0, 0]
    for picture in page.locator(".picture").all():
        assert picture.evaluate("s => s.scrollWidth - s.clientWidth") == 0
    button = page.locator('.choose[data-key="V2"]')
    button.scroll_into_view_if_needed()
    button.press("Enter")
    assert page.eval_on_selector("#stage", "s => s.clientHeight") <= 0.58 * 720
    chosen = button.bounding_box()
    page.keyboard.press("Escape")
    let_go = button.bounding_box()
    assert chosen is not None
    assert let_go is not None
    assert let_go["y"] == pytest.approx(chosen["y"], abs=1)
    assert page.eval_on_selector("#stage", hidden) == [0, 0]


def test_a_very_long_elevation_scrolls_rather_than_shrink_beyond_reading(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    page.set_viewport_size({"width": 700, "height": 900})
    full, drawn, there = page.eval_on_selector(
        ".elevation", "e => [+e.getAttribute('width'), e.clientWidth, e.parentElement.clientWidth]"
    )
    assert drawn == pytest.approx(0.68 * full, abs=1)
    assert drawn > there


@pytest.mark.parametrize("width", [1000, 1200, 1400, 1600])
def test_no_column_is_cut_off_on_a_desk_screen_in_metric(open_sheet: Opener, width: int) -> None:
    page = open_sheet(review(metric=True)).page
    page.set_viewport_size({"width": width, "height": 900})
    cut = page.eval_on_selector_all(
        ".scroll", "all => all.filter(s => s.scrollWidth > s.clientWidth).map(s => s.dataset.name)"
    )
    assert cut == []


def test_an_elevation_is_one_stop_and_arrow_keys_walk_its_things(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    tab_to(page, "mark-V1")
    walked = []
    for _ in range(4):
        page.keyboard.press("ArrowRight")
        walked.append(page.evaluate(FOCUSED))
    assert walked == ["mark-V2", "mark-A1", "at-w1-j1", "at-w1-j2"]
    page.keyboard.press(" ")
    assert lit(page) == ["at-w1-j2", "row-w1-j2"]
    page.keyboard.press("End")
    assert page.evaluate(FOCUSED) == "at-w1-p5"
    page.keyboard.press("Tab")
    assert page.evaluate(FOCUSED) == "mark-V3"


def test_pointing_at_a_mark_shows_its_numbers(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    page.hover("#mark-V1 .flag >> nth=0")
    labels = page.eval_on_selector_all("#tip dt", "all => all.map(e => e.textContent)")
    values = page.eval_on_selector_all("#tip dd", "all => all.map(e => e.textContent)")
    told = dict(zip(labels, values, strict=True))
    assert page.inner_text("#tip strong") == "V1"
    assert told["Measured"] == "27'-8\" (2'-8\" over)"
    assert told["Limit"] == "25'-0\""
    assert told["Source"] == "TEK 10-2C (2010), Table 1 (published)"
    assert told["Cure"] == "Add a CJ at 33'-0\"."
    page.mouse.move(5, 5)
    assert page.locator("#tip").is_hidden()


def test_focus_shows_the_numbers_too_and_escape_hides_them(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    tab_to(page, "mark-V1")
    assert "27'-8\"" in page.inner_text("#tip")
    assert page.get_attribute("#mark-V1", "aria-describedby") == "tip"
    page.keyboard.press("Escape")
    assert page.locator("#tip").is_hidden()


def geometry(page: Page, selector: str) -> list[dict[str, float]]:
    """Return the boxes of shapes as the browser computes them, without their strokes, in units."""
    boxes = "all => all.map(e => e.getBBox()).map(b => ({x: b.x, y: b.y, width: b.width, height: b.height}))"
    return page.eval_on_selector_all(selector, boxes)


def test_marks_stand_where_the_findings_are(open_sheet: Opener) -> None:
    # V1 at 20'-0" and 47'-8" of 60'-0", 8'-4" up a wall of 16'-8"; V2 at 24'-0", 10'-0" up.
    page = open_sheet(review()).page
    (wall,) = geometry(page, "#w1 .wall")
    places = geometry(page, "#mark-V1 .place") + geometry(page, "#mark-V2 .place")
    for place, (x_in, y_in) in zip(places, ((240, 100), (572, 100), (288, 120)), strict=True):
        x = (place["x"] + place["width"] / 2 - wall["x"]) / wall["width"]
        y = (wall["y"] + wall["height"] - place["y"] - place["height"] / 2) / wall["height"]
        assert x == pytest.approx(x_in / 720, abs=1e-4)
        assert y == pytest.approx(y_in / 200, abs=1e-4)


def test_joints_stand_at_their_stations(open_sheet: Opener) -> None:
    page = open_sheet(clean()).page
    results, _ = clean()
    (wall,) = geometry(page, "#w1 .wall")
    for joint in results.walls[0].joints:
        (line,) = geometry(page, f"#at-w1-j{joint.number} .line")
        left = wall["x"] + min(x for x, _ in joint.path) / 720 * wall["width"]
        assert line["x"] == pytest.approx(left, abs=0.02)
        assert line["height"] == pytest.approx(wall["height"], abs=0.02)


def test_filters_hide_rows_and_marks_and_say_so(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    page.select_option("[name=state]", "required")
    assert shown_rows(page) == ["V1", "V2"]
    assert page.inner_text("#count") == "2 of 5 findings shown (violations)."
    assert page.locator("#mark-A1").is_hidden()
    page.select_option("[name=state]", "waived")
    assert shown_rows(page) == ["V3"]
    page.click("[type=reset]")
    expect(page.locator("#count")).to_have_text("5 of 5 findings shown.")
    page.select_option("[name=wall]", "w1")
    page.fill("[name=words]", "module")
    assert shown_rows(page) == ["A1"]
    page.fill("[name=words]", "")
    page.select_option("[name=code]", "slip-plane-too-short")
    assert shown_rows(page) == ["V2"]


def test_a_chosen_finding_that_is_filtered_out_is_let_go(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    page.click('.choose[data-key="A1"]')
    page.select_option("[name=state]", "required")
    assert lit(page) == []


def test_sorting_by_measured_puts_what_has_no_number_last(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    head = page.locator("#findings-table th", has_text="Measured")
    head.get_by_role("button").press("Enter")
    assert head.get_attribute("aria-sort") == "ascending"
    assert shown_rows(page) == ["A1", "V2", "V3", "V1", "A2"]
    head.get_by_role("button").press("Enter")
    assert head.get_attribute("aria-sort") == "descending"
    assert shown_rows(page) == ["V1", "V3", "V2", "A1", "A2"]
    other = page.locator("#findings-table th", has_text="Wall")
    other.get_by_role("button").click()
    assert head.get_attribute("aria-sort") is None
    assert shown_rows(page)[0] == "V1"


def test_an_address_with_a_number_opens_with_the_finding_chosen(open_sheet: Opener) -> None:
    page = open_sheet(review(), anchor="#V2").page
    assert lit(page) == ["mark-V2", "row-V2"]
    expect(page.locator("#row-V2")).to_be_in_viewport()
    expect(page.locator("#mark-V2 .flag")).to_be_in_viewport()


def test_a_finding_without_a_point_lights_its_wall(open_sheet: Opener) -> None:
    bare = CODES["joint-type-missing"].finding("No joint type is named.", wall="W2")
    page = open_sheet(run_of(shop(), wing(), found={"W2": [bare]})).page
    page.locator('.choose[data-key="V1"]').press("Enter")
    assert lit(page) == ["w2", "row-V1"]
    stage, wall = (page.locator(q).bounding_box() for q in ("#stage", "#w2-title"))
    assert stage["y"] <= wall["y"] <= stage["y"] + stage["height"] - wall["height"]


def test_what_a_drafter_typed_stays_text(open_sheet: Opener) -> None:
    page = open_sheet(run_of(shop(), wing(HOSTILE))).page
    assert page.inner_text("#w2-title") == f"Wall {HOSTILE}"
    assert page.locator("img").count() == 0
    page.click('.choose[data-key="w2-j1"]')
    assert lit(page) == ["at-w2-j1", "row-w2-j1"]


def test_everything_is_there_without_a_script(open_sheet: Opener) -> None:
    page = open_sheet(review(), java_script_enabled=False).page
    assert page.locator("#findings-table tbody tr").count() == 5
    assert page.locator("#filters").is_hidden()
    assert page.locator("#mark-V1").get_attribute("role") == "img"


@pytest.mark.parametrize(("scheme", "dark"), [("light", False), ("dark", True)])
def test_light_and_dark(open_sheet: Opener, scheme: str, dark: bool) -> None:
    page = open_sheet(review(), color_scheme=scheme).page
    paper = grey(page).getpixel((5, 5))
    assert (paper < 60) is dark
    assert (paper > 230) is not dark


def test_weights_differ_and_a_chosen_place_shows_without_colour(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    violation, advice = (centre(page, f"#mark-{key} .flag >> nth=0") for key in ("V2", "A1"))
    sky = grey(page)
    # Above the number: a violation's flag is filled, advice is an empty square.
    assert sky.getpixel((violation[0], violation[1] - 6)) < 100
    assert sky.getpixel((advice[0], advice[1] - 6)) > 150
    place = centre(page, "#mark-V2 .place")
    before = sky.getpixel((place[0] - 16, place[1] + 16))
    page.locator('.choose[data-key="V2"]').press("Enter")
    place = centre(page, "#mark-V2 .place")
    assert before - grey(page).getpixel((place[0] - 16, place[1] + 16)) > 100


def grey(page: Page) -> Image.Image:
    return Image.open(io.BytesIO(page.screenshot())).convert("L")


def centre(page: Page, selector: str) -> tuple[int, int]:
    box = page.locator(selector).first.bounding_box()
    return round(box["x"] + box["width"] / 2), round(box["y"] + box["height"] / 2)


def test_prints_on_tabloid_with_the_caution_on_every_page(open_sheet: Opener) -> None:
    page = open_sheet(review()).page
    page.select_option("[name=state]", "required")
    with pymupdf.open(stream=page.pdf(prefer_css_page_size=True), filetype="pdf") as printed:
        assert {(round(p.rect.width), round(p.rect.height)) for p in printed} == {(17 * 72, 11 * 72)}
        texts = [p.get_text() for p in printed]
    assert all("An aid, not a design." in text for text in texts)
    whole = " ".join("\n".join(texts).split())
    assert "2 of 5 findings shown (violations)." in whole
    assert "is longer than the spacing allows" in whole
    assert "off the module" not in whole
    assert "Show all" not in whole
    assert "By keyboard" not in whole
    assert "Wall W2" in whole


def test_says_of_every_rule_how_much_it_tested(open_sheet: Opener) -> None:
    run = run_of(shop(), wing())
    page = open_sheet(run).page
    cells = page.eval_on_selector_all(
        "#rules tbody tr",
        "all => all.map(r => [r.cells[0].dataset.code, ...[...r.cells].map(c => c.innerText.trim())])",
    )
    assert [row[0] for row in cells] == [code for code in CODES if not code.startswith("waiver-")]
    panels = sum(len(wall.panels) for wall in run[0].walls)
    row = next(r for r in cells if r[0] == "panel-too-long")
    title = "A panel is longer than the joint spacing allows"
    assert row[1:] == [f"{title}\npanel-too-long", str(panels), "0", ""]
    beams = next(r for r in cells if r[0] == "reinforcement-too-sparse")
    assert beams[2] == "none"
    assert beams[4].startswith("W1, W2: ")
    assert page.get_by_role("link", name="What could not be tested").get_attribute("href") == "#untested"


def test_a_check_that_could_not_run_says_why(open_sheet: Opener) -> None:
    results, plans = clean()
    entry = NotTestedEntry(check="storey height", wall="W1", why="no lateral supports are drawn")
    checks = replace(results.checks, could_not_run=[entry])
    page = open_sheet((replace(results, checks=checks), plans)).page
    assert page.get_by_role("link", name="What could not be tested").count() == 1
    assert page.locator("#untested table >> nth=0 >> tbody tr").all_inner_texts() == [
        "storey height\tW1\tno lateral supports are drawn"
    ]


def test_metric_drawings_print_millimetres_with_feet_beside_limits(open_sheet: Opener) -> None:
    page = open_sheet(review(metric=True)).page
    cells = page.locator("#row-V1 td")
    assert cells.nth(4).inner_text() == "8433 mm (813 mm over)"
    assert cells.nth(5).inner_text() == "7620 mm (25'-0\")"
    assert page.locator("#w1 .dim", has_text="18288").count() == 1
